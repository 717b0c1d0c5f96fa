"""ABC tunes beside music21: the number of bars, their meters and lengths, repeats, keys, onsets.

music21 judges the structure alone. Its chord symbols are no judge: it reads `G-7` as a chord on G
flat and drops `C7alt`.
"""

from __future__ import annotations

import pytest
from midneck.grammar.abc import read_abc
from midneck.grammar.form.unfold import unfold
from music21 import bar, converter, harmony, stream
from support.abc_tunes import abc_tune

pytestmark = pytest.mark.slow

SEEDS = range(40)


def judged(text: str) -> list[stream.Measure]:
    score = converter.parseData(text, format="abc")
    return list(score.parts[0].getElementsByClass(stream.Measure))


@pytest.mark.parametrize("seed", SEEDS)
def test_bars_meters_and_onsets_are_those_of_music21(seed: int) -> None:
    tune = abc_tune(seed)
    sheet = read_abc(tune.text)
    measures = judged(tune.text)
    assert len(sheet.bars) == len(measures) == len(tune.symbols)
    for written, measure in zip(sheet.bars, measures, strict=True):
        assert (written.meter.beats, written.meter.unit) == tune.meter
        assert float(written.quarters) == measure.duration.quarterLength
    for written, measure in zip(sheet.bars, measures, strict=True):
        ours = [float(chord.start * 4 / written.meter.unit) for chord in written.chords]
        theirs = [float(symbol.offset) for symbol in measure.getElementsByClass(harmony.Harmony)]
        assert ours == theirs


@pytest.mark.parametrize("seed", SEEDS)
def test_chords_and_repeats_are_those_that_were_written(seed: int) -> None:
    tune = abc_tune(seed)
    sheet = read_abc(tune.text)
    assert tuple(tuple(c.text for c in written.chords) for written in sheet.bars) == tune.symbols
    assert sum(bool(written.repeat_close) for written in sheet.bars) == tune.repeats


@pytest.mark.parametrize("seed", SEEDS)
def test_repeats_are_played_as_music21_expands_them(seed: int) -> None:
    tune = abc_tune(seed)
    score = converter.parseData(tune.text, format="abc")
    expanded = score.parts[0].expandRepeats().getElementsByClass(stream.Measure)
    ours = unfold(read_abc(tune.text)).bars
    ends = [
        measure
        for measure in score.parts[0].getElementsByClass(stream.Measure)
        if isinstance(measure.rightBarline, bar.Repeat)
    ]
    assert len(ends) == tune.repeats
    assert len(ours) == len(expanded)
