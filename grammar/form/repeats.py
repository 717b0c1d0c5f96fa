"""Repeats and endings: which bars a sheet plays more than once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from ..errors import Problem, SourcePosition
from ..mistakes import mistake
from ..sheet import Bar, Section

# The endings of a repeat: whether each pass has one, in the order of the passes.
#
# Takes the bars in which the endings of one repeat begin, as they are written, gives the problems.


def ending_text(passes: tuple[int, ...]) -> str:
    """An ending as it is typed: `|1,2.`."""
    return f"|{','.join(str(number) for number in passes)}."


def check_endings(heads: Sequence[Bar], closed: bool) -> list[Problem]:
    """Each pass has one ending, in order, and the last one goes on (it is not `closed` by `:|`)."""
    problems: list[Problem] = []
    taken: set[int] = set()
    wanted = 1
    for head in heads:
        found = min(head.endings)
        while wanted in taken:
            wanted += 1
        if taken & set(head.endings):
            text = ending_text(head.endings)
            problems.append(mistake("ending-unreachable", head.position, text))
        elif found != wanted:
            problems.append(_out_of_order(head, wanted))
        taken |= set(head.endings)
    return problems or _check_last(heads[-1], taken, closed)


def _check_last(head: Bar, taken: set[int], closed: bool) -> list[Problem]:
    missing = sorted(set(range(1, max(taken) + 1)) - taken)
    if closed or missing:
        wanted = missing[0] if missing else max(taken) + 1
        text = ending_text(head.endings)
        return [mistake("ending-missing", head.position, text, wanted=wanted)]
    return [] if max(taken) in head.endings else [_out_of_order(head, max(taken))]


def _out_of_order(head: Bar, wanted: int) -> Problem:
    text, found = ending_text(head.endings), min(head.endings)
    return mistake("ending-order", head.position, text, found=found, wanted=wanted)


# Repeats and endings: which passages a sheet plays more than once.
#
# Takes bars and sections, gives the steps of the form (sections played again by name spelled out)
# and the passages among them. `:|` without `|:` goes back to the start of the tune (a pickup is not
# played again), or to the bar after the repeat before it, as on paper. A repeat inside a repeat is
# refused.

#: How often a passage may be written to be played.
MAX_TIMES: Final = 100


@dataclass(frozen=True, slots=True)
class FormStep:
    """One bar of the form before repeats are played; `starts` where its section begins."""

    bar: int
    starts: bool
    recalled: bool = False


@dataclass(frozen=True, slots=True)
class Ending:
    """An ending: the passes it is played for, its steps from `first` to before `stop`."""

    passes: tuple[int, ...]
    first: int
    stop: int


@dataclass(frozen=True, slots=True)
class Repeat:
    """A repeated passage: its body from `start` to before `body_stop`, endings, passes in all."""

    start: int
    body_stop: int
    endings: tuple[Ending, ...]
    times: int

    @property
    def stop(self) -> int:
        """The step after its last one."""
        return self.endings[-1].stop if self.endings else self.body_stop


def form_steps(sections: tuple[Section, ...]) -> tuple[FormStep, ...]:
    """Every bar of the form in order, with recalled sections spelled out, repeats not yet."""
    steps: list[FormStep] = []
    for section in sections:
        if section.recalls is None:
            indices = range(section.first, section.first + section.count)
            steps += [FormStep(at, at == section.first) for at in indices]
        else:
            first, count = recalled_bars(sections, section.recalls)
            steps += [FormStep(at, at == first, True) for at in range(first, first + count)]
    return tuple(steps)


def recalled_bars(sections: tuple[Section, ...], index: int) -> tuple[int, int]:
    """First bar and number of bars that a section's name stands for.

    Sections without a label that follow it (a key stated on the way) belong to it.
    """
    first, count = sections[index].first, sections[index].count
    for section in sections[index + 1 :]:
        if section.label or section.recalls is not None:
            break
        count += section.count
    return first, count


@dataclass
class _Open:
    """A passage that is being scanned; `broken` once it is known to be wrong."""

    start: int
    explicit: bool = True
    broken: bool = False
    endings: list[Ending] = field(default_factory=list)
    ending_open: bool = False


@dataclass
class _Scan:
    """The scan over the steps; collects passages and problems."""

    bars: tuple[Bar, ...]
    steps: tuple[FormStep, ...]
    problems: list[Problem] = field(default_factory=list)
    passages: list[Repeat] = field(default_factory=list)
    current: _Open | None = None
    free_from: int = 0

    def run(self) -> None:
        self.free_from = 1 if self.bars and self.bars[0].pickup else 0
        for at, step in enumerate(self.steps):
            bar = self.bars[step.bar]
            self._arrive(at, step, bar)
            if bar.endings:
                self._begin_ending(at, bar)
            if bar.repeat_close:
                self._close(at, bar)
            elif (bar.double_bar or bar.ending_close) and self._in_ending():
                self._finish(at + 1)
        if self.current is not None:
            self._finish(len(self.steps))

    def _in_ending(self) -> bool:
        return self.current is not None and self.current.ending_open

    def _arrive(self, at: int, step: FormStep, bar: Bar) -> None:
        """What a step's beginning ends: a last ending, or the wait for a next one."""
        current = self.current
        ends = step.starts or bar.repeat_open
        if (
            current is not None
            and current.endings
            and not bar.endings
            and (ends or not current.ending_open)
        ):
            self._finish(at)
            current = None
        if bar.repeat_open:
            if current is not None:
                self.problems.append(mistake("repeat-nested", bar.position, "|:"))
            self.current = _Open(at)

    def _begin_ending(self, at: int, bar: Bar) -> None:
        if self.current is None:
            self.current = _Open(min(self.free_from, at), explicit=False)
        current = self.current
        if current.ending_open:
            self._report_unclosed(bar, current)
            self._end_ending(at)
        current.endings.append(Ending(bar.endings, at, at + 1))
        current.ending_open = True

    def _report_unclosed(self, bar: Bar, current: _Open) -> None:
        """An ending follows one that has no `:|`, in a repeat or where there is none."""
        if not current.broken and current.explicit:
            self.problems.append(mistake("ending-unclosed", bar.position, ending_text(bar.endings)))
        elif not current.broken:
            self._report_no_repeat(current)
        current.broken = True

    def _report_no_repeat(self, current: _Open) -> None:
        first = self.bars[self.steps[current.endings[0].first].bar]
        text = ending_text(first.endings)
        self.problems.append(mistake("ending-without-repeat", first.position, text))

    def _end_ending(self, stop: int) -> None:
        assert self.current is not None
        last = self.current.endings[-1]
        self.current.endings[-1] = replace(last, stop=stop)
        self.current.ending_open = False

    def _close(self, at: int, bar: Bar) -> None:
        if self.current is None:
            self.current = _Open(min(self.free_from, at), explicit=False)
        if self.current.endings:
            self._end_ending(at + 1)
            return
        self._add(Repeat(self.current.start, at + 1, (), bar.repeat_close))

    def _finish(self, stop: int) -> None:
        """The passage ends here, without `:|` at this place."""
        current = self.current
        assert current is not None
        opening = self.bars[self.steps[current.start].bar]
        if not current.endings:
            self.problems.append(mistake("repeat-unclosed", opening.position, "|:"))
            self.current = None
            return
        closed = not current.ending_open
        if current.ending_open:
            self._end_ending(stop)
        if not closed and len(current.endings) == 1:
            self._report_no_repeat(current)
        elif not current.broken:
            heads = [self.bars[self.steps[ending.first].bar] for ending in current.endings]
            self.problems += check_endings(heads, closed)
        times = max(number for ending in current.endings for number in ending.passes)
        self._add(Repeat(current.start, current.endings[0].first, tuple(current.endings), times))

    def _add(self, passage: Repeat) -> None:
        self.passages.append(passage)
        self.current = None
        self.free_from = passage.stop


