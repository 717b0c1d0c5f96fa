"""Samples as compressed audio: Ogg Vorbis, FLAC, MP3.

Takes samples from −1 to 1; gives the bytes of a file. The encoders are those of libsndfile, which
the package soundfile brings (extra `audio`). libsndfile gives an Ogg stream a random serial number;
it is replaced by a constant, so that two encodings of one sound are the same bytes.

Source: RFC 3533, *The Ogg Encapsulation Format Version 0*, section 6 (page header, checksum).
"""

from __future__ import annotations

import struct
import zlib
from io import BytesIO
from typing import Final

from ...grammar.errors import MidneckError
from ..output import MARK
from .strings import RATE, Mix

#: The formats by the ending of the name: libsndfile's names of container and encoding.
FORMATS: Final = {
    ".ogg": ("OGG", "VORBIS"),
    ".flac": ("FLAC", "PCM_16"),
    ".mp3": ("MP3", "MPEG_LAYER_III"),
}
#: Samples that are encoded at once: libsndfile overflows its stack on long runs of Vorbis.
_CHUNK: Final = 65_536
#: The serial number of a stream, which only has to differ from those of other streams in its file.
_SERIAL: Final = 1
#: Where the header of a page holds serial number, checksum, and count of segments; its length.
_SERIAL_AT, _CHECKSUM_AT, _SEGMENTS_AT, _HEADER = 14, 22, 26, 27
#: Each byte with its bits in reverse order.
_REVERSED: Final = bytes(int(f"{byte:08b}"[::-1], 2) for byte in range(256))


class AudioError(MidneckError, ValueError):
    """Audio of this kind cannot be written here; the message says what to install or to use."""


def audio_bytes(samples: Mix, kind: str, mark: str = MARK) -> bytes:
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
    return _with_serial(buffer.getvalue()) if kind == ".ogg" else buffer.getvalue()


def _with_serial(stream: bytes) -> bytes:
    """An Ogg stream with `_SERIAL` in every page."""
    out, at = bytearray(stream), 0
    while at < len(out):
        segments = out[at + _SEGMENTS_AT]
        body = at + _HEADER + segments
        end = body + sum(out[at + _HEADER : body])
        struct.pack_into("<I", out, at + _SERIAL_AT, _SERIAL)
        struct.pack_into("<I", out, at + _CHECKSUM_AT, 0)
        struct.pack_into("<I", out, at + _CHECKSUM_AT, _checksum(bytes(out[at:end])))
        at = end
    return bytes(out)


def _checksum(page: bytes) -> int:
    """The checksum of an Ogg page: the polynomial of zlib's, from 0, bits in the other order."""
    plain = zlib.crc32(page.translate(_REVERSED), 0xFFFFFFFF) ^ 0xFFFFFFFF
    return int(f"{plain:032b}"[::-1], 2)
