"""Samples as a WAV file: mono, 16 bits, 44,100 a second, our mark in its LIST/INFO ISFT chunk.

The format is Microsoft & IBM, *Multimedia Programming Interface and Data Specifications 1.0*, 1991.
"""

from __future__ import annotations

import struct
import wave
from io import SEEK_END, BytesIO
from pathlib import Path

import numpy as np

from ...converter.practice.timing import Performance
from ..output import MARK
from .fluid import fluid_mix
from .mix import Mix, blocks, mix
from .pluck import RATE


def write_wav(performance: Performance, soundfont: Path | None = None) -> bytes:
    """The performance as a WAV file, played by our own strings or with the SoundFont named.

    Raises SynthesizerError when the SoundFont cannot be played.
    """
    if soundfont is None:
        return wav_bytes(mix(performance))
    return wav_bytes(fluid_mix(performance, soundfont))


def wav_bytes(samples: Mix) -> bytes:
    """Samples from −1 to 1 as a marked WAV file."""
    buffer = BytesIO()
    with wave.open(buffer, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        # The length stands in the header from the beginning: nothing has to be written anew.
        file.setnframes(len(samples))
        for block in blocks(samples):
            file.writeframesraw(np.rint(block * 32767.0).astype("<i2").tobytes())
    _mark(buffer)
    return buffer.getvalue()


def _mark(file: BytesIO) -> None:
    """Add our mark at the end of a whole RIFF file."""
    text = MARK.encode("ascii") + b"\0"
    text += b"\0" * (len(text) % 2)
    info = b"INFO" + b"ISFT" + struct.pack("<I", len(text)) + text
    size = file.seek(0, SEEK_END)
    file.write(b"\0" * (size % 2) + b"LIST" + struct.pack("<I", len(info)) + info)
    size = file.tell() - 8
    file.seek(4)
    file.write(struct.pack("<I", size))
