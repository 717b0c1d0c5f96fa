"""What is wrong with a chord symbol: where, what was expected there, and the nearest right thing.

Columns count from 1 within the symbol as it was written.
"""

from __future__ import annotations

import re
from difflib import get_close_matches
from functools import lru_cache
from typing import Final

from .pitch import LETTERS
from .quality import QUALITIES
from .spelling import SPELLINGS

_ROOT: Final = "a root from A to G, as in C, Bb or F#"
_QUALITY: Final = "a quality such as m7, maj7, 7, m7b5, dim7 or sus4"
_CHANGE: Final = "a changed degree such as b9, #11, add9 or no5"
_BASS: Final = "a bass note from A to G"
_NOTE: Final = re.compile("[A-G](?:bb?|##?|[x𝄫𝄪])?")


class ChordError(ValueError):
    """What was read is not a chord symbol.

    `column` (from 1) and `text` say where and what, `expected` what would be right there,
    `suggestion` the nearest right symbol ("" where none is near).
    """

    def __init__(
        self, message: str, column: int, text: str, expected: str, suggestion: str = ""
    ) -> None:
        said = f"column {column}: {message}; expected {expected}"
        super().__init__(f"{said}; did you mean {suggestion}?" if suggestion else said)
        self.column = column
        self.text = text
        self.expected = expected
        self.suggestion = suggestion


def explain(written: str, place: int, folded: str) -> ChordError:
    """The error for a symbol in which reading stopped at index `place`.

    `folded` is the symbol with its signs folded, "" when it was not read at all.
    """
    if not written:
        return ChordError("there is no chord symbol", 1, "", _ROOT)
    if not folded:
        return ChordError("this is too long for a chord symbol", place + 1, written[:12], _QUALITY)
    if folded[0] not in LETTERS:
        return _bad_root(written, folded)
    if folded.rstrip().endswith("/"):
        return _bad_bass(written, len(written))
    if folded[:place].rstrip().endswith("/") and folded[place] not in "(/,":
        return _bad_bass(written, place)
    return _bad_bracket(written, place, folded) or _unknown(written, place, folded)


def _bad_bracket(written: str, place: int, folded: str) -> ChordError | None:
    if folded.count("(") > folded.count(")"):
        at = folded.rfind("(")
        return ChordError("the bracket is not closed", at + 1, written[at:], ")")
    if folded[place : place + 1] != ")":
        return None
    empty = folded[:place].rstrip().endswith("(")
    said = "there is nothing in the brackets" if empty else "this closes nothing"
    return ChordError(said, place + 1, written[place:], _CHANGE)


def _unknown(written: str, place: int, folded: str) -> ChordError:
    root = _NOTE.findall(folded)[0]
    rest = written[place:]
    near = _nearest(folded[len(root) :])
    wanted = _CHANGE if place > len(root) else _QUALITY
    return ChordError(
        f"'{rest}' is not part of a chord", place + 1, rest, wanted, near and root + near
    )


def _bad_root(written: str, folded: str) -> ChordError:
    first = folded[0]
    capital = first.upper() + written[1:]
    if first in "Hh":
        hint = "B" + written[1:]
        return ChordError("H is written B here, and the German B is Bb", 1, first, _ROOT, hint)
    if first in "abcdefg":
        hint = capital if len(written) > 1 else f"{capital} or {capital}m"
        return ChordError(f"roots are capitals, not '{first}'", 1, first, _ROOT, hint)
    if folded.upper().replace(".", "").strip() == "NC":
        return ChordError("N.C. is silence, not a chord", 1, written, _ROOT)
    return ChordError(f"'{written[0]}' is not a root", 1, written, _ROOT)


def _bad_bass(written: str, place: int) -> ChordError:
    rest = written[place:]
    hint = ""
    if rest[:1] in tuple("abcdefg"):
        hint = written[:place] + rest[0].upper() + rest[1:]
    elif rest[:1] in ("H", "h"):
        hint = written[:place] + "B" + rest[1:]
    said = f"'{rest}' is not a bass note" if rest else "the bass is missing"
    return ChordError(said, place + 1, rest, _BASS, hint)


@lru_cache(maxsize=1024)
def _nearest(rest: str) -> str:
    """The nearest known quality by its canonical text, "" where none is near."""
    body, stroke, bass = rest.partition("/")
    names = [row.text for row in QUALITIES if row.text and not row.alone]
    for candidates in (names, list(SPELLINGS)):
        found = get_close_matches(body.lower(), candidates, 1, 0.6)
        if found:
            return SPELLINGS[found[0]].text + (stroke + bass if _NOTE.fullmatch(bass) else "")
    return ""
