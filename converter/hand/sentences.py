"""What moves in a change, in words that a student follows.

Takes a `GripChange` and the two symbols as written, gives one or two plain sentences.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from .changes import GripChange, ToneMotion

FINGER_NAMES: Final = {1: "index", 2: "middle", 3: "ring", 4: "little"}
DEGREE_NAMES: Final = {2: "second", 3: "third", 4: "fourth", 6: "sixth", 7: "seventh"}
_COUNTS: Final = {1: "one", 2: "two", 3: "three", 4: "four", 5: "five", 6: "six", 7: "seven"}
_STEPS: Final = {1: "a semitone", 2: "a tone", 3: "a tone and a half"}


def sentence_of(change: GripChange, symbols: tuple[str, str]) -> str:
    """The change in words: `Gm7 to C7: the hand stays. The bass goes from string 6 …`."""
    parts = [_shift(change), _fingers(change), _bass(change), _tones(change.guide_tones)]
    first, *rest = [part for part in parts if part]
    told = [first, *(part[:1].upper() + part[1:] for part in rest)]
    return f"{symbols[0]} to {symbols[1]}: {'. '.join(told)}."


def _shift(change: GripChange) -> str:
    if change.still:
        return "the hand stays"
    size = abs(change.shift_frets)
    where = "up" if change.shift_frets > 0 else "down"
    return f"the hand shifts {where} {_count(size)} fret{'s' if size > 1 else ''}"


def _fingers(change: GripChange) -> str:
    told = [
        (change.kept, "stays down", "stay down"),
        (change.guiding, "slides along its string", "slide along their strings"),
        (change.moved, "goes to another string", "go to other strings"),
        (change.lifted, "lifts off", "lift off"),
        (change.placed, "is put down", "are put down"),
    ]
    clauses = [
        f"the {names(fingers)} {one if len(fingers) == 1 else many}"
        for fingers, one, many in told
        if fingers
    ]
    return ", ".join(clauses)


def _bass(change: GripChange) -> str:
    before, after = change.bass_strings
    return "" if before == after else f"the bass goes from string {before} to string {after}"


def _tones(motions: Sequence[ToneMotion]) -> str:
    return ", ".join(_tone(motion) for motion in motions)


def _tone(motion: ToneMotion) -> str:
    degree = DEGREE_NAMES[motion.start_degree]
    becomes = DEGREE_NAMES[motion.goal_degree]
    if motion.semitones == 0:
        return f"the {degree} {motion.start} holds and becomes the {becomes}"
    size = _STEPS.get(abs(motion.semitones), f"{_count(abs(motion.semitones))} semitones")
    way = "rises" if motion.semitones > 0 else "falls"
    return f"the {degree} {motion.start} {way} {size} to the {becomes} {motion.goal}"


def names(fingers: Sequence[int]) -> str:
    """Finger names in a row: `index and ring finger`."""
    words = [FINGER_NAMES[finger] for finger in fingers]
    listed = words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
    return f"{listed} finger{'s' if len(words) > 1 else ''}"


def _count(number: int) -> str:
    return _COUNTS.get(number, str(number))
