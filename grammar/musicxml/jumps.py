"""Signs and jumps put at the bars that they belong to.

D.C. and D.S. stand at the end of their bar, as do Fine and To Coda; segno and Coda at the start of
theirs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ..sheet import Jump, JumpEnd, JumpTarget
from .signs import Edges, Signs


def place_signs(bars: list[Signs], edges: Sequence[Edges]) -> None:
    """Segno and Coda where they are said; lone coda signs by what is still missing."""
    lone: list[tuple[int, int]] = []
    for index, edge in enumerate(edges):
        for mark in edge.marks:
            at_end = mark.position >= edge.span.length and index + 1 < len(bars)
            at = index + at_end
            if mark.kind == "segno":
                bars[at] = replace(bars[at], segno=True)
            elif mark.kind == "coda":
                bars[at] = replace(bars[at], coda=True)
            elif mark.kind == "to_coda":
                bars[index] = replace(bars[index], to_coda=True)
            elif mark.kind == "fine":
                bars[index] = replace(bars[index], fine=True)
            elif mark.kind == "sign":
                lone.append((index, at))
    _place_lone(bars, sorted(set(lone)))


def _place_lone(bars: list[Signs], lone: list[tuple[int, int]]) -> None:
    """A coda sign without words: where one lands if that is unsaid, else where one leaves.

    Each is given as the bar that it ends and the bar that it begins.
    """
    free = [(end, start) for end, start in lone if not (bars[start].coda or bars[end].to_coda)]
    if free and not any(bar.coda for bar in bars):
        _, start = free.pop()
        bars[start] = replace(bars[start], coda=True)
    if free and not any(bar.to_coda for bar in bars):
        end, _ = free.pop(0)
        bars[end] = replace(bars[end], to_coda=True)


def place_jumps(bars: list[Signs], edges: Sequence[Edges]) -> None:
    """The first D.C. or D.S. of each bar."""
    for index, edge in enumerate(edges):
        for mark in edge.marks:
            if mark.kind in ("dacapo", "dalsegno") and bars[index].jump is None:
                to: JumpTarget = "capo" if mark.kind == "dacapo" else "segno"
                until = _until(bars, index, mark.value)
                bars[index] = replace(bars[index], jump=Jump(to, until))


def _until(bars: Sequence[Signs], index: int, said: str) -> JumpEnd:
    """Where the playing ends after a jump: as the words say, else by the signs that there are."""
    if said in ("fine", "coda"):
        return "fine" if said == "fine" else "coda"
    if any(bar.to_coda for bar in bars[: index + 1]) and any(bar.coda for bar in bars):
        return "coda"
    return "fine" if any(bar.fine for bar in bars) else "end"
