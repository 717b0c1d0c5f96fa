"""A performance in the format that is asked for, and the cautions that go with it.

Takes a `Performance`, gives the bytes of a file; used by every command that plays.
"""

from __future__ import annotations

from typing import Final

from ..converter.hand.cautions import HAND_CAUTION, HEARING_CAUTION
from ..converter.practice.timing import Performance

#: What can be played to, by the ending of the name.
KINDS: Final = (".mid", ".wav")
#: From here on a performance counts as a long drill and comes with a caution for the hands.
LONG_MINUTES: Final = 5


def played(performance: Performance, kind: str) -> bytes:
    """The bytes of a `.mid` or `.wav` file."""
    if kind == ".mid":
        from .midi import write_midi

        return write_midi(performance)
    from .sound.wav import write_wav

    return write_wav(performance)


def cautions(performance: Performance, ladder: bool = False) -> list[str]:
    """What is said beside a performance: for the hands where it is long or rises, for the ears."""
    minutes = performance.seconds(performance.length) / 60
    hands = [HAND_CAUTION] if ladder or minutes > LONG_MINUTES else []
    return [*hands, HEARING_CAUTION]
