"""MusicXML lead sheets against music21: the same chords in the same places, the same played form.

The files are those that music21 carries: its two lead sheets, its file of all chord symbols, a
song realised for piano, madrigals with a few symbols, and its copy of a suite of small
MusicXML tests. Where the two differ the reason stands beside the exception.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import music21
import pytest
from midneck.grammar.errors import SheetError
from midneck.grammar.form.unfold import unfold
from midneck.grammar.musicxml import read_musicxml
from midneck.grammar.sheet import Sheet

pytestmark = pytest.mark.slow

PACKAGE = Path(music21.__file__).parent
SUITE = PACKAGE / "musicxml" / "lilypondTestSuite"

#: Every file of music21 that carries symbols and is meant to: how many, and how many bars.
FILES = {
    "corpus/demos/ComprehensiveChordSymbolsTestFile.mxl": (57, 57),
    "corpus/demos/chord_realization_exercise.mxl": (5, 4),
    "corpus/leadSheet/berlinAlexandersRagtime.mxl": (19, 34),
    "corpus/leadSheet/fosterBrownHair.mxl": (40, 35),
    "corpus/monteverdi/madrigal.3.5.mxl": (3, 106),
    "corpus/monteverdi/madrigal.3.17.mxl": (7, 58),
    "musicxml/lilypondTestSuite/46g-PickupMeasure-Chordnames-FiguredBass.xml": (2, 2),
    "musicxml/lilypondTestSuite/71a-Chordnames.xml": (8, 2),
    "musicxml/lilypondTestSuite/71c-ChordsFrets.xml": (8, 2),
    "musicxml/lilypondTestSuite/71d-ChordsFrets-Multistaff.xml": (4, 1),
    "musicxml/lilypondTestSuite/71f-AllChordTypes.xml": (38, 10),
    "musicxml/testChordOffset.xml": (6, 3),
    "musicxml/testNC.xml": (5, 2),
}

#: (file, bar, place in quarters) where music21 names other notes, and why ours are kept.
DIFFERENT = {
    # `minor-major` is no kind of the standard (it is `major-minor`): music21 keeps the root alone.
    ("ComprehensiveChordSymbolsTestFile.mxl", 11, 0.0): [2],
    # Two degrees in one <degree>: music21 takes the first alone.
    ("ComprehensiveChordSymbolsTestFile.mxl", 54, 0.0): [0, 2, 5, 7, 11],
    # `tristan` for `Tristan`: music21 keeps the root alone.
    ("ComprehensiveChordSymbolsTestFile.mxl", 56, 0.0): [5],
    # The functional sixths: music21 spells them on the tonic, in its own way.
    ("ComprehensiveChordSymbolsTestFile.mxl", 55, 0.0): [0, 1, 4, 6],
    ("ComprehensiveChordSymbolsTestFile.mxl", 57, 0.0): [0, 6, 8],
    ("71f-AllChordTypes.xml", 7, 0.0): [0, 1, 4, 6],
    ("71f-AllChordTypes.xml", 7, 1.0): [0, 6, 8],
    ("71f-AllChordTypes.xml", 7, 2.0): [0, 2, 6, 8],
    ("71f-AllChordTypes.xml", 7, 3.0): [0, 3, 6, 8],
    # A subtracted root: music21 keeps it.
    ("71f-AllChordTypes.xml", 10, 1.0): [0, 4, 7, 8],
}


def part_with_symbols(score: Any) -> Any:
    return max(score.parts, key=lambda part: len(part.recurse().getElementsByClass("Harmony")))


def pitch_classes_at(sheet: Sheet, bar: int, quarters: float) -> list[int] | None:
    """What sounds from that place on: sorted pitch classes, [] for silence, None for no chord
    there."""
    written = sheet.bars[bar]
    for said in written.chords:
        if float(said.start) * 4 / written.meter.unit == quarters:
            return [] if said.chord is None else sorted(said.chord.pitch_classes)
    return None


@pytest.mark.parametrize(("name", "counts"), FILES.items())
def test_symbols(name: str, counts: tuple[int, int]) -> None:
    path = PACKAGE / name
    sheet = read_musicxml(path.read_bytes(), path.name)
    part = part_with_symbols(music21.converter.parse(path, forceSource=True))
    measures = list(part.getElementsByClass("Measure"))
    symbols = 0
    for at, measure in enumerate(measures):
        for symbol in measure.recurse().getElementsByClass("Harmony"):
            place = float(symbol.getOffsetInHierarchy(measure))
            theirs = sorted({pitch.pitchClass for pitch in symbol.pitches})
            ours = pitch_classes_at(sheet, at, place)
            known = DIFFERENT.get((path.name, at + 1, place))
            if known is None:
                assert ours == theirs, (at, place, symbol.figure)
            else:
                assert (theirs, ours) != (known, known)
                assert theirs == known
                assert ours is not None
            symbols += 1
    assert (symbols, len(measures)) == counts
    assert len(sheet.bars) == counts[1]


def test_several_symbols_on_one_note_share_it() -> None:
    """music21 puts all of them where the note begins; the suite says the harmony changes during
    it."""
    sheet = read_musicxml((SUITE / "71g-MultipleChordnames.xml").read_bytes())
    found = [(str(said.chord.root), said.start) for said in sheet.chords if said.chord]
    assert found == [("C", 0), ("F#", 1), ("D", 2), ("G", 3)]


def test_every_file_of_the_suite_is_read_or_refused() -> None:
    files = sorted([*SUITE.glob("*.xml"), *SUITE.glob("*.mxl")])
    assert len(files) > 100
    refused: dict[str, str] = {}
    for path in files:
        try:
            assert read_musicxml(path.read_bytes(), path.name).chords
        except SheetError as error:
            refused[path.name] = error.problems[0].message
    assert len(files) - len(refused) == 6
    without_symbols = {path.name for path in files if b"<harmony" not in path.read_bytes()}
    assert refused.keys() == without_symbols
    assert all("no chord symbols" in message for message in refused.values())


def with_symbols(path: Path) -> bytes:
    """The file with a symbol in every measure, so that its form can be read."""
    symbol = "<harmony><root><root-step>C</root-step></root><kind>major</kind></harmony>"
    text = path.read_text(encoding="utf-8")
    text, count = re.subn(r"(<measure [^>]*>(?:\s*<attributes>.*?</attributes>)?)",
                          rf"\1{symbol}", text, flags=re.DOTALL)  # fmt: skip
    assert count > 0
    return text.encode()


@pytest.mark.parametrize(
    ("name", "played"),
    [("45a-SimpleRepeat", 6), ("45b-RepeatWithAlternatives", 5), ("46a-Barlines", 13),
     ("46d-PickupMeasure-ImplicitMeasures", 4), ("46f-IncompleteMeasures", 4)],
)  # fmt: skip
def test_played_length_of_the_suite(name: str, played: int) -> None:
    data = with_symbols(SUITE / f"{name}.xml")
    sheet = read_musicxml(data)
    part = music21.converter.parseData(data.decode(), format="musicxml").parts[0]
    assert len(unfold(sheet).bars) == played
    assert len(part.expandRepeats().getElementsByClass("Measure")) == played


def test_a_repeat_without_an_opening_goes_back_to_the_one_before() -> None:
    """Common practice, no source; music21 goes back to the top and plays 46 measures."""
    sheet = read_musicxml(with_symbols(SUITE / "45c-RepeatMultipleTimes.xml"))
    assert len(unfold(sheet).bars) == 1 + 2 * 5 + 4 * 3 + 1


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("45d-Repeats-Nested-Alternatives", "an ending without a repeat"),
        ("45e-Repeats-Nested-Alternatives", "goes back once more, but no ending follows"),
        ("45f-Repeats-InvalidEndings", "an ending without a repeat"),
    ],
)
def test_forms_that_nobody_could_play_are_refused(name: str, message: str) -> None:
    with pytest.raises(SheetError, match=message):
        read_musicxml(with_symbols(SUITE / f"{name}.xml"))


@pytest.mark.parametrize("name", ["berlinAlexandersRagtime", "fosterBrownHair"])
def test_played_length_of_the_lead_sheets(name: str) -> None:
    path = PACKAGE / "corpus" / "leadSheet" / f"{name}.mxl"
    sheet = read_musicxml(path.read_bytes())
    part = music21.converter.parse(path, forceSource=True).parts[0]
    expected = len(part.expandRepeats().getElementsByClass("Measure"))
    assert len(unfold(sheet).bars) == expected == 65


def test_titles_and_people() -> None:
    for path in sorted((PACKAGE / "corpus" / "leadSheet").glob("*.mxl")):
        sheet = read_musicxml(path.read_bytes())
        metadata = music21.converter.parse(path, forceSource=True).metadata
        assert sheet.header.title in (metadata.movementName, metadata.title)
        assert sheet.header.by == metadata.composer
