"""Line clichés and semitone slides, note by note: pitches named and measured by music21.

The lines are common practice, no source: a voice that moves by semitone while the chord stays, and
a dominant a semitone above its goal that slides into it.
"""

from __future__ import annotations

from itertools import pairwise

import pytest
from midneck.converter.hand.grip import Grip, frets_text
from midneck.converter.hand.plan import GripPlan, PlanOptions
from midneck.converter.hand.planner import plan_hand
from midneck.converter.hand.player import Player, Preferences
from midneck.converter.timeline import timeline_of
from midneck.grammar.text.reader import read_sheet
from music21 import interval, pitch

#: Open strings 6 to 1 of a guitar as they sound (common practice, no source).
OPEN = ("E2", "A2", "D3", "G3", "B3", "E4")
NOTES = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")


def plan(symbols: str, player: Player | None = None, style: str = "shell") -> GripPlan:
    text = "| " + " | ".join(symbols.split()) + " |\n"
    return plan_hand(timeline_of(read_sheet(text)), player, PlanOptions(style=style))


def sounding(grip: Grip) -> dict[int, pitch.Pitch]:
    """String number → what it sounds, by music21."""
    return {
        6 - at: pitch.Pitch(OPEN[at]).transpose(fret)
        for at, fret in enumerate(grip.frets)
        if fret is not None
    }


def steps(grips: list[Grip], string: int) -> list[int]:
    """Semitones from each grip to the next on one string."""
    notes = [sounding(grip)[string] for grip in grips]
    return [interval.Interval(one, other).semitones for one, other in pairwise(notes)]


def lines(grips: list[Grip]) -> list[tuple[list[str], list[int]]]:
    """The notes and the steps of every string that sounds in all grips and moves."""
    strings = set.intersection(*(set(sounding(grip)) for grip in grips))
    found = []
    for string in sorted(strings):
        moved = steps(grips, string)
        if any(moved):
            found.append(([sounding(grip)[string].name for grip in grips], moved))
    return found


def in_key(symbols: str, up: int) -> str:
    """The symbols on C (and C/…) set up by semitones."""
    return " ".join(NOTES[up] + symbol.removeprefix("C") for symbol in symbols.split())


@pytest.mark.parametrize("up", range(12))
@pytest.mark.parametrize(
    ("symbols", "expected"),
    [
        ("C Cmaj7 C7 C6", [-1, -1, -1]),
        ("Cm Cm(maj7) Cm7 Cm6", [-1, -1, -1]),
        ("Cmaj7 C7 C6", [-1, -1]),
        ("C Caug C6 C7", [1, 1, 1]),
        ("Cm Cm(maj7) Cm7", [-1, -1]),
    ],
)
def test_a_line_inside_one_chord_moves_on_one_string(
    symbols: str, expected: list[int], up: int
) -> None:
    """All else stays: the grips share every other note."""
    found = lines(list(plan(in_key(symbols, up)).grips))
    assert [moved for _, moved in found] == [expected]


def test_the_descending_line_of_c_minor_is_c_b_b_flat_a() -> None:
    grips = plan("Cm Cm(maj7) Cm7 Cm6").grips
    assert [names for names, _ in lines(list(grips))] == [["C", "B", "B-", "A"]]
    assert [grip.frets[:4] for grip in grips] == [
        (8, None, fret, 8) for fret in (10, 9, 8, 7)
    ]  # the line lies on string 4


def test_the_ascending_line_of_f_is_c_c_sharp_d_e_flat() -> None:
    ((names, _),) = lines(list(plan("F Faug F6 F7").grips))
    classes = [pitch.Pitch(name).pitchClass for name in names]
    assert classes == [pitch.Pitch(name).pitchClass for name in ("C", "C#", "D", "E-")]


def test_a_triad_alone_keeps_the_sixth_that_its_player_adds() -> None:
    """Only a neighbour on its own root takes it away."""
    sixth = Player(preferences=Preferences(minor_triads="minor sixth"))
    with_sixth = plan("Cm Fm7 Bb7 Cm7", sixth).grips[0]
    assert "A" in {note.name for note in sounding(with_sixth).values()}
    player = Player(preferences=Preferences(minor_triads="minor seventh"))
    in_line = plan("Cm Cm(maj7) Cm7 Cm6", player).grips[0]
    assert {note.name for note in sounding(in_line).values()} <= {"C", "E-", "G"}


#: Tritone substitutes and their goals, from a pickup of the ii or the I before them.
SLIDES = ("Dm7 Db7 Cmaj7", "Dm7 Db7 C6", "Cmaj7 C#dim7 Dm7 G7", "Em7 Eb7 Dm7 Db7 Cmaj7")


@pytest.mark.parametrize("up", range(12))
@pytest.mark.parametrize("symbols", SLIDES)
def test_roots_a_semitone_apart_slide_on_one_string(symbols: str, up: int) -> None:
    """In every key; of a longer chain all but one: the neck inside the window has an end."""
    written = [symbol_up(symbol, up) for symbol in symbols.split()]
    grips = plan(" ".join(written)).grips
    roots = [pitch.Pitch(root_of(symbol)).pitchClass for symbol in written]
    slides = []
    for at, (one, other) in enumerate(pairwise(roots)):
        if (other - one) % 12 in (1, 11):
            low, high = (min(sounding(grip).values()) for grip in grips[at : at + 2])
            strings = [max(sounding(grip)) for grip in grips[at : at + 2]]
            moved = interval.Interval(low, high).semitones
            slides.append(strings[0] == strings[1] and abs(moved) == 1)
    assert len(slides) >= 2
    assert sum(slides) >= len(slides) - (len(slides) > 2)


def symbol_up(symbol: str, up: int) -> str:
    root = root_of(symbol)
    return NOTES[(pitch.Pitch(root).pitchClass + up) % 12] + symbol[len(root.replace("-", "b")) :]


def root_of(symbol: str) -> str:
    """The root as music21 writes it."""
    return symbol[0] + symbol[1:2].replace("b", "-") if symbol[1:2] in ("b", "#") else symbol[0]


def test_slides_stay_slides_one_fret_outside_the_window() -> None:
    """A♭7 at fret 11 slides to G at 10, G♭7 at 9 and F at 8: from fret 4 the hand would leap."""
    grips = plan("Fmaj7 Ab7 Gm7 Gb7").grips
    assert [frets_text(grip.frets) for grip in grips] == [
        "x 8 7 9 x x",
        "x 11 10 11 x x",
        "x 10 8 10 x x",
        "x 9 8 9 x x",
    ]
