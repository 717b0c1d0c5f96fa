"""Shells and their fingers: the shapes, frets and fingerings of the trade.

All of them are common practice, no source, unless a line says otherwise.
"""

from __future__ import annotations

import pytest
from midneck.converter.hand.costs import candidates
from midneck.converter.hand.grip import frets_text
from midneck.converter.hand.plan import PlanOptions
from midneck.converter.hand.planner import plan_hand
from midneck.converter.hand.player import Neck, Player
from midneck.converter.hand.voicings import unsounded_tones, voicing_lists
from midneck.converter.make import make_chart
from midneck.grammar.text.reader import read_sheet
from support.hand_sheets import chord, sheet, straight
from support.roots import ROOTS

#: Quality → frets of (root, string 4, string 3) relative to the root, on string 6 and on string 5.
#: Computed from the tuning; the table of the trade.
SHELLS = {
    "m7": ((0, 0, 0), (0, -2, 0)),
    "7": ((0, 0, 1), (0, -1, 0)),
    "6": ((0, -1, 1), (0, -1, -1)),
    "maj7": ((0, 1, 1), (0, -1, 1)),
    "m6": ((0, -1, 0), (0, -2, -1)),
    "mmaj7": ((0, 1, 0), (0, -2, 1)),
    "7sus4": ((0, 0, 2), (0, 0, 0)),
}

#: Quality, root string → fingers on (root, string 4, string 3), as teachers give them.
TAUGHT = {
    ("m7", 6): (2, 3, 3),
    ("7", 5): (2, 1, 3),
    ("6", 6): (2, 1, 4),
    ("m7", 5): (2, 1, 3),
    ("7", 6): (1, 2, 3),
    ("6", 5): (2, 1, 1),
}


def triple(row, string):
    """The values on the root string, string 4 and string 3."""
    return row[6 - string], row[2], row[3]


@pytest.mark.parametrize("quality", SHELLS)
@pytest.mark.parametrize("root", ROOTS)
def test_three_note_grips_are_the_shells_of_the_table(root: str, quality: str) -> None:
    found = set()
    for grip in candidates(chord(root + quality), Player(), "shell").grips:
        notes = grip.voicing.notes
        if len(notes) > 3:
            continue
        string = notes[0].string
        fret = notes[0].fret
        frets = triple(grip.frets, string)
        found.add(string)
        assert tuple(one - fret for one in frets) == SHELLS[quality][6 - string]
        assert grip.frets[4:] == (None, None)
    assert found == {5, 6}


@pytest.mark.parametrize(("quality", "string"), TAUGHT)
@pytest.mark.parametrize("root", ROOTS)
def test_canonical_shapes_come_out_as_taught(root: str, quality: str, string: int) -> None:
    """The first candidate on each string set inside the window has the standard fingers."""
    found = []
    for fret in range(3, 11):
        grips = [
            grip
            for grip in candidates(chord(root + quality), Player(), "shell").grips
            if grip.voicing.notes[0].string == string and grip.voicing.notes[0].fret == fret
        ]
        if grips:
            assert triple(grips[0].fingers, string) == TAUGHT[quality, string]
            found.append(fret)
    tuning = Player().neck.tuning
    name = chord(root + quality).root
    assert found == [
        fret for fret in range(3, 11) if (tuning[-string] + fret) % 12 == name.pitch_class
    ]


def test_every_canonical_shape_was_seen_inside_the_window() -> None:
    for quality, string in TAUGHT:
        frets = {
            grip.voicing.notes[0].fret
            for root in ROOTS
            for grip in candidates(chord(root + quality), Player(), "shell").grips
            if grip.voicing.notes[0].string == string
        }
        assert set(range(3, 11)) <= frets


def test_g_minor_seventh_as_the_report_prints_it() -> None:
    written = sheet("Gm7")
    plan = plan_hand(straight(written), options=PlanOptions(first_root_string=6))
    grip = plan.grips[0]
    assert grip.frets == (3, None, 3, 3, None, None)
    assert grip.fingers == (2, None, 3, 3, None, None)
    assert grip.position == 2
    assert [note.midi for note in grip.voicing.notes] == [43, 53, 58]  # G2 F3 Bb3
    assert [(one.finger, one.fret, one.low, one.high) for one in grip.barres] == [(3, 3, 4, 3)]


def test_the_ring_finger_may_be_two_fingers_for_who_prefers_it() -> None:
    written = sheet("Gm7")
    player = Player(fingers=(("0 x 0 0", "2 x 3 4"),))
    grip = plan_hand(straight(written), player, PlanOptions(first_root_string=6)).grips[0]
    assert grip.fingers == (2, None, 3, 4, None, None)
    assert not grip.barres


@pytest.mark.parametrize(
    ("first", "frets"),
    [
        (6, ["10 x 10 10 x x", "x 10 9 10 x x", "8 x 7 9 x x"]),
        (5, ["x 5 3 5 x x", "3 x 3 4 x x", "x 3 2 2 x x"]),
    ],
)
def test_two_five_one_in_c_walks_the_circle_of_fourths(first: int, frets: list[str]) -> None:
    """In C: D at fret 10, G at 10, C at 8; or D at 5, G at 3, C at 3."""
    written = sheet("Dm7 G7 C6")
    options = PlanOptions(first_root_string=first)
    plan = plan_hand(straight(written), options=options)
    assert [frets_text(grip.frets) for grip in plan.grips] == frets


