"""The form of a tune in words: bar numbers, the marks above a bar, the played order.

Takes written bar numbers, or a sheet and its form, gives text without line ends.
"""

from __future__ import annotations

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
