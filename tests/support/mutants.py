"""Texts with something changed, and texts of odd parts: many different inputs from one seed.

Takes a `random.Random`; gives text. A mutant of a sheet mostly stays readable: lines are doubled,
moved, left out, or get a word of the format; characters are changed less often.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from typing import Final

#: Lines that a sheet may have between others, in 4/4.
GOOD_LINES: Final = (
    "Key: Bb", "Key: F#m", "Key: D dorian", "A:", "B:", "A: again", "B: again", "Coda:", "Intro:",
    "[Tag]", "[C] | F |", "Outro:", "# a remark", "#", '"softly"', '"', "“loud: now”", '"Key: F"',
    "| C |", "| C | F7 ||", "|: C | F :|", "|: C |1. F :|2. G ||", "|1-3. C :|4. F ||",
    "|: C |1-99. F :|100. G ||", "| % | C | F | %% |", "| -9- |", "| C / / / |",
    "| C=1.5 F=5/2 |", "| C=4/3 F=4/3 G=4/3 |", "| (Dm7 G7) |", "| C (Dm7 G7) |", "| C6 (A7) |",
    "| N.C. |", "| N.C.(hold) |", "| Segno C |", "| C Fine |", "|: C :|3x", "|: C :|99x ||",
    "| Dm7<10 x 10 10 x x> |", "| Dm7<10 x 10 10 x x: 2 - 3 4 - -> |", "A: | C | F |",
    "| C7alt | F13(b9,#11) | Bbm(maj7)/A |", "| C(push) F7(push)(hold) |", "A", "Bridge", "Bridge",
    "Time: 4/4", "Time: 6/8", "Time: C|", "Time: 256/4", "Time: 512/64", "Time: 1/1",
    "| C | / / / F |", "C | F | G", "| C:| F ||", "B' :", "B/D:", "1x:",
)  # fmt: skip
#: Lines that mostly make a sheet wrong, or belong into its header.
ODD_LINES: Final = (
    "Time: 3/4", "Form: AABA", "Form: A B A", "Tempo: 90", "Feel: bossa", "Capo: 3", "Title: a",
    "By: b", "Arranger: c", "Segno:", '""', "| % | %% |", "| -999- |", "| C=4/513 |",
    "| G7 (pickup) |", "| Coda C |", "| C To Coda |", "| C D.C. al Fine |", "| C D.S. al Coda |",
    "D.C. al Fine", "D.S.", "Fine Coda | C |", "| C Fine Coda | F |", "| C :|", "| / / G7 |",
    "| G7 / |", "| H7 |", "1. | C |", "medium swing", "by Somebody", "A Tune of Words",
)  # fmt: skip
LINES: Final = GOOD_LINES + ODD_LINES
#: Parts of lines to put anywhere.
PARTS: Final = (
    "|", "||", "|:", ":|", ":|:", ":|3x", "|1.", "|2.", "|1,2.", "|1-99.", "%", "%%", " / ", "/",
    "-4-", "N.C.", "C", "F#m7b5/E", "(", ")", "(C7", "(push)", "(hold)", "(pickup)", "=1.5",
    "=4/3", "=127/128", "<10 x 10 10 x x>", "Segno ", "Coda ", "Fine ", "To Coda ", "D.C. ",
    "D.S. al Coda ", '"', "#", ":", "[", "]", "\t", "\n", "\r", "\x0b", "\x0c", "\x1c", "\x85",
    "\u2028", "\u200b", "\u202e", "\x1b]0;x\x07", "\x00", "\x7f", "\x9b31m", "\ufffe", "\U0001d10b",
    "♭", "△", "é", "е́", "שלום", "日本", "\xad", "\ufeff", "９", "1", "0", "{", "}", "\\", "x",
)  # fmt: skip


def mutant(chance: random.Random, text: str, changes: int = 3) -> str:
    """The text with one to `changes` changes of lines or parts of lines."""
    for _ in range(chance.randint(1, changes)):
        text = chance.choice(_CHANGES)(chance, text)
    return text


def _line_in(chance: random.Random, text: str) -> str:
    lines = text.split("\n")
    lines.insert(chance.randint(0, len(lines)), chance.choice(LINES))
    return "\n".join(lines)


def _line_out(chance: random.Random, text: str) -> str:
    lines = text.split("\n")
    del lines[chance.randrange(len(lines))]
    return "\n".join(lines)


def _line_again(chance: random.Random, text: str) -> str:
    lines = text.split("\n")
    lines.insert(chance.randint(0, len(lines)), chance.choice(lines))
    return "\n".join(lines)


def _line_moved(chance: random.Random, text: str) -> str:
    lines = text.split("\n")
    line = lines.pop(chance.randrange(len(lines)))
    lines.insert(chance.randint(0, len(lines)), line)
    return "\n".join(lines)


def _part_in(chance: random.Random, text: str) -> str:
    at = chance.randint(0, len(text))
    return text[:at] + chance.choice(PARTS) + text[at + chance.choice((0, 0, 0, 1, 2)) :]


def _part_for_token(chance: random.Random, text: str) -> str:
    words = text.split(" ")
    words[chance.randrange(len(words))] = chance.choice(PARTS)
    return " ".join(words)


def _repeated(chance: random.Random, text: str) -> str:
    """A part of the text many times over."""
    at = chance.randint(0, len(text))
    size = chance.choice((1, 2, 5, 12))
    return text[:at] + text[at : at + size] * chance.choice((2, 9, 70, 400)) + text[at + size :]


_CHANGES: Final = (
    _line_in, _line_in, _line_in, _line_out, _line_again, _line_moved, _part_in, _part_in,
    _part_for_token, _repeated,
)  # fmt: skip


def odd_sheet(chance: random.Random) -> str:
    """A sheet of odd lines: header lines, then lines of every kind in any order."""
    head = chance.sample(LINES, chance.choice((0, 0, 1, 2)))
    body = [chance.choice(GOOD_LINES) for _ in range(chance.randint(2, 10))]
    if chance.random() < 0.4:
        body.insert(chance.randint(0, len(body)), chance.choice(ODD_LINES))
    return "\n".join([*head, "A:", "| C | F |", *body]) + "\n"


def mutants(chance: random.Random, texts: Sequence[str], count: int) -> list[str]:
    """Mutants of some of the texts."""
    return [mutant(chance, chance.choice(texts)) for _ in range(count)]
