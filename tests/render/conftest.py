"""What tests of commands share: a folder of their own to work in."""

from __future__ import annotations

from pathlib import Path

import pytest


@pytest.fixture
def working_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder, in which commands run."""
    monkeypatch.chdir(tmp_path)
    return tmp_path
