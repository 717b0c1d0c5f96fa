"""MusicXML lead sheets, read into the same `Sheet` as plain text."""

from .read import read_musicxml
from .source import MAX_BYTES, looks_like_musicxml

__all__ = ["MAX_BYTES", "looks_like_musicxml", "read_musicxml"]
