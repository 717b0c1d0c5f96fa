"""Written MusicXML judged from outside: by the W3C's schema and by music21."""

from __future__ import annotations

from typing import Any

import music21
import pytest
from hypothesis import given
from midneck.grammar.chord import Chord
from midneck.grammar.form.unfold import unfold
from midneck.grammar.quality import KIND_TONES
from midneck.grammar.sheet import Jump, Meter, Sheet
from midneck.render.musicxml import write_musicxml
from support.examples import share
from support.musicxml_charts import bar, chart, sheet, shell, written
from support.musicxml_schema import musicxml_schema, schema_errors
from support.musicxml_sheets import sheets
from support.roots import ROOTS

pytestmark = pytest.mark.slow

#: Kinds whose notes music21 spells in its own way (functional sixths), or does not know.
OWN_WAYS = {"Neapolitan", "Italian", "French", "German", "Tristan", "other", "pedal"}


def read(data: bytes) -> Any:
    """music21's own reading of a document."""
    return music21.converter.parseData(data.decode(), format="musicxml")


def test_the_schema_finds_mistakes() -> None:
    good = write_musicxml(chart(sheet([bar(1, written("C", 0, 4))])))
    assert schema_errors(good) == []
    thirds = sheet([bar(1, written("C", 0, "4/3"), written("F", "4/3", "8/3"))])
    assert schema_errors(write_musicxml(chart(thirds))) == []
    assert schema_errors(good.replace(b"<kind ", b"<kinds ").replace(b"</kind>", b"</kinds>"))
    assert schema_errors(good.replace(b">major<", b">sunny<"))
    assert schema_errors(good.replace(b"<string>6", b"<string>0"))


def test_our_kinds_are_those_of_the_schema() -> None:
    kinds = musicxml_schema().types["kind-value"].enumeration
    assert set(KIND_TONES) == set(kinds)
    assert len(kinds) == 33


@given(sheets())
@share(0.3)
def test_any_chart_is_valid(tune: Sheet) -> None:
    assert schema_errors(write_musicxml(chart(tune))) == []


@given(sheets())
@share(0.1)
def test_any_chart_is_valid_as_tablature(tune: Sheet) -> None:
    assert schema_errors(write_musicxml(chart(tune), tab=True)) == []


def test_music21_hears_the_same_chords() -> None:
    kinds = sorted(set(KIND_TONES) - OWN_WAYS - {"none"})
    bars = [bar(at + 1, written(f"{ROOTS[at % 12]} {kind}", 0, 4)) for at, kind in enumerate(kinds)]
    tune = sheet(bars)
    symbols = list(read(write_musicxml(chart(tune))).recurse().getElementsByClass("ChordSymbol"))
    assert len(symbols) == len(kinds) == 25
    for said, symbol in zip(tune.chords, symbols, strict=True):
        assert isinstance(said.chord, Chord)
        theirs = {pitch.pitchClass for pitch in symbol.pitches}
        assert theirs == set(said.chord.pitch_classes), symbol.figure
        assert symbol.root().name.replace("-", "b") == str(said.chord.root)


@pytest.mark.parametrize("tab", [False, True])
def test_music21_counts_the_same_bars_and_beats(tab: bool) -> None:
    waltz = Meter(3, 4)
    bars = [
        bar(0, written("G dominant", 0, 1), pickup=True),
        bar(1, written("C major-sixth", 0, 2), written("A dominant", 2, 2), repeat_open=True),
        bar(2, simile=1, repeat_close=2),
        bar(3, rest_bars=3),
        bar(4, written("D minor-seventh", 0, 3, hold=True), meter=waltz),
    ]
    score = read(write_musicxml(chart(sheet(bars)), tab))
    for part in score.parts:
        measures = part.getElementsByClass("Measure")
        assert [measure.duration.quarterLength for measure in measures] == [1, 4, 4, 4, 4, 4, 3]
        assert len(part.expandRepeats().getElementsByClass("Measure")) == 9
    offsets = [
        float(symbol.getOffsetInHierarchy(score))
        for symbol in score.parts[0].recurse().getElementsByClass("ChordSymbol")
    ]
    assert offsets == [0, 1, 3, 5, 7, 21]


def test_music21_plays_the_same_form() -> None:
    bars = [
        bar(1, written("C", 0, 4), repeat_open=True),
        bar(2, written("D", 0, 4), endings=(1, 2), ending_close=True, repeat_close=3),
        bar(3, written("E", 0, 4), endings=(3,), ending_close=True),
        bar(4, written("F", 0, 4), repeat_open=True, repeat_close=4),
        bar(5, written("G", 0, 4)),
    ]
    assert both_orders(sheet(bars)) == ["CDCDCEFFFFG"] * 2


@pytest.mark.parametrize(
    ("jump", "played"),
    [
        (Jump("segno", "coda"), "CDGADGF"),
        (Jump("capo", "coda"), "CDGACDGF"),
        (Jump("segno", "fine"), "CDGADG"),
        (Jump("capo", "fine"), "CDGACDG"),
    ],
)
def test_music21_takes_the_same_jumps(jump: Jump, played: str) -> None:
    leaves = {"to_coda": jump.until == "coda", "fine": jump.until == "fine"}
    bars = [
        bar(1, written("C", 0, 4)),
        bar(2, written("D", 0, 4), segno=jump.to == "segno"),
        bar(3, written("G", 0, 4), **leaves),
        bar(4, written("A", 0, 4), jump=jump),
        *([bar(5, written("F", 0, 4), coda=True)] if jump.until == "coda" else []),
    ]
    assert both_orders(sheet(bars)) == [played] * 2


def both_orders(tune: Sheet) -> list[str]:
    """The roots as they are played, by music21 from the score and by ourselves."""
    part = read(write_musicxml(chart(tune))).parts[0]
    symbols = part.expandRepeats().recurse().getElementsByClass("ChordSymbol")
    ours = [tune.bars[at].chords[0].chord for at in unfold(tune).bars]
    return [
        "".join(symbol.root().name for symbol in symbols),
        "".join(str(chord.root) for chord in ours if chord),
    ]


def test_music21_finds_a_frame_on_every_chord() -> None:
    """It notes that there is one, but reads nothing in it; the schema and our own tests do."""
    bars = [
        bar(1, written("A minor-seventh", 0, 2), written("Db dominant", 2, 2)),
        bar(2, written("", 0, 4)),
    ]
    part = read(write_musicxml(chart(sheet(bars)))).parts[0]
    harmonies = list(part.recurse().getElementsByClass("Harmony"))
    assert ["ChordWithFretBoard" in each.classes for each in harmonies] == [True, True, False]


def test_music21_reads_the_tablature() -> None:
    symbol = written("A minor-seventh", 0, 4)
    assert symbol.chord is not None
    grip = shell(symbol.chord)
    score = read(write_musicxml(chart(sheet([bar(1, symbol)])), tab=True))
    assert len(score.parts) == 2
    midi = [held.midi for held in grip.voicing.notes]
    struck = [
        [c for c in part.recurse().getElementsByClass("Chord") if "Harmony" not in c.classes]
        for part in score.parts
    ]
    assert [[[p.midi for p in c.pitches] for c in part] for part in struck] == [[midi] * 4] * 2
    for chord in struck[1]:
        said = {name: [int(a.number) for a in chord.articulations if name in a.classes]
                for name in ("StringIndication", "FretIndication")}  # fmt: skip
        assert said["StringIndication"] == [held.string for held in grip.voicing.notes]
        assert said["FretIndication"] == [held.fret for held in grip.voicing.notes]
