"""Performances read back by music21, and their length against its repeat expander.

Source: music21 (Cuthbert & Ariza, ISMIR 2010), its MIDI reader and `music21.repeat.Expander`; the
numbers of General MIDI 1.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import music21
import pytest
from midneck.converter.practice.performance import Performance
from midneck.render.midi import write_midi
from midneck.render.musicxml import write_musicxml
from support.charts import chart_of, example_texts
from support.performances import played
from support.tunes import tune_text

pytestmark = pytest.mark.slow

#: With a jump in the score music21 reads no repeat brackets and plays all endings each time (see
#: `test_form_music21`): twice two bars of 4/4 more than this tune has.
MORE_QUARTERS = {"the_long_platform": 16}
TEXTS = example_texts() | {f"invented {seed}": tune_text(seed) for seed in range(10)}


def scored(performance: Performance, apart: bool = False) -> Any:
    """music21's own reading of the MIDI file, its times not rounded."""
    data = write_midi(performance, apart)
    return music21.converter.parse(data, format="midi", quantizePost=False)


def sounded(part: Any) -> list[tuple[float, int, float]]:
    """Onset in quarters, MIDI number and length in quarters of every note of a part."""
    found = []
    for note in part.recurse().notes:
        at = float(note.getOffsetInHierarchy(part))
        found += [(at, pitch.midi, float(note.quarterLength)) for pitch in note.pitches]
    return sorted(found)


def intended(performance: Performance, part: str) -> list[tuple[float, int, float]]:
    return sorted(
        (float(stroke.at), note.midi, float(stroke.length))
        for stroke in performance.strokes
        if stroke.part == part
        for note in stroke.notes
    )


@pytest.mark.parametrize("name", sorted(example_texts()))
@pytest.mark.parametrize("part", ["guitar", "bass"])
def test_music21_hears_the_same_notes(name: str, part: str) -> None:
    performance = played(example_texts()[name], strum_ms=0)
    (theirs,) = [each for each in scored(performance).parts if each.partName == part.title()]
    heard, meant = sounded(theirs), intended(performance, part)
    assert [midi for _, midi, _ in heard] == [midi for _, midi, _ in meant]
    for (at, _, length), (begins, _, lasts) in zip(heard, meant, strict=True):
        assert at == pytest.approx(begins, abs=0.001)
        assert length == pytest.approx(lasts, abs=0.001)


@pytest.mark.parametrize("apart", [False, True])
def test_music21_reads_the_programs(apart: bool) -> None:
    file = music21.midi.MidiFile()
    file.readstr(write_midi(played(), apart))
    kinds = music21.midi.ChannelVoiceMessages
    programs = {
        (event.channel, event.data)
        for track in file.tracks
        for event in track.events
        if event.type == kinds.PROGRAM_CHANGE
    }
    # music21 counts channels from 1, programs as they are sent.
    guitars = {channel for channel, program in programs if program == 26}
    assert guitars <= set(range(1, 7)) if apart else guitars == {1}
    assert len(guitars) >= 3 or not apart
    assert programs - {(channel, 26) for channel in guitars} == {(9, 32)}
    assert file.ticksPerQuarterNote == 6720


@pytest.mark.parametrize(("text", "tempo"), [("Tempo: 148\n", 148), ("", 120)])
def test_music21_reads_the_tempo_and_the_meter(text: str, tempo: int) -> None:
    score = scored(played(f"Time: 3/4\n{text}\nA:\n| C6 | G7 ||\n"))
    marks = {mark.number for mark in score.recurse().getElementsByClass("MetronomeMark")}
    assert marks == {tempo}
    meters = {mark.ratioString for mark in score.recurse().getElementsByClass("TimeSignature")}
    assert meters == {"3/4"}


@pytest.mark.parametrize("name", sorted(TEXTS))
def test_the_form_is_as_long_as_music21_unfolds_it(name: str) -> None:
    """The length of a chorus against the written score with its repeats expanded by music21."""
    data = write_musicxml(chart_of(TEXTS[name])).decode()
    part = music21.converter.parseData(data, format="musicxml").parts[0]
    theirs = Fraction(part.expandRepeats().duration.quarterLength)
    assert played(TEXTS[name]).length == theirs - MORE_QUARTERS.get(name, 0)
