"""Sections: from rehearsal marks, changes of key, and the words for the player."""

from __future__ import annotations

from dataclasses import dataclass

from ..key import Key
from ..pitch import Interval
from ..sheet import Place, Section
from ..transpose import transpose_key
from .bars import Read, part_shift
from .numerals import Signature
from .score import Part


@dataclass(slots=True)
class _Draft:
    first: int
    label: str
    place: Place
    key: Key | None = None
    stated: bool = False


def read_sections(part: Part, read: Read) -> tuple[Section, ...]:
    """The sections that divide the bars of a part; the first begins with the first bar."""
    drafts: list[_Draft] = []
    texts: dict[int, list[str]] = {}
    key: Signature | None = None
    shift = part_shift(part)
    felt = False
    for index, span in enumerate(read.spans):
        measure = part.measures[span.measure]
        said = measure.key
        changed = said is not None and index > 0 and said != key
        key = said or key
        label = next((m.value for m in measure.marks if m.kind == "rehearsal"), "")
        begins = any(m.kind == "bookmark" and m.value == "section" for m in measure.marks)
        if not drafts or label or changed or begins:
            own = None
            if said is not None and index > 0:
                moved = shift != Interval(0, 0)
                own = transpose_key(said.key, shift) if moved else said.key
            drafts.append(_Draft(index, label, measure.place, own, begins))
        for mark in measure.marks:
            if mark.kind == "text" or (mark.kind == "feel" and felt):
                texts.setdefault(len(drafts) - 1, []).append(mark.value)
            felt = felt or mark.kind == "feel"
    return _divided(_without_lone_pickup(drafts, texts, read), texts, len(read.bars))


def _without_lone_pickup(
    drafts: list[_Draft], texts: dict[int, list[str]], read: Read
) -> list[_Draft]:
    """A pickup bar before the first rehearsal mark belongs to the section that the mark begins,
    unless a bookmark states that it is a section of its own.
    """
    if len(drafts) < 2 or drafts[0].label or drafts[1].first != 1 or not read.bars[0].pickup:
        return drafts
    if drafts[0].stated:
        return drafts
    moved = [_Draft(0, drafts[1].label, drafts[0].place, drafts[1].key), *drafts[2:]]
    joined = texts.get(0, []) + texts.get(1, [])
    later = {at - 1: lines for at, lines in texts.items() if at > 1}
    texts.clear()
    texts.update(later)
    texts[0] = joined
    return moved


def _divided(drafts: list[_Draft], texts: dict[int, list[str]], count: int) -> tuple[Section, ...]:
    ends = [draft.first for draft in drafts[1:]] + [count]
    return tuple(
        Section(
            draft.label, draft.first, end - draft.first, draft.place,
            key=draft.key, text=tuple(texts.get(at, ())),
        )
        for at, (draft, end) in enumerate(zip(drafts, ends, strict=True))
    )  # fmt: skip
