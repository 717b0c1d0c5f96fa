"""The walk through a written form: repeats, endings and jumps played step by step.

Takes bars and their `WrittenForm`; gives the steps in played order, or the problem of a form that
never ends, is too long, or has bars that are never played. Steps are indices into
`WrittenForm.steps`.

Conventions for jumps, as on paper and in the defaults of MusicXML 4.0 (element `sound`):

- D.C. and D.S. are taken once, on the first pass through them (where a repeat ends with one, after
  its last pass); To Coda only after a jump. A plain D.C. or D.S. still stops at a Fine and takes a
  To Coda.
- After a jump, repeats that were played are not played again: each bar once, with the last ending
  (MusicXML `repeat`, attribute `after-jump`: "no" when absent). A repeat first met afterwards, as
  in a coda, is played.
- After a jump `al Coda` a Fine before the Coda is ignored; one after it ends the tune.

To Coda without a D.C. or D.S. is taken in the last chorus: the bar before the Coda then goes back
to the start of the chorus.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field, replace
from typing import Final

from ..errors import Problem
from ..frozen import mutable
from ..limits import MAX_BEATS, MAX_CHORDS, MAX_PLAYED
from ..mistakes import mistake
from ..sheet import Bar, Jump
from .repeats import FormStep, WrittenForm
from .rounds import CodaWay

#: The jump that is meant where To Coda and a Coda stand without one.
_TO_CODA: Final = Jump("capo", "coda")


@mutable
class Walk:
    """The playing of a form, step by step.

    `chords`: how many sound in each bar. `opening`: the steps that are played once first. `played`:
    the steps so far. `taken`: the steps whose jump was taken. `jump`: the last of them. `way`: its
    places in `played`. `passes`: the pass that each repeat is in. `inside`: for each step its
    repeat, −1 for none. `before_coda`: the step that goes back to the chorus before the Coda where
    no D.C. or D.S. does; `last_to_coda` is then the step that leaves for the Coda.
    """

    bars: Sequence[Bar]
    written: WrittenForm
    chords: Sequence[int]
    opening: int = 0
    problems: list[Problem] = field(default_factory=list)
    played: list[int] = field(default_factory=list)
    taken: set[int] = field(default_factory=set)
    jump: Jump | None = None
    in_coda: bool = False
    way: CodaWay | None = None
    steps: tuple[FormStep, ...] = field(init=False)
    before_coda: int = field(init=False)
    last_to_coda: int = field(init=False)
    passes: list[int] = field(init=False)
    inside: list[int] = field(init=False)

    def __post_init__(self) -> None:
        self.steps = self.written.steps
        self.before_coda, self.last_to_coda = self._implied_way()
        self.passes = [1] * len(self.written.repeats)
        self.inside = [-1] * len(self.steps)
        for index, repeat in enumerate(self.written.repeats):
            for at in range(repeat.start, repeat.stop):
                self.inside[at] = index

    def _implied_way(self) -> tuple[int, int]:
        """The steps `before_coda` and `last_to_coda`, −1 where a jump is written or none needed."""
        written = [self.bars[step.bar] for step in self.steps]
        codas = [at for at, bar in enumerate(written) if bar.coda]
        leaving = (
            [at for at, bar in enumerate(written) if bar.to_coda and at < codas[0]] if codas else []
        )
        if not leaving or any(bar.jump is not None for bar in written):
            return -1, -1
        return codas[0] - 1, leaving[-1]

    def run(self) -> None:
        """Play to the end, or to the first problem."""
        at = bars = chords = beats = 0
        while at < len(self.steps):
            chosen = self._ending_for(at)
            if chosen != at:
                at = chosen
                continue
            bar = self.bars[self.steps[at].bar]
            bars += bar.bar_count
            chords += self.chords[self.steps[at].bar]
            if bars > MAX_PLAYED:
                self.problems.append(mistake("too-long", bar.position, most=MAX_PLAYED))
                return
            if chords > MAX_CHORDS:
                self.problems.append(mistake("played-chords", bar.position, most=MAX_CHORDS))
                return
            beats += bar.meter.beats * bar.bar_count
            if beats > MAX_BEATS:
                self.problems.append(mistake("played-beats", bar.position, most=MAX_BEATS))
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
        if bar.to_coda and self._leaves_for_coda(at):
            self.in_coda = True
            if self.way is not None:
                self.way = replace(self.way, left=at)
            return self._step_of_sign("coda")
        index = self.inside[at]
        if index >= 0 and bar.repeat_close:
            repeat = self.written.repeats[index]
            if self.passes[index] < repeat.times:
                self.passes[index] += 1
                return repeat.start
        if at == self.before_coda and at not in self.taken:
            self.jump = _TO_CODA
            return self._jump_to(at, self.opening)
        if bar.jump is not None and not self.steps[at].recalled:
            return self._jump(at, bar, bar.jump)
        return at + 1

    def _stops_at_fine(self) -> bool:
        return self.jump is not None and (self.jump.until != "coda" or self.in_coda)

    def _leaves_for_coda(self, at: int) -> bool:
        if self.jump is None or self.jump.until == "fine" or self.in_coda:
            return False
        return self.before_coda < 0 or at == self.last_to_coda

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
        self.jump, self.in_coda = jump, False
        return self._jump_to(at, 0 if jump.to == "capo" else self._step_of_sign("segno"))

    def _jump_to(self, at: int, target: int | None) -> int | None:
        self.taken.add(at)
        only = len(self.taken) == 1 and target is not None
        self.way = CodaWay(len(self.played) - 1, target or 0) if only else None
        return target


def never_played(bars: Sequence[Bar], written: WrittenForm, played: set[int]) -> list[Problem]:
    """One problem for each run of bars that is never reached."""
    problems: list[Problem] = []
    for at, step in enumerate(written.steps):
        if at not in played and (at == 0 or at - 1 in played):
            problems.append(mistake("never-played", bars[step.bar].position))
    return problems
