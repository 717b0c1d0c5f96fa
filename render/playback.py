"""A performance in the format that is asked for, and the cautions that go with it.

Takes a `Performance`, gives the bytes of a file; used by every command that plays.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Final

from ..converter.hand.cautions import HAND_CAUTION, HEARING_CAUTION
from ..converter.practice.timing import Performance

#: What can be played to, by the ending of the name.
KINDS: Final = (".mid", ".wav")
#: From here on a performance counts as a long drill and comes with a caution for the hands.
LONG_MINUTES: Final = 5


class PlaybackError(ValueError):
    """A wish has no sense for the format; the message says for which it has."""


@dataclass(frozen=True, slots=True)
class Instruments:
    """What plays: in sound the SoundFont of a file, None for our own strings; in MIDI the guitar's
    strings on one channel or `strings_apart`, each on its own.
    """

    soundfont: Path | None = None
    strings_apart: bool = False

    def check(self, kind: str) -> None:
        """Raises PlaybackError when a file of this kind does not hold what is wished."""
        if self.soundfont is not None and kind != ".wav":
            raise PlaybackError(f"--soundfont plays a .wav file, not a {kind} file")
        if self.strings_apart and kind != ".mid":
            raise PlaybackError(f"--strings-apart is for a .mid file, not a {kind} file")


OWN: Final = Instruments()


def played(performance: Performance, kind: str, instruments: Instruments = OWN) -> bytes:
    """The bytes of a `.mid` or `.wav` file.

    Raises PlaybackError when the instruments do not fit it, SynthesizerError when the SoundFont
    cannot be played.
    """
    instruments.check(kind)
    if kind == ".mid":
        from .midi import write_midi

        return write_midi(performance, instruments.strings_apart)
    from .sound.wav import write_wav

    return write_wav(performance, instruments.soundfont)


def cautions(performance: Performance, ladder: bool = False) -> list[str]:
    """What is said beside a performance: for the hands where it is long or rises, for the ears."""
    minutes = performance.seconds(performance.length) / 60
    hands = [HAND_CAUTION] if ladder or minutes > LONG_MINUTES else []
    return [*hands, HEARING_CAUTION]