def find_repeats(
    bars: tuple[Bar, ...], sections: tuple[Section, ...]
) -> tuple[tuple[FormStep, ...], tuple[Repeat, ...], tuple[Problem, ...]]:
    """The steps of a form, its repeated passages in order, and what is wrong with them."""
    steps = form_steps(sections)
    scan = _Scan(bars, steps)
    scan.run()
    return steps, tuple(scan.passages), tuple(scan.problems)


def settled_bars(
    bars: tuple[Bar, ...], steps: tuple[FormStep, ...], passages: tuple[Repeat, ...]
) -> tuple[Bar, ...]:
    """The bars with `repeat_close` as often as their endings say, and `ending_close` set."""
    settled = list(bars)
    for passage in passages:
        for ending in passage.endings:
            index = steps[ending.stop - 1].bar
            bar = replace(settled[index], ending_close=True)
            if bar.repeat_close:
                bar = replace(bar, repeat_close=passage.times)
            settled[index] = bar
    return tuple(settled)


def check_counts(
    bars: tuple[Bar, ...],
    steps: tuple[FormStep, ...],
    passages: tuple[Repeat, ...],
    typed: dict[int, SourcePosition],
) -> list[Problem]:
    """A number beside `:|` must agree with the endings; `typed` tells at which bars one stands."""
    problems: list[Problem] = []
    for passage in passages:
        for ending in passage.endings:
            index = steps[ending.stop - 1].bar
            count = bars[index].repeat_close
            if index in typed and count != passage.times:
                text = f":|{count}x"
                fields: dict[str, object] = {"count": count, "passes": passage.times}
                problems.append(mistake("count-with-endings", typed[index], text, "", **fields))
    return problems
