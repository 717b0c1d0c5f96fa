"""What a drill says beside its keys: the chord that pivots, and why the hand leaves its set.

Takes chords and places, gives plain sentences.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from ...grammar.chord import Chord
from ...grammar.key import Key
from ...grammar.numeral import Numeral
from ..hand.player import Player
from ..harmony.sounds import DOMINANTS, Sound, hear
from .places import Place, natural_roots, root_places

#: What a root goes farther than to its natural place before that is worth a word.
LEAP_FRETS: Final = 3

#: What a chord turns into.
_TURNS: Final = {
    Sound.MINOR: "minor", Sound.MINOR_7: "minor", Sound.MINOR_6: "minor",
    Sound.MINOR_MAJOR: "minor", Sound.HALF_DIMINISHED: "half-diminished",
    Sound.DIMINISHED: "diminished", Sound.MAJOR: "major", Sound.MAJOR_6: "major",
    Sound.MAJOR_7: "major", Sound.AUGMENTED: "augmented",
}  # fmt: skip


def pivot_sentence(before: Chord, here: Chord, numeral: Numeral, key: Key) -> str | None:
    """`C6 turns minor: Cm7 is the ii of Bb`; None where the roots are not the same."""
    if before.root.pitch_class != here.root.pitch_class:
        return None
    sound = hear(here).sound
    turns = "dominant" if sound in DOMINANTS else _TURNS.get(sound, "into another quality")
    roman = numeral.roman
    name = key.tonic if key.mode == "major" else key
    same = "" if before.root == here.root else f" ({before.root} and {here.root} are one note)"
    if hear(before).sound == sound:
        return f"{before} stays: {here} is the {roman} of {name}{same}"
    return f"{before} turns {turns}: {here} is the {roman} of {name}{same}"


def change_sentence(
    before: Sequence[Place], roots: Sequence[Place], chords: Sequence[Chord], player: Player
) -> str | None:
    """Where and why the hand leaves the place that comes next by nature; None where it does not.

    `before` are the roots of the station before. Staying on its strings is worth a word only where
    that is `LEAP_FRETS` farther than the natural place.
    """
    natural = natural_roots(before[-1], chords, player)
    string, fret = roots[0]
    if (string, fret) == natural[0]:
        return None
    why = _why(natural, chords, player)
    if string == natural[0][0]:
        way = "up" if fret > natural[0][1] else "down"
        return f"{chords[0]} jumps an octave {way}, to fret {fret} of string {string}: {why}"
    if string != before[0][0]:
        return f"{chords[0]} changes to string {string}, fret {fret}: {why}"
    farther = abs(fret - before[-1][1]) - abs(natural[0][1] - before[-1][1])
    if farther < LEAP_FRETS:
        return None
    return f"{chords[0]} stays on string {string} and goes to fret {fret}: {why}"


def start_sentence(
    asked: int | None, roots: Sequence[Place], chords: Sequence[Chord], player: Player
) -> str | None:
    """Why a round does not start on the string that was asked for; None where it does."""
    string, fret = roots[0]
    if asked is None or string == asked:
        return None
    low, high = player.window
    starts = [place for place in root_places(chords[0], player) if place[0] == asked]
    rows = [(start, *natural_roots(start, chords[1:], player)) for start in starts]
    leave = all(any(not low <= fret <= high for _, fret in row) for row in rows)
    why = f"the roots would leave frets {low}–{high}" if leave else "not every chord can be held"
    return f"{chords[0]} starts on string {string}, fret {fret}: on string {asked} {why}"


def choice_sentence(before: Place, root: Place, chord: Chord) -> str | None:
    """Where the planner, left to itself, goes to another string; None where it does not."""
    if root[0] == before[0]:
        return None
    return f"{chord} goes to string {root[0]}, fret {root[1]}: the least effort for the hand"


def _why(natural: Sequence[Place], chords: Sequence[Chord], player: Player) -> str:
    low, high = player.window
    frets = [fret for _, fret in natural]
    string = natural[0][0]
    if min(frets) < 0:
        return f"from string {string} the roots would run off the neck"
    where = f"from string {string} {_listed(frets)}"
    if min(frets) < low:
        return f"{where}, below fret {low}"
    if max(frets) > high:
        return f"{where}, above fret {high}"
    for place, chord in zip(natural, chords, strict=True):
        if place not in root_places(chord, player):
            lost = f"{chord} would lie at fret {place[1]}, where it cannot be held"
            return f"from string {string} {lost}"
    return f"{where}, and the keys that follow would leave frets {low}–{high}"


def _listed(frets: Sequence[int]) -> str:
    if len(frets) == 1:
        return f"the root would lie at fret {frets[0]}"
    return f"the roots would lie at frets {', '.join(map(str, frets))}"
