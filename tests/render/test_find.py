"""The shelf: answers against a plain scan of all JSON reports, what next, damaged indexes, safety.

The tunes are generated; the scan reads the report that `midneck chart --json` prints.
"""

from __future__ import annotations

import json
import sqlite3
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import midneck
import pytest
from midneck.grammar.key import parse_key
from midneck.render.commands.main import run
from midneck.render.options import OptionError
from midneck.render.report import report
from midneck.render.shelf.index import Shelf, ask, open_shelf
from midneck.render.shelf.query import Query, broken, find, what_next
from support.tunes import tune_text

COUNT = 40


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("tunes")
    for seed in range(COUNT):
        (place / f"tune-{seed:03}.txt").write_text(tune_text(seed), encoding="utf-8")
    return place


@pytest.fixture(scope="module")
def reports(folder: Path) -> dict[str, dict[str, Any]]:
    paths = sorted(folder.glob("*.txt"))
    return {str(path.resolve()): report(midneck.chart(path).comping) for path in paths}


@pytest.fixture(scope="module")
def shelf(folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shelf]:
    with open_shelf([folder], tmp_path_factory.mktemp("cache") / "shelf.sqlite") as opened:
        yield opened


def sound(key: str) -> tuple[int, str]:
    parsed = parse_key(key)
    return parsed.tonic.pitch_class, parsed.mode


def paths(shelf: Shelf, query: Query) -> list[str]:
    return [found.path for found in find(shelf, query)]


@pytest.mark.parametrize("kind", ["ii-V-I", "ii-V", "turnaround", "ii-V chain"])
@pytest.mark.parametrize("key", ["Gb", "F#", "C", "Bb", "Gm", "A"])
def test_areas_are_those_of_a_scan(
    kind: str, key: str, shelf: Shelf, reports: dict[str, dict[str, Any]]
) -> None:
    wanted = {}
    for path, told in reports.items():
        bars = [chord["bar"] for chord in told["chords"]]
        spans = {
            (bars[area["chords"][0]], bars[area["chords"][-1]])
            for area in told["areas"]
            if area["kind"] == kind and sound(area["key"]) == sound(key)
        }
        if spans:
            wanted[path] = tuple(sorted(spans))
    answers = {each.path: each.places[0][1] for each in find(shelf, Query(area=kind, within=key))}
    assert answers == wanted


def test_every_key_is_found_once(shelf: Shelf, reports: dict[str, dict[str, Any]]) -> None:
    for key in {told["key"] for told in reports.values()}:
        wanted = [path for path, told in reports.items() if sound(told["key"]) == sound(key)]
        assert paths(shelf, Query(key=key)) == wanted


def test_chords_and_grips_are_those_of_a_scan(
    shelf: Shelf, reports: dict[str, dict[str, Any]]
) -> None:
    told = next(iter(reports.values()))
    for chord in told["chords"][:6]:
        symbol, frets = chord["symbol"], chord["grip"]["frets"]
        typed = " ".join("x" if fret is None else str(fret) for fret in frets)
        with_grip = [
            path
            for path, other in reports.items()
            if any(c["grip"] and c["grip"]["frets"] == frets for c in other["chords"])
        ]
        assert paths(shelf, Query(grip=typed)) == with_grip
        with_chord = [
            path
            for path, other in reports.items()
            if any(c["symbol"] == symbol for c in other["chords"])
        ]
        assert set(with_chord) <= set(paths(shelf, Query(chord=symbol)))


def test_what_is_asked_combines(shelf: Shelf, reports: dict[str, dict[str, Any]]) -> None:
    by_area = set(paths(shelf, Query(area="ii-V-I")))
    by_meter = set(paths(shelf, Query(meter="4/4")))
    easy = {each.path for each in find(shelf, Query()) if each.difficulty <= 4.0}
    both = Query(area="ii-V-I", meter="4/4", max_difficulty=4.0)
    assert set(paths(shelf, both)) == by_area & by_meter & easy
    tempos = {path: told["tempo"] or 0 for path, told in reports.items()}
    wanted = [path for path, tempo in tempos.items() if 100 <= tempo <= 140]
    assert paths(shelf, Query(tempo=(100, 140))) == wanted


def test_flat_and_sharp_names_are_one_key(tmp_path: Path) -> None:
    (tmp_path / "sharp.txt").write_text("Key: F#\n| G#m7 | C#7 | F#6 | % |\n")
    (tmp_path / "flat.txt").write_text("Key: Gb\n| Abm7 | Db7 | Gb6 | % |\n")
    with open_shelf([tmp_path], tmp_path / "cache" / "index") as shelf:
        for key in ("F#", "Gb"):
            assert len(paths(shelf, Query(area="ii-V-I", within=key))) == 2
            assert len(paths(shelf, Query(visits=key))) == 2
        assert len(paths(shelf, Query(chord="Db7"))) == 2


