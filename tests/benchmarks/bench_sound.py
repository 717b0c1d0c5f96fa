"""How fast a tune becomes sound: against real time, and against scipy running the same strings.

Times real time: seconds of sound over seconds of work, from the timed strokes to the bytes of a
WAV file. The rival makes the same notes (every guitar and bass note of the chorus that is a
different one, once, as we do) with `scipy.signal.lfilter`, the strings' loops run sample by sample.
"""

from __future__ import annotations

from typing import Final

from benchmarks.rows import Extent, Row, at_least, in_turns
from midneck.converter.practice.performance import Performance
from midneck.render.sound.strings import BASS, GUITAR, StringTone, pluck
from support.performances import played, write_wav
from support.string_loop import plucked
from support.tunes import tune_text

#: A 32-bar chorus with bass and click.
SEED: Final = 2
RING_S: Final = 2.0
STRENGTH: Final = 0.7


def rows(extent: Extent) -> list[Row]:
    """Sound of a chorus at once and of five of them, and its notes by both ways."""
    return [
        *(_real_time(choruses, extent.rounds) for choruses in (1, 5)),
        _strings(played(tune_text(SEED)), extent.rounds),
    ]


def _real_time(choruses: int, rounds: int) -> Row:
    performance = played(tune_text(SEED), choruses=choruses, count_in=1)
    seconds = float(performance.seconds(performance.length))
    (taken,) = in_turns(rounds, lambda: write_wav(performance))
    work = f"sound of {choruses} chorus{'es' if choruses > 1 else ''} ({seconds:.0f} s)"
    return Row(work, taken, "ms", "real time", seconds * 1000, at_least(20))


def _strings(performance: Performance, rounds: int) -> Row:
    tones: dict[str, StringTone] = {"guitar": GUITAR, "bass": BASS}
    notes = sorted(
        {
            (stroke.part, note.midi)
            for stroke in performance.strokes
            if stroke.part in tones
            for note in stroke.notes
        }
    )
    ours, theirs = in_turns(
        rounds,
        lambda: [pluck(midi, RING_S, STRENGTH, tones[part]) for part, midi in notes],
        lambda: [plucked(midi, RING_S, STRENGTH, tones[part]) for part, midi in notes],
    )
    return Row(f"{len(notes)} strings of {RING_S:g} s", ours, "ms", "scipy lfilter", theirs)
