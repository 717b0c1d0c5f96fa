"""The index of a shelf: kept up to date, made anew when damaged, whole after a kill, read only."""

from __future__ import annotations

import sqlite3
import threading
import time
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from midneck.render.options import OptionError
from midneck.render.shelf.entry import Entry, entry_of
from midneck.render.shelf.index import ask, open_shelf
from midneck.render.shelf.query import Query, broken, find
from support.run_command import started, tunes_in, wait_until
from support.shelves import paths, short_tune

COUNT = 12


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tunes_in(tmp_path_factory.mktemp("shelf"), COUNT)


def test_a_changed_tune_is_read_again_and_a_lost_one_is_gone(tmp_path: Path) -> None:
    place, index = tmp_path / "tunes", tmp_path / "index"
    place.mkdir()
    first, second = place / "a.txt", place / "b.txt"
    first.write_text("Title: Before\n| C | G7 |\n")
    second.write_text("Title: Other\n| C | G7 |\n")
    with open_shelf([place], index) as shelf:
        assert len(paths(shelf, Query())) == 2
    first.write_text("Title: After it\n| C | G7 |\n")
    second.unlink()
    with open_shelf([place], index) as shelf:
        assert [found.title for found in find(shelf, Query())] == ["After it"]
        assert paths(shelf, Query(text="other")) == paths(shelf, Query(text="before")) == []
    # Nothing is left of what is gone.
    with closing(sqlite3.connect(index)) as left:
        for table in ("file", "tune", "words"):
            assert left.execute(f"SELECT count(*) FROM {table}").fetchone() == (1,)


