"""MusicXML lead sheets, read into the same `Sheet` as plain text."""

from .reader import read_musicxml
from .xml import looks_like_musicxml

__all__ = ["looks_like_musicxml", "read_musicxml"]
