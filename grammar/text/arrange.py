"""The order of sections that a `Form:` header states, as in `Form: AABA`.

Takes the sections as typed and the text of the header; gives the sections in the order of the form,
where a section that is named again plays its first one again. The sections must be typed in the
order of their first playing. An intro before them and a coda or tag after them need not be named.
A section with a usual name may be named by its first letter: the Bridge is the B of AABA (common
practice, no source).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from ..errors import SourcePosition
from ..frozen import frozen
from ..sheet import Comment, Section

#: The name of the header, in small letters.
FORM_NAME: Final = "form"
#: Labels, in small letters, that a form may name by their first letters.
_NAMED_BY_LETTER: Final = ("bridge", "chorus", "refrain", "verse")


@frozen
class Arrangement:
    """The sections in the order of the form, and the comments with their new sections."""

    sections: tuple[Section, ...]
    comments: tuple[Comment, ...]


def arrange(
    sections: Sequence[Section], comments: Sequence[Comment], form: str, position: SourcePosition
) -> Arrangement | None:
    """The arrangement that a form names, None when it does not fit the sections.

    Sections that are played again are at `position`. Sections that are typed as often as the form
    names them stay as they are.
    """
    groups = _groups(sections)
    names = [sections[group[0]].label.lower() for group in groups]
    order = _order(form, set(names))
    if not order or not set(order).issubset(names):
        return None
    first = names.index(order[0])
    last = len(names) - 1 - names[::-1].index(order[-1])
    typed = names[first : last + 1]
    if typed == order:
        return Arrangement(tuple(sections), tuple(comments))
    distinct = list(dict.fromkeys(order))
    last = first + len(distinct) - 1
    if names[first : last + 1] != distinct or set(distinct) & set(names[last + 1 :]):
        return None
    wanted = [*groups[:first], *_played(order, groups, names), *groups[last + 1 :]]
    return _renumbered(sections, comments, wanted, position)


def _groups(sections: Sequence[Section]) -> list[range]:
    """The indices of each labelled section with those without a label that follow it."""
    starts = [at for at, section in enumerate(sections) if section.label or at == 0]
    stops = [*starts[1:], len(sections)]
    return [range(start, stop) for start, stop in zip(starts, stops, strict=True)]


def _order(form: str, names: set[str]) -> list[str]:
    """The labels that a form names, in small letters; a number of times is passed over."""
    text = re.sub(r"\b(x\s?\d+|\d+\s?x)\b|[×*]\s?\d+", " ", form.lower())
    order: list[str] = []
    for word in re.split(r"[\s,;|–—-]+", text):
        order += [word] if word in names else re.findall(r"[a-z][1-4]?'*", word)
    letters = {label[0]: label for label in _NAMED_BY_LETTER if label in names}
    return [name if name in names else letters.get(name, name) for name in order]


def _played(order: list[str], groups: list[range], names: list[str]) -> list[range | int]:
    """The group of each first playing, and its first section for each later one."""
    seen: set[str] = set()
    played: list[range | int] = []
    for name in order:
        group = groups[names.index(name)]
        played.append(group.start if name in seen else group)
        seen.add(name)
    return played


def _renumbered(
    sections: Sequence[Section],
    comments: Sequence[Comment],
    wanted: Sequence[range | int],
    position: SourcePosition,
) -> Arrangement:
    """The wanted sections in order; an int is the section that is played again."""
    arranged: list[Section] = []
    at_of: dict[int, int] = {-1: -1}
    for item in wanted:
        if isinstance(item, int):
            stop = arranged[-1].first + arranged[-1].count
            again = Section(sections[item].label, stop, 0, position, recalls=at_of[item])
            arranged.append(again)
            continue
        for index in item:
            at_of[index] = len(arranged)
            recalls = sections[index].recalls
            known = recalls if recalls is None else at_of[recalls]
            arranged.append(replace(sections[index], recalls=known))
    moved = tuple(replace(comment, section=at_of[comment.section]) for comment in comments)
    return Arrangement(tuple(arranged), moved)