def test_a_changed_tune_costs_one_tune(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    place, index = tmp_path / "tunes", tmp_path / "index"
    place.mkdir()
    for number in range(5):
        (place / f"{number}.txt").write_text(f"Title: T{number}\n| C | G7 |\n")
    with open_shelf([place], index):
        pass
    read: list[str] = []
    monkeypatch.setattr(
        "midneck.render.shelf.entry.entry_of",
        lambda data, name: (read.append(name), entry_of(data, name))[1],
    )
    (place / "3.txt").write_text("Title: Another\n| C | G7 |\n")
    (place / "4.txt").touch()
    with open_shelf([place], index) as shelf:
        assert len(paths(shelf, Query())) == 5
    assert read == ["3.txt"]


def test_every_tune_that_is_there_is_read_again_by_another_program(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What another version has read counts for nothing; tunes of another folder wait."""
    place, away, index = tmp_path / "tunes", tmp_path / "away", tmp_path / "index"
    for folder, name in ((place, "a"), (place, "b"), (away, "c")):
        folder.mkdir(exist_ok=True)
        (folder / f"{name}.txt").write_text(f"Title: T{name}\n| C | G7 |\n")
    with open_shelf([place, away], index):
        pass
    read: list[str] = []
    monkeypatch.setattr(
        "midneck.render.shelf.entry.entry_of",
        lambda data, name: (read.append(name), entry_of(data, name))[1],
    )
    monkeypatch.setattr("midneck.render.shelf.index.version_mark", lambda: "f" * 12)
    for expected in (["a.txt", "b.txt"], []):
        with open_shelf([place], index) as shelf:
            assert len(paths(shelf, Query())) == 2
        assert sorted(read) == expected
        read.clear()


def test_an_unchanged_tune_is_not_read_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place, index = tmp_path / "tunes", tmp_path / "index"
    place.mkdir()
    (place / "a.txt").write_text("| C | G7 |\n")
    with open_shelf([place], index) as shelf:
        list(find(shelf, Query()))
    monkeypatch.setattr("midneck.render.shelf.entry.entry_of", _refuse)
    with open_shelf([place], index) as shelf:
        assert len(paths(shelf, Query())) == 1


@pytest.mark.parametrize("content", [b"no database", b"SQLite format 3\0" + b"x" * 200, b""])
def test_a_damaged_index_is_made_anew(content: bytes, tmp_path: Path, folder: Path) -> None:
    index = tmp_path / "index"
    index.write_bytes(content)
    with open_shelf([folder], index) as shelf:
        assert len(paths(shelf, Query())) == COUNT - len(broken(shelf))
    assert sqlite3.connect(index).execute("SELECT count(*) FROM file").fetchone()[0] == COUNT


def test_a_foreign_index_is_made_anew(tmp_path: Path) -> None:
    (tmp_path / "a.txt").write_text("| C | G7 |\n")
    index = tmp_path / "index"
    foreign = sqlite3.connect(index)
    foreign.execute("CREATE TABLE tune (colour TEXT)")
    foreign.commit()
    foreign.close()
    with open_shelf([tmp_path], index) as shelf:
        assert len(paths(shelf, Query())) == 1


def test_a_damaged_page_inside_the_index_is_made_anew(tmp_path: Path, folder: Path) -> None:
    index = tmp_path / "index"
    with open_shelf([folder], index):
        pass
    data = bytearray(index.read_bytes())
    data[4096:] = bytes(len(data) - 4096)
    index.write_bytes(data)
    with open_shelf([folder], index) as shelf:
        assert len(paths(shelf, Query())) == COUNT
    whole = sqlite3.connect(index)
    assert whole.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    assert whole.execute("SELECT count(*) FROM file").fetchone() == (COUNT,)


def test_an_index_that_can_only_be_read_is_copied_and_not_made_anew(
    tmp_path: Path, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    index = tmp_path / "index"
    with open_shelf([folder], index):
        pass
    before = index.read_bytes()
    monkeypatch.setattr("midneck.render.shelf.entry.entry_of", _refuse)
    real = sqlite3.connect

    def read_only(place: Any, *rest: Any, **options: Any) -> sqlite3.Connection:
        if str(place) == str(index):
            return real(f"{index.as_uri()}?mode=ro", uri=True)
        return real(place, *rest, **options)

    monkeypatch.setattr(sqlite3, "connect", read_only)
    with open_shelf([folder], index) as shelf:
        assert len(paths(shelf, Query())) == COUNT
        assert paths(shelf, Query(text="study"))
    assert index.read_bytes() == before


def _refuse(*_: object) -> None:
    raise AssertionError("an unchanged tune was read")


@pytest.mark.slow
def test_a_killed_process_leaves_a_whole_index(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    place = tunes_in(tmp_path, 120)
    index = tmp_path / "cache" / "midneck" / "shelf.sqlite"
    process = started("find", str(place), cwd=tmp_path)

    def rows() -> int:
        try:
            with closing(sqlite3.connect(index, timeout=1)) as reader:
                count: int = reader.execute("SELECT count(*) FROM file").fetchone()[0]
                return count
        except sqlite3.OperationalError:
            return 0

    wait_until(lambda: rows() > 0)
    process.kill()
    process.communicate()
    assert 0 < rows() < 120
    with closing(sqlite3.connect(index)) as left:
        assert left.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        # What is there is whole: no file without its tune, no tune without its words.
        lost = "SELECT count(*) FROM file WHERE digest NOT IN (SELECT digest FROM tune)"
        assert left.execute(lost).fetchone() == (0,)
        lost = "SELECT count(*) FROM tune WHERE id NOT IN (SELECT rowid FROM words)"
        assert left.execute(lost).fetchone() == (0,)
    with open_shelf([place], index) as shelf:
        assert len(paths(shelf, Query())) == 120


@pytest.mark.slow
def test_2000_unchanged_tunes_answer_soon(tmp_path: Path) -> None:
    """In processor time, without the start of the program."""
    place = tmp_path / "tunes"
    place.mkdir()
    for number in range(2000):
        # A few sheets under many names: each file has a tune of its own in the index.
        (place / f"{number:04}.txt").write_text(short_tune(number % 8), encoding="utf-8")
    entries = {}

    def known(data: bytes, name: str) -> Entry:
        if data not in entries:
            entries[data] = entry_of(data, name)
        return entries[data]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("midneck.render.shelf.entry.entry_of", known)
        with open_shelf([place], tmp_path / "index"):
            pass
    took = []
    for _ in range(3):
        began = time.process_time()
        with open_shelf([place], tmp_path / "index") as shelf:
            assert paths(shelf, Query(area="ii-V-I", text="study"))
        took.append(time.process_time() - began)
    assert min(took) < 0.3


def test_a_place_that_cannot_be_written_still_answers(tmp_path: Path) -> None:
    (tmp_path / "a.txt").write_text("| C | G7 |\n")
    (tmp_path / "file").write_text("in the way")
    with open_shelf([tmp_path], tmp_path / "file" / "index") as shelf:
        assert len(paths(shelf, Query())) == 1


@pytest.mark.slow
def test_two_at_once_are_safe(tmp_path: Path, folder: Path) -> None:
    answers: list[int] = []

    def look() -> None:
        with open_shelf([folder], tmp_path / "index") as shelf:
            answers.append(len(paths(shelf, Query())))

    threads = [threading.Thread(target=look) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert answers == [COUNT] * 4
    with closing(sqlite3.connect(tmp_path / "index")) as index:
        assert index.execute("SELECT count(*) FROM tune").fetchone() == (COUNT,)
        places = "SELECT count(*), count(DISTINCT tune || kind || what || key || first || last)"
        total, distinct = index.execute(f"{places} FROM place").fetchone()
        assert total == distinct


def test_the_index_is_asked_read_only(folder: Path, tmp_path: Path) -> None:
    with open_shelf([folder], tmp_path / "index") as shelf:
        assert next(iter(ask(shelf, "SELECT count(*) FROM file"))) == (COUNT,)
        for sql in (
            "DELETE FROM tune", "DROP TABLE tune", "ATTACH 'x.db' AS x", "PRAGMA user_version=9",
            "INSERT INTO file VALUES ('', 0, 0, '')", "SELECT load_extension('x')",
            "SELECT 1; SELECT 2", "nonsense",
        ):  # fmt: skip
            with pytest.raises(OptionError, match="the index answers"):
                list(ask(shelf, sql))
        assert next(iter(ask(shelf, "SELECT count(*) FROM file"))) == (COUNT,)
