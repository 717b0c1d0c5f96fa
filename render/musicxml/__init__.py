"""A comping chart as MusicXML 4.0."""

from .write import write_musicxml

__all__ = ["write_musicxml"]
