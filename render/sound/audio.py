"""Samples as compressed audio: Ogg Vorbis, FLAC, MP3.

Takes samples from −1 to 1; gives the bytes of a file. The encoders are those of libsndfile, which
the package soundfile brings (extra `audio`). libsndfile gives an Ogg stream a random serial number;
it is replaced by a constant, so that two encodings of one sound are the same bytes.
"""

from __future__ import annotations

from io import BytesIO
from typing import Final

from ...grammar.errors import MidneckError
from ..stamps import SIGNATURE
from .ogg import with_serial
from .strings import RATE, Mix

#: The formats by the ending of the name: libsndfile's names of container and encoding.
FORMATS: Final = {
    ".ogg": ("OGG", "VORBIS"),
    ".flac": ("FLAC", "PCM_16"),
    ".mp3": ("MP3", "MPEG_LAYER_III"),
}
#: Samples that are encoded at once: libsndfile overflows its stack on long runs of Vorbis.
_CHUNK: Final = 65_536


class AudioError(MidneckError, ValueError):
    """Audio of this kind cannot be written here; the message says what to install or to use."""


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
