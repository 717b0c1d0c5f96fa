"""The pages of an Ogg stream: their lengths, their checksums and the serial number of the stream.

Source: RFC 3533, *The Ogg Encapsulation Format Version 0*, section 6 (page header, checksum).
"""

from __future__ import annotations

import struct
import zlib
from typing import Final

#: The bytes that a page begins with.
PAGE: Final = b"OggS"
#: The serial number of a stream, which only has to differ from those of other streams in its file.
_SERIAL: Final = 1
#: Where the header of a page holds serial number, checksum, and count of segments; its length.
_SERIAL_AT, _CHECKSUM_AT, _SEGMENTS_AT, _HEADER = 14, 22, 26, 27
#: Each byte with its bits in reverse order.
_REVERSED: Final = bytes(int(f"{byte:08b}"[::-1], 2) for byte in range(256))


def with_serial(stream: bytes) -> bytes:
    """An Ogg stream with a constant serial number in every page."""
    out, at = bytearray(stream), 0
    while at < len(out):
        struct.pack_into("<I", out, at + _SERIAL_AT, _SERIAL)
        at = _put_checksum(out, at)
    return bytes(out)


def with_checksum(stream: bytes, at: int) -> bytes:
    """An Ogg stream with the checksum of the page that begins at an index; as it is without one."""
    if at < 0 or len(stream) < at + _HEADER:
        return stream
    out = bytearray(stream)
    _put_checksum(out, at)
    return bytes(out)


def _put_checksum(out: bytearray, at: int) -> int:
    """Put its checksum into the page that begins at an index; gives the index of its end."""
    body = at + _HEADER + out[at + _SEGMENTS_AT]
    end = body + sum(out[at + _HEADER : body])
    struct.pack_into("<I", out, at + _CHECKSUM_AT, 0)
    struct.pack_into("<I", out, at + _CHECKSUM_AT, _checksum(bytes(out[at:end])))
    return end


def _checksum(page: bytes) -> int:
    """The checksum of an Ogg page: the polynomial of zlib's, from 0, bits in the other order."""
    plain = zlib.crc32(page.translate(_REVERSED), 0xFFFFFFFF) ^ 0xFFFFFFFF
    return int(f"{plain:032b}"[::-1], 2)
