"""The shelf: answers against a plain scan of all JSON reports, hostile queries, what next.

The tunes are generated; the scan reads the report that `midneck chart --json` prints.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import fields
from functools import cache
from itertools import combinations
from pathlib import Path
from typing import Any

import midneck
import pytest
from midneck.converter.chart import CompingChart
from midneck.converter.explain import hard_changes
from midneck.converter.prose.facts import span_text
from midneck.grammar.key import parse_key
from midneck.grammar.pitch import parse_pitch_name
from midneck.render.commands.main import run
from midneck.render.options import OptionError
from midneck.render.report import report
from midneck.render.shelf.entry import entry_of_chart
from midneck.render.shelf.index import Shelf, open_shelf
from midneck.render.shelf.query import Query, broken, find, what_next
from support.run_command import tunes_in
from support.shelves import paths, short_tune

COUNT = 12
#: How many tunes the scan has: short ones, so that each takes a few milliseconds.
SCANNED = 500


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tunes_in(tmp_path_factory.mktemp("shelf"), COUNT)


@pytest.fixture(scope="module")
def shelf(folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shelf]:
    with open_shelf([folder], tmp_path_factory.mktemp("cache") / "shelf.sqlite") as opened:
        yield opened


@cache
def sound(key: str) -> tuple[int, str]:
    parsed = parse_key(key)
    return parsed.tonic.pitch_class, parsed.mode


def chord_of(told: dict[str, Any]) -> tuple[int, str, int]:
    """A chord of a report by its sound: root, the symbol without root and bass, bass."""
    pitches = [
        parse_pitch_name(told[name] or told["root"]).pitch_class for name in ("root", "bass")
    ]
    return pitches[0], told["symbol"].removeprefix(told["root"]).partition("/")[0], pitches[1]


def frets_of(told: dict[str, Any]) -> str:
    return " ".join("x" if fret is None else str(fret) for fret in told["grip"]["frets"])


Reports = dict[str, dict[str, Any]]


def scan(reports: Reports, holds: Callable[[dict[str, Any]], bool]) -> list[str]:
    """The tunes whose report holds something."""
    return [path for path, told in reports.items() if holds(told)]


def areas_of(told: dict[str, Any], kind: str, key: str) -> tuple[str, ...]:
    """The bars of the areas of a kind in a key, in order, as text; a ii–V–I is a ii–V too."""
    kinds = ("ii-V", "ii-V-I") if kind == "ii-V" else (kind,)
    spans = {
        tuple(tuple(span) for span in area["spans"])
        for area in told["areas"]
        if area["kind"] in kinds and sound(area["key"]) == sound(key)
    }
    ordered = sorted(spans, key=lambda each: (each[0][0], each[-1][1]))
    return tuple(", ".join(span_text(span) for span in each) for each in ordered)


@pytest.mark.slow
def test_answers_are_those_of_a_scan_of_all_reports(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / "tunes"
    place.mkdir()
    for seed in range(SCANNED):
        (place / f"{seed:03}.txt").write_text(short_tune(seed), encoding="utf-8")
    charts = {path.name: midneck.chart(path).comping for path in sorted(place.iterdir())}
    reports = {str((place / name).resolve()): report(chart) for name, chart in charts.items()}
    # Each chart is planned once, for the report and for the index.
    monkeypatch.setattr(
        "midneck.render.shelf.entry.entry_of", lambda data, name: entry_of_chart(charts[name], name)
    )
    with open_shelf([place], tmp_path / "index") as shelf:
        assert not broken(shelf)
        assert paths(shelf, Query()) == list(reports)
        _areas_and_keys_agree(shelf, reports)
        _chords_and_grips_agree(shelf, reports)
        _facts_agree(shelf, reports)
        _every_pair_combines(shelf, reports, hard_change_of(charts.values()))


def _areas_and_keys_agree(shelf: Shelf, reports: Reports) -> None:
    across = 0
    for kind in ("ii-V-I", "ii-V", "turnaround"):
        for key in ("Gb", "F#", "C", "Bb", "Gm"):
            wanted = {path: areas_of(told, kind, key) for path, told in reports.items()}
            answers = {
                each.path: tuple(bars for _, _, bars in each.places[0][1])
                for each in find(shelf, Query(area=kind, within=key))
            }
            assert answers == {path: bars for path, bars in wanted.items() if bars}
            across += sum("," in bars for found in answers.values() for bars in found)
    # The scan saw areas across endings.
    assert across
    for key in {told["key"] for told in reports.values()}:
        at_home = scan(reports, lambda told, key=key: sound(told["key"]) == sound(key))
        assert paths(shelf, Query(key=key)) == at_home
        passing = scan(
            reports,
            lambda told, key=key: any(
                chord["key"] and sound(chord["key"]) == sound(key) for chord in told["chords"]
            ),
        )
        assert paths(shelf, Query(visits=key)) == passing


def _chords_and_grips_agree(shelf: Shelf, reports: Reports) -> None:
    chords = {chord_of(chord): chord for told in reports.values() for chord in told["chords"]}
    for wanted, chord in sorted(chords.items())[::12]:
        held = scan(reports, lambda told, wanted=wanted: wanted in map(chord_of, told["chords"]))
        assert held
        assert paths(shelf, Query(chord=chord["symbol"])) == held
        frets = frets_of(chord)
        held = scan(reports, lambda told, frets=frets: frets in map(frets_of, told["chords"]))
        assert paths(shelf, Query(grip=frets)) == held
        written = f"{chord['symbol']}<{frets}: 1 - 2 3 - ->"
        assert paths(shelf, Query(grip=written)) == held


def _facts_agree(shelf: Shelf, reports: Reports) -> None:
    def words(told: dict[str, Any]) -> list[str]:
        return str(told["title"]).casefold().split()

    asked: list[tuple[Query, Callable[[dict[str, Any]], bool]]] = [
        (Query(meter="3/4"), lambda told: told["time"] == "3/4"),
        (Query(tempo=(100, 140)), lambda told: 100 <= told["tempo"] <= 140),
        (Query(text="lanterns"), lambda told: "lanterns" in words(told)),
        (Query(text="study 12 MILL"), lambda told: words(told)[1].startswith("12")
                                                   and words(told)[-1] == "mills"),
    ]  # fmt: skip
    for query, holds in asked:
        wanted = scan(reports, holds)
        assert 0 < len(wanted) < len(reports)
        assert paths(shelf, query) == wanted


def hard_change_of(charts: Iterable[CompingChart]) -> str:
    """The symbols of a hard change of the first chart that has one."""
    chart, change = next((chart, each) for chart in charts for each in hard_changes(chart))
    chords = chart.sheet.chords
    return f"{chords[change.start].chord} {chords[change.goal].chord}"


def _every_pair_combines(shelf: Shelf, reports: Reports, change: str) -> None:
    """The answers to two questions at once are those that answer both."""
    first = next(iter(reports.values()))
    middle = sorted(found.difficulty for found in find(shelf, Query()))[len(reports) // 2]
    single = [
        Query(area="ii-V-I"), Query(within="F"), Query(key="C"), Query(visits="F"),
        Query(chord="Dm7"), Query(grip=frets_of(first["chords"][0])), Query(meter="4/4"),
        Query(tempo=(100, 200)), Query(max_difficulty=middle), Query(change=change),
        Query(text="lantern"),
    ]  # fmt: skip
    alone = [set(paths(shelf, query)) for query in single]
    assert all(alone)
    for one, other in combinations(range(len(single)), 2):
        both = {
            field.name: max(getattr(single[one], field.name), getattr(single[other], field.name),
                            key=lambda value: value not in (None, ""))
            for field in fields(Query)
        }  # fmt: skip
        found = set(paths(shelf, Query(**both)))
        if {one, other} == {0, 1}:
            # The kind of an area and its key are asked of one area.
            assert found <= alone[one] & alone[other]
        else:
            assert found == alone[one] & alone[other]


def test_flat_and_sharp_names_are_one_key(tmp_path: Path) -> None:
    (tmp_path / "sharp.txt").write_text("Key: F#\n| G#m7 | C#7 | F#6 | % |\n")
    (tmp_path / "flat.txt").write_text("Key: Gb\n| Abm7 | Db7 | Gb6 | % |\n")
    with open_shelf([tmp_path], tmp_path / "cache" / "index") as shelf:
        for key in ("F#", "Gb"):
            assert len(paths(shelf, Query(area="ii-V-I", within=key))) == 2
            assert len(paths(shelf, Query(visits=key))) == 2
        assert len(paths(shelf, Query(chord="Db7"))) == 2


HOSTILE = (
    'Lantern 100% "Row"', "Harbour's End; DROP TABLE tune --", "x' OR 'a'='a", "* NEAR(a b) ^c",
    "Ålesund Čapek Ζέφυρος", "semi;colon -- /* */ ?1 :a @b $c", "A" * 3000,
)  # fmt: skip


@pytest.mark.parametrize("fts5", [True, False])
def test_words_of_hostile_texts_are_found_and_do_no_harm(
    fts5: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    if not fts5:
        monkeypatch.setattr("midneck.render.shelf.index.has_fts5", lambda database: False)
    place = tmp_path / "tunes"
    place.mkdir()
    for number, text in enumerate(HOSTILE):
        head = f"Title: {text}\nBy: {text}\nFeel: {text}\nKey: C\nMood: {text}\n\n"
        (place / f"{number}.txt").write_text(f"{head}{text[:9].split()[0]}:\n| C6 | G7 |\n")
    with open_shelf([place], tmp_path / "index") as shelf:
        readable = {Path(path).stem for path in paths(shelf, Query())}
        assert {str(number) for number in range(6)} <= readable

        def found(text: str) -> list[str]:
            return [Path(path).stem for path in paths(shelf, Query(text=text))]

        assert found("lantern") == ["0"]
        assert found("100% ROW") == found("^row") == ["0"]
        assert found("harbour's drop") == ["1"]
        assert found("alesund capek") == found("ÅLES") == ["4"]
        assert found("ζεφ") == ["4"]
        for text in ("%_%", "' OR 1=1 --", "*", '"', "text:lantern AND", "NOT", "(", "\0"):
            assert found(text) == []
        for text in HOSTILE:
            number = str(HOSTILE.index(text))
            words = " ".join(word for word in text.split() if any(map(str.isalnum, word)))
            assert number in found(words) or number not in readable
        assert len(paths(shelf, Query())) == len(readable)


@pytest.mark.parametrize("text", HOSTILE)
@pytest.mark.parametrize("name", ["key", "within", "visits", "chord", "grip", "meter", "change"])
def test_hostile_values_are_refused_in_words(name: str, text: str, shelf: Shelf) -> None:
    with pytest.raises(OptionError):
        list(find(shelf, Query(**{name: text})))
    assert len(paths(shelf, Query())) == COUNT


def test_what_next_ranks_by_what_is_known(shelf: Shelf) -> None:
    known = paths(shelf, Query())[:5]
    ranked = what_next(shelf, known)
    assert [each.known for each in ranked] == sorted((e.known for e in ranked), reverse=True)
    assert not {each.found.path for each in ranked} & set(known)
    (a,) = (each for each in ranked if each.found.path == paths(shelf, Query())[5])
    assert len(set(a.new_grips)) == len(a.new_grips)
    assert all(" > " in change for change in a.new_changes)
    assert all(parse_key(key) for key in a.new_keys)
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
    assert shown.out.endswith(") | ii-V-I in Eb: 1–3\n")
    assert "more/bad.txt is left out" in shown.err
    assert run(["find", "more", "--key", "A", "--json"]) == 1
    shown = capsys.readouterr()
    assert shown.out == ""
    assert shown.err.endswith("nothing answers all that is asked\n")
    assert run(["find", "more", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["title"] == "Good"
    assert run(["find", "more", "--area", "ii-V-I", "--json"]) == 0
    places = json.loads(capsys.readouterr().out)["places"]
    assert places == [{"asked": "ii-V-I", "bars": [[1, 3]], "played": ["1–3"]}]
    (tmp_path / "more" / "next.txt").write_text("Title: Next\nKey: G\n| Am7 | D7 | Gmaj7 | % |\n")
    assert run(["find", "more", "--knows", "more/good.txt"]) == 0
    shown = capsys.readouterr().out
    assert " % known  Next (more/next.txt): 3 new grips (" in shown
    assert "; …), " in shown
    assert "1 new key (G major)" in shown
    assert run(["find", "more", "--tempo", "fast"]) == 2
    assert "two tempos, as in 100:140" in capsys.readouterr().err
    assert run(["find", "nowhere"]) == 2
    assert "there is no folder nowhere" in capsys.readouterr().err
