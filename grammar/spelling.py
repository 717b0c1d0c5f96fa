"""How qualities are written: every spelling of every row of the table, and the pattern they make.

Takes the spellings column of `quality.QUALITIES`, gives `SPELLINGS` (folded text → quality) and the
regular expression of the grammar's QUALITY terminal. Unicode signs are folded to one sign each, one
character for one, so that columns stay true. Which words mean what is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from re import escape, findall, split
from typing import Final

from .quality import QUALITIES, Quality

#: Word families in the spellings column.
FAMILIES: Final[dict[str, tuple[str, ...]]] = {
    "maj": ("maj", "Maj", "MAJ", "ma", "Ma", "MA", "M", "mj", "j", "major", "Major"),
    "min": ("m", "min", "Min", "MIN", "mi", "Mi", "MI", "-", "minor", "Minor"),
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


def _expanded(pattern: str) -> Iterator[str]:
    """The pattern with each of its families spelled in each of its ways."""
    parts = split(r"[{}]", pattern)
    parts_of = [(part,) if at % 2 == 0 else FAMILIES[part] for at, part in enumerate(parts)]
    return map("".join, product(*parts_of))


#: `none` is silence, which N.C. says and no word after a root.
_ROWS: Final = tuple(row for row in QUALITIES if row.kind != "none")

# Where two rows could claim a spelling the one higher up has it: mj7 is a major seventh.
_COLUMN: Final = {
    text: row for row in reversed(_ROWS) for pattern in row.spellings for text in _expanded(pattern)
}
#: Every folded spelling of a quality; "" is the major triad.
SPELLINGS: Final[dict[str, Quality]] = {row.text: row for row in _ROWS} | _COLUMN


def quality_pattern() -> str:
    """A regular expression that matches the longest spelling at a place.

    It is a prefix tree in which a family is one branch, which keeps it short and quick to compile.
    """
    patterns = {pattern for row in _ROWS for pattern in row.spellings}
    patterns |= {row.text for row in _ROWS} - _COLUMN.keys() - {""}
    tree = _tree([tuple(findall(r"\{[^}]+\}|.", pattern)) for pattern in sorted(patterns)])
    # A digit would belong to the spelling before it: C79 is not C7 and a 9.
    return rf"{tree}(?!\d)"


def _tree(patterns: list[tuple[str, ...]]) -> str:
    """The regular expression of sorted patterns, `maj` before `min` so that m does not cut it."""
    heads: dict[str, list[tuple[str, ...]]] = {}
    for pattern in patterns:
        heads.setdefault(pattern[0] if pattern else "", []).append(pattern[1:])
    ends = heads.pop("", None) is not None
    families = sorted(head for head in heads if len(head) > 1)
    letters = sorted(head for head in heads if len(head) == 1)
    branches = [_words(head) + _tree(heads[head]) for head in families]
    branches += [escape(head) + _tree(heads[head]) for head in letters]
    return f"(?:{'|'.join(branches)})?" if ends and branches else _either(branches)


def _words(family: str) -> str:
    words = sorted(FAMILIES[family[1:-1]], key=len, reverse=True)
    if len(words[0]) == 1:
        return f"[{''.join(map(escape, words))}]"
    return _either([escape(word) + _STOPS.get(word, "") for word in words])


def _either(branches: list[str]) -> str:
    return "".join(branches) if len(branches) < 2 else f"(?:{'|'.join(branches)})"
