"""How qualities are written: every spelling of every row of the table, and the pattern they make.

Takes the spellings column of `quality.QUALITIES`, gives `SPELLINGS` (folded text → quality) and the
regular expression of the grammar's QUALITY terminal. Unicode signs are folded to one sign each, one
character for one, so that columns stay true. Which words mean what is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from re import escape, findall
from typing import Final

from .quality import QUALITIES, Quality

#: Word families in the spellings column.
FAMILIES: Final[dict[str, tuple[str, ...]]] = {
    "maj": ("maj", "Maj", "MAJ", "ma", "Ma", "M", "mj", "j", "major", "Major"),
    "min": ("m", "min", "Min", "MIN", "mi", "Mi", "-", "minor", "Minor"),
    "dim": ("dim", "Dim", "DIM", "o", "0", "diminished"),
    "aug": ("aug", "Aug", "AUG", "+", "augmented"),
    "half": ("ø", "halfdim", "half-dim", "hdim", "half-diminished"),
    "sus": ("sus", "Sus", "SUS"),
    "b": ("b", "-"),
    "#": ("#", "+"),
}

#: Signs that mean the same, folded to one of them, one for one.
SIGNS: Final[dict[str, str]] = {
    "♭": "b", "♯": "#", "−": "-", "–": "-", "—": "-", "‐": "-", "‑": "-", "＋": "+",
    "Δ": "△", "∆": "△", "▵": "△", "°": "o", "º": "o", "˚": "o", "○": "o", "Ø": "ø", "∅": "ø",
    "，": ",", "（": "(", "）": ")", "[": "(", "]": ")", "⁄": "/", "∕": "/", "\u00a0": " ",
    "²": "2", "⁴": "4", "⁵": "5", "⁶": "6", "⁷": "7", "⁹": "9",
}  # fmt: skip


_FOLD: Final = str.maketrans(SIGNS)

#: What may not follow a word: `ma` would cut `madd9` in two, `o` would cut `omit3`, `M` `Min`.
_STOPS: Final = {"ma": "(?!dd)", "o": "(?!mit|ther)", "M": "(?![iI])"}


def fold(text: str) -> str:
    """The text with signs that mean the same made one sign; as long as before."""
    return text if text.isascii() and "[" not in text else text.translate(_FOLD)


def _spellings() -> Iterator[tuple[str, Quality]]:
    for row in QUALITIES:
        for pattern in (row.text, *row.spellings):
            yield from ((text, row) for text in _expanded(pattern))


def _expanded(pattern: str) -> Iterator[str]:
    names = findall(r"\{([^}]+)\}", pattern)
    for words in product(*(FAMILIES[name] for name in names)):
        text = pattern
        for name, word in zip(names, words, strict=True):
            text = text.replace(f"{{{name}}}", word, 1)
        yield text


#: Every folded spelling of a quality; "" is the major triad.
SPELLINGS: Final[dict[str, Quality]] = dict(_spellings())


def quality_pattern() -> str:
    """A regular expression that matches the longest spelling at a place.

    It is a prefix tree in which a family is one branch, which keeps it short and quick to compile.
    """
    patterns = {text for row in QUALITIES for text in (row.text, *row.spellings) if text}
    return _tree([tuple(findall(r"\{[^}]+\}|.", pattern)) for pattern in sorted(patterns)])


def _tree(patterns: list[tuple[str, ...]]) -> str:
    """The regular expression of sorted patterns, `maj` before `min` so that m does not cut it."""
    heads: dict[str, list[tuple[str, ...]]] = {}
    for pattern in patterns:
        heads.setdefault(pattern[0] if pattern else "", []).append(pattern[1:])
    # A digit would belong to the spelling before it: C79 is not C7 and a 9.
    end = [r"(?!\d)"] if heads.pop("", None) else []
    families = sorted(head for head in heads if len(head) > 1)
    letters = sorted(head for head in heads if len(head) == 1)
    branches = [_words(head) + _tree(heads[head]) for head in families]
    branches += [escape(head) + _tree(heads[head]) for head in letters]
    return _either(branches + end)


def _words(family: str) -> str:
    words = sorted(FAMILIES[family[1:-1]], key=len, reverse=True)
    return _either([escape(word) + _STOPS.get(word, "") for word in words])


def _either(branches: list[str]) -> str:
    return branches[0] if len(branches) == 1 else f"(?:{'|'.join(branches)})"
