"""Swing: where the off-beat eighth of a quarter falls.

A swing ratio is the long eighth over the short one: 1 is even, 2 the triplet feel. By tempo it
follows Friberg & Sundström, "Swing ratios and ensemble timing in jazz performance: evidence for a
common rhythmic pattern", *Music Perception* 19(3), 2002: about 3.5:1 when slow, even when very
fast, the short eighth about 100 ms at medium and fast tempos. The model here keeps the short
eighth at 100 ms and the ratio between those bounds: at 200 quarters a minute 2:1, at 300 and above
1:1.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final

SHORT_EIGHTH_MS: Final = 100
SLOWEST_RATIO: Final = Fraction(7, 2)
EVEN: Final = Fraction(1)
_NUMBER: Final = r"[0-9]{1,4}(?:\.[0-9]{1,4})?"

#: Words of a feel whose eighths are even (common practice, no source).
EVEN_FEELS: Final = ("bossa", "latin", "samba", "straight", "even", "rock", "funk")


class SwingError(ValueError):
    """What was asked is no swing; the message says what there is."""


def swing_by_tempo(quarters_a_minute: Fraction) -> Fraction:
    """The swing ratio at a tempo, 1 to 3.5. Friberg & Sundström 2002."""
    quarter_ms = 60_000 / quarters_a_minute
    ratio = (quarter_ms - SHORT_EIGHTH_MS) / SHORT_EIGHTH_MS
    return min(SLOWEST_RATIO, max(EVEN, ratio))


def read_swing(text: str) -> Fraction | None:
    """A ratio from `2:1`, `1.5`, `even` or `triplet`; None for `auto` (by tempo).

    Raises SwingError for anything else, or a ratio outside 1 to 4.
    """
    words = {"auto": None, "even": EVEN, "straight": EVEN, "triplet": Fraction(2)}
    if text.lower() in words:
        return words[text.lower()]
    # Plain decimals only: an exponent would ask for a number of any size.
    found = re.fullmatch(rf"({_NUMBER})(?::({_NUMBER}))?", text.strip())
    long, short = (Fraction(0), Fraction(1)) if found is None else map(Fraction, found.groups("1"))
    ratio = long / short if short else Fraction(0)
    if not 1 <= ratio <= 4:
        raise SwingError(
            f"{text!r} is no swing: there are auto (by tempo), even, triplet, or a ratio from "
            "1:1 to 4:1 such as 1.5:1"
        )
    return ratio


def is_even_feel(feel: str) -> bool:
    """Whether a feel asks for even eighths; a jazz chart that says nothing is swung."""
    return any(word in feel.lower() for word in EVEN_FEELS)


def swung(at: Fraction, ratio: Fraction) -> Fraction:
    """A time in quarters with its eighths swung: quarters stay, halves go to ratio/(1 + ratio)."""
    whole, part = divmod(at, 1)
    middle = ratio / (1 + ratio)
    half = Fraction(1, 2)
    if part <= half:
        return whole + part * 2 * middle
    return whole + middle + (part - half) * 2 * (1 - middle)
