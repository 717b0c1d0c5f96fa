"""What a query of the shelf means, and what it finds."""

from __future__ import annotations

from pathlib import Path

import midneck
import pytest
from midneck.render.desk.folder import TuneFolder
from midneck.render.desk.shelf import entries, queries_of, search
from midneck.render.shelf.query import Query

TUNES = {
    "flat.txt": "Title: Flat Waters\nKey: Gb\n\n| Gbmaj7 | Abm7 | Db7 | Gbmaj7 |\n",
    "plain.txt": "Title: In Plain Sight\nKey: C\n\n| Dm7 | G7 | C6 | % |\n",
    "minor.txt": "Title: Third\nKey: Cm\n\n| Dm7b5 | G7 | Cm6 | % |\n",
    "broken.txt": "Title: Broken\n\n| H7 |\n",
}


@pytest.mark.parametrize(
    ("text", "queries"),
    [
        ("blues in F#m", [Query(area="blues", within="F#m")]),
        ("in Gb", [Query(visits="Gb"), Query(visits="Gbm")]),
        ("ii–V–I in E♭ major", [Query(area="ii-V-I", within="Eb major")]),
        ("walking in rhythm", []),
        ("evening in C", []),
        ("harbour", []),
        ("", []),
    ],
)
def test_what_a_query_asks_for(text: str, queries: list[Query]) -> None:
    assert list(queries_of(text)) == queries


def test_passages_are_found_with_their_bars(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    tunes = tmp_path / "tunes"
    tunes.mkdir()
    for name, text in TUNES.items():
        (tunes / name).write_text(text, encoding="utf-8")
    folder = TuneFolder(tunes)
    listed = entries(folder)

    def found(query: str) -> list[tuple[str, tuple[tuple[int, int, str], ...]]]:
        return [(entry.name, entry.found) for entry in search(folder, listed, query)]

    # The ii–V–I of G flat is that of F sharp by sound.
    assert found("ii-V in F#") == found("ii–V in Gb") == [("flat.txt", ((2, 4, "2–4"),))]
    assert [name for name, _ in found("ii-v-i in c")] == ["plain.txt", "minor.txt"]
    assert found("ii-V-I in Cm") == [("minor.txt", ((1, 3, "1–3"),))]
    assert found("in plain") == [("plain.txt", ())]
    assert len(found("")) == 4


def test_what_was_made_of_a_tune_is_not_listed_beside_it(tmp_path: Path) -> None:
    """A chart in several formats, one of them changed since: that one is a tune of its own."""
    (tmp_path / "plain.txt").write_text(TUNES["plain.txt"], encoding="utf-8")
    chart = midneck.chart(tmp_path / "plain.txt", hand="left")
    for name in ("plain_left.pdf", "plain_left.musicxml", "plain_left.mid", "plain_chart.txt"):
        chart.save(tmp_path / name)
    folder = TuneFolder(tmp_path)
    assert [(entry.name, entry.bars) for entry in entries(folder)] == [("plain.txt", 4)]
    assert folder.free_name("plain_chart") == "plain_chart-2.txt"
    changed = tmp_path / "plain_left.musicxml"
    changed.write_bytes(changed.read_bytes().replace(b"Plain", b"Plainer"))
    assert folder.names() == ("plain.txt", "plain_left.musicxml")


def test_bars_are_counted_as_they_are_played(tmp_path: Path) -> None:
    text = "Title: Twice\nKey: C\n\n| C6 (pickup) |\n|: C6 | F6 |1. G7 | G7 :|2. C6 | C6 ||\n"
    (tmp_path / "twice.txt").write_text(text, encoding="utf-8")
    assert [entry.bars for entry in entries(TuneFolder(tmp_path))] == [8]
