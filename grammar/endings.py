"""The endings of a repeat: whether each pass has one, in the order of the passes.

Takes the bars in which the endings of one repeat begin, as they are written, gives the problems.
"""

from __future__ import annotations

from collections.abc import Sequence

from .errors import Problem
from .mistakes import mistake
from .sheet import Bar


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
            problems.append(mistake("ending-unreachable", head.place, text))
        elif found != wanted:
            problems.append(_out_of_order(head, wanted))
        taken |= set(head.endings)
    return problems or _check_last(heads[-1], taken, closed)


def _check_last(head: Bar, taken: set[int], closed: bool) -> list[Problem]:
    missing = sorted(set(range(1, max(taken) + 1)) - taken)
    if closed or missing:
        wanted = missing[0] if missing else max(taken) + 1
        text = ending_text(head.endings)
        return [mistake("ending-missing", head.place, text, wanted=wanted)]
    return [] if max(taken) in head.endings else [_out_of_order(head, max(taken))]


def _out_of_order(head: Bar, wanted: int) -> Problem:
    text, found = ending_text(head.endings), min(head.endings)
    return mistake("ending-order", head.place, text, found=found, wanted=wanted)
