"""The folder in the user's cache in which Midneck keeps what it can make again."""

from __future__ import annotations

from pathlib import Path


def cache_folder() -> Path:
    """The cache folder, which need not exist. Raises RuntimeError for a user without a home."""
    from platformdirs import user_cache_path

    return user_cache_path("midneck")
