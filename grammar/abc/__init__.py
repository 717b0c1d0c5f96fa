"""ABC tunes (The abc music standard 2.1), read into the same `Sheet` as plain text."""

from .reader import read_abc
from .source import looks_like_abc

__all__ = ["looks_like_abc", "read_abc"]
