"""What the desk keeps of a folder from one day to the next."""

from __future__ import annotations

from pathlib import Path

import pytest
from midneck.render.desk import kept as kept_module
from midneck.render.desk.choices import Choices, from_query
from midneck.render.desk.folder import TuneFolder
from midneck.render.desk.kept import Kept, KeptTabs
from midneck.render.desk.practice import DrillWish, LessonWish
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


DRILL = DrillWish("ii-V-I", keys="C F", tempo=90)


def test_what_was_chosen_in_a_tab_is_there_when_the_desk_starts_again(tmp_path: Path) -> None:
    tabs = KeptTabs(tmp_path / "tabs")
    for what, value in (("drill", DRILL), ("ticked", ("one.txt",)), ("open", "drill")):
        tabs.remember("one", what, value)
    tabs.remember("two", "open", "lesson")
    for known in (tabs, KeptTabs(tmp_path / "tabs")):
        assert known.recalled("one", "drill", DrillWish("")) == DRILL
        assert known.recalled("one", "ticked", ()) == ("one.txt",)
        assert [known.recalled(tab, "open", "") for tab in ("one", "two", "three")] == [
            "drill", "lesson", "",
        ]  # fmt: skip


def test_without_a_place_or_where_none_can_be_written_it_is_kept_while_the_desk_runs(
    tmp_path: Path,
) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    for place in (None, tmp_path / "file"):
        tabs = KeptTabs(place)
        tabs.remember("one", "lesson", LessonWish("Anna", False))
        assert tabs.recalled("one", "lesson", LessonWish()) == LessonWish("Anna", False)


@pytest.mark.parametrize(
    "data",
    [
        b"", b"[1]", b"\xff", b'{"drill": 3}', b'{"drill": ["ii-V-I"]}',
        b'{"drill": {"progression": 1, "tempo": "fast", "strings": null, "other": "x"}}',
    ],
)  # fmt: skip
def test_parts_of_another_kind_count_as_none(tmp_path: Path, data: bytes) -> None:
    KeptTabs(tmp_path).remember("one", "drill", DRILL)
    [file] = tmp_path.glob("*.json")
    file.write_bytes(data)
    assert KeptTabs(tmp_path).recalled("one", "drill", DrillWish("usual")) == DrillWish("usual")


def test_only_the_last_tabs_are_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kept_module, "MOST_TABS", 3)
    tabs = KeptTabs(tmp_path)
    for number in range(5):
        tabs.remember(f"{number}", "open", "drill")
    for known in (tabs, KeptTabs(tmp_path)):
        there = [known.recalled(f"{number}", "open", "") for number in range(5)]
        assert there[:2] == ["", ""]
        assert there[2:] == ["drill"] * 3
