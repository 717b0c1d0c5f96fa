"""The bars of a sheet from the tokens of its music lines: the stage between tokens and sections.

Takes the bars and bar lines of each line; gives `Bar`s in written order with beats and positions.
A line's end closes its last bar. Repeats, endings and jumps are only marked here; whether they fit
together is checked over the whole sheet. `bar_draft` reads the tokens of each bar.
"""

from __future__ import annotations

from dataclasses import field, replace
from fractions import Fraction
from typing import Final

from ..beats import beats_of, bracket_beats, even, misfit
from ..errors import WHOLE_FILE, Problem, SourcePosition
from ..frozen import frozen, mutable
from ..limits import MAX_BARS, MAX_CHORDS, MAX_TIMES
from ..mistakes import mistake
from ..sheet import PARTS_A_QUARTER, Bar, Meter, SheetChord
from .bar_draft import BarDraft
from .tokens import BarLine, BarTokens, LineTokens, Token


@frozen
class Uneven:
    """A bar that its chords share in parts of beats: its line, its chords as typed, its meter."""

    line: int
    texts: tuple[str, ...]
    meter: Meter


#: The bar line before a bar without repeat or ending.
NO_MARK: Final = BarLine("|", 0)
ZERO: Final = Fraction(0)
#: The signs that stand at the end of a bar.
_AT_END: Final = ("to_coda", "fine", "jump")


