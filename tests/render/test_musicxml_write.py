"""Charts written as MusicXML: what comes back is the sheet that was written."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from midneck.grammar.chord import Chord
from midneck.grammar.key import parse_key
from midneck.grammar.musicxml import read_musicxml
from midneck.grammar.pitch import PitchName
from midneck.grammar.quality import KIND_TONES, DegreeChange
from midneck.grammar.sheet import Jump, Meter, Section, Sheet
from midneck.grammar.text.reader import read_sheet
from midneck.render.musicxml import write_musicxml
from support.examples import share
from support.musicxml_charts import (
    bar,
    chart,
    music_of,
    numeral,
    sheet,
    written,
)
from support.musicxml_sheets import sheets
from support.sheets import NOWHERE

WALTZ = Meter(3, 4)


def tune() -> Sheet:
    """One bar of everything."""
    bars = [
        bar(0, written("G dominant", 0, 1), pickup=True),
        bar(1, written("Eb major-seventh", 0, 4), repeat_open=True, segno=True),
        bar(2, written("F minor-seventh", 0, "5/2", push=True),
            written("Bb dominant", "5/2", "3/2", push=True)),
        bar(3, simile=1),
        bar(4, written("C half-diminished", 0, 2), written("F dominant", 2, 2)),
        bar(5, simile=2),
        bar(6, simile=2),
        bar(7, written("Bb minor-sixth", 0, 4), endings=(1, 2), ending_close=True, repeat_close=3),
        bar(8, written("Eb major-sixth", 0, 4), endings=(3,), ending_close=True, to_coda=True,
            double_bar=True),
        bar(9, rest_bars=4),
        bar(13, written("", 0, 4)),
        bar(14, written("Ab major-seventh", 0, 3), meter=WALTZ),
        bar(15, written("Ab minor-sixth", 0, 2, pin=(None, 11, 9, 10, None, None)),
            written("Db dominant", 2, 1, hold=True), meter=WALTZ, jump=Jump("segno", "coda")),
        bar(16, written("Eb major-ninth", 0, 4, hold=True), coda=True),
    ]  # fmt: skip
    sections = [
        Section("A", 0, 7, NOWHERE, text=("softly, Fine brushes", "To Coda")),
        Section("", 7, 2, NOWHERE),
        Section("B", 9, 5, NOWHERE, key=parse_key("Ab"), text=("louder",)),
    ]
    return sheet(
        bars, sections, title="Third Lamp Left", by="Ada Quell & Co.", key=parse_key("Eb"),
        tempo=132, feel="medium swing", other=(("Arranger", "M. <Ostrow>"),),
    )  # fmt: skip


def root(tab: bool = False) -> ET.Element:
    return ET.fromstring(write_musicxml(chart(tune()), tab))


@pytest.mark.parametrize("tab", [False, True])
def test_everything_comes_back(tab: bool) -> None:
    back = read_musicxml(write_musicxml(chart(tune()), tab))
    assert music_of(back) == music_of(tune())


@pytest.mark.slow
@given(sheets())
@share(0.7)
def test_any_sheet_comes_back(random: Sheet) -> None:
    assert music_of(read_musicxml(write_musicxml(chart(random)))) == music_of(random)


@pytest.mark.slow
@given(sheets())
@share(0.25)
def test_any_sheet_comes_back_from_tablature(random: Sheet) -> None:
    data = write_musicxml(chart(random), tab=True)
    assert music_of(read_musicxml(data)) == music_of(random)


@pytest.mark.parametrize("meter", [Meter(100, 4), Meter(512, 64), Meter(512, 1)])
def test_every_meter_that_a_sheet_can_have_comes_back(meter: Meter) -> None:
    long = sheet([bar(1, written("G dominant", 0, meter.beats), meter=meter)], meter=meter)
    assert music_of(read_musicxml(write_musicxml(chart(long)))) == music_of(long)


def test_the_same_chart_gives_the_same_bytes() -> None:
    assert write_musicxml(chart(tune())) == write_musicxml(chart(tune()))
    assert b"encoding-date" not in write_musicxml(chart(tune()))


def test_frames_follow_the_standard() -> None:
    """MusicXML 4.0: strings from 1, the highest; no note for a muted string; barre from the
    lowest."""
    frames = root().findall(".//frame")
    shell = next(
        frame for frame in frames if frame.get("id") is None and frame.find(".//barre") is not None
    )
    notes = [
        {child.tag: child.text or child.get("type") for child in note}
        for note in shell.findall("frame-note")
    ]
    assert [note["string"] for note in notes] == ["6", "4", "3"]
    assert [note.get("barre") for note in notes] == [None, "start", "stop"]
    assert notes[1]["fret"] == notes[2]["fret"]
    pinned = next(frame for frame in frames if frame.get("id") is not None)
    assert [note.findtext("fret") for note in pinned.findall("frame-note")] == ["11", "9", "10"]
    assert (pinned.findtext("first-fret"), pinned.findtext("frame-frets")) == ("9", "4")


@pytest.mark.parametrize(
    ("kind", "change", "alter"),
    [
        ("dominant", DegreeChange("add", 9, -1), -1),
        ("suspended-fourth", DegreeChange("add", 7, -1), 0),
        ("major", DegreeChange("add", 7, 0), 1),
        ("dominant", DegreeChange("alter", 5, 1), 1),
        ("augmented-seventh", DegreeChange("alter", 5, 0), -1),
        ("half-diminished", DegreeChange("omit", 5, -1), 0),
    ],
)
def test_degrees_follow_the_standard(kind: str, change: DegreeChange, alter: int) -> None:
    """`degree-alter`: added degrees against a dominant chord, altered ones against the kind."""
    one = replace(written("C", 0, 4), chord=Chord(PitchName("C"), kind, (change,)))
    score = ET.fromstring(write_musicxml(chart(sheet([bar(1, one)]))))
    [degree] = score.iter("degree")
    assert degree.findtext("degree-value") == str(change.degree)
    assert degree.findtext("degree-alter") == str(alter)


def test_every_kind_comes_back_with_its_symbol() -> None:
    for kind in KIND_TONES:
        if kind == "none":
            continue
        one = sheet([bar(1, written(f"F# {kind}", 0, 4))])
        data = write_musicxml(chart(one))
        assert read_musicxml(data).chords[0].chord == Chord(PitchName("F", 1), kind)
        text = ET.fromstring(data).find(".//harmony/kind").get("text")  # type: ignore[union-attr]
        assert f"F#{text}" == str(Chord(PitchName("F", 1), kind))


def test_numerals_stand_below_and_are_not_read_as_words() -> None:
    words = [
        direction.findtext("direction-type/words")
        for direction in root().iter("direction")
        if direction.get("placement") == "below"
    ]
    sounding = [at for at, said in enumerate(tune().chords) if said.chord is not None]
    assert words == [f"{'Eb: ' * (at == 0)}{numeral(at).typeset}" for at in sounding]


def test_a_repeated_bar_says_what_sounds_for_programs_without_the_sign() -> None:
    _, tab = root(tab=True).iter("part")
    for measure, roots in (("3", ["F", "B"]), ("5", ["F", "B"]), ("6", ["C", "F"])):
        steps = [
            step.text for step in root().findall(f".//measure[@number='{measure}']//root-step")
        ]
        assert steps == roots
        assert tab.find(f"./measure[@number='{measure}']//fret") is not None


def test_swing_and_tempo_are_said_to_players() -> None:
    sounds = root().findall(".//measure[1]/direction/sound")
    assert sounds[0].get("tempo") == "132"
    swing = sounds[1].find("swing")
    assert swing is not None
    assert [(child.tag, child.text) for child in swing] == [
        ("first", "7"), ("second", "2"), ("swing-type", "eighth"), ("swing-style", "medium swing"),
    ]  # fmt: skip
    six = Meter(6, 8)
    bars = [bar(1, written("G dominant", 0, 6), meter=six)]
    slow = sheet(bars, meter=six, tempo=60, feel="even")
    again = ET.fromstring(write_musicxml(chart(slow)))
    assert again.find(".//sound[@tempo]").get("tempo") == "90"  # type: ignore[union-attr]
    assert again.find(".//swing/straight") is not None


def test_a_tempo_counts_the_beats_of_the_first_bar() -> None:
    """Dotted quarters in 6/8, though the header, which says nothing, stands for 4/4."""
    tune = read_sheet("Tempo: 60\n\nA:\nTime: 6/8\n| C6 ||\n")
    data = write_musicxml(chart(tune))
    assert ET.fromstring(data).find(".//sound[@tempo]").get("tempo") == "90"  # type: ignore[union-attr]
    assert read_musicxml(data).header.tempo == 60


def test_every_measure_is_as_long_as_its_meter() -> None:
    """Two divisions to the quarter; a pickup of a quarter, and bars 14 and 15 in 3/4."""
    for part in [*root().iter("part"), *root(tab=True).iter("part")]:
        for measure in part.iter("measure"):
            notes = [note for note in measure.iter("note") if note.find("chord") is None]
            total = sum(Fraction(note.findtext("duration") or 0) for note in notes)
            quarters = {"0": 1, "14": 3, "15": 3}.get(measure.get("number", ""), 4)
            assert total == quarters * 2, measure.get("number")


def test_tablature_has_its_own_part() -> None:
    """MusicXML 4.0: tablature strings from 1, the highest; staff lines from 1, the lowest."""
    notes, tab = root(tab=True).iter("part")
    assert (notes.find(".//technical"), tab.find(".//harmony")) == (None, None)
    tuning = [
        f"{line.findtext('tuning-step')}{line.findtext('tuning-octave')}"
        for line in tab.iter("staff-tuning")
    ]
    assert tuning == ["E2", "A2", "D3", "G3", "B3", "E4"]
    first = [
        (note.findtext(".//string"), note.findtext(".//fret"))
        for note in list(tab.iter("note"))[:3]
    ]
    assert first == [("6", "3"), ("4", "3"), ("3", "4")]


@pytest.mark.parametrize(
    ("meter", "starts", "expected"),
    [
        (Meter(4, 4), (0,), [1, 1, 1, 1]),
        (Meter(6, 8), (0, 3), [Fraction(3, 2), Fraction(3, 2)]),
        (Meter(2, 2), (0,), [2, 2]),
        (Meter(4, 4), (0, Fraction(5, 2)), [1, 1, Fraction(1, 2), Fraction(1, 2), 1]),
        (Meter(5, 4), (0, 3), [1, 1, 1, 1, 1]),
    ],
)
def test_a_slash_a_beat(
    meter: Meter, starts: tuple[Fraction, ...], expected: list[Fraction]
) -> None:
    ends = [*starts[1:], Fraction(meter.beats)]
    said = [
        written("C", start, Fraction(end) - start) for start, end in zip(starts, ends, strict=True)
    ]
    score = ET.fromstring(write_musicxml(chart(sheet([bar(1, *said, meter=meter)]))))
    divisions = Fraction(score.findtext(".//divisions") or "0")
    notes = list(score.iter("note"))
    assert [int(note.findtext("duration") or 0) / divisions for note in notes] == expected
    assert all(note.findtext("type") for note in notes)
    assert len(list(score.iter("harmony"))) == len(starts)


def test_lengths_without_a_note_value_come_back() -> None:
    thirds = [written("C", at * Fraction(4, 3), Fraction(4, 3)) for at in range(3)]
    one = sheet([bar(1, *thirds)])
    data = write_musicxml(chart(one))
    assert ET.fromstring(data).findtext(".//divisions") == "3"
    assert music_of(read_musicxml(data)) == music_of(one)


def test_a_section_played_again_is_written_out() -> None:
    bars = [bar(1, written("C", 0, 4)), bar(2, written("F", 0, 4)), bar(3, written("G", 0, 4))]
    sections = [
        Section("A", 0, 2, NOWHERE),
        Section("B", 2, 1, NOWHERE),
        Section("A", 3, 0, NOWHERE, recalls=0),
    ]
    back = read_musicxml(write_musicxml(chart(sheet(bars, sections))))
    assert [str(said.chord.root) for said in back.chords if said.chord] == ["C", "F", "G", "C", "F"]
    assert [(section.label, section.count) for section in back.sections] == [
        ("A", 2),
        ("B", 1),
        ("A", 2),
    ]


def test_a_section_played_again_has_its_own_key_again() -> None:
    text = "Key: F\n\nA:\n| Gm7 | C7 ||\n\nB:\nKey: Ab\n| Bbm7 | Eb7 ||\n\nA: again\n"
    score = ET.fromstring(write_musicxml(chart(read_sheet(text))))
    signatures = [
        (measure.get("number"), fifths.text)
        for measure in score.iter("measure")
        for fifths in measure.iter("fifths")
    ]
    assert signatures == [("1", "-1"), ("3", "-4"), ("5", "-1")]


def test_characters_that_xml_cannot_hold_are_left_out() -> None:
    odd = sheet([bar(1, written("C", 0, 4))], title="Bell\x07 & <Tower>\ud800")
    assert read_musicxml(write_musicxml(chart(odd))).header.title == "Bell & <Tower>"


def test_only_silence_is_hidden_and_only_it_has_words() -> None:
    """MusicXML 4.0: `print-object` hides what is only there for the schema, as the root of N.C."""
    hidden, told = {}, {}
    for measure in root().iter("measure"):
        number = measure.get("number")
        for harmony in measure.iter("harmony"):
            kind = harmony.findtext("kind")
            hidden.setdefault(number, []).append((kind == "none", harmony.get("print-object")))
            assert harmony.get("print-frame") == (None if kind == "none" else "yes")
        words = [each.text for each in measure.iter("words")]
        told[number] = words.count("N.C.")
    marks = [pair for pairs in hidden.values() for pair in pairs]
    assert set(marks) == {(True, "no"), (False, None)}
    silent = {number: sum(none for none, _ in pairs) for number, pairs in hidden.items()}
    assert {number: count for number, count in told.items() if count} == {
        number: count for number, count in silent.items() if count
    }


def test_signs_that_repeat_bars_begin_and_end_where_they_are_written() -> None:
    """One bar again in bar 3, two in bars 5 and 6."""
    signs = {
        measure.get("number"): [
            (sign.get("type"), sign.text, sign.get("slashes"))
            for sign in measure.iter("measure-repeat")
        ]
        for measure in root().iter("measure")
    }
    assert {number: found for number, found in signs.items() if found} == {
        "3": [("start", "1", "1")],
        "4": [("stop", None, None)],
        "5": [("start", "2", "2")],
        "7": [("stop", None, None)],
    }


@pytest.mark.parametrize("tab", [False, True])
def test_every_note_is_a_pitch_or_a_rest_and_silence_rests(tab: bool) -> None:
    score = root(tab)
    for note in score.iter("note"):
        kinds = [child.tag for child in note if child.tag in ("pitch", "unpitched", "rest")]
        assert len(kinds) == 1
    for part in score.iter("part"):
        silent = part.findall("measure[@number='13']//note")
        assert silent
        assert all(note.find("rest") is not None for note in silent)
        assert [note.get("print-object") for note in silent] == [None] * len(silent)


def test_a_new_line_begins_every_four_bars_and_with_each_section() -> None:
    bars = [bar(at, written("C", 0, 4)) for at in range(1, 16)]
    sections = [Section("A", 0, 10, NOWHERE), Section("B", 10, 5, NOWHERE)]
    score = ET.fromstring(write_musicxml(chart(sheet(bars, sections))))
    lines = [
        measure.get("number")
        for measure in score.iter("measure")
        if measure.find("print[@new-system='yes']") is not None
    ]
    assert lines == ["5", "9", "11", "15"]
