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
from .places import Place, natural_roots

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
    before: Place, roots: Sequence[Place], chords: Sequence[Chord], player: Player
) -> str | None:
    """Where and why the hand leaves the place that comes next by nature; None where it does not."""
    natural = natural_roots(before, chords, player)
    string, fret = roots[0]
    if (string, fret) == natural[0]:
        return None
    why = _why(natural, roots, player)
    if string == natural[0][0]:
        way = "up" if fret > natural[0][1] else "down"
        return f"{chords[0]} jumps an octave {way}, to fret {fret} of string {string}: {why}"
    return f"{chords[0]} changes to string {string}, fret {fret}: {why}"


def _why(natural: Sequence[Place], roots: Sequence[Place], player: Player) -> str:
    low, high = player.window
    frets = [fret for _, fret in natural]
    where = f"from string {natural[0][0]} the roots would lie at frets {', '.join(map(str, frets))}"
    if min(frets) < low:
        return f"{where}, below fret {low}"
    if max(frets) > high:
        return f"{where}, above fret {high}"
    return f"{where}, and the keys after this one would run out of the window {low}–{high}"
