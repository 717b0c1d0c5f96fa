"""A performance through FluidSynth and a SoundFont, when the user names them.

Takes a `Performance`, gives the bytes of a marked WAV file. Nothing is searched for or downloaded.
"""

from __future__ import annotations

import subprocess
from pathlib import Path
from tempfile import TemporaryDirectory

from ...converter.practice.timing import Performance
from ..midi import write_midi
from .pluck import RATE
from .wav import marked


class SynthesizerError(OSError):
    """The named program or SoundFont cannot be used; the message says what it answered."""


def write_fluid_wav(performance: Performance, program: str, soundfont: Path) -> bytes:
    """The performance as played by `program` (FluidSynth) with `soundfont`.

    Raises SynthesizerError when either is missing or the program fails.
    """
    if not soundfont.is_file():
        raise SynthesizerError(f"there is no SoundFont {soundfont}")
    with TemporaryDirectory() as folder:
        tune, sound = Path(folder, "tune.mid"), Path(folder, "tune.wav")
        tune.write_bytes(write_midi(performance))
        flags = ["-n", "-i", "-q", "-r", str(RATE), "-T", "wav", "-F", str(sound)]
        try:
            done = subprocess.run(
                [program, *flags, str(soundfont), str(tune)],
                capture_output=True,
                text=True,
                check=False,
            )
        except OSError as error:
            raise SynthesizerError(f"{program} cannot be run: {error.strerror}") from error
        if done.returncode or not sound.is_file():
            answer = done.stderr.strip() or f"exit status {done.returncode}"
            raise SynthesizerError(f"{program} made no sound: {answer}")
        return marked(sound.read_bytes())
