"""The repeats and endings of a sheet: which of its bars are played more than once.

Takes the bars and sections of a sheet; gives its form as written (`WrittenForm`): the bars in order
with recalled sections in their places (`FormStep`), the repeats among them, and the problems. Bars
are indices into `Sheet.bars`, steps indices into `WrittenForm.steps`; `stop` is the index after the
last one. A problem is at the position of the bar that it concerns.

Conventions (common practice, no source): `:|` without `|:` goes back to the start of the tune (a
pickup or an intro is not played again), or to the bar after the repeat before it. Endings are
numbered by the passes that they are played for, in order; the last one is not closed by `:|`. A
repeat inside a repeat is refused.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import field, replace
from typing import Final

from ..errors import Problem, SourcePosition
from ..frozen import frozen, mutable
from ..mistakes import mistake
from ..sheet import Bar, Section


@frozen
class FormStep:
    """One bar of the written form, and the `section` (an index) that it is played in.

    `starts`: its section begins with it. `recalled`: the section plays an earlier one again.
    """

    bar: int
    section: int
    starts: bool
    recalled: bool = False


@frozen
class Ending:
    """An ending: the passes it is played for, its steps from `first` to before `stop`."""

    passes: tuple[int, ...]
    first: int
    stop: int


@frozen
class Repeat:
    """A repeat: its body from step `start` to before `body_stop`, its endings, passes in all."""

    start: int
    body_stop: int
    endings: tuple[Ending, ...]
    times: int

    @property
    def stop(self) -> int:
        """The step after its last one."""
        return self.endings[-1].stop if self.endings else self.body_stop


@frozen
class WrittenForm:
    """The form before repeats and jumps are played; `repeats` are in order and do not overlap."""

    steps: tuple[FormStep, ...]
    repeats: tuple[Repeat, ...]
    problems: tuple[Problem, ...]


def form_steps(sections: Sequence[Section]) -> tuple[FormStep, ...]:
    """Every bar of the written form in order, with recalled sections in their places."""
    steps: list[FormStep] = []
    for index, section in enumerate(sections):
        bars = section_bars(sections, index)
        recalled = section.recalls is not None
        steps += [FormStep(bar, index, bar == bars.start, recalled) for bar in bars]
    return tuple(steps)


def section_bars(sections: Sequence[Section], index: int) -> range:
    """The bars that a section plays: its own, or those of the section that it recalls.

    A recalled section includes the sections without a label that follow it (a key is stated there).
    """
    section = sections[index]
    if section.recalls is None:
        return range(section.first, section.first + section.count)
    first, count = sections[section.recalls].first, sections[section.recalls].count
    for following in sections[section.recalls + 1 :]:
        if following.label or following.recalls is not None:
            break
        count += following.count
    return range(first, first + count)


#: Labels of what is played once before the first chorus (common practice, no source).
OPENING_LABELS: Final = frozenset({"intro", "introduction", "lead in", "vamp"})


def plain_label(label: str) -> str:
    """A label in small letters without its number: `Tag 2` is `tag`."""
    return " ".join(re.findall(r"[^\W\d]+", label.lower()))


def labelled_opening(bars: Sequence[Bar], sections: Sequence[Section]) -> int:
    """The number of steps of the sections at the start that are labelled as an intro.

    A pickup before them, and sections without a label behind them (a key is stated there), belong
    to them.
    """
    count = opening = 0
    for index, section in enumerate(sections):
        within = section_bars(sections, index)
        count += len(within)
        named = plain_label(section.label)
        if named in OPENING_LABELS or (not named and opening):
            opening = count
        elif named or any(not bars[bar].pickup for bar in within):
            break
    whole = sum(len(section_bars(sections, index)) for index in range(len(sections)))
    return opening if opening < whole else 0


def find_repeats(bars: Sequence[Bar], sections: Sequence[Section]) -> WrittenForm:
    """The written form of a sheet."""
    steps = form_steps(sections)
    scan = _Scan(bars, steps, labelled_opening(bars, sections))
    scan.run()
    return WrittenForm(steps, tuple(scan.repeats), tuple(scan.problems))


def count_passes(bars: Sequence[Bar], form: WrittenForm) -> tuple[Bar, ...]:
    """The bars with `repeat_close` at the end of each ending set to the passes of its repeat."""
    counted = list(bars)
    for repeat, index in _ending_stops(form):
        if counted[index].repeat_close:
            counted[index] = replace(counted[index], repeat_close=repeat.times)
    return tuple(counted)


def close_endings(bars: Sequence[Bar], form: WrittenForm) -> tuple[Bar, ...]:
    """The bars with `ending_close` set at the last bar of each ending."""
    closed = list(bars)
    for _, index in _ending_stops(form):
        closed[index] = replace(closed[index], ending_close=True)
    return tuple(closed)


def check_counts(
    bars: Sequence[Bar], form: WrittenForm, typed: dict[int, SourcePosition]
) -> list[Problem]:
    """The problems of numbers beside `:|` that disagree with the endings.

    `typed`: the bars at which a number was typed, each with its position.
    """
    problems: list[Problem] = []
    for repeat, index in _ending_stops(form):
        count = bars[index].repeat_close
        if index in typed and count != repeat.times:
            text = f":|{count}x"
            fields: dict[str, object] = {"count": count, "passes": repeat.times}
            problems.append(mistake("count-with-endings", typed[index], text, "", **fields))
    return problems


def _ending_stops(form: WrittenForm) -> list[tuple[Repeat, int]]:
    """For each ending its repeat and its last bar."""
    return [
        (repeat, form.steps[ending.stop - 1].bar)
        for repeat in form.repeats
        for ending in repeat.endings
    ]


@mutable
class _Open:
    """A repeat that is not finished; `broken`: a problem of it is already reported.

    `explicit`: it begins with `|:`. `ending_open`: its last ending is not finished.
    """

    start: int
    explicit: bool = True
    broken: bool = False
    endings: list[Ending] = field(default_factory=list)
    ending_open: bool = False


@mutable
class _Scan:
    """Collects repeats and problems step by step; `free_from`: the first step after a repeat."""

    bars: Sequence[Bar]
    steps: tuple[FormStep, ...]
    opening: int = 0
    problems: list[Problem] = field(default_factory=list)
    repeats: list[Repeat] = field(default_factory=list)
    current: _Open | None = None
    free_from: int = 0

    def run(self) -> None:
        self.free_from = self.opening or (1 if self.bars and self.bars[0].pickup else 0)
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
        """Finish the open repeat where this step cannot belong to it; open one at `|:`."""
        current = self.current
        # `|:1.` begins another repeat, `|2.` goes on with the open one.
        goes_on = bar.endings and not bar.repeat_open
        ends = step.starts or bar.repeat_open
        if (
            current is not None
            and current.endings
            and not goes_on
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
        """Report an ending that follows one without `:|`."""
        if not current.broken and current.explicit:
            self.problems.append(
                mistake("ending-unclosed", bar.position, _ending_text(bar.endings))
            )
        elif not current.broken:
            self._report_no_repeat(current)
        current.broken = True

    def _report_no_repeat(self, current: _Open) -> None:
        first = self.bars[self.steps[current.endings[0].first].bar]
        text = _ending_text(first.endings)
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
        """Finish the open repeat before step `stop`, where no `:|` closes it."""
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
            self.problems += _check_endings(heads, closed)
        times = max(number for ending in current.endings for number in ending.passes)
        self._add(Repeat(current.start, current.endings[0].first, tuple(current.endings), times))

    def _add(self, repeat: Repeat) -> None:
        self.repeats.append(repeat)
        self.current = None
        self.free_from = repeat.stop


def _ending_text(passes: tuple[int, ...]) -> str:
    """An ending as it is typed: `|1,2.`."""
    return f"|{','.join(str(number) for number in passes)}."


def _check_endings(heads: Sequence[Bar], closed: bool) -> list[Problem]:
    """The problems of the endings of one repeat; `heads` are their first bars as written.

    Each pass needs one ending, in order, and the last ending must not be `closed` by `:|`.
    """
    problems: list[Problem] = []
    taken: set[int] = set()
    wanted = 1
    for head in heads:
        found = min(head.endings)
        while wanted in taken:
            wanted += 1
        if taken & set(head.endings):
            text = _ending_text(head.endings)
            problems.append(mistake("ending-unreachable", head.position, text))
        elif found != wanted:
            problems.append(_out_of_order(head, wanted))
        taken |= set(head.endings)
    return problems or _check_last(heads[-1], taken, closed)


def _check_last(head: Bar, taken: set[int], closed: bool) -> list[Problem]:
    missing = sorted(set(range(1, max(taken) + 1)) - taken)
    if closed or missing:
        wanted = missing[0] if missing else max(taken) + 1
        text = _ending_text(head.endings)
        return [mistake("ending-missing", head.position, text, wanted=wanted)]
    return [] if max(taken) in head.endings else [_out_of_order(head, max(taken))]


def _out_of_order(head: Bar, wanted: int) -> Problem:
    text, found = _ending_text(head.endings), min(head.endings)
    return mistake("ending-order", head.position, text, found=found, wanted=wanted)
