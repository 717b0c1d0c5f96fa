"""A performance as samples, played by FluidSynth with a SoundFont.

It runs only if the user names a SoundFont: only the program is searched for, nothing is
downloaded. Reverb and chorus are off, so that damped notes are silent. It starts notes on blocks of
64 samples, so that strokes are within 2.5 ms of their time. Its exit status is 0 even when it could
not load the SoundFont (it may then play another one) or write its file, so the SoundFont's first
bytes, the messages of the program and the file that it wrote are all checked.

Sources: SoundFont Technical Specification 2.04 (a RIFF file of form `sfbk`); FluidSynth's manual
page, fluidsynth(1).
"""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

import numpy as np

from ...converter.practice.performance import Performance
from ...grammar.errors import MidneckError
from ...grammar.files import open_file
from ..midi import write_midi
from .strings import RATE, Mix, levelled, sample_count

PROGRAM: Final = "fluidsynth"
#: No MIDI in, no shell, quiet, dry; 32-bit floats cannot clip before they are levelled.
_FLAGS: Final = "-n -i -q -R 0 -C 0 -T raw -O float -E little"
_INSTEAD: Final = "or leave --soundfont out for the strings that Midneck brings along"
_CHANNELS: Final = 2
#: How long FluidSynth may load a SoundFont, in seconds; large ones take a few.
_LOADING_S: Final = 60.0


class SynthesizerError(MidneckError, OSError):
    """The SoundFont or FluidSynth cannot be used; the message says what to do."""


def fluid_mix(performance: Performance, soundfont: Path) -> Mix:
    """The samples of a performance, played with `soundfont`, at the level of our own strings.

    Raises SynthesizerError when FluidSynth or the SoundFont is missing, the file is not a
    SoundFont, or the program fails.
    """
    check_soundfont(soundfont)
    program = shutil.which(PROGRAM)
    if program is None:
        raise SynthesizerError(
            f"a SoundFont is played by FluidSynth, and there is no program {PROGRAM!r} here: "
            f"install it, {_INSTEAD}"
        )
    with TemporaryDirectory() as folder:
        tune, sound = Path(folder, "tune.mid"), Path(folder, "tune.raw")
        tune.write_bytes(write_midi(performance))
        command = [program, *_FLAGS.split(), "-r", str(RATE), "-F", str(sound)]
        _run(command, soundfont, tune, _patience_s(performance))
        data = sound.read_bytes() if sound.is_file() else b""
    if not data:
        raise SynthesizerError(f"{PROGRAM} wrote no sound: try another SoundFont, {_INSTEAD}")
    return _mono(data, sample_count(performance))


def check_soundfont(path: Path) -> None:
    """Check that a file is a SoundFont. Raises SynthesizerError if it is not, or does not exist."""
    try:
        with open_file(path) as file:
            head = file.read(12)
    except OSError as error:
        raise SynthesizerError(
            f"{path} cannot be read ({(error.strerror or str(error)).lower()}): name an .sf2 or "
            f".sf3 file, {_INSTEAD}"
        ) from error
    if head[:4] != b"RIFF" or head[8:12] != b"sfbk":
        raise SynthesizerError(f"{path} is not a SoundFont: name an .sf2 or .sf3 file, {_INSTEAD}")


def _patience_s(performance: Performance) -> float:
    """How long the program may take, in seconds: it is much faster than the music."""
    return _LOADING_S + float(performance.seconds(performance.length))


def _run(command: list[str], soundfont: Path, tune: Path, patience_s: float) -> None:
    # An absolute path cannot begin with a dash and be read as an option.
    names = [str(path.absolute()) for path in (soundfont, tune)]
    try:
        done = subprocess.run(
            [*command, *names],
            stdin=subprocess.DEVNULL,
            capture_output=True,
            check=False,
            timeout=patience_s,
        )
    except subprocess.TimeoutExpired as error:
        raise SynthesizerError(
            f"{PROGRAM} did not end within {patience_s:.0f} seconds: try another SoundFont, "
            f"{_INSTEAD}"
        ) from error
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise SynthesizerError(
            f"{command[0]} cannot be run ({reason}): install FluidSynth anew, {_INSTEAD}"
        ) from error
    lines = done.stderr.decode(errors="replace").splitlines()
    bad = [line.strip() for line in lines if "error:" in line or line.startswith("Failed ")]
    if done.returncode or bad:
        reason = bad[0] if bad else f"exit status {done.returncode}"
        raise SynthesizerError(
            f"{PROGRAM} could not play with {soundfont} ({reason}): try another SoundFont, "
            f"{_INSTEAD}"
        )


def _mono(data: bytes, count: int) -> Mix:
    """The first `count` samples of the mean of both channels, levelled."""
    whole = len(data) // (4 * _CHANNELS) * _CHANNELS
    sides = np.frombuffer(data, "<f4", whole).reshape(-1, _CHANNELS)
    total: Mix = np.zeros(count, np.float32)
    kept = sides[:count].mean(axis=1, dtype=np.float32)
    total[: len(kept)] = kept
    return levelled(total)
