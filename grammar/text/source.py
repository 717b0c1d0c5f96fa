"""The lines of a sheet and the kind of each.

`read_lines` takes the lines of a text and gives a `SourceLine` for each that is not blank. Kinds:

- `comment`: `#` first; kept as written.
- `text`: text for the player, in quotes.
- `field`: `Name: value`.
- `label`: a section's label and a colon (`A:`), in brackets (`[A]`), or a letter or a usual name
  alone (`A`, `Bridge`).
- `again`: `A: again`, the section of that name played again.
- `music`: anything with bar lines, or signs alone (`D.C. al Fine`); a label may stand before it.

Full-width signs, odd spaces, curly quotes and the like are read as the signs of the format
(`plain`); each character is replaced by one character, so that columns stay the same.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from typing import Final, Literal

from ..errors import WHOLE_FILE, Problem, SourcePosition
from ..foreign_text import harmless
from ..frozen import frozen
from ..limits import MAX_LINE, MAX_LINES
from ..mistakes import mistake
from .tokens import names_chord

LineKind = Literal["comment", "text", "field", "label", "again", "music"]

KNOWN_NAMES: Final = ("Title", "By", "Key", "Time", "Tempo", "Feel")
#: Other names of the known headers, read as them.
OTHER_NAMES: Final = {
    "composer": "By", "music": "By", "author": "By", "style": "Feel", "meter": "Time",
    "metre": "Time", "time signature": "Time", "bpm": "Tempo",
}  # fmt: skip
QUOTES: Final = '"“”„«»‟＂'
#: Look-alikes that Unicode's compatibility forms (UAX #15, NFKC) do not fold.
LOOK_ALIKES: Final = str.maketrans(
    {
        **dict.fromkeys("│┃∣❘❙❚ǀ¦￨", "|"),
        **dict.fromkeys("‐‑‒–—−", "-"),
        **dict.fromkeys("⁄∕╱", "/"),
        **dict.fromkeys("\u200b\u200c\u200d\u2060\ufeff\u00ad\ufe0e\ufe0f", " "),
        "∶": ":",
        "‹": "<",
        "›": ">",
        "⟨": "<",
        "⟩": ">",
    }
)


@frozen
class SourceLine:
    """One line: its kind, its number from 1, and the parts of it that matter.

    `name` is the header's name or the section's label, `value` the rest, `column` where the value
    begins. `music` also carries the name of a label that stands before its bars on the same line.
    """

    kind: LineKind
    number: int
    value: str
    column: int = 1
    name: str = ""
    name_column: int = 1

    @property
    def position(self) -> SourcePosition:
        """Where its value begins."""
        return SourcePosition(self.number, self.column)

    @property
    def name_position(self) -> SourcePosition:
        """Where its name begins."""
        return SourcePosition(self.number, self.name_column)


_SIGNS = r"segno|coda|to\s+coda|fine|d\.?\s?[cs]\.?|da\s+capo|dal\s+segno|al\s+fine|al\s+coda|[𝄋𝄌⊕]"
_ONLY_SIGNS: Final = re.compile(rf"\s*(?>(?:{_SIGNS})[\s.]*)+$", re.IGNORECASE)
#: A name or a label, at most 59 characters (longer ones would make matching quadratic): no sign of
#: the format in it, no quote and no `#` first.
_NAME: Final = r"[^\s|:<>\[\]\"#/%“”„«»][^|:<>\[\]\"%]{0,58}?"
_NAMED: Final = re.compile(rf"(\s*)({_NAME})\s*:(?!\|)\s*")
_BRACKETED: Final = re.compile(rf"(\s*\[\s*)({_NAME})\s*\]\s*+:?\s*+$")
#: A label that names an ending: 1st ending, Second time.
_ENDING: Final = re.compile(r"(1st|2nd|3rd|4th|first|second|third|fourth) +(?:ending|time)", re.I)
_ORDINALS: Final = ("1st", "2nd", "3rd", "4th", "first", "second", "third", "fourth")
_BRACKETED_BARS: Final = re.compile(rf"(\s*\[\s*)(?!\d)({_NAME})\s*\]\s*+:?\s*+(?=[|‖𝄆])")
#: Labels that stand alone without a colon: a letter (A, B2, A'), or a usual name of a section.
_SECTION_NAMES: Final = (
    "intro|introduction|verse|chorus|refrain|bridge|middle eight|interlude|solos?|vamp|outro|"
    "ending|tag|head|coda"
)
_ALONE: Final = re.compile(rf"(\s*)([A-Z][1-4]?'*|(?i:{_SECTION_NAMES})(?:\s?\d)?)\s*+[.)]?\s*+$")
_BARS: Final = re.compile(r"[|‖𝄁𝄂𝄆𝄇]")


def known_name(name: str) -> str:
    """The header's canonical name (`By` for Composer), "" when it is not known."""
    low = name.lower()
    return next((known for known in KNOWN_NAMES if known.lower() == low), OTHER_NAMES.get(low, ""))


