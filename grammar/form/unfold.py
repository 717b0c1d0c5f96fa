"""The played order of a sheet: its repeats and jumps played, its `%` signs resolved.

Takes a `Sheet`, gives its `Form`; `unfold_bars` takes bars and sections before they are a sheet and
gives the problems too. Bars and chords are indices into `Sheet.bars` and `Sheet.chords`.

Conventions for jumps, as on paper and in the defaults of MusicXML 4.0 (element `sound`):

- D.C. and D.S. are taken once, on the first pass through them (where a repeat ends with one, after
  its last pass); To Coda only after a jump. A plain D.C. or D.S. still stops at a Fine and takes a
  To Coda.
- After a jump, repeats that were played are not played again: each bar once, with the last ending
  (MusicXML `repeat`, attribute `after-jump`: "no" when absent). A repeat first met afterwards, as
  in a coda, is played.
- After a jump `al Coda` a Fine before the Coda is ignored; one after it ends the tune.

Conventions for `%` and `%%` (common practice, no source): the bar before the first bar of a second
or later ending is the last bar before the endings. A sign with nothing written before it (right
after a recalled section), after a pickup, or across a change of meter is refused.

N.C. and rests are left out of `Form.transitions`, because the hand moves on while nothing sounds; a
sheet of silence alone has no transitions. Time and memory are linear in the number of bars played,
which `MAX_PLAYED` limits.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final

from ..errors import Problem, SheetError
from ..mistakes import mistake
from ..sheet import Bar, Jump, Section, Sheet
from .repeats import WrittenForm, find_repeats, section_bars

#: Longest form in bars played; 1,000 choruses of a 32-bar tune are 32,000.
MAX_PLAYED: Final = 50_000


@dataclass(frozen=True, slots=True)
class Form:
    """One chorus as it is played.

    `bars`: the written bars in played order (a multi-bar rest counts once). `sounding`: for each
    *written* bar the index of the bar whose chords sound in it (its own, or the one that a `%`
    repeats). `chords`: the written chords in played order, N.C. included; a `%` bar plays its
    chords again. `transitions`: how often chord i is followed by chord j, as (i, j, count), sorted;
    the loop from the last chord back to the first is counted, and a chord that follows itself.
    """

    bars: tuple[int, ...]
    sounding: tuple[int, ...]
    chords: tuple[int, ...]
    transitions: tuple[tuple[int, int, int], ...]


@dataclass(frozen=True, slots=True)
class UnfoldedBars:
    """Bars in played order, what sounds in them, and the problems by position.

    `written`: the form before repeats and jumps are played. `played`: the bars in played order,
    complete where there are no problems. `sounding`: as in `Form`.
    """

    written: WrittenForm
    played: tuple[int, ...]
    sounding: tuple[int, ...]
    problems: tuple[Problem, ...]


def unfold(sheet: Sheet) -> Form:
    """The form of a sheet, played once through. Raises SheetError when it cannot be played."""
    unfolded = unfold_bars(sheet.bars, sheet.sections)
    if unfolded.problems:
        raise SheetError(unfolded.problems)
    sounding = unfolded.sounding
    chords = tuple(chord for bar in unfolded.played for chord in sheet.chords_of(sounding[bar]))
    return Form(unfolded.played, sounding, chords, _transitions(sheet, chords))


def _transitions(sheet: Sheet, chords: tuple[int, ...]) -> tuple[tuple[int, int, int], ...]:
    """How often each chord that sounds is followed by each; the last goes on to the first."""
    written = sheet.chords
    sounding = [index for index in chords if written[index].chord is not None]
    pairs = Counter(zip(sounding, sounding[1:] + sounding[:1], strict=True))
    return tuple(sorted((here, there, count) for (here, there), count in pairs.items()))


def unfold_bars(bars: Sequence[Bar], sections: Sequence[Section]) -> UnfoldedBars:
    """The played order of bars, or everything that is wrong with their form; chords do not count.

    Repeats, endings, signs, jumps and similes are checked; what is never played is a problem too.
    """
    problems = _check_recalls(bars, sections)
    if problems:
        return UnfoldedBars(WrittenForm((), (), ()), (), (), tuple(problems))
    written = find_repeats(bars, sections)
    sounding, problems = _resolve_similes(bars, sections)
    problems += [*written.problems, *_check_signs(bars), *_check_jumps(bars, written)]
    played: list[int] = []
    if not problems:
        played, problems = _play(bars, written)
    return UnfoldedBars(
        written,
        tuple(written.steps[at].bar for at in played),
        tuple(sounding),
        tuple(sorted(problems, key=lambda problem: problem.position)),
    )


def sounding_bars(sheet: Sheet) -> tuple[int, ...]:
    """For each written bar the index of the bar whose chords sound in it."""
    return tuple(_resolve_similes(sheet.bars, sheet.sections)[0])


def _resolve_similes(
    bars: Sequence[Bar], sections: Sequence[Section]
) -> tuple[list[int], list[Problem]]:
    """For each bar the index of the bar whose chords sound in it, and the problems of `%` signs.

    A bar whose sign is refused sounds itself.
    """
    before = _bars_before(bars, sections)
    sounding: list[int] = []
    problems: list[Problem] = []
    for at, bar in enumerate(bars):
        source = before[at]
        if bar.simile == 2 and source is not None:
            source = before[source]
        if not bar.simile:
            sounding.append(at)
        elif source is None or bars[source].pickup:
            sounding.append(at)
            problems.append(mistake("simile-nothing", bar.position, "%" * bar.simile))
        elif bars[source].meter != bar.meter:
            sounding.append(at)
            problems.append(
                mistake(
                    "simile-meter", bar.position, "%" * bar.simile,
                    other=bars[source].meter, meter=bar.meter,
                )
            )  # fmt: skip
        else:
            sounding.append(sounding[source])
    return sounding, problems


def _bars_before(bars: Sequence[Bar], sections: Sequence[Section]) -> list[int | None]:
    """For each bar the bar that is played before it the first time, None where none is written."""
    cut = {section.first for earlier, section in pairwise(sections) if earlier.recalls is not None}
    before: list[int | None] = []
    endings_from: int | None = None
    for at, bar in enumerate(bars):
        previous = None if at == 0 or at in cut else at - 1
        if bar.repeat_open:
            endings_from = None
        if bar.endings:
            if endings_from is not None and bars[at - 1].repeat_close:
                previous = before[endings_from]
            else:
                endings_from = at
        before.append(previous)
    return before


def _check_recalls(bars: Sequence[Bar], sections: Sequence[Section]) -> list[Problem]:
    problems: list[Problem] = []
    for index, section in enumerate(sections):
        if section.recalls is None:
            continue
        recalled = [bars[at] for at in section_bars(sections, index)]
        if any(bar.jump is not None for bar in recalled):
            problems.append(mistake("recall-jump", section.position, section.label))
        if not _whole_repeats(recalled):
            problems.append(mistake("recall-broken-repeat", section.position, section.label))
    return problems


def _whole_repeats(bars: Sequence[Bar]) -> bool:
    """Whether every repeat that these bars touch begins and ends among them."""
    opened = with_endings = False
    for bar in bars:
        if bar.repeat_open:
            opened, with_endings = True, False
        if bar.endings:
            with_endings = True
        if (bar.repeat_close or bar.endings) and not opened:
            return False
        if bar.repeat_close and not with_endings:
            opened = False
    return not opened or with_endings


def _check_signs(bars: Sequence[Bar]) -> list[Problem]:
    problems: list[Problem] = []
    for sign in ("segno", "coda"):
        for bar in [bar for bar in bars if getattr(bar, sign)][1:]:
            name = sign.capitalize()
            problems.append(mistake("sign-twice", bar.position, sign=name))
    jumps = [bar.jump for bar in bars if bar.jump is not None]
    has = Counter(
        name for bar in bars for name in ("segno", "coda", "to_coda", "fine") if getattr(bar, name)
    )
    to_coda_is_named = any(jump.until == "coda" for jump in jumps)
    for bar in bars:
        if bar.to_coda and not has["coda"] and not to_coda_is_named:
            problems.append(mistake("coda-missing", bar.position, "To Coda"))
        elif bar.to_coda and has["coda"] and not jumps:
            problems.append(mistake("to-coda-idle", bar.position, "To Coda"))
        if bar.jump is None:
            continue
        text = str(bar.jump)
        if bar.jump.to == "segno" and not has["segno"]:
            problems.append(mistake("segno-missing", bar.position, text))
        if bar.jump.until == "fine" and not has["fine"]:
            problems.append(mistake("fine-missing", bar.position, text))
        if bar.jump.until == "coda" and not has["coda"]:
            problems.append(mistake("coda-missing", bar.position, text))
        elif bar.jump.until == "coda" and not has["to_coda"]:
            problems.append(mistake("to-coda-missing", bar.position, text))
    return problems


def _check_jumps(bars: Sequence[Bar], written: WrittenForm) -> list[Problem]:
    """The jumps inside a repeat, which would leave it before its last pass."""
    problems: list[Problem] = []
    for repeat in written.repeats:
        last = repeat.endings[-1].first if repeat.endings else repeat.stop - 1
        for step in written.steps[repeat.start : last]:
            jump = bars[step.bar].jump
            if jump is not None and not step.recalled:
                position = bars[step.bar].position
                problems.append(mistake("jump-in-repeat", position, str(jump)))
    return problems


@dataclass
class _Walk:
    """The playing of a form, step by step; steps are indices into `written.steps`.

    `played`: the steps so far. `taken`: the steps whose jump was taken. `jump`: the last of them.
    `passes`: the pass that each repeat is in. `inside`: for each step its repeat, −1 for none.
    """

    bars: Sequence[Bar]
    written: WrittenForm
    problems: list[Problem] = field(default_factory=list)
    played: list[int] = field(default_factory=list)
    taken: set[int] = field(default_factory=set)
    jump: Jump | None = None
    in_coda: bool = False

    def __post_init__(self) -> None:
        self.steps = self.written.steps
        self.passes = [1] * len(self.written.repeats)
        self.inside = [-1] * len(self.steps)
        for index, repeat in enumerate(self.written.repeats):
            for at in range(repeat.start, repeat.stop):
                self.inside[at] = index

    def run(self) -> None:
        at = 0
        while at < len(self.steps):
            chosen = self._ending_for(at)
            if chosen != at:
                at = chosen
                continue
            if len(self.played) == MAX_PLAYED:
                position = self.bars[self.steps[at].bar].position
                self.problems.append(mistake("too-long", position, most=MAX_PLAYED))
                return
            self.played.append(at)
            following = self._after(at)
            if following is None:
                return
            at = following

    def _ending_for(self, at: int) -> int:
        """The step itself; where an ending begins, the first step of the ending for this pass."""
        index = self.inside[at]
        if index < 0:
            return at
        repeat = self.written.repeats[index]
        if not any(ending.first == at for ending in repeat.endings):
            return at
        now = self.passes[index]
        return next((e.first for e in repeat.endings if now in e.passes), repeat.stop)

    def _after(self, at: int) -> int | None:
        """The step after this one, None where the tune ends."""
        bar = self.bars[self.steps[at].bar]
        if bar.fine and self._stops_at_fine():
            return None
        if bar.to_coda and self._leaves_for_coda():
            self.in_coda = True
            return self._step_of_sign("coda")
        index = self.inside[at]
        if index >= 0 and bar.repeat_close:
            repeat = self.written.repeats[index]
            if self.passes[index] < repeat.times:
                self.passes[index] += 1
                return repeat.start
        if bar.jump is not None and not self.steps[at].recalled:
            return self._jump(at, bar, bar.jump)
        return at + 1

    def _stops_at_fine(self) -> bool:
        return self.jump is not None and (self.jump.until != "coda" or self.in_coda)

    def _leaves_for_coda(self) -> bool:
        return self.jump is not None and self.jump.until != "fine" and not self.in_coda

    def _step_of_sign(self, sign: str) -> int | None:
        found = (at for at, step in enumerate(self.steps) if getattr(self.bars[step.bar], sign))
        return next(found, None)

    def _jump(self, at: int, bar: Bar, jump: Jump) -> int | None:
        if at in self.taken:
            if self.jump is not None and (self.jump.until != "end" or self.in_coda):
                sign = "To Coda" if self.jump.until == "coda" else "Fine"
                sign = "the Coda below this" if self.in_coda else sign
                self.problems.append(mistake("never-ends", bar.position, str(jump), sign=sign))
                return None
            return at + 1
        self.taken.add(at)
        self.jump, self.in_coda = jump, False
        return 0 if jump.to == "capo" else self._step_of_sign("segno")


def _play(bars: Sequence[Bar], written: WrittenForm) -> tuple[list[int], list[Problem]]:
    """The steps in played order, and the problems that prevent playing the form as written."""
    walk = _Walk(bars, written)
    walk.run()
    problems = walk.problems or _never_played(bars, written, set(walk.played))
    return walk.played, problems


def _never_played(bars: Sequence[Bar], written: WrittenForm, played: set[int]) -> list[Problem]:
    """One problem for each run of bars that is never reached."""
    problems: list[Problem] = []
    for at, step in enumerate(written.steps):
        if at not in played and (at == 0 or at - 1 in played):
            problems.append(mistake("never-played", bars[step.bar].position))
    return problems
