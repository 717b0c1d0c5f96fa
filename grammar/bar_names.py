"""Runs of bars by name: their numbers as `9-16` or `7`, or the label of a section.

Takes the text that a user types and a `Sheet`, gives the first and the last bar by their numbers.
Where several sections have one label, `B` is the first of them and `B2` the second, written out or
played again; a section of that very label comes first.
"""

from __future__ import annotations

from .errors import MidneckError
from .form.repeats import section_bars
from .sheet import Sheet

#: The first and the last bar of a run, as they are numbered.
Bars = tuple[int, int]


class BarsError(MidneckError, ValueError):
    """A text names no bars of the tune; the message says what it may be."""


def find_bars(sheet: Sheet, text: str) -> Bars:
    """The bars that a text names: `9-16`, `7`, `B`, `B2`. Numbers are not looked for in the sheet.

    Raises BarsError when it is neither numbers nor a section, and then names the sections.
    """
    first, dash, last = text.strip().replace("–", "-").partition("-")
    if _is_number(first) and _is_number(last if dash else first):
        return int(first), int(last if dash else first)
    named = named_bars(sheet)
    wanted = " ".join(text.split()).casefold()
    for name, bars in named.items():
        if name.casefold() == wanted:
            return bars
    sections = f"a section: {', '.join(named)}" if named else "no section of this tune has a name"
    raise BarsError(f"{text!r} names no bars; give numbers, as 7 or 9-16, or {sections}")


def named_bars(sheet: Sheet) -> dict[str, Bars]:
    """The bars of each section by its name, in the order of the sheet.

    A section without a label belongs to the one before it.
    """
    sections = sheet.sections
    named = [index for index, section in enumerate(sections) if section.label]
    names = _numbered([sections[index].label for index in named])
    found: dict[str, Bars] = {}
    for name, index in zip(names, named, strict=True):
        bars = section_bars(sections, index)
        first, last = bars.start, bars.stop - 1
        for following in sections[index + 1 :] if sections[index].recalls is None else ():
            if following.label or following.recalls is not None:
                break
            last += following.count
        if first <= last:
            found[name] = sheet.bars[first].number, sheet.bars[last].last_number
    return found


def _numbered(labels: list[str]) -> list[str]:
    """The labels, later ones of the same text with a number that no other label has."""
    names: list[str] = []
    for place, label in enumerate(labels):
        count = 1 + labels[:place].count(label)
        name = label if count == 1 else f"{label}{count}"
        while count > 1 and (name in names or name in labels):
            count += 1
            name = f"{label}{count}"
        names.append(name)
    return names


def _is_number(text: str) -> bool:
    return text.isascii() and text.isdecimal() and len(text) <= 6
