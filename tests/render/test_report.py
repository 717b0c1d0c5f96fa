"""The JSON report: its schema, its indices, its notes."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import jsonschema
import midneck
import pytest
from midneck.converter.harmony.analyse import analyse
from midneck.converter.make import make_chart
from midneck.converter.prose.hand import explanation_lines
from midneck.converter.timeline import timeline_of
from midneck.grammar.errors import SheetError
from midneck.grammar.text.reader import read_sheet
from midneck.render.report import area_data, load_schema, problems_report, report
from music21 import pitch
from support.charts import example_paths
from support.tunes import tune_text

EXAMPLES = example_paths()
OPEN_STRINGS = (40, 45, 50, 55, 59, 64)  # E2 A2 D3 G3 B3 E4: common practice, no source

pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning")


@pytest.fixture(scope="module")
def validator() -> jsonschema.Draft202012Validator:
    schema = load_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


def test_examples_match_the_schema(validator: jsonschema.Draft202012Validator) -> None:
    for path in EXAMPLES:
        validator.validate(report(make_chart(midneck.read(path))))


@pytest.mark.parametrize("seed", range(12))
def test_invented_tunes_match_the_schema(
    seed: int, validator: jsonschema.Draft202012Validator
) -> None:
    data = report(make_chart(read_sheet(tune_text(seed))))
    validator.validate(data)
    count = len(data["chords"])
    assert all(index < count for index in data["played"])
    assert all(index < count for area in data["areas"] for index in area["chords"])


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_areas_alone_match_the_schema(
    path: Path, validator: jsonschema.Draft202012Validator
) -> None:
    sheet = midneck.read(path)
    data = area_data(sheet, analyse(timeline_of(sheet)))
    validator.validate(data)
    data["areas"][0]["sentence"] = ""
    assert not validator.is_valid(data)


@pytest.mark.parametrize(
    ("smooth", "gap_mm", "sentence"),
    [
        (False, 0.1, "A plan with up to 1 mm less effort could not be ruled out."),
        (True, None, "A plan with an easier hardest change could not be ruled out."),
    ],
)
def test_a_plan_without_proof_tells_its_gap(
    smooth: bool, gap_mm: float | None, sentence: str, validator: jsonschema.Draft202012Validator
) -> None:
    chart = make_chart(read_sheet("| Dm7 | G7 |"))
    unproved = replace(chart.plan.travel, optimal=False, gap_mm=41 / 1024, smooth=smooth)
    chart = replace(chart, plan=replace(chart.plan, travel=unproved))
    data = report(chart)
    validator.validate(data)
    assert data["travel"]["gap_mm"] == gap_mm
    assert sentence in explanation_lines(chart)
    del data["travel"]["gap_mm"]
    assert not validator.is_valid(data)


def test_the_schema_can_fail(validator: jsonschema.Draft202012Validator) -> None:
    data = report(make_chart(read_sheet("A:\n| Dm7 | G7 ||\n")))
    del data["chords"][0]["roman"]
    assert not validator.is_valid(data)


def test_problems_match_the_schema(validator: jsonschema.Draft202012Validator) -> None:
    with pytest.raises(SheetError) as caught:
        read_sheet("A:\n| Xm7 | G7 ||\n", "bad.txt")
    validator.validate(problems_report(caught.value))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_notes_are_what_the_frets_sound(path: Path) -> None:
    """Pitches of named notes by music21 against open string plus fret."""
    for chord in report(make_chart(midneck.read(path)))["chords"]:
        grip = chord["grip"]
        pairs = zip(OPEN_STRINGS, grip["frets"], strict=True)
        sounding = [string + fret for string, fret in pairs if fret is not None]
        named = [pitch.Pitch(note.replace("b", "-")).midi for note in grip["notes"]]
        assert named == sounding
        assert {midi % 12 for midi in sounding} <= set(chord["pitch_classes"])


def test_silence_is_a_chord_of_kind_none() -> None:
    silent = report(make_chart(read_sheet("A:\n| Dm7 | N.C. | G7 | C6 ||\n")))["chords"][1]
    assert silent["kind"] == "none"
    assert silent["root"] is silent["grip"] is silent["roman"] is None


def test_a_two_five_one_in_f_is_planned_as_taught() -> None:
    """Gm7 at fret 3 with fingers 2, 3, 3 where it is the nearest (common practice, no source)."""
    sheet = read_sheet("Title: Three\nKey: F\n\nA:\n| Gm7<3 x 3 3 x x> | C7 | F6 | % ||\n")
    data = report(make_chart(sheet))
    assert data["chords"][0]["grip"]["frets"] == [3, None, 3, 3, None, None]
    assert data["chords"][0]["grip"]["fingers"] == [2, None, 3, 3, None, None]
    assert data["chords"][0]["grip"]["notes"] == ["G2", "F3", "Bb3"]
    assert data["chords"][1]["resolves_to"] == 2
    two_five = {"kind": "ii-V-I", "key": "F major", "chords": [0, 1, 2], "resolved": True}
    assert two_five | {"spans": [[1, 3]], "level": "passage"} in data["areas"]


def test_the_report_tells_rounds_and_optional_chords() -> None:
    text = "Key: C\n\nIntro:\n| Dm7 | G7 |\nA:\n|: C6 |1. A7 :|2. C6 (G7) |\nTag:\n| C6 |\n"
    data = report(make_chart(read_sheet(text)))
    assert data["rounds"] == {"opening": [1, 2], "chorus": [3, 4, 3, 5], "ending": [6]}
    optional = [chord["symbol"] for chord in data["chords"] if chord["optional"]]
    assert optional == ["G7"]


def test_an_area_across_an_ending_has_the_stretches_that_are_played() -> None:
    text = "Key: C\n\n|: C6 | Dm7 |1. Em7 | A7 :|2. G7 | C6 ||\n"
    sheet = read_sheet(text)
    [area] = [each for each in report(make_chart(sheet))["areas"] if each["kind"] == "ii-V-I"]
    assert area["spans"] == [[2, 2], [5, 6]]
    told = area_data(sheet, analyse(timeline_of(sheet)))["areas"]
    assert [each["spans"] for each in told if each["kind"] == "ii-V-I"] == [[[2, 2], [5, 6]]]
