"""The form of a tune in words: bar numbers, the marks above a bar, the played order.

Takes written bar numbers, or a sheet and its form, gives text without line ends.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from ...grammar.form.unfold import Form
from ...grammar.sheet import Bar, Sheet


def bars_text(bars: tuple[int, int]) -> str:
    """First and last bar: `bar 7`, `bars 7–8`, `bars 12→1` across the loop to the top."""
    return f"bar{'s' if bars[0] != bars[1] else ''} {span_text(bars)}"


def span_text(bars: tuple[int, int]) -> str:
    """First and last bar: `7`, `7–8`, and `12→1` if the last number is the smaller."""
    first, last = bars
    return str(first) if first == last else f"{first}{'–' if first < last else '→'}{last}"


def counted(count: int, noun: str) -> str:
    """A number with its noun: `1 shift`, `2 shifts`."""
    return f"{count} {noun}{'' if count == 1 else 's'}"


def describe_form(sheet: Sheet, form: Form) -> str:
    """The bars in played order, and the number of bars in all in the last line.

    Each line holds bars that are played without a jump back: the section's label and the bar
    numbers, as in `A   1–6, 9–10`.
    """
    labels = sheet.bar_labels
    starts = {section.first for section in sheet.sections if section.recalls is None}
    stretches: list[list[int]] = []
    for bar in form.bars:
        if not stretches or bar <= stretches[-1][-1] or bar in starts:
            stretches.append([bar])
        else:
            stretches[-1].append(bar)
    width = max(len(labels[stretch[0]]) for stretch in stretches)
    lines = [
        f"{labels[stretch[0]]:<{width}}  {_numbers(sheet, stretch)}".strip()
        for stretch in stretches
    ]
    total = sum(
        max(1, sheet.bars[bar].rest_bars) for bar in form.bars if not sheet.bars[bar].pickup
    )
    return "\n".join([*lines, f"{counted(total, 'bar')} in all"])


def _numbers(sheet: Sheet, stretch: list[int]) -> str:
    """Bar numbers with consecutive ones as ranges: `1–6, 9–10`."""
    runs: list[tuple[int, int]] = []
    for bar in stretch:
        number = sheet.bars[bar].number
        if runs and number == runs[-1][1] + 1:
            runs[-1] = (runs[-1][0], number)
        else:
            runs.append((number, number))
    return ", ".join(map(span_text, runs))


def second_of_two(bars: Sequence[Bar], index: int) -> bool:
    """Whether a bar is the second of two that repeat the two before: one sign stands for both."""
    run = 0
    while run <= index and bars[index - run].simile == 2:
        run += 1
    return run > 0 and run % 2 == 0


#: Numbers as they are said.
_SAID: Final = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
    "twelve",
)  # fmt: skip


def beats_words(start: Fraction, beats: Fraction, whole: Fraction | None) -> str:
    """When a chord sounds in a bar of `whole` beats, as it is said aloud; None for a pickup.

    `for the whole bar`, `for the first three beats`, `on beat four`, `on the and of beat four`.
    """
    if whole is None:
        return f"for {_amount(beats)}"
    if start == 0 and beats == whole:
        return "for the whole bar"
    if start == 0 and beats > 1:
        return f"for the first {_amount(beats)}"
    first = int(start) + 1
    if start % 1 == 0 and beats % 1 == 0:
        last = first + int(beats) - 1
        if first == last:
            return f"on beat {_number(first)}"
        return f"on beats {_number(first)} {'and' if beats == 2 else 'to'} {_number(last)}"
    part = start % 1
    point = f"beat {_number(first)}"
    if part:
        point = f"the and of {point}" if part == Fraction(1, 2) else f"{part} behind {point}"
    if beats == Fraction(1, 2):
        return f"on {point}" if part else f"on the first half of {point}"
    return f"from {point} on for {_amount(beats)}"


def _amount(beats: Fraction) -> str:
    """`three beats`, `three and a half beats`, `half a beat`, `1/3 of a beat`."""
    count, part = int(beats), beats % 1
    if count == 0:
        return "half a beat" if part == Fraction(1, 2) else f"{part} of a beat"
    more = "" if part == 0 else " and a half" if part == Fraction(1, 2) else f" and {part}"
    return f"{_number(count)}{more} beat{'' if beats == 1 else 's'}"


def _number(count: int) -> str:
    return _SAID[count] if count < len(_SAID) else str(count)


def bar_marks(bar: Bar) -> str:
    """The marks above a bar in a line: its ending, signs and jumps, in playing order."""
    ending = ",".join(str(number) for number in bar.endings)
    marks = (
        f"{ending}." if ending else "",
        "(pickup)" if bar.pickup else "",
        "Segno" if bar.segno else "",
        "Coda" if bar.coda else "",
        "To Coda" if bar.to_coda else "",
        "Fine" if bar.fine else "",
        "" if bar.jump is None else str(bar.jump),
    )
    return " ".join(mark for mark in marks if mark)
