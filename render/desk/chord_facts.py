"""What a chord's card says of a chord, in words. Pure: takes a chart and the index of a chord."""

from __future__ import annotations

from ...converter.chart import CompingChart
from ...converter.hand.grip import Grip, sounding_pitch
from ...converter.prose.areas import area_sentence
from ...converter.prose.chart import beats_text
from ...converter.prose.hand import names, position_lines
from ...converter.prose.remarks import degree_words
from ...grammar.chord import Chord
from ...grammar.frozen import frozen
from ..page.drawing.signs import with_signs


@frozen
class ChordFacts:
    """A chord in words: its symbol, its place, its numeral, its notes with what they are in it.

    `does`: a sentence for each area that it is in. `fingers`: those of its grip, "" for silence.
    """

    symbol: str
    place: str
    numeral: str
    notes: tuple[tuple[str, str], ...]
    fingers: str
    does: tuple[str, ...]


def chord_facts(chart: CompingChart, index: int) -> ChordFacts:
    """What is said of a written chord at once."""
    sheet, analysis = chart.sheet, chart.analysis
    written, grip, reading = sheet.chords[index], chart.plan.grips[index], analysis.readings[index]
    areas = [area for area in analysis.areas if index in area.chords]
    sentences = dict.fromkeys(area_sentence(sheet, area) for area in areas)
    return ChordFacts(
        "No chord" if written.chord is None else with_signs(written.symbol),
        f"bar {sheet.bar_number_of(index)}, {beats_text(written)}",
        "" if reading is None else with_signs(reading.sentence),
        () if written.chord is None or grip is None else _notes(grip, written.chord),
        _fingers(grip),
        tuple(map(with_signs, sentences)),
    )


def why_lines(chart: CompingChart, index: int) -> tuple[str, ...]:
    """Why the hand is where it is at a chord; takes longer than `chord_facts`."""
    return tuple(map(with_signs, position_lines(chart, index)))


def _notes(grip: Grip, chord: Chord) -> tuple[tuple[str, str], ...]:
    """The notes of a grip from the lowest up, each with its degree."""
    return tuple(
        (
            with_signs(str(sounding_pitch(note, chord)[0])),
            "bass" if note.tone is None else degree_words(note.tone),
        )
        for note in grip.voicing.notes
    )


def _fingers(grip: Grip | None) -> str:
    """`index and ring finger`; "" for a grip without fingers."""
    if grip is None:
        return ""
    used = sorted({finger for finger in grip.fingers if finger is not None})
    return names(used) if used else "open strings"
