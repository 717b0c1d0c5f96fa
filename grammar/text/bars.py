"""From the tokens of music lines to bars."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Final

from ..errors import WHOLE_FILE, Problem, SourcePosition
from ..form.repeats import MAX_TIMES
from ..mistakes import mistake
from ..sheet import Bar, Meter, SheetChord
from .beats import Share, beats_of, counted, even, tokens_a_bar
from .tokens import BarLine, Token, read_chord

# One bar's words made into its chords, signs and jumps, before the beats are shared.
#
# Takes the words between two bar lines, gives a `Draft`: a collector that is private to the readers
# of bars and never travels. Every word that cannot be read leaves a problem, and reading goes on.

#: The longest rest that one sign may stand for.
MAX_REST_BARS: Final = 999
ZERO: Final = Fraction(0)


@dataclass
class Draft:
    """A bar in the making: `entries` are its chords and what each takes of the beats.

    `broken`: a word of it could not be read, so its beats are not counted.
    """

    line: int
    problems: list[Problem]
    entries: list[tuple[SheetChord, Share]] = field(default_factory=list)
    simile: int = 0
    rest_bars: int = 0
    broken: bool = False
    signs: dict[str, Token] = field(default_factory=dict)

    @property
    def is_bar(self) -> bool:
        """Whether it holds anything that sounds or rests, and not signs alone."""
        return bool(self.entries or self.simile or self.rest_bars or self.broken)

    def report(self, label: str, word: Token, **fields: object) -> None:
        """Note a mistake in one of its words."""
        self.problems.append(
            mistake(label, SourcePosition(self.line, word.column), word.text, "", **fields)
        )


def draft_bar(
    words: tuple[Token, ...], line: int, last: SheetChord | None, problems: list[Problem]
) -> Draft:
    """What the words of a bar say. `last` is the chord before it, which a slash first repeats."""
    draft = Draft(line, problems)
    stray: list[Token] = []
    for word in words:
        if word.kind == "stray":
            stray.append(word)
            continue
        _flush(stray, draft)
        _ACTIONS.get(word.kind, _add_sign)(draft, word, last)
    _flush(stray, draft)
    return draft


def _flush(stray: list[Token], draft: Draft) -> None:
    """Report a run of stray characters once."""
    if stray:
        together = "".join(word.text for word in stray)
        draft.report("stray", replace(stray[0], text=together))
        draft.broken = True
        stray.clear()


def _add_chord(draft: Draft, word: Token, last: SheetChord | None) -> None:
    position = SourcePosition(draft.line, word.column)
    chord = read_chord(word.text, position, draft.problems)
    draft.broken = draft.broken or chord is None
    _refuse_beside_sign(draft, word)
    if chord is not None:
        draft.entries.append((SheetChord(chord, word.text, position, ZERO, ZERO), Share()))


def _add_silence(draft: Draft, word: Token, last: SheetChord | None) -> None:
    position = SourcePosition(draft.line, word.column)
    _refuse_beside_sign(draft, word)
    draft.entries.append((SheetChord(None, word.text, position, ZERO, ZERO), Share()))


def _add_beats(draft: Draft, word: Token, last: SheetChord | None) -> None:
    count = word.count
    if not draft.entries:
        if draft.broken or _refuse_beside_sign(draft, word):
            return
        if last is None:
            draft.report("no-chord-before", word)
            draft.broken = True
            return
        position = SourcePosition(draft.line, word.column)
        draft.entries.append((replace(last, position=position, push=False, hold=False), Share()))
        count -= 1
    chord, share = draft.entries[-1]
    draft.entries[-1] = (chord, replace(share, words=share.words + count))


def _add_to_chord(draft: Draft, word: Token, last: SheetChord | None) -> None:
    """A push, a hold, a fixed grip or a length belongs to the chord before it in the bar."""
    if not draft.entries:
        if not draft.broken:
            draft.report("no-chord-before", word)
        draft.broken = True
        return
    chord, share = draft.entries[-1]
    if word.kind == "push":
        chord = replace(chord, push=True)
    elif word.kind == "hold":
        chord = replace(chord, hold=True)
    elif word.kind == "length":
        share = replace(share, length=word.amount)
        if not word.amount:
            draft.report("bad-length", word)
            draft.broken = True
    elif word.frets is None or chord.chord is None:
        draft.report("bad-pin", word)
    else:
        chord = replace(chord, pin=word.frets)
    draft.entries[-1] = (chord, share)


def _refuse_pin(draft: Draft, word: Token, last: SheetChord | None) -> None:
    draft.report("pin-open", replace(word, text=word.text.rstrip()))
    draft.broken = True


def _refuse_beside_sign(draft: Draft, word: Token) -> bool:
    """`%`, `%%` and rests stand alone in their bar: whether the word stands beside one."""
    beside = bool(draft.simile or draft.rest_bars)
    if beside:
        draft.report("mixed-bar", word)
    return beside


def _add_sign_for_bars(draft: Draft, word: Token, last: SheetChord | None) -> None:
    if draft.is_bar:
        draft.report("mixed-bar", word)
        return
    if word.kind == "long_rest":
        draft.rest_bars = word.count
        if not 1 <= word.count <= MAX_REST_BARS:
            draft.report("bad-rest", word, most=MAX_REST_BARS)
            draft.rest_bars = 1
    else:
        draft.simile = 2 if word.kind == "long_simile" else 1


def _add_sign(draft: Draft, word: Token, last: SheetChord | None) -> None:
    if word.kind in draft.signs:
        draft.report("twice-in-bar", word)
    draft.signs[word.kind] = word


_ACTIONS: Final[dict[str, Callable[[Draft, Token, SheetChord | None], None]]] = {
    "chord": _add_chord,
    "silence": _add_silence,
    "beats": _add_beats,
    "push": _add_to_chord,
    "hold": _add_to_chord,
    "pin": _add_to_chord,
    "length": _add_to_chord,
    "open_pin": _refuse_pin,
    "simile": _add_sign_for_bars,
    "long_simile": _add_sign_for_bars,
    "long_rest": _add_sign_for_bars,
}


# From the words of music lines to bars.
#
# Takes the words of each line, gives `Bar`s in written order with beats and places. A line's end
# closes its last bar. Repeats, endings and jumps are only marked here; whether they fit together is
# checked over the whole sheet. After a mistake reading goes on at the next word, so that one bad
# chord hides nothing else.

#: The opening of a bar that nothing special begins.
NO_MARK: Final = BarLine("|", 0)
#: The signs that stand at the end of a bar.
_AT_END: Final = ("to_coda", "fine", "jump")


@dataclass
class BarReader:
    """Collects the bars of a sheet line by line; private to the reader, it never travels.

    `opening`, `signs`: the bar line and the signs that wait for the next bar to begin. `floor`:
    bars before this one can no longer be closed or marked, because a section played again came
    after.
    """

    problems: list[Problem]
    bars: list[Bar] = field(default_factory=list)
    opening: BarLine = NO_MARK
    opening_position: SourcePosition = WHOLE_FILE
    signs: dict[str, SourcePosition] = field(default_factory=dict)
    last: SheetChord | None = None
    typed_counts: dict[int, SourcePosition] = field(default_factory=dict)
    floor: int = 0

    def add_line(self, items: list[Token | BarLine], line: int, meter: Meter) -> None:
        """Read one line's words on."""
        words: list[Token] = []
        previous: BarLine | None = None
        for item in items:
            if isinstance(item, Token):
                words.append(item)
                continue
            if words:
                self._add_bar(tuple(words), line, meter)
                words = []
            elif previous is not None and _bare(previous) and _bare(item):
                self.problems.append(
                    mistake("empty-bar", SourcePosition(line, previous.column), "|")
                )
            self._pass_line(item, SourcePosition(line, item.column))
            previous = item
        if words:
            self._add_bar(tuple(words), line, meter)

    def finish(self) -> None:
        """The end of the sheet: nothing may wait for a next bar."""
        if self.opening.open:
            self.problems.append(mistake("repeat-unclosed", self.opening_position, "|:"))
        elif self.opening is not NO_MARK:
            self.problems.append(mistake("empty-bar", self.opening_position, self.opening.text))
        for name, position in self.signs.items():
            self.problems.append(mistake("empty-bar", position, name.capitalize()))

    def _pass_line(self, bar_line: BarLine, position: SourcePosition) -> None:
        """What a bar line does to the bar before it and to the bar after it."""
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

    def _add_bar(self, words: tuple[Token, ...], line: int, meter: Meter) -> None:
        later_ending = bool(self.opening.endings) and 1 not in self.opening.endings
        last = None if later_ending else self.last
        draft = draft_bar(words, line, last, self.problems)
        position = SourcePosition(line, words[0].column)
        if not draft.is_bar:
            self._add_signs(draft, position)
            return
        if self.opening is not NO_MARK:
            position = self.opening_position
        signs = draft.signs.keys() | self.signs.keys()
        bar = Bar(
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
        self._check_pickup(draft)
        self.opening, self.signs = NO_MARK, {}
        if bar.chords:
            self.last = bar.chords[-1]
        elif bar.rest_bars or (bar.simile and later_ending):
            self.last = None
        self.bars.append(bar)
        if draft.simile == 2:
            second = replace(bar, number=bar.number + 1, repeat_open=False, endings=())
            self.bars.append(replace(second, segno=False, coda=False))
        self._end_signs(draft)

    def _next_number(self, pickup: bool) -> int:
        if not self.bars:
            return 0 if pickup else 1
        return self.bars[-1].number + 1

    def _add_signs(self, draft: Draft, position: SourcePosition) -> None:
        """Signs that stand alone: those of a bar's start wait, those of its end go back."""
        if "pickup" in draft.signs:
            draft.report("bar-of-signs", draft.signs["pickup"])
        self.signs |= {name: position for name in ("segno", "coda") if name in draft.signs}
        ends = [draft.signs[name] for name in _AT_END if name in draft.signs]
        if ends and len(self.bars) <= self.floor:
            draft.report("bar-of-signs", ends[0])
        else:
            self._end_signs(draft)

    def _end_signs(self, draft: Draft) -> None:
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

    def _check_pickup(self, draft: Draft) -> None:
        """A pickup has chords of its own and is the first bar of the tune."""
        word = draft.signs.get("pickup")
        if word is not None and (draft.simile or draft.rest_bars):
            draft.report("mixed-bar", word)
        if word is not None and self.bars:
            draft.report("pickup-late", word)

    def _chords(self, draft: Draft, meter: Meter) -> tuple[SheetChord, ...]:
        """The chords of a bar with their beats; whole bars when the words do not fit."""
        if not draft.entries or draft.simile or draft.rest_bars:
            return ()
        shares = [share for _, share in draft.entries]
        beats = None if draft.broken else beats_of(shares, meter, "pickup" in draft.signs)
        if beats is None:
            if not draft.broken:
                self.problems.append(_misfit(draft, shares, meter))
            beats = [Fraction(meter.beats, len(shares))] * len(shares)
        elif "pickup" in draft.signs and sum(beats) >= meter.beats:
            count = sum(beats)
            draft.report("pickup-full", draft.signs["pickup"], count=count, meter=meter)
        placed, start = [], ZERO
        for (chord, _), length in zip(draft.entries, beats, strict=True):
            placed.append(replace(chord, start=start, beats=length))
            start += length
        return tuple(placed)


def _bare(bar_line: BarLine) -> bool:
    said = bar_line.close or bar_line.open or bar_line.double or bar_line.endings
    return not said


def _misfit(draft: Draft, shares: list[Share], meter: Meter) -> Problem:
    """What is wrong with the beats of a bar, and how it may have been meant."""
    position = draft.entries[0][0].position
    texts = [chord.text for chord, _ in draft.entries]
    if even(shares):
        label = "too-many-chords" if len(shares) > meter.beats else "uneven-share"
        return mistake(
            label, position, " ".join(texts), _slashed(texts, meter),
            count=len(shares), beats=meter.beats, meter=meter,
        )  # fmt: skip
    expected = " or ".join(str(count) for count in tokens_a_bar(meter))
    count, fits = counted(shares), f"{expected}, counting every chord and slash"
    return mistake("beat-count", position, " ".join(texts), count=count, meter=meter, beats=fits)


def _slashed(texts: list[str], meter: Meter) -> str:
    """The chords with slashes after the first ones, so that they fill the bar."""
    spare = meter.beats - len(texts)
    if spare < 1 or len(texts) > 8:
        return ""
    each, more = divmod(spare, len(texts))
    return " ".join(text + " /" * (each + (1 if at < more else 0)) for at, text in enumerate(texts))
