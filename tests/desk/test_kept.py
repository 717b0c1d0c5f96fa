"""What the desk keeps of a folder from one day to the next."""

from __future__ import annotations

from pathlib import Path

import pytest
from midneck.render.desk.choices import Choices, from_query
from midneck.render.desk.folder import TuneFolder
from midneck.render.desk.kept import Kept
from midneck.render.desk.session import Session

LEFT = Choices(player="small-hand", hand="left", paper="letter", large=True, key="Eb")


@pytest.fixture
def kept(tmp_path: Path) -> Kept:
    return Kept(tmp_path / "kept" / "choices.json")


def test_choices_are_the_folders_and_a_key_is_the_tunes(kept: Kept) -> None:
    kept.keep("one.txt", LEFT)
    again = Kept(kept.path)
    assert from_query(again.query("one.txt")) == LEFT
    assert from_query(again.query("two.txt")).key == ""
    assert from_query(again.query("two.txt")).paper == "letter"
    assert again.with_key("one.txt", Choices()) == Choices(key="Eb")
    kept.keep("one.txt", Choices())
    assert from_query(again.query("one.txt")) == Choices()


def test_the_last_open_tune_is_kept_beside_the_choices(kept: Kept) -> None:
    assert kept.tune == ""
    kept.keep("one.txt", LEFT)
    kept.keep_tune("two.txt")
    assert (kept.tune, from_query(kept.query("one.txt"))) == ("two.txt", LEFT)


@pytest.mark.parametrize(
    "data",
    [
        b"", b"[1]", b"\xff", b'{"tune": 3, "choices": [], "keys": {"one.txt": 7}}',
        b'{"choices": {"hand": "third", "paper": 4}, "keys": {"one.txt": "H"}}', b"[" * 100_000,
    ],
)  # fmt: skip
def test_a_file_that_cannot_be_read_counts_as_none(kept: Kept, data: bytes) -> None:
    kept.path.parent.mkdir()
    kept.path.write_bytes(data)
    assert (kept.tune, from_query(kept.query("one.txt"))) == ("", Choices())
    kept.keep("one.txt", LEFT)
    assert from_query(kept.query("one.txt")) == LEFT


def test_a_renamed_tune_keeps_its_key(tmp_path: Path, kept: Kept) -> None:
    (tmp_path / "one.txt").write_text("| C |\n", encoding="utf-8")
    (tmp_path / "two.txt").write_text("| F |\n", encoding="utf-8")
    session = Session(TuneFolder(tmp_path), kept=kept)
    session.open("one.txt")
    session.choose(LEFT)
    session.rename("three.txt")
    session.open("two.txt")
    assert session.desk.choices.key == ""
    assert session.desk.choices.hand == "left"
    session.open("three.txt")
    assert session.desk.choices == LEFT
