"""The words and signs of form on paper, as kinds of marks.

Takes a run of words, as it is printed over the music; gives the kinds of `Mark` that it stands for.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final

from .measure import MarkKind

_JUMP: Final = re.compile(r"(?P<from>d ?c|da capo|d ?s|dal segno)\b(?P<rest>.*)")
_UNTIL: Final = re.compile(r"\b(?:al?|to) ?(?:the )?(fine|coda)\b")
_WORDS: Final[dict[str, MarkKind]] = {
    "fine": "fine",
    "coda": "coda",
    "segno": "segno",
    "to coda": "to_coda",
    "al coda": "to_coda",
    "nc": "silence",
    "n c": "silence",
    "no chord": "silence",
    "tacet": "silence",
}
_SIGNS: Final = {"⊕": "coda", "𝄌": "coda", "\U0001d10b": "segno", "§": "segno"}
#: Feels that lead sheets name at their head (common practice, no source).
_FEELS: Final = re.compile(
    r"(?:(?:slow|medium|med|fast|up|easy|jazz|light|gentle|bright|up ?tempo|even|straight) ?)*"
    r"(?:swing|shuffle|bossa(?: nova)?|samba|latin|ballad|waltz|rumba|eighths|rubato)"
)


def words(text: str) -> Iterator[tuple[MarkKind, str]]:
    """The kinds and values of the marks that a run of words stands for."""
    plain = text.lower()
    for sign, name in _SIGNS.items():
        plain = plain.replace(sign.lower(), f" {name} ")
    plain = " ".join(plain.replace(".", " ").strip(" :,()[]").split())
    jump = _JUMP.fullmatch(plain)
    if jump is not None:
        until = _UNTIL.search(jump["rest"])
        kind: MarkKind = (
            "dacapo" if jump["from"].replace(" ", "") in ("dc", "dacapo") else "dalsegno"
        )
        yield kind, until[1] if until else ""
        if jump["rest"].strip() and until is None:
            yield "text", text
    else:
        known = _WORDS.get(plain)
        if known is None and _FEELS.fullmatch(plain):
            yield "feel", text
        else:
            yield (known, "") if known else ("text", text)
