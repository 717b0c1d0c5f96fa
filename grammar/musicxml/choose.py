"""Which part of a score is read: the one with the chord symbols; signs of the form from all."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from .faults import fault
from .marks import Mark
from .measure import Measure
from .score import Part, Score

#: Marks that scores print once, above the first part, though they are meant for all.
_FOR_ALL: Final = frozenset(
    {"bookmark", "coda", "dacapo", "dalsegno", "feel", "fine", "rehearsal", "segno", "sign",
     "tempo", "to_coda"}
)  # fmt: skip


def chosen_part(score: Score) -> tuple[Part, list[str]]:
    """The part with the most chord symbols, with the form's signs of the others, and warnings.

    Raises ScoreError when no part holds any.
    """
    if not any(part.harmonies for part in score.parts):
        raise fault("the score holds no chord symbols (<harmony>), so there is nothing to chart")
    best = max(score.parts, key=lambda part: part.harmonies)
    warnings = []
    if len(score.parts) > 1:
        name = best.name or best.id
        warnings.append(f"the chord symbols of {name!r} are read, one of {len(score.parts)} parts")
        left = sum(part.harmonies for part in score.parts) - best.harmonies
        if left:
            warnings.append(f"{left} chord symbols of the other parts are left out")
    if any(measure.sounding for part in score.parts for measure in part.measures):
        warnings.append("the melody is left out: only chord symbols and the form are read")
    others = [part for part in score.parts if part is not best]
    measures = tuple(_with_signs(measure, at, others) for at, measure in enumerate(best.measures))
    return replace(best, measures=measures), warnings


def _with_signs(measure: Measure, at: int, others: list[Part]) -> Measure:
    said = {(mark.kind, mark.value) for mark in measure.marks}
    found: list[Mark] = list(measure.marks)
    for part in others:
        for mark in part.measures[at].marks if at < len(part.measures) else ():
            if mark.kind in _FOR_ALL and (mark.kind, mark.value) not in said:
                said.add((mark.kind, mark.value))
                found.append(mark)
    return replace(measure, marks=tuple(found))
