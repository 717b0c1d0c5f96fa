"""Plain triads, half-diminished chords, and the tones that grips leave out."""

from __future__ import annotations

import pytest
from midneck.converter.hand.costs import candidates
from midneck.converter.hand.grip import frets_text
from midneck.converter.hand.player import ADULT, SMALL_HAND, Player
from midneck.converter.prose.remarks import remark_lines
from midneck.grammar.chord_parser import parse_chord
from support.charts import chart_of

ROOTS = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")


@pytest.mark.parametrize("player", [ADULT, SMALL_HAND], ids=["adult", "small hand"])
@pytest.mark.parametrize(("ending", "tones"), [("", {0, 4, 7}), ("m", {0, 3, 7})])
def test_a_triad_sounds_its_root_third_and_fifth(
    ending: str, tones: set[int], player: Player
) -> None:
    for name in ROOTS:
        chord = parse_chord(name + ending)
        found = candidates(chord, player, "shell")
        assert any(3 <= grip.voicing.bass.fret <= 10 for grip in found.grips)
        for grip in found.grips:
            root = chord.root.pitch_class
            assert {(note.midi - root) % 12 for note in grip.voicing.notes} == tones


def test_a_half_diminished_chord_has_its_seventh_if_it_costs_little() -> None:
    """Common practice, no source: Am7b5 with its root on string 6, fret 5."""
    found = candidates(parse_chord("Am7b5"), ADULT, "shell")
    pairs = zip(found.grips, found.strain, strict=True)
    cost = {frets_text(grip.frets): float(mm) for grip, mm in pairs}
    assert cost["5 x 5 5 4 x"] + 80 < cost["8 x 7 8 x x"]


@pytest.mark.parametrize(
    ("bar", "said"),
    [
        ("Am7b5<8 x 7 8 x x>", "Am7b5 without G (♭7)"),
        ("Cmaj7/G<x 10 9 9 x x>", "Cmaj7/G without C (root)"),
    ],
)
def test_a_missing_root_or_seventh_is_told(bar: str, said: str) -> None:
    assert remark_lines(chart_of(f"| {bar} |")) == [f"Not sounded: {said} (bar 1)"]
