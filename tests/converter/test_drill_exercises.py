"""Exercises round the keys: chords, sheet, pivots, numerals, plan, practice."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from midneck.converter.drill.drill import DrillError, Practice
from midneck.converter.drill.exercises import ExerciseChord, KeyBlock, write_blocks
from midneck.converter.drill.make import Route, find_progression
from midneck.converter.drill.progressions import CYCLES, PROGRESSIONS, named_progression
from midneck.converter.harmony.numerals import numeral_in
from midneck.converter.practice.perform import perform
from midneck.grammar.chord import Chord
from midneck.grammar.errors import SheetError
from midneck.grammar.key import parse_key
from midneck.grammar.pitch import parse_pitch_name
from midneck.grammar.progression import Progression
from midneck.grammar.sheet import Bar, Header, Meter
from midneck.grammar.text.reader import read_sheet
from midneck.grammar.text.writer import write_sheet
from support.drills import drill, exercise, root_frets, symbols

NAMES = [row.name for row in PROGRESSIONS]


def test_ii_v_i_down_in_whole_steps() -> None:
    found = exercise()
    assert found.name == "ii–V–I in major, down in whole steps, two rounds of six keys"
    assert symbols(found) == [
        "Dm7 G7 C6", "Cm7 F7 Bb6", "Bbm7 Eb7 Ab6", "Abm7 Db7 Gb6", "F#m7 B7 E6", "Em7 A7 D6",
        "Ebm7 Ab7 Db6", "C#m7 F#7 B6", "Bm7 E7 A6", "Am7 D7 G6", "Gm7 C7 F6", "Fm7 Bb7 Eb6",
    ]  # fmt: skip
    assert [each.round for each in found.stations] == [1] * 6 + [2] * 6


def test_the_chord_that_pivots_is_said() -> None:
    pivots = [each.pivot for each in exercise().stations]
    assert pivots[:5] == [
        None,
        "C6 turns minor: Cm7 is the ii of Bb",
        "Bb6 turns minor: Bbm7 is the ii of Ab",
        "Ab6 turns minor: Abm7 is the ii of Gb",
        "Gb6 turns minor: F#m7 is the ii of E (Gb and F# are one note)",
    ]
    # A round that begins has no pivot.
    assert pivots[6] is None
    assert all(pivot is not None for pivot in pivots[7:])


def test_what_pivots_in_other_drills() -> None:
    minor = exercise("minor-ii-V-i").stations[1].pivot
    assert minor == "Cm6 turns half-diminished: Cm7b5 is the ii of Bb minor"
    # V–I round the fourths: each I becomes the next V.
    assert exercise("V7 | Imaj7", Route("fourths")).stations[1].pivot == (
        "Cmaj7 turns dominant: C7 is the V of F"
    )
    assert exercise("ii-V-chain").stations[1].pivot is None


@pytest.mark.parametrize("name", NAMES)
def test_every_named_progression_goes_round_all_keys(name: str) -> None:
    found = exercise(name)
    assert len(found.stations) == 12
    assert found.chart.plan.travel.optimal
    assert [index for each in found.stations for index in each.chords] == list(
        range(len(found.chart.sheet.chords))
    )
    assert len(found.chart.sheet.sections) == 12


@pytest.mark.parametrize("name", NAMES)
def test_numerals_are_those_of_the_progression_in_every_key(name: str) -> None:
    found = exercise(name)
    assert found.progression is not None
    readings = found.chart.analysis.readings
    rows = []
    for station in found.stations:
        here = [readings[index] for index in station.chords]
        assert all(reading is not None and reading.key == station.key for reading in here)
        rows.append([reading.roman for reading in here if reading is not None])
    assert all(row == rows[0] for row in rows)
    for roman, numeral in zip(rows[0], found.progression.numerals, strict=True):
        key = parse_key("C")
        plain = numeral_in(numeral.chord_in(key), key)
        assert roman == ("subV7" if numeral.substitute else plain.typeset)


@pytest.mark.parametrize("name", NAMES)
def test_the_sheet_of_a_drill_reads_back(name: str) -> None:
    sheet = exercise(name).chart.sheet
    again = read_sheet(write_sheet(sheet))
    assert [chord.chord for chord in again.chords] == [chord.chord for chord in sheet.chords]
    assert [bar.simile for bar in again.bars] == [bar.simile for bar in sheet.bars]
    assert [part.key for part in again.sections] == [part.key for part in sheet.sections]


@pytest.mark.parametrize(
    ("practice", "tempo"),
    [(Practice(meter=Meter(3, 4), tempo=90), 90), (Practice(ladder=(80, 100)), 80)],
)
def test_the_sheet_of_a_drill_says_key_meter_and_first_tempo(
    practice: Practice, tempo: int
) -> None:
    (found,) = drill("ii-V-I", Route(start=parse_pitch_name("Eb")), practice).exercises
    assert found.chart.sheet.header == Header(
        found.name, key=parse_key("Eb"), meter=practice.meter, tempo=tempo
    )


def test_in_the_grips_of_ii_and_v_one_guide_tone_holds_and_one_falls() -> None:
    """Common practice, no source."""
    found = exercise()
    grips = found.chart.plan.grips
    for station in found.stations:
        two, five = (grips[index] for index in station.chords[:2])
        assert two is not None
        assert five is not None
        before, after = (sorted(n.midi for n in grip.voicing.notes[1:]) for grip in (two, five))
        assert sorted(b - a for a, b in zip(before, after, strict=True)) == [-1, 0]


@pytest.mark.parametrize(
    ("bars_per_chord", "rows"),
    [
        (1, ["Dm7", "G7", "C6", "%"]),
        (2, ["Dm7", "%", "G7", "%", "C6", "%", "%", "%"]),
        (Fraction(1, 2), ["Dm7 G7", "C6"]),
        # A chord that ends inside a bar is written there again.
        (Fraction(3, 2), ["Dm7", "Dm7 G7", "G7", "C6", "%", "%"]),
    ],
)
def test_bars_per_chord(bars_per_chord: Fraction | int, rows: list[str]) -> None:
    practice = Practice(bars_per_chord=bars_per_chord)
    (found,) = drill(practice=practice).exercises
    sheet = found.chart.sheet
    first = sheet.sections[0]
    shown = [
        " ".join(chord.text for chord in bar.chords) or "%"
        for bar in sheet.bars[first.first : first.first + first.count]
    ]
    assert shown == rows
    assert root_frets(found)["C"][-1] == 8


def test_other_meters() -> None:
    practice = Practice(meter=Meter(3, 4), rhythm="waltz")
    (found,) = drill("| ii7 V7 | I6 |", practice=practice).exercises
    assert {str(bar.meter) for bar in found.chart.sheet.bars} == {"3/4"}
    assert found.chart.sheet.chords[0].beats == Fraction(3, 2)
    with pytest.raises(DrillError, match="does not fill bars of 3/4 with its slashes"):
        drill("| ii7 / / V7 | I6 |", practice=practice)
    with pytest.raises(DrillError, match="do not come out in eighths"):
        drill("| ii7 V7 | I6 |", practice=Practice(bars_per_chord=Fraction(1, 8)))


def test_a_drill_plays_once_for_each_repetition_and_tempo() -> None:
    practice = Practice(repetitions=2, ladder=(80, 100), count_in=1, rhythm="four-to-the-bar")
    (found,) = drill("V7", practice=practice).exercises
    chart = found.chart
    played = perform(chart.timeline, chart.plan, found.settings(practice))
    # Two tempos, each with a bar of count-in and two choruses of twelve bars of four beats.
    assert played.length == 2 * (4 + 2 * 12 * 4)
    assert [tempo for _, tempo in played.tempi] == [80, 100]


def test_everything_wrong_in_a_practice_is_told_at_once() -> None:
    with pytest.raises(DrillError) as caught:
        Practice(0, Fraction(9), ladder=(10,), rhythm="gallop", count_in=9)
    lines = str(caught.value).splitlines()
    assert lines[:4] == [
        "the number of repetitions goes from 1 to 100; 0 does not",
        "a chord lasts more than 0 and at most 8 bars; 9 does not",
        "the tempo goes from 20 to 400; 10 does not",
        "the number of bars of count-in goes from 0 to 8; 9 does not",
    ]
    assert lines[4].startswith("there is no rhythm 'gallop'; in 4/4 there are four-to-the-bar")
    with pytest.raises(DrillError, match="waltz does not fit 4/4"):
        Practice(rhythm="waltz")
    with pytest.raises(DrillError, match="a ladder rises; 90, 80 does not"):
        Practice(ladder=(90, 80))
    with pytest.raises(DrillError, match="leave the tempo out"):
        Practice(tempo=100, ladder=(80, 90))


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("ii-V-I", "ii-V-I"), ("ii V I", "ii-V-I"), ("ii–V–I", "ii-V-I"), ("II-V-I", "ii-V-I"),
        ("ii-V-i", "minor-ii-V-i"), ("Backdoor", "backdoor"), ("iii vi ii V", "iii-VI-ii-V"),
        ("Minor ii–V–i", "minor-ii-V-i"),
    ],
)  # fmt: skip
def test_names_are_read_as_they_are_typed(text: str, name: str) -> None:
    found = named_progression(text)
    assert found is not None
    assert found.name == name


@pytest.mark.parametrize(
    ("text", "numerals"),
    [
        ("Dm7 G7 C6", "ii7 | V7 | I6"),
        ("Am7 D7 Gmaj7", "ii7 | V7 | Imaj7"),
        ("Bm7b5 E7b9 Am6", "iiø7 | V7(b9) | i6"),
        ("ii7 V7 I6", "ii7 | V7 | I6"),
    ],
)
def test_chords_are_heard_in_their_key(text: str, numerals: str) -> None:
    found = find_progression(text)
    assert isinstance(found, Progression)
    assert str(found) == numerals


def test_a_stated_key_wins() -> None:
    assert str(find_progression("Dm7 G7 C6", parse_key("F"))) == "vi7 | II7 | V6"


def test_an_unknown_name_is_refused_with_those_there_are() -> None:
    with pytest.raises(DrillError) as caught:
        find_progression("bakdoor")
    first, second = str(caught.value).splitlines()
    assert first == "there is no progression 'bakdoor'; did you mean backdoor?"
    assert second.startswith("There are ii-V-I, ii-V-Imaj7, minor-ii-V-i, ")
    with pytest.raises(SheetError, match="there is no chord"):
        find_progression("")


@pytest.mark.parametrize("cycle", [cycle.name for cycle in CYCLES if cycle.step])
@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("ii-V-I", "ii-V-I"), ("ii-V-Imaj7", "ii-V-I"), ("minor-ii-V-i", "ii-V-I"),
        ("tritone-substitute", "tritone substitute"), ("backdoor", "backdoor"),
    ],
)  # fmt: skip
def test_every_cadence_is_an_area_in_the_key_of_its_station(
    name: str, kind: str, cycle: str
) -> None:
    found = exercise(name, Route(cycle))
    analysis = found.chart.analysis
    assert analysis.key == found.stations[0].key
    assert analysis.notes == ()
    areas = [(area.key, area.chords) for area in analysis.areas if area.kind == kind]
    assert areas == [(station.key, tuple(station.chords)) for station in found.stations]


@given(
    lengths=st.lists(st.integers(1, 12), min_size=1, max_size=6),
    factor=st.sampled_from([Fraction(1, 2), Fraction(1), Fraction(3, 2), Fraction(2)]),
)
def test_a_written_block_sounds_as_long_as_it_should(lengths: list[int], factor: Fraction) -> None:
    """Played in order, with `%` and chords written again, each chord lasts its eighths."""
    key = parse_key("C")
    chords = [Chord(parse_pitch_name(letter), "dominant") for letter in "CDEFGA"]
    sounding = tuple(
        ExerciseChord(chord, Fraction(length, 4))
        for chord, length in zip(chords, lengths, strict=False)
    )
    written = write_blocks("", [KeyBlock("C", key, sounding)], Practice(bars_per_chord=factor))
    sheet, heard = written.sheet, [Fraction(0)] * len(lengths)
    source = 0
    for bar in sheet.bars:
        assert bar.simile or sum(chord.beats for chord in bar.chords) == 4
        for chord in bar.chords:
            source = chords.index(chord.chord) if chord.chord else source
            heard[source] += chord.beats
        if bar.simile:
            heard[source] += 4
    for index, form_chord in enumerate(written.sources):
        assert sheet.chords[index].chord == chords[form_chord]
    asked = [4 * Fraction(length, 4) * factor for length in lengths]
    assert heard[:-1] == asked[:-1]
    assert asked[-1] <= heard[-1] < asked[-1] + 4
    before: Bar | None = None
    for bar in sheet.bars:
        # A `%` plays the bar before again: that must be one chord.
        assert not bar.simile or (before is not None and (before.simile or len(before.chords) == 1))
        before = bar
