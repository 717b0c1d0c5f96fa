"""The mistakes that a typed progression can hold: label, what is said, progressions that make it.

One table drives the messages at run time and the tests, which read every example and look for its
label. Columns count from 1 in the text as it was typed.
"""

from __future__ import annotations

from typing import Final

from .errors import Problem
from .mistake import Mistake

PROGRESSION_MISTAKES: Final[dict[str, Mistake]] = {
    "nothing": Mistake("there is no chord", "numerals, as in ii7 | V7 | I6", ("", " | | ")),
    "too-long": Mistake("this is longer than {most} characters", "a shorter progression", ()),
    "too-many": Mistake("more than {most} chords or bars", "a shorter progression",
        ("I | " * 70, "I" + " | %" * 70, "| ii7 V7 |" + " % |" * 40),
    ),
    "stray": Mistake(
        "neither a numeral nor a chord",
        "a numeral such as ii7, bVII7, V7/ii",
        ("ii7 qV7 I6", "#bII7 I6", "ii7 V7/b#ii"),
    ),
    "bad-quality": Mistake(
        "not a quality", "one as after a chord's root: 7, m7, maj7, ø7, 7b9", ("ii7xyz V7 I6",)
    ),
    "bad-numeral": Mistake(
        "no such degree", "I to VII, all capitals or all small", ("IIII7 V7", "iI7 V7 I")
    ),
    "bad-chord": Mistake("not a chord", "a chord symbol such as C6, F#m7b5", ("Dm7 Gxy C6",)),
    "bass-note": Mistake(
        "a bass note does not go round the keys with a shell", "the chord alone", ("Dm7 G7/B C6",)
    ),
    "substitute-not-dominant": Mistake(
        "a substitute stands for a dominant", "a seventh, as in subV7", ("ii7 subVmaj7 I6",)
    ),
    "mixed": Mistake(
        "numerals and chords in one progression", "one of the two", ("Dm7 V7 I6", "ii7 G7 C6")
    ),
    "mode-late": Mistake("the mode stands first", "minor: iiø7 | V7 | i6", ("iiø7 minor: V7",)),
    "key-unknown": Mistake("chords need a key to go round the keys", "the key beside them", ()),
    "slash-first": Mistake("there is no chord before this", "a chord first", ("/ ii7 | V7",)),
    "repeat-first": Mistake("there is no bar before to play again", "chords", ("% | V7",)),
    "repeat-mixed": Mistake("this stands alone in its bar", "a bar of its own", ("ii7 | V7 %",)),
    "beat-count": Mistake(
        "{count} beats in a bar of {meter}", "{beats}", ("ii7 / / V7 / / | I",)
    ),
    "too-many-in-bar": Mistake(
        "{count} chords in a bar of {meter}",
        "at most one for each beat, or a bar line between them",
        ("| I II7 ii7 V7 iii7 |",),
    ),
}  # fmt: skip


def progression_mistake(
    label: str, column: int, text: str = "", suggestion: str = "", **fields: object
) -> Problem:
    """The problem of that label at a column; `fields` fill the braces of its message."""
    entry = PROGRESSION_MISTAKES[label]
    message, expected = entry.message.format(**fields), entry.expected.format(**fields)
    return Problem(1, column, message, text, "", expected, suggestion, label)
