"""Typefaces in the user's cache: unpacked once, never trusted unread, never needed."""

from __future__ import annotations

import sys
from importlib import import_module
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from midneck.render.cache_folder import cache_folder
from midneck.render.page.drawing import font_cache
from midneck.render.page.drawing.font_cache import unpacked

FACE = "FiraGO_Regular"
PLAIN: bytes = import_module(f"pymupdf_fonts.{FACE}").fontbuffer


@pytest.fixture
def cache(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """A cache folder of the test's own."""
    monkeypatch.setattr(font_cache, "cache_folder", lambda: tmp_path / "midneck")
    return tmp_path / "midneck"


def not_unpacked(monkeypatch: pytest.MonkeyPatch) -> None:
    """From now on the package holds other bytes, so that unpacking shows."""
    other = SimpleNamespace(fontbuffer=b"unpacked again")
    monkeypatch.setattr(font_cache, "import_module", lambda name: other)


def test_a_face_is_unpacked_once(cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert unpacked(FACE) == PLAIN
    not_unpacked(monkeypatch)
    assert unpacked(FACE) == PLAIN
    assert [file.suffix for file in cache.iterdir()] == [".ttf"]


@pytest.mark.parametrize(
    "damage", [lambda data: data[:-1], lambda data: b"", lambda data: b"x" * 9]
)
def test_a_damaged_file_is_written_anew(cache: Path, damage: Any) -> None:
    unpacked(FACE)
    (file,) = cache.iterdir()
    whole = file.read_bytes()
    file.write_bytes(damage(whole))
    assert unpacked(FACE) == PLAIN
    assert file.read_bytes() == whole


def test_another_version_of_the_package_has_a_file_of_its_own(
    cache: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    unpacked(FACE)
    (tmp_path / f"{FACE}.py").write_text("fontbuffer = b''")
    spec = SimpleNamespace(submodule_search_locations=[str(tmp_path)])
    monkeypatch.setattr(font_cache, "find_spec", lambda name: spec)
    not_unpacked(monkeypatch)
    assert unpacked(FACE) == b"unpacked again"
    assert len(list(cache.iterdir())) == 2


def test_a_folder_that_cannot_be_used_is_done_without(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "midneck").write_text("a file where the folder should be")
    monkeypatch.setattr(font_cache, "cache_folder", lambda: tmp_path / "midneck")
    assert unpacked(FACE) == PLAIN


@pytest.mark.skipif(sys.platform != "linux", reason="other systems have other cache folders")
def test_the_cache_folder_is_the_one_of_the_system(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """XDG Base Directory Specification 0.8."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert cache_folder() == tmp_path / "midneck"
    monkeypatch.delenv("XDG_CACHE_HOME")
    monkeypatch.setenv("HOME", str(tmp_path))
    assert cache_folder() == tmp_path / ".cache" / "midneck"