def test_unwanted_strings_are_silenced_as_players_do_it() -> None:
    """The root's finger leans on the next string, the index lies over the treble strings."""
    written = sheet("Gm7")
    grip = plan_hand(straight(written), options=PlanOptions(first_root_string=6)).grips[0]
    assert grip.mutes == ((5, 2), (2, 1), (1, 1))
    root_five = plan_hand(straight(written), options=PlanOptions(first_root_string=5)).grips[0]
    assert root_five.mutes == ((6, 2), (2, 1), (1, 1))


@pytest.mark.parametrize("style", ["shell", "guide tones", "colour", "four-note"])
@pytest.mark.parametrize("quality", ["m7", "7", "6", "maj7", "m7b5", "7b9", "13", "o7", "+7", "m"])
def test_no_fingering_asks_the_impossible(style: str, quality: str) -> None:
    """One finger a fret, higher frets higher fingers, no open or silent string under a barre."""
    player = Player()
    for grip in candidates(chord(f"Eb{quality}"), player, style).grips:
        stops = sorted((fret, finger) for fret, finger in zip(grip.frets, grip.fingers, strict=True)
                       if finger is not None)  # fmt: skip
        assert [finger for _, finger in stops] == sorted(finger for _, finger in stops)
        for finger in {finger for _, finger in stops}:
            assert len({fret for fret, one in stops if one == finger}) == 1
        for barre in grip.barres:
            under = grip.frets[6 - barre.low : 7 - barre.high]
            assert all(fret is not None and fret >= barre.fret for fret in under)
        limits = dict(zip([(1, 2), (2, 3), (3, 4), (1, 3), (2, 4), (1, 4)],
                          player.reach.limit_mm, strict=True))  # fmt: skip
        for low_fret, low in stops:
            for high_fret, high in stops:
                if low < high:
                    spread = player.neck.fret_mm(high_fret) - player.neck.fret_mm(low_fret)
                    assert spread <= limits[low, high]


@pytest.mark.parametrize(
    ("scale_mm", "table"),
    [
        (25.5 * 25.4, {1: 1.431, 2: 2.782, 3: 4.057, 5: 6.397, 7: 8.481, 9: 10.338, 10: 11.189,
                       12: 12.750}),
        (24.75 * 25.4, {1: 1.389, 5: 6.208, 7: 8.231, 12: 12.375}),
    ],
)  # fmt: skip
def test_frets_lie_where_the_table_has_them(scale_mm: float, table: dict[int, float]) -> None:
    """Equal temperament, inches from the nut; computed from L·(1 − 2^(−f/12))."""
    neck = Neck(scale_mm=scale_mm)
    for fret, inches in table.items():
        assert neck.fret_mm(fret) / 25.4 == pytest.approx(inches, abs=0.0006)


def test_each_fret_takes_the_rest_divided_by_the_luthiers_constant() -> None:
    """17.817, as printed in M. Koch, Building Electric Guitars."""
    neck = Neck()
    for fret in range(12):
        rest = neck.scale_mm - neck.fret_mm(fret)
        gap = neck.fret_mm(fret + 1) - neck.fret_mm(fret)
        assert rest / gap == pytest.approx(17.817, abs=0.001)


@pytest.mark.parametrize(
    ("first", "span_mm"), [(1, 97.3), (3, 86.7), (5, 77.2), (7, 68.8), (10, 57.8)]
)
def test_four_frets_span_less_up_the_neck(first: int, span_mm: float) -> None:
    """Frets n to n + 3 on a 25.5 in scale, computed."""
    neck = Neck()
    assert neck.fret_mm(first + 3) - neck.fret_mm(first) == pytest.approx(span_mm, abs=0.06)


@pytest.mark.parametrize(("symbol", "frets", "missing"), [
    # The shell C–B♭–E sounds the chord of C7; what more a symbol says is not in it.
    ("C7", "8 x 8 9 x x", []), ("C7b9", "8 x 8 9 x x", ["b9"]), ("C13", "8 x 8 9 x x", ["13"]),
    ("C13", "8 x 8 9 10 x", []), ("C7(b9,#11)", "8 x 8 9 x x", ["#11", "b9"]),
    ("Cm7b5", "8 x 8 8 x x", ["b5"]), ("Cm7b5", "8 x 8 8 7 x", []), ("C6", "8 x 7 9 x x", []),
])  # fmt: skip
def test_what_a_symbol_names_beyond_its_grip(symbol: str, frets: str, missing: list[str]) -> None:
    chart = make_chart(read_sheet(f"Key: C\n\nA:\n| {symbol}<{frets}> ||\n"))
    grip, written = chart.plan.grips[0], chart.sheet.chords[0].chord
    assert grip is not None
    assert written is not None
    assert sorted(map(str, unsounded_tones(written, grip.voicing))) == sorted(missing)


@pytest.mark.parametrize("symbol", ["G7", "Cmaj7", "C7/E", "C6", "Dm7b5"])
def test_where_a_shell_cannot_be_had_its_tones_lie_anywhere_at_last_one_of_them(
    symbol: str,
) -> None:
    first, *_, anywhere, least = voicing_lists(chord(symbol), Player(), "shell")
    assert {len(voicing.notes) for voicing in least} == {2}
    assert {len(voicing.notes) for voicing in anywhere} == {3}
    assert min(len(voicing.notes) for voicing in first) == 3
    assert len(anywhere) > len([voicing for voicing in first if len(voicing.notes) == 3])
