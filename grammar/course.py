"""The course of a form: which bars are played, in which order, with repeats and jumps taken.

Conventions, as on paper and in the defaults of MusicXML 4.0 (element `sound`):

- D.C. and D.S. are taken once, on the first pass through them (where a repeat ends with one,
  after its last pass); `To Coda` only after a jump. A plain D.C. or D.S. still stops at a Fine and
  takes a To Coda.
- After a jump, repeats that were played are not played again: straight through, last ending
  (MusicXML `repeat`, attribute `after-jump`: "no" when absent). A repeat first met afterwards, as
  in a coda, is played.
- On the way to a Coda a Fine is passed over; after the Coda it ends the tune.

Everything is linear in the number of bars played, which `MAX_PLAYED` bounds.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

from .errors import Problem
from .mistakes import mistake
from .passages import Passage, Step
from .sheet import Bar, Jump

#: Longest form in bars played; 1,000 choruses of a 32-bar tune are 32,000.
MAX_PLAYED: Final = 50_000


@dataclass
class _Walk:
    """One walk through the form; private to `walk_form`."""

    bars: tuple[Bar, ...]
    steps: tuple[Step, ...]
    passages: tuple[Passage, ...]
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
                place = self.bars[self.steps[at].bar].place
                self.problems.append(mistake("too-long", place, most=MAX_PLAYED))
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
                self.problems.append(mistake("never-ends", bar.place, str(jump), sign=sign))
                return None
            return at + 1
        self.taken.add(at)
        self.jump, self.in_coda = jump, False
        return 0 if jump.to == "capo" else self._step_of_sign("segno")


def walk_form(
    bars: tuple[Bar, ...], steps: tuple[Step, ...], passages: tuple[Passage, ...]
) -> tuple[tuple[int, ...], tuple[Problem, ...]]:
    """The steps in played order, and what keeps the form from being played as written."""
    walk = _Walk(bars, steps, passages)
    walk.run()
    if not walk.problems:
        walk.problems += _never_played(bars, steps, set(walk.played))
    return tuple(walk.played), tuple(walk.problems)


def _never_played(
    bars: tuple[Bar, ...], steps: tuple[Step, ...], played: set[int]
) -> list[Problem]:
    """One problem for each run of bars that no way leads to."""
    problems: list[Problem] = []
    for at in range(len(steps)):
        if at not in played and (at == 0 or at - 1 in played):
            problems.append(mistake("never-played", bars[steps[at].bar].place))
    return problems
