"""The version of Midneck: package metadata and the stamps in written files take it from here."""

from typing import Final

__version__: Final = "0.1.0"
