"""Strokes heard in the sound within a millisecond of where they belong.

Where they belong is worked out here, in seconds, from the tune as typed. Sources: 2:1 swing puts
the Charleston's second stroke at 1 2/3 beats (computed); swing by tempo is 2:1 at 200, because the
short eighth is 100 ms of a beat of 300 (Friberg & Sundström 2002); four-to-the-bar, the Charleston
and the fermata of twice its time: common practice, no source.
"""

from __future__ import annotations

import numpy as np
import pytest
from midneck.converter.practice.choruses import read_swing
from support.performances import TUNE, Sound, alone, heard, onsets, played, samples, write_wav

MILLISECOND = 0.001
BEATS = [float(beat) for beat in range(16)]


def pairs(second: float, step: float = 4, count: int = 4) -> list[float]:
    """The Charleston, bar after bar, in beats."""
    return [bar * step + at for bar in range(count) for at in (0.0, second)]


def check(found: Sound, beats: list[float], tempo: float) -> None:
    assert len(found) == len(beats)
    assert np.abs(found - np.array(beats) * 60 / tempo).max() < MILLISECOND


def sound_of(text: str, part: str = "guitar", **settings: object) -> Sound:
    return samples(write_wav(alone(text, part, **settings)))  # type: ignore[arg-type]


@pytest.mark.parametrize("tempo", [60, 97, 163, 300])
def test_four_to_the_bar(tempo: int) -> None:
    check(heard(sound_of(TUNE, rhythm="four-to-the-bar", tempo=tempo)), BEATS, tempo)


@pytest.mark.parametrize("tempo", [60, 300])
@pytest.mark.parametrize(
    ("swing", "second"),
    [("even", 1.5), ("2:1", 5 / 3), ("1.5:1", 1.6), ("3.5:1", 1 + 3.5 / 4.5), ("triplet", 5 / 3)],
)
def test_the_charleston(swing: str, second: float, tempo: int) -> None:
    sound = sound_of(TUNE, rhythm="charleston", swing=read_swing(swing), tempo=tempo)
    check(heard(sound), pairs(second), tempo)


@pytest.mark.parametrize(
    ("tempo", "second"),
    [(60, 1 + 3.5 / 4.5), (120, 1 + 4 / 5), (150, 1 + 3 / 4), (200, 5 / 3), (300, 1.5)],
)
def test_swing_follows_the_tempo(tempo: int, second: float) -> None:
    """At 60 the bound of 3.5:1 holds; elsewhere the short eighth is 100 ms, at 120 1/5 beat."""
    second = min(second, 1 + 3.5 / 4.5)
    check(heard(sound_of(TUNE, rhythm="charleston", tempo=tempo)), pairs(second), tempo)


@pytest.mark.parametrize("tempo", [60, 120])
def test_the_bass(tempo: int) -> None:
    check(heard(sound_of(TUNE, "bass", tempo=tempo)), BEATS[::2], tempo)


@pytest.mark.parametrize(("click", "first"), [("all", 0), ("2and4", 1)])
def test_the_click(click: str, first: int) -> None:
    sound = sound_of(TUNE, "click", click=click, tempo=133)
    check(heard(sound), BEATS[first :: 1 if click == "all" else 2], 133)


def test_a_ladder_counts_in_and_plays_at_each_tempo() -> None:
    """A bar of count-in (clicked) and four bars, at 90, 150 and 180."""
    sound = sound_of(TUNE, ladder=(90, 150, 180), count_in=1)
    expected: list[float] = []
    at = 0.0
    for tempo in (90, 150, 180):
        expected += [at + beat * 60 / tempo for beat in range(20)]
        at += 20 * 60 / tempo
    found = heard(sound)
    assert len(found) == 60
    assert np.abs(found - expected).max() < MILLISECOND


def test_a_pickup_comes_at_its_bars_end() -> None:
    """Count-in: one bar, then the three beats before the pickup; then it and three bars."""
    text = "Tempo: 140\n\nA:\n| G7 (pickup) |\n| C6 | Dm7 | G7 ||\n"
    check(heard(sound_of(text, count_in=1)), [*BEATS, 16.0, 17, 18, 19], 140)


def test_a_pickup_of_the_next_chorus_takes_the_last_bars_end() -> None:
    text = "Tempo: 140\n\nA:\n| G7 (pickup) |\n| C6 | Dm7 | C6 ||\n"
    performance = alone(text, "guitar", choruses=3)
    assert performance.length == 1 + 3 * 12
    assert [stroke.chord for stroke in performance.strokes][10:15] == [3, 3, 0, 1, 1]
    check(heard(samples(write_wav(performance))), [float(beat) for beat in range(37)], 140)
    assert [str(meter) for _, meter in performance.meters] == ["1/4", "4/4"]


def test_changes_of_meter() -> None:
    """4/4, 3/4 as a waltz would be but the rhythm is that of the first meter, 6/8 (two held
    strokes of a dotted quarter for its one group), 5/4.
    """
    text = "Tempo: 120\n\nA:\n| Dm7 ||\n\nTime: 3/4\nB:\n| G7 | G7 ||\n\nTime: 6/8\nC:\n| C6 ||\n"
    expected = [*range(4), 4, 5, 6, 7, 8, 9, 10, 11.5]
    check(heard(sound_of(text)), [float(at) for at in expected], 120)


