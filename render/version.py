"""Midneck's version: the package's metadata and the stamps in its files take it from here."""

from typing import Final

VERSION: Final = "0.1.0"