@mutable
class BarReader:
    """Collects the bars of a sheet line by line; private to the reader.

    `opening`, `signs`: the bar line and the signs that belong to the next bar. `floor`: bars before
    this index can no longer be closed or marked, because a recalled section follows them.
    `bracket`: the open bracket round optional chords. `bars_left`, `chords_left`: how many more the
    file may hold. `uneven`: the bars whose chords have parts of beats because their number does not
    divide their beats.
    """

    problems: list[Problem]
    bars: list[Bar] = field(default_factory=list)
    opening: BarLine = NO_MARK
    opening_position: SourcePosition = WHOLE_FILE
    signs: dict[str, SourcePosition] = field(default_factory=dict)
    last: SheetChord | None = None
    typed_counts: dict[int, SourcePosition] = field(default_factory=dict)
    floor: int = 0
    bracket: Token | None = None
    bars_left: int = MAX_BARS
    chords_left: int = MAX_CHORDS
    uneven: list[Uneven] = field(default_factory=list)

    @property
    def is_full(self) -> bool:
        """Whether the file holds more bars or chords than a sheet may; nothing more is read."""
        return self.bars_left < 0 or self.chords_left < 0

    def add_line(self, tokens: LineTokens, line: int, meter: Meter) -> None:
        """Read the bars and bar lines of one line."""
        previous: BarLine | None = None
        for item in tokens:
            if self.is_full:
                return
            if isinstance(item, BarTokens):
                self._add_bar(item, line, meter)
                previous = None
                continue
            if previous is not None and _is_plain(previous) and _is_plain(item):
                position = SourcePosition(line, previous.column)
                self.problems.append(mistake("empty-bar", position, "|"))
            self._pass_line(item, SourcePosition(line, item.column))
            previous = item
        if self.bracket is not None:
            position = SourcePosition(line, self.bracket.column)
            self.problems.append(mistake("optional-open", position, self.bracket.text))
            self.bracket = None

    def finish(self) -> None:
        """End the sheet: report bar lines and signs that wait for a next bar."""
        if self.opening.open:
            self.problems.append(mistake("repeat-unclosed", self.opening_position, "|:"))
        elif self.opening is not NO_MARK:
            self.problems.append(mistake("empty-bar", self.opening_position, self.opening.text))
        for name, position in self.signs.items():
            self.problems.append(mistake("empty-bar", position, name.capitalize()))

    def _pass_line(self, bar_line: BarLine, position: SourcePosition) -> None:
        """Apply a bar line to the bar before it and to the bar after it."""
        if bar_line.times is not None and not bar_line.close:
            self.problems.append(mistake("count-without-close", position, bar_line.text))
        if len(self.bars) > self.floor and (bar_line.close or bar_line.double):
            self._close_bar(bar_line, position)
        elif bar_line.close:
            self.problems.append(mistake("bar-of-signs", position, bar_line.text))
        if bar_line.open or bar_line.endings:
            opened = self.opening.open or bar_line.open
            endings = self.opening.endings or bar_line.endings
            if self.opening is NO_MARK:
                self.opening_position = position
            self.opening = replace(bar_line, open=opened, endings=endings)

    def _close_bar(self, bar_line: BarLine, position: SourcePosition) -> None:
        bar = self.bars[-1]
        if bar_line.close:
            times = 2 if bar_line.times is None else bar_line.times
            if not 2 <= times <= MAX_TIMES:
                self.problems.append(
                    mistake("repeat-count", position, bar_line.text, most=MAX_TIMES)
                )
                times = 2
            if bar_line.times is not None:
                self.typed_counts[len(self.bars) - 1] = position
            bar = replace(bar, repeat_close=times)
        if bar_line.double:
            bar = replace(bar, double_bar=True)
        self.bars[-1] = bar

    def _add_bar(self, tokens: BarTokens, line: int, meter: Meter) -> None:
        """Read what stands between two bar lines: a bar, or signs alone."""
        later_ending = bool(self.opening.endings) and 1 not in self.opening.endings
        draft = BarDraft(line, self.problems, self.bracket)
        draft.read(tokens, None if later_ending else self.last, not self.bars)
        draft.rest_before_pickup(meter)
        self.bracket = draft.bracket
        position = SourcePosition(line, tokens.column)
        if not draft.is_bar:
            self._add_signs(draft, position)
            return
        bar = self._bar(draft, meter, position)
        self._check_pickup(draft)
        self.opening, self.signs = NO_MARK, {}
        if bar.chords:
            self.last = bar.chords[-1]
        elif bar.rest_bars or (bar.simile and later_ending):
            self.last = None
        self._append(bar)
        self._end_signs(draft)

    def _bar(self, draft: BarDraft, meter: Meter, position: SourcePosition) -> Bar:
        """The bar of a draft, with the bar line and the signs that wait for it."""
        if self.opening is not NO_MARK:
            position = self.opening_position
        signs = draft.signs.keys() | self.signs.keys()
        return Bar(
            number=self._next_number("pickup" in signs),
            meter=meter,
            chords=self._chords(draft, meter),
            position=position,
            repeat_open=self.opening.open,
            endings=self.opening.endings,
            simile=draft.simile,
            rest_bars=draft.rest_bars,
            pickup="pickup" in signs,
            segno="segno" in signs,
            coda="coda" in signs,
        )

    def _append(self, bar: Bar) -> None:
        """Add a bar, or the two of a `%%`."""
        self.bars.append(bar)
        self.bars_left -= max(bar.rest_bars, bar.simile, 1)
        self.chords_left -= len(bar.chords)
        if bar.simile == 2:
            second = replace(bar, number=bar.number + 1, repeat_open=False, endings=())
            self.bars.append(replace(second, segno=False, coda=False))

    def _next_number(self, pickup: bool) -> int:
        if not self.bars:
            return 0 if pickup else 1
        return self.bars[-1].last_number + 1

    def _add_signs(self, draft: BarDraft, position: SourcePosition) -> None:
        """Signs without a bar: those of a bar's start go to the next bar, others to the last."""
        if "pickup" in draft.signs:
            draft.report("bar-of-signs", draft.signs["pickup"])
        if draft.rests:
            draft.report("no-chord-before", draft.rests[0])
        self.signs |= {name: position for name in ("segno", "coda") if name in draft.signs}
        ends = [draft.signs[name] for name in _AT_END if name in draft.signs]
        if ends and len(self.bars) <= self.floor:
            draft.report("bar-of-signs", ends[0])
        else:
            self._end_signs(draft)

    def _end_signs(self, draft: BarDraft) -> None:
        if draft.signs.keys().isdisjoint(_AT_END):
            return
        bar, jump = self.bars[-1], draft.signs.get("jump")
        if jump is not None and bar.jump is not None:
            draft.report("twice-in-bar", jump)
        self.bars[-1] = replace(
            bar,
            to_coda=bar.to_coda or "to_coda" in draft.signs,
            fine=bar.fine or "fine" in draft.signs,
            jump=bar.jump if jump is None else jump.jump,
        )

    def _check_pickup(self, draft: BarDraft) -> None:
        """A pickup has chords of its own and is the first bar of the tune."""
        pickup = draft.signs.get("pickup")
        if pickup is not None and (draft.simile or draft.rest_bars):
            draft.report("mixed-bar", pickup)
        if pickup is not None and self.bars:
            draft.report("pickup-late", pickup)

    def _chords(self, draft: BarDraft, meter: Meter) -> tuple[SheetChord, ...]:
        """The chords of a bar with their beats; equal shares when the tokens do not fit."""
        if not draft.chords or draft.simile or draft.rest_bars:
            return ()
        shares = [chord.share for chord in draft.chords]
        beats = None if draft.broken else beats_of(shares, meter, "pickup" in draft.signs)
        if beats is None and not draft.broken and even(shares):
            beats = bracket_beats([chord.optional for chord in draft.chords], meter)
        if beats is None:
            if not draft.broken:
                self.problems.append(draft.bass_apart() or _misfit(draft, meter))
            beats = [Fraction(meter.beats, len(shares))] * len(shares)
        elif "pickup" in draft.signs and sum(beats) >= meter.beats:
            count = sum(beats)
            draft.report("pickup-full", draft.signs["pickup"], count=count, meter=meter)
        elif even(shares) and meter.beats % 2 and beats[0].denominator > 1:
            typed = tuple(chord.text for chord in draft.chords)
            self.uneven.append(Uneven(draft.line, typed, meter))
        self._check_lengths(draft, meter)
        placed, start = [], ZERO
        for chord, length in zip(draft.chords, beats, strict=True):
            placed.append(chord.placed(start, length))
            start += length
        return tuple(placed)

    def _check_lengths(self, draft: BarDraft, meter: Meter) -> None:
        """Report the first chord whose length as typed does not end at a part of a quarter."""
        for chord in draft.chords:
            quarters = (chord.length or ZERO) * 4 / meter.unit
            if PARTS_A_QUARTER % quarters.denominator:
                self.problems.append(mistake("length-too-fine", chord.position, chord.text))
                return


def _misfit(draft: BarDraft, meter: Meter) -> Problem:
    """The problem of a bar whose chords do not fit its meter."""
    texts, shares = zip(*((chord.text, chord.share) for chord in draft.chords), strict=True)
    return misfit(texts, shares, meter, draft.chords[0].position)


def _is_plain(bar_line: BarLine) -> bool:
    return not (bar_line.close or bar_line.open or bar_line.double or bar_line.endings)