def test_silence_and_rests_last_as_long_as_they_should() -> None:
    text = "Tempo: 110\n\nA:\n| Dm7 | N.C. | -3- | G7 ||\n"
    check(heard(sound_of(text)), [0, 1, 2, 3, 20, 21, 22, 23], 110)


def test_a_fermata_lasts_twice_its_time_the_last_time() -> None:
    """Two choruses of four beats and a held bar; the second hold takes eight beats."""
    text = "Tempo: 120\n\nA:\n| Dm7 | G7(hold) | C6 ||\n"
    performance = alone(text, "guitar", choruses=2)
    first = [0, 1, 2, 3, 4, 8, 9, 10, 11]
    second = [12, 13, 14, 15, 16, 24, 25, 26, 27]
    check(heard(samples(write_wav(performance))), [float(at) for at in first + second], 120)
    assert performance.seconds(performance.length) == 14


@pytest.mark.parametrize(("swing", "early"), [("even", 0.5), ("2:1", 1 / 3)])
def test_a_push_comes_a_swung_eighth_early(swing: str, early: float) -> None:
    text = "Tempo: 100\n\nA:\n| Dm7 | G7(push) | Em7 A7(push) ||\n"
    sound = sound_of(text, swing=read_swing(swing))
    expected = [0, 1, 2, 3, 4 - early, 5, 6, 7, 8, 9, 10 - early, 11]
    check(heard(sound), expected, 100)


def test_a_push_over_the_double_bar_damps_what_sounds() -> None:
    """In the second chorus the first chord comes early; the stroke before it ends there."""
    text = "Tempo: 120\n\nA:\n| Dm7(push) | G7 ||\n"
    performance = alone(text, "guitar", choruses=2, rhythm="half-notes", swing=read_swing("even"))
    assert [float(at) for at in onsets(performance)] == [0, 2, 4, 6, 7.5, 10, 12, 14]
    ends = [stroke.at + stroke.length for stroke in performance.strokes]
    assert all(end <= after.at for end, after in zip(ends, performance.strokes[1:], strict=False))


def test_a_loop_of_bars_runs_on_in_time() -> None:
    sound = sound_of(TUNE, bars=(2, 3), choruses=4, tempo=180)
    check(heard(sound), [float(beat) for beat in range(32)], 180)


def test_a_strum_spreads_over_its_milliseconds() -> None:
    """Three notes, 7 ms from string to string, the lowest on the beat."""
    text = "Tempo: 120\n\nA:\n| Dm7 ||\n"
    performance = played(text, rhythm="half-notes", without=frozenset({"bass", "click"}))
    late = [[note.late_ms for note in stroke.notes] for stroke in performance.strokes]
    assert late == [[0, 7, 14], [0, 7, 14]]
    strings = [note.string for note in performance.strokes[0].notes]
    assert strings == sorted(strings, key=lambda string: -(string or 0))
    found = heard(samples(write_wav(performance)), dead_s=0.1)
    check(found, [0, 2], 120)


STRONG, WEAK = (76, 96), (77, 76)


@pytest.mark.parametrize(
    ("meter", "eighths", "expected"),
    [
        # The last pulses of a bar; its first pulse, which is strong, only where it is played.
        ("6/8", 1, []), ("6/8", 2, []), ("6/8", 3, [(0.0, WEAK)]), ("6/8", 4, [(0.5, WEAK)]),
        ("12/8", 4, [(0.5, WEAK)]), ("12/8", 7, [(0.5, WEAK), (2.0, WEAK)]),
        ("9/8", 6, [(0.0, WEAK), (1.5, WEAK)]),
        ("4/4", 2, [(0.0, WEAK)]), ("4/4", 5, [(0.5, WEAK), (1.5, WEAK)]),
    ],
)  # fmt: skip
def test_a_pickup_has_the_clicks_of_the_end_of_its_bar(
    meter: str, eighths: int, expected: list[tuple[float, tuple[int, int]]]
) -> None:
    """General MIDI: 76 and 77 are the high and the low wood block. Counted by hand."""
    beats = eighths if meter.endswith("/8") else f"{eighths}/2"
    text = f"Time: {meter}\n\nA:\n| G7={beats} (pickup) |\n| C6 | Dm7 ||\n"
    clicks = alone(text, "click", click="all").strokes
    start = eighths / 2
    found = [
        (float(stroke.at), (stroke.notes[0].midi, stroke.velocity))
        for stroke in clicks
        if stroke.at < start
    ]
    assert found == expected
    first = next(stroke for stroke in clicks if stroke.at == start)
    assert (first.notes[0].midi, first.velocity) == STRONG
    off_beats = alone(text, "click", click="2and4").strokes
    bar = [float(stroke.at) - start for stroke in off_beats if stroke.at >= start]
    assert bar[: len(OFF_BEATS[meter])] == OFF_BEATS[meter]


#: Pulses that begin no group, in quarters: 2 and 4, all but the first of three.
OFF_BEATS = {"4/4": [1.0, 3.0], "6/8": [1.5], "9/8": [1.5, 3.0], "12/8": [1.5, 4.5]}