def test_words_are_found_and_are_no_patterns(tmp_path: Path) -> None:
    (tmp_path / "one.txt").write_text('Title: Lantern 100% "Row"\n"under the lamps"\n| C | G7 |\n')
    (tmp_path / "two.txt").write_text("Title: Harbour's End; DROP TABLE tune --\n| C | G7 |\n")
    with open_shelf([tmp_path], tmp_path / "cache" / "index") as shelf:
        assert [found.title for found in find(shelf, Query(text="lantern"))] == [
            'Lantern 100% "Row"'
        ]
        assert len(paths(shelf, Query(text="100%"))) == 1
        assert paths(shelf, Query(text="%_%")) == []
        assert len(paths(shelf, Query(text="UNDER lamps"))) == 1
        assert len(paths(shelf, Query(text="harbour's"))) == 1
        assert paths(shelf, Query(text="' OR 1=1 --")) == []
        assert len(list(find(shelf, Query()))) == 2


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


def test_an_unchanged_tune_is_not_read_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place, index = tmp_path / "tunes", tmp_path / "index"
    place.mkdir()
    (place / "a.txt").write_text("| C | G7 |\n")
    with open_shelf([place], index) as shelf:
        list(find(shelf, Query()))

    def refuse(*_: object) -> None:
        raise AssertionError("an unchanged tune was read")

    monkeypatch.setattr("midneck.render.shelf.entry.entry_of", refuse)
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

    threads = [threading.Thread(target=look) for _ in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(answers) == 3
    assert len(set(answers)) == 1


def test_the_index_is_asked_read_only(shelf: Shelf) -> None:
    assert next(iter(ask(shelf, "SELECT count(*) FROM file"))) == (COUNT,)
    for sql in (
        "DELETE FROM tune", "DROP TABLE tune", "ATTACH 'x.db' AS x", "PRAGMA user_version=9",
        "INSERT INTO file VALUES ('', 0, 0, '')", "SELECT load_extension('x')",
        "SELECT 1; SELECT 2", "nonsense",
    ):  # fmt: skip
        with pytest.raises(OptionError, match="the index answers"):
            list(ask(shelf, sql))
    assert next(iter(ask(shelf, "SELECT count(*) FROM file"))) == (COUNT,)


def test_what_next_ranks_by_what_is_known(shelf: Shelf) -> None:
    known = paths(shelf, Query())[:5]
    ranked = what_next(shelf, known)
    assert [each.known for each in ranked] == sorted((e.known for e in ranked), reverse=True)
    assert not {each.found.path for each in ranked} & set(known)
    twin = what_next(shelf, paths(shelf, Query())[1:])
    assert len(twin) == 1
    assert 0 <= twin[0].known <= 1
    assert (twin[0].known == 1) == (not twin[0].new_grips and not twin[0].new_changes)


@pytest.mark.parametrize(
    ("query", "message"),
    [
        (Query(key="H"), "'H' is not a key"), (Query(chord="Qm7"), "'Qm7' is no chord symbol"),
        (Query(grip="1 2"), "'1 2' is no grip"), (Query(change="Bb7"), "is no change: two chord"),
        (Query(meter="4/5"), "is not a time signature"),
    ],
)  # fmt: skip
def test_wrong_values_are_told(query: Query, message: str, shelf: Shelf) -> None:
    with pytest.raises(OptionError, match=message):
        list(find(shelf, query))


def test_the_command(
    folder: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("midneck.render.shelf.index.index_path", lambda: tmp_path / "index")
    (tmp_path / "more").mkdir()
    (tmp_path / "more" / "bad.txt").write_text("| C | Qm7 |\n")
    (tmp_path / "more" / "good.txt").write_text("Title: Good\nKey: Eb\n| Fm7 | Bb7 | Eb6 | % |\n")
    monkeypatch.chdir(tmp_path)
    assert run(["find", "more", "--area", "ii-V-I", "--in", "Eb"]) == 0
    shown = capsys.readouterr()
    assert shown.out.startswith("more/good.txt  Good (Eb major, 4/4, 4 bars, difficulty ")
    assert shown.out.endswith("; ii-V-I in Eb: 1–3\n")
    assert "more/bad.txt is left out" in shown.err
    assert run(["find", "more", "--key", "A", "--json"]) == 1
    assert capsys.readouterr().out == ""
    assert run(["find", "more", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["title"] == "Good"
    assert run(["find", "more", "--tempo", "fast"]) == 2
    assert "two tempos, as in 100:140" in capsys.readouterr().err
    assert run(["find", "nowhere"]) == 2
    assert "there is no folder nowhere" in capsys.readouterr().err
