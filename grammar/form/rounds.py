"""What goes round: the chorus between an intro that is played once and a coda or tag.

Takes the bars and sections of a sheet and the steps that are played; gives the bounds of the
chorus. Conventions (common practice, no source):

- An intro is what is labelled so, or what has no label and stands before the first repeat, if it is
  shorter than what follows.
- An ending is what is labelled Coda, Tag, Outro, Ending or Vamp at the end, or what follows the
  Coda sign.
- A D.C. or D.S. al Coda whose To Coda stands shortly before it is for the last chorus: until then
  the jump only goes back. Where the way from To Coda to the jump is longer, or a section begins on
  it, the jump is a part of the chorus (the last A of AABA), and all goes round together.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from ..frozen import frozen
from ..sheet import Bar, Section
from .repeats import FormStep, WrittenForm, labelled_opening, plain_label

#: Labels of what is played once after the last chorus (common practice, no source).
ENDING_LABELS: Final = frozenset({"coda", "tag", "outro", "ending", "end", "vamp", "last time"})
#: The most steps from To Coda to the jump of the last chorus: a phrase of eight bars.
MOST_LEFT_OUT: Final = 8


@frozen
class CodaWay:
    """The only jump of a form: its place among the steps played, its goal.

    `left` is the step that leaves for the Coda after it, −1 where none does.
    """

    jumped: int
    goal: int
    left: int = -1


def opening_steps(bars: Sequence[Bar], sections: Sequence[Section], form: WrittenForm) -> int:
    """The number of steps that are played once before the chorus."""
    opening = labelled_opening(bars, sections) or _before_repeat(bars, sections, form)
    if any(repeat.start < opening < repeat.stop for repeat in form.repeats):
        return 0
    return opening


def _before_repeat(bars: Sequence[Bar], sections: Sequence[Section], form: WrittenForm) -> int:
    """The steps without a label before the first `|:`; 0 for a pickup alone, or a long part."""
    starts = [at for at, step in enumerate(form.steps) if bars[step.bar].repeat_open]
    if not starts or not form.repeats or form.repeats[0].start != starts[0]:
        return 0
    before = form.steps[: starts[0]]
    unlabelled = not any(sections[step.section].label for step in before)
    whole = sum(not bars[step.bar].pickup for step in before)
    label = sections[form.steps[starts[0]].section].label
    if not unlabelled or not whole or 2 * len(before) >= len(form.steps):
        return 0
    return len(before) if label in ("", "A") else 0


def ending_step(bars: Sequence[Bar], sections: Sequence[Section], form: WrittenForm) -> int:
    """The first step of the ending, the number of steps where there is none."""
    steps = form.steps
    first = len(steps)
    for at in range(len(steps) - 1, -1, -1):
        section = sections[steps[at].section]
        if section.label and plain_label(section.label) not in ENDING_LABELS:
            break
        if section.label and steps[at].starts:
            first = at
    signs = [at for at, step in enumerate(steps) if bars[step.bar].coda]
    first = min([first, *signs[-1:]])
    crossed = any(repeat.start < first < repeat.stop for repeat in form.repeats)
    return len(steps) if crossed or first == 0 else first


def chorus_bounds(
    form: WrittenForm,
    sections: Sequence[Section],
    played: Sequence[int],
    way: CodaWay | None,
    bounds: tuple[int, int],
) -> tuple[int, int]:
    """The first place in `played` that belongs to the chorus, and the one after its last.

    `bounds`: the step after the opening, the first step of the ending.
    """
    opening, ending = bounds
    first = next((at for at, step in enumerate(played) if step >= opening), 0)
    stop = len(played)
    while stop and played[stop - 1] >= ending:
        stop -= 1
    if way is not None and way.left >= 0:
        if not _is_for_last(form.steps, sections, way.left, played[way.jumped]):
            return first, len(played)
        first = max(first, played.index(way.goal))
        stop = way.jumped + 1
    return (first, stop) if first < stop else (0, len(played))


def _is_for_last(
    steps: Sequence[FormStep], sections: Sequence[Section], left: int, jump: int
) -> bool:
    """Whether a jump al Coda is only for the last chorus."""
    passed = steps[left + 1 : jump + 1]
    begins = any(step.starts and sections[step.section].label for step in passed)
    return left <= jump and len(passed) <= MOST_LEFT_OUT and not begins
