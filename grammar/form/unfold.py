"""The played order of a form: similes, repeats and jumps taken, and what follows what."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final

from ..errors import Problem, SheetError
from ..mistakes import mistake
from ..sheet import Bar, Jump, Section, Sheet
from .repeats import FormStep, Repeat, find_repeats, recalled_bars

# Bars that repeat the bar before (`%`) or the two before (`%%`): whose chords sound in them.
#
# The bar before the first bar of a second or later ending is the one that is heard before it: the
# last bar before the endings. A sign right after a section that is only named has nothing written
# before it and is refused, as is one after a pickup or across a change of meter.


def check_similes(
    bars: tuple[Bar, ...], sections: tuple[Section, ...]
) -> tuple[tuple[int, ...], tuple[Problem, ...]]:
    """For each bar the index of the bar whose chords sound in it, and the signs that make no sense.

    A bar whose sign makes no sense sounds itself.
    """
    before = bars_before(bars, sections)
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
    return tuple(sounding), tuple(problems)


def bars_before(bars: tuple[Bar, ...], sections: tuple[Section, ...]) -> list[int | None]:
    """For each bar the bar that is heard before it at first, None where none is written."""
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


# The course of a form: which bars are played, in which order, with repeats and jumps taken.
#
# Conventions, as on paper and in the defaults of MusicXML 4.0 (element `sound`):
#
# - D.C. and D.S. are taken once, on the first pass through them (where a repeat ends with one,
#   after its last pass); `To Coda` only after a jump. A plain D.C. or D.S. still stops at a Fine
#   and takes a To Coda.
# - After a jump, repeats that were played are not played again: straight through, last ending
#   (MusicXML `repeat`, attribute `after-jump`: "no" when absent). A repeat first met afterwards, as
#   in a coda, is played.
# - On the way to a Coda a Fine is passed over; after the Coda it ends the tune.
#
# Everything is linear in the number of bars played, which `MAX_PLAYED` bounds.

#: Longest form in bars played; 1,000 choruses of a 32-bar tune are 32,000.
MAX_PLAYED: Final = 50_000


@dataclass
class _Walk:
    """One walk through the form; private to `walk_form`."""

    bars: tuple[Bar, ...]
    steps: tuple[FormStep, ...]
    passages: tuple[Repeat, ...]
    problems: list[Problem] = field(default_factory=list)
    played: list[int] = field(default_factory=list)
    taken: set[int] = field(default_factory=set)
    jump: Jump | None = None
    in_coda: bool = False

    def __post_init__(self) -> None:
        self.passes = [1] * len(self.passages)
        self.inside = [-1] * len(self.steps)
        for index, passage in enumerate(self.passages):
            for at in range(passage.start, passage.stop):
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
        """At the place where endings begin: the first step of the ending for this pass."""
        index = self.inside[at]
        if index < 0:
            return at
        passage = self.passages[index]
        if not any(ending.first == at for ending in passage.endings):
            return at
        now = self.passes[index]
        return next((e.first for e in passage.endings if now in e.passes), passage.stop)

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
            passage = self.passages[index]
            if self.passes[index] < passage.times:
                self.passes[index] += 1
                return passage.start
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


def walk_form(
    bars: tuple[Bar, ...], steps: tuple[FormStep, ...], passages: tuple[Repeat, ...]
) -> tuple[tuple[int, ...], tuple[Problem, ...]]:
    """The steps in played order, and what keeps the form from being played as written."""
    walk = _Walk(bars, steps, passages)
    walk.run()
    if not walk.problems:
        walk.problems += _never_played(bars, steps, set(walk.played))
    return tuple(walk.played), tuple(walk.problems)


def _never_played(
    bars: tuple[Bar, ...], steps: tuple[FormStep, ...], played: set[int]
) -> list[Problem]:
    """One problem for each run of bars that no way leads to."""
    problems: list[Problem] = []
    for at in range(len(steps)):
        if at not in played and (at == 0 or at - 1 in played):
            problems.append(mistake("never-played", bars[steps[at].bar].position))
    return problems


# Whether the bars of a sheet make a form that can be played.
#
# Takes the bars and sections of a sheet, whoever read them, and gives the problems in order, or the
# played order. Chords are not looked at.


def check_structure(bars: tuple[Bar, ...], sections: tuple[Section, ...]) -> tuple[Problem, ...]:
    """Everything that is wrong with repeats, endings, signs, jumps and similes, by position."""
    return _played(bars, sections)[1]


def played_bars(bars: tuple[Bar, ...], sections: tuple[Section, ...]) -> tuple[int, ...]:
    """The indices of the bars in played order. Raises SheetError when they make no form."""
    played, problems = _played(bars, sections)
    if problems:
        raise SheetError(problems)
    return played


def _played(
    bars: tuple[Bar, ...], sections: tuple[Section, ...]
) -> tuple[tuple[int, ...], tuple[Problem, ...]]:
    problems = _check_recalls(bars, sections)
    if problems:
        return (), tuple(problems)
    steps, passages, found = find_repeats(bars, sections)
    problems += check_similes(bars, sections)[1]
    problems += found
    problems += _check_signs(bars)
    problems += _check_jumps(bars, steps, passages)
    played: tuple[int, ...] = ()
    if not problems:
        played, found = walk_form(bars, steps, passages)
        problems += found
    in_order = sorted(problems, key=lambda problem: problem.position)
    return tuple(steps[at].bar for at in played), tuple(in_order)


def _check_recalls(bars: tuple[Bar, ...], sections: tuple[Section, ...]) -> list[Problem]:
    problems: list[Problem] = []
    for section in sections:
        if section.recalls is None:
            continue
        first, count = recalled_bars(sections, section.recalls)
        recalled = bars[first : first + count]
        if any(bar.jump is not None for bar in recalled):
            problems.append(mistake("recall-jump", section.position, section.label))
        if not _whole_repeats(recalled):
            problems.append(mistake("recall-broken-repeat", section.position, section.label))
    return problems


def _whole_repeats(bars: tuple[Bar, ...]) -> bool:
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


def _check_signs(bars: tuple[Bar, ...]) -> list[Problem]:
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


def _check_jumps(
    bars: tuple[Bar, ...], steps: tuple[FormStep, ...], passages: tuple[Repeat, ...]
) -> list[Problem]:
    """A jump inside a repeat would leave it before its last pass."""
    problems: list[Problem] = []
    for passage in passages:
        last = passage.endings[-1].first if passage.endings else passage.stop - 1
        for step in steps[passage.start : last]:
            jump = bars[step.bar].jump
            if jump is not None and not step.recalled:
                position = bars[step.bar].position
                problems.append(mistake("jump-in-repeat", position, str(jump)))
    return problems


# The played order of a form: which written bars are played, in which order, what follows what.
#
# Takes a `Sheet`, gives a `Form`. Bars and chords are indices into `Sheet.bars` and `Sheet.chords`.
# The conventions for repeats, endings and jumps stand in `midneck.grammar.course`.
#
# Silence: N.C. and rests are passed over in `transitions`, because the hand moves on while nothing
# sounds; an index of N.C. is in `chords` but never in `transitions`. A sheet of silence alone has
# no transitions.


@dataclass(frozen=True, slots=True)
class Form:
    """One chorus as it is played.

    `bars`: the written bars in played order (a multi-bar rest counts once). `sounding`: for each
    *written* bar the index of the bar whose chords sound in it (its own, or the one a `%`
    repeats). `chords`: the written chords in played order, N.C. included; a `%` bar plays its
    chord again. `transitions`: how often chord i is followed by chord j, as (i, j, count),
    sorted, the loop from the last back to the first included; a chord's following itself is kept
    too.
    """

    bars: tuple[int, ...]
    sounding: tuple[int, ...]
    chords: tuple[int, ...]
    transitions: tuple[tuple[int, int, int], ...]


def unfold(sheet: Sheet) -> Form:
    """The form of a sheet, played once through. Raises SheetError when its bars make no form."""
    bars = played_bars(sheet.bars, sheet.sections)
    sounding, _ = check_similes(sheet.bars, sheet.sections)
    chords = tuple(chord for bar in bars for chord in sheet.chords_of(sounding[bar]))
    return Form(bars, sounding, chords, _transitions(sheet, chords))


def _transitions(sheet: Sheet, chords: tuple[int, ...]) -> tuple[tuple[int, int, int], ...]:
    """What follows what among the chords that sound, the last one going on to the first."""
    written = sheet.chords
    sounding = [index for index in chords if written[index].chord is not None]
    pairs = Counter(zip(sounding, sounding[1:] + sounding[:1], strict=True))
    return tuple(sorted((here, there, count) for (here, there), count in pairs.items()))