def plain(text: str) -> str:
    """The text with look-alike signs made the ones of the format, character by character."""
    if text.isascii():
        return text
    return "".join(_folded(char) for char in text).translate(LOOK_ALIKES)


def _folded(char: str) -> str:
    if char.isascii():
        return char
    folded = unicodedata.normalize("NFKC", char)
    return folded if len(folded) == 1 else char


def size_problem(sources: Sequence[str]) -> Problem | None:
    """The problem of a text of more lines than it may have, or with a longer line; else None."""
    if len(sources) > MAX_LINES:
        return mistake("too-many-lines", WHOLE_FILE, most=MAX_LINES)
    for line, source in enumerate(sources, 1):
        if len(source) > MAX_LINE:
            return mistake("line-too-long", SourcePosition(line, MAX_LINE + 1), most=MAX_LINE)
    return None


def source_lines(text: str) -> list[str]:
    """The lines of a file for any line ends, without a byte order mark, in harmless text."""
    return [harmless(line) for line in re.split(r"\r\n|\r|\n", text.removeprefix("\ufeff"))]


def read_lines(sources: list[str]) -> list[SourceLine]:
    """Every line that is not blank, in order; a line of no other kind is `music`."""
    return [
        _line(number, source, typed)
        for number, source in enumerate(sources, start=1)
        if (typed := plain(source)).strip()
    ]


def _line(number: int, source: str, typed: str) -> SourceLine:
    start = len(typed) - len(typed.lstrip())
    first = typed[start]
    if first == "#":
        return SourceLine("comment", number, source[start:].strip(), start + 1)
    if first in QUOTES:
        return SourceLine("text", number, _unquoted(source[start:].strip()), start + 1)
    bracketed = _BRACKETED.match(typed)
    if bracketed is not None:
        return SourceLine("label", number, "", 1, bracketed[2], len(bracketed[1]) + 1)
    before_bars = _BRACKETED_BARS.match(typed)
    if before_bars is not None:
        return _labelled_bars(number, typed, before_bars)
    alone = _ALONE.match(typed)
    if alone is not None:
        return SourceLine("label", number, "", 1, alone[2], len(alone[1]) + 1)
    named = _NAMED.match(typed)
    if named is not None:
        return _named_line(number, source, typed, named)
    return SourceLine("music", number, typed)


def _named_line(number: int, source: str, typed: str, named: re.Match[str]) -> SourceLine:
    """A line with a name and a colon first: a header, a label, a recall, or a label before bars."""
    name, name_column = named[2], len(named[1]) + 1
    end = named.end()
    value = typed[end:].strip()
    ending = _ENDING.fullmatch(name)
    if ending is not None and (not value or _begins_music(value)):
        return _ending_line(number, typed, end, _ORDINALS.index(ending[1].lower()) % 4 + 1)
    if not value:
        return SourceLine("label", number, "", end + 1, name, name_column)
    if not known_name(name):
        if value.lower() == "again":
            return SourceLine("again", number, value, end + 1, name, name_column)
        if _begins_music(value):
            return _labelled_bars(number, typed, named)
    return SourceLine("field", number, " ".join(source[end:].split()), end + 1, name, name_column)


def _labelled_bars(number: int, typed: str, label: re.Match[str]) -> SourceLine:
    """A line of music behind a label, which is blanked so that columns stay the same."""
    end = label.end()
    value = " " * end + typed[end:]
    return SourceLine("music", number, value, end + 1, label[2], len(label[1]) + 1)


def _ending_line(number: int, typed: str, end: int, ending: int) -> SourceLine:
    """The bars of an ending named in words, which are replaced by `|1.`; columns stay the same."""
    bars = re.sub(r"^\|(?![|:])", " ", typed[end:])
    return SourceLine("music", number, f"{f'|{ending}.':>{end}}{bars}")


def _begins_music(value: str) -> bool:
    """Whether the text after a label is bars, with or without the first bar line."""
    return value.startswith(("|", "‖", "𝄆")) or ("|" in value and names_chord(value.split()[0]))


def is_music(text: str) -> bool:
    """Whether a line holds bar lines, or nothing but signs such as D.C. al Fine."""
    return bool(_BARS.search(text)) or bool(_ONLY_SIGNS.match(text))


def _unquoted(text: str) -> str:
    inside = text[1:]
    return " ".join((inside[:-1] if inside and inside[-1] in QUOTES else inside).split())
