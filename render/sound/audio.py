"""Samples as audio files: WAV, and compressed as Ogg Vorbis, FLAC and MP3.

Takes samples from −1 to 1; gives the bytes of a file. A WAV file is mono, 16 bits, 44,100 samples a
second, with our mark and stamp in its LIST/INFO ISFT chunk. The encoders of the others are those of
libsndfile, which the package soundfile brings (extra `audio`). libsndfile gives an Ogg stream a
random serial number; it is replaced by a constant, so that two encodings of one sound are the same
bytes.

Source: Microsoft & IBM, *Multimedia Programming Interface and Data Specifications 1.0*, 1991 (WAV
and RIFF).
"""

from __future__ import annotations

import struct
import wave
from io import SEEK_END, BytesIO
from typing import Final

import numpy as np

from ...grammar.errors import MidneckError
from ..ogg import with_serial
from ..stamps import SIGNATURE
from .strings import RATE, Mix, chunks

#: The compressed formats by the ending of the name: libsndfile's names of container and encoding.
FORMATS: Final = {
    ".ogg": ("OGG", "VORBIS"),
    ".flac": ("FLAC", "PCM_16"),
    ".mp3": ("MP3", "MPEG_LAYER_III"),
}
#: Samples that are encoded at once: libsndfile overflows its stack on long runs of Vorbis.
_CHUNK: Final = 65_536


class AudioError(MidneckError, ValueError):
    """Audio of this kind cannot be written here; the message says what to install or to use."""


def wav_bytes(samples: Mix, mark: str = SIGNATURE) -> bytes:
    """Samples from −1 to 1 as a WAV file with the mark of its maker, in ASCII."""
    buffer = BytesIO()
    with wave.open(buffer, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        # The header gets the length first, so that it is written only once.
        file.setnframes(len(samples))
        for chunk in chunks(samples):
            file.writeframesraw(np.rint(chunk * 32767.0).astype("<i2").tobytes())
    _add_mark(buffer, mark)
    return buffer.getvalue()


def _add_mark(file: BytesIO, mark: str) -> None:
    """Add a mark at the end of a whole RIFF file."""
    text = mark.encode("ascii") + b"\0"
    text += b"\0" * (len(text) % 2)
    info = b"INFO" + b"ISFT" + struct.pack("<I", len(text)) + text
    size = file.seek(0, SEEK_END)
    file.write(b"\0" * (size % 2) + b"LIST" + struct.pack("<I", len(info)) + info)
    size = file.tell() - 8
    file.seek(4)
    file.write(struct.pack("<I", size))


def audio_bytes(samples: Mix, kind: str, mark: str = SIGNATURE) -> bytes:
    """Samples as a file of a kind of `FORMATS`, with the mark of its maker in its comment.

    Raises AudioError when it cannot be encoded.
    """
    try:
        import soundfile
    except (ImportError, OSError) as error:
        raise AudioError(
            f"{kind} files need the extra audio: pip install 'midneck[audio]'; or write .wav"
        ) from error
    container, encoding = FORMATS[kind]
    if container not in soundfile.available_formats():
        raise AudioError(f"the libsndfile of this machine writes no {kind}: use .ogg or .wav")
    buffer = BytesIO()
    with soundfile.SoundFile(buffer, "w", RATE, 1, format=container, subtype=encoding) as file:
        file.comment = mark
        for start in range(0, len(samples), _CHUNK):
            file.write(samples[start : start + _CHUNK])
    return with_serial(buffer.getvalue()) if kind == ".ogg" else buffer.getvalue()
