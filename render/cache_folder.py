"""The folder in the user's cache in which Midneck keeps what it can make again."""

from __future__ import annotations

import os
import sys
from pathlib import Path


def cache_folder() -> Path:
    """The cache folder, which need not exist. Raises RuntimeError for a user without a home.

    On Linux it is that of the XDG Base Directory Specification (0.8): every chart asks for it, and
    platformdirs, which knows the other systems, takes longer to import than a typeface to read.
    """
    if sys.platform != "linux":
        from platformdirs import user_cache_path

        return user_cache_path("midneck")
    named = os.environ.get("XDG_CACHE_HOME", "")
    base = Path(named) if os.path.isabs(named) else Path.home() / ".cache"  # noqa: PTH117
    return base / "midneck"
