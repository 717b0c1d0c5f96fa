"""Voicings by search: styles, written basses, tones named by the symbol, tastes, other tunings."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from midneck.converter.hand.costs import candidates, gathered
from midneck.converter.hand.grip import Grip, frets_text
from midneck.converter.hand.plan import STYLES, PlanOptions
from midneck.converter.hand.planner import plan_hand, task_of
from midneck.converter.hand.player import (
    PRESETS,
    Neck,
    Player,
    Preferences,
    colour_tones,
    guide_tones,
    named_tones,
)
from midneck.converter.hand.voicings import guide_strings, voicings
from midneck.grammar.chord import Chord
from midneck.grammar.chord_parser import parse_chord
from midneck.grammar.pitch import PitchName
from midneck.grammar.sheet import Frets
from support.hand_sheets import QUALITIES, chord, sheet, straight
from support.roots import ROOTS

AS_WRITTEN = Player(
    preferences=Preferences(major_triads="triad", minor_triads="triad", diminished_triads="triad")
)


def grips(symbol: str, style: str = "shell", player: Player | None = None) -> tuple[Grip, ...]:
    return candidates(chord(symbol), player or Player(), style).grips


def classes(grip: Grip) -> set[int]:
    return {note.midi % 12 for note in grip.voicing.notes}


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("quality", QUALITIES)
def test_every_grip_sounds_tones_of_its_chord(style: str, quality: str) -> None:
    """Colours may add fifth, ninth or thirteenth; nothing else is ever added."""
    for root in ROOTS:
        wanted = chord(root + quality)
        allowed = set(wanted.pitch_classes)
        if style == "colour":
            base = wanted.root.pitch_class
            allowed |= {(base + tone.semitones) % 12 for tone in colour_tones(wanted)}
        found = grips(root + quality, style, AS_WRITTEN)
        assert found
        assert all(classes(grip) <= allowed for grip in found)


@pytest.mark.parametrize("symbol", ["C7", "Ebm7", "F#maj7", "Bb6", "Am6", "G13"])
def test_shells_hold_root_and_guide_tones_with_the_root_lowest(symbol: str) -> None:
    wanted = chord(symbol)
    base = wanted.root.pitch_class
    guides = {(base + tone.semitones) % 12 for tone in guide_tones(wanted, Preferences()) if tone}
    for grip in grips(symbol):
        lowest = grip.voicing.notes[0]
        assert lowest.midi == min(note.midi for note in grip.voicing.notes)
        assert lowest.midi % 12 == base
        assert guides <= classes(grip)


def test_guide_tones_alone_lie_on_strings_four_and_three() -> None:
    for grip in grips("C7", "guide tones"):
        assert [note.string for note in grip.voicing.notes] == [4, 3]
        assert classes(grip) == {4, 10}


def test_colours_add_one_tone_on_string_two_or_one() -> None:
    found = grips("C7", "colour")
    added = {note.tone for grip in found for note in grip.voicing.notes[3:]}
    assert {tone.degree for tone in added} == {5, 9, 13}
    assert {note.string for grip in found for note in grip.voicing.notes[3:]} == {2, 1}


def test_the_altered_degree_of_the_symbol_is_the_colour() -> None:
    for grip in grips("C7b9", "colour"):
        assert 1 in classes(grip)  # D flat


def test_four_note_grips_hold_four_notes_up_to_string_two_or_one() -> None:
    found = grips("Cm7", "four-note")
    assert {note.string for grip in found for note in grip.voicing.notes[:1]} == {6, 5, 4}
    assert all(len(grip.voicing.notes) == 4 for grip in found)
    assert all(classes(grip) == {0, 3, 7, 10} for grip in found)


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize(
    ("symbol", "bass"), [("C/E", 4), ("C/G", 7), ("C7/Bb", 10), ("Dm7/G", 7), ("Am7/D", 2),
                         ("F6/C", 0), ("Gm7/F", 5), ("Db7/Ab", 8), ("C7/F#", 6)]
)  # fmt: skip
def test_a_written_bass_is_the_lowest_note(style: str, symbol: str, bass: int) -> None:
    found = grips(symbol, style)
    assert found
    for grip in found:
        lowest = min(grip.voicing.notes, key=lambda note: note.midi)
        assert lowest.midi % 12 == bass
        colours = colour_tones(chord(symbol)) if style == "colour" else ()
        root = chord(symbol).root.pitch_class
        added = {(root + tone.semitones) % 12 for tone in colours}
        assert classes(grip) <= set(chord(symbol).pitch_classes) | added


def test_a_foreign_bass_has_no_chord_tone() -> None:
    assert grips("C7/F#")[0].voicing.notes[0].tone is None
    assert grips("C7/Bb")[0].voicing.notes[0].tone.degree == 7


@pytest.mark.parametrize(
    ("symbol", "named"),
    [("Gm7b5", [(5, -1)]), ("C7b9", [(9, -1)]), ("C13", [(13, 0)]), ("C9", [(9, 0)]),
     ("C+7", [(5, 1)]), ("C7", []), ("Cmaj7", [])],
)  # fmt: skip
def test_what_the_symbol_names_is_said_or_reported(symbol: str, named: list) -> None:
    assert [(tone.degree, tone.alteration) for tone in named_tones(chord(symbol))] == named
    for grip in grips(symbol):
        heard = {(note.tone.degree, note.tone.alteration) for note in grip.voicing.notes}
        left_out = {(tone.degree, tone.alteration) for tone in grip.voicing.omitted}
        assert heard & set(named) or left_out == set(named)
        assert not heard & left_out


@pytest.mark.parametrize("root", ROOTS)
def test_half_diminished_sounds_its_fifth_or_is_the_minor_sixth_on_its_third(root: str) -> None:
    """A grip whose lowest note is not the root is that shell: r x r-1 r or x r r-2 r-1 there."""
    wanted = chord(f"{root}m7b5")
    base = wanted.root.pitch_class
    shells = set()
    for grip in grips(f"{root}m7b5"):
        if grip.voicing.notes[0].midi % 12 != base:
            assert classes(grip) == {base, (base + 3) % 12, (base + 6) % 12}
            assert 3 <= grip.voicing.root.fret <= 10
            shells.add(tuple(fret - grip.voicing.notes[0].fret
                             for fret in grip.frets if fret is not None))  # fmt: skip
    assert shells <= {(0, -1, 0), (0, -2, -1)}
    assert shells
    grip = plan_hand(straight(sheet(f"{root}m7b5"))).grips[0]
    assert (base + 6) % 12 in classes(grip)


def test_a_beginner_gets_no_half_diminished_without_its_root_below() -> None:
    for grip in grips("Gm7b5", player=PRESETS["beginner"]):
        assert grip.voicing.notes[0].midi % 12 == 7


@pytest.mark.parametrize(("style", "symbol"), [("four-note", "Eb6"), ("colour", "Eb13")])
def test_a_style_without_a_grip_inside_the_window_is_joined_by_shells(
    style: str, symbol: str
) -> None:
    player = PRESETS["small hand"]
    assert not any(
        3 <= found.bass.fret <= 10 for grip in gathered(
            voicings(parse_chord(symbol), player, style), player).grips
        for found in [grip.voicing]
    )  # fmt: skip
    found = candidates(parse_chord(symbol), player, style).grips
    assert any(3 <= grip.voicing.bass.fret <= 10 for grip in found)


def test_half_diminished_finds_its_fifth_where_the_hand_allows() -> None:
    """The four-note grip 5 x 5 5 4 x of A half-diminished (common practice, no source)."""
    said = [grip for grip in grips("Am7b5") if not grip.voicing.omitted]
    assert (5, None, 5, 5, 4, None) in {grip.frets for grip in said}


@pytest.mark.parametrize(
    ("symbol", "preferences", "tops"),
    [
        ("C", Preferences(), {7}),
        ("C", Preferences(major_triads="sixth"), {9}),
        ("C", Preferences(major_triads="major seventh"), {11}),
        ("C", Preferences(major_triads="triad"), {7, 0}),
        ("Cm", Preferences(), {7}),
        ("Cm", Preferences(minor_triads="minor sixth"), {9}),
        ("Cm", Preferences(minor_triads="minor seventh"), {10}),
        ("Cmaj7", Preferences(), {11}),
        ("Cmaj7", Preferences(tonic_sevenths="sixth"), {9}),
        ("C6", Preferences(tonic_sevenths="major seventh"), {11}),
    ],
)
def test_taste_decides_what_stands_for_the_seventh(
    symbol: str, preferences: Preferences, tops: set[int]
) -> None:
    third = 3 if symbol == "Cm" else 4
    for grip in grips(symbol, player=Player(preferences=preferences)):
        assert classes(grip) - {0, third} <= tops
        assert third in classes(grip)


#: The values of the simple type `kind-value` of MusicXML 4.0, `none` left out: it sounds nothing.
KINDS = [
    "major",
    "minor",
    "augmented",
    "diminished",
    "dominant",
    "major-seventh",
    "minor-seventh",
    "diminished-seventh",
    "augmented-seventh",
    "half-diminished",
    "major-minor",
    "major-sixth",
    "minor-sixth",
    "dominant-ninth",
    "major-ninth",
    "minor-ninth",
    "dominant-11th",
    "major-11th",
    "minor-11th",
    "dominant-13th",
    "major-13th",
    "minor-13th",
    "suspended-second",
    "suspended-fourth",
    "Neapolitan",
    "Italian",
    "French",
    "German",
    "pedal",
    "power",
    "Tristan",
    "other",
]


@pytest.mark.parametrize("kind", KINDS)
def test_every_quality_of_the_standard_has_a_grip_on_every_root(kind: str) -> None:
    assert len(KINDS) == 32
    for root in ROOTS:
        wanted = Chord(PitchName(root[0], root.count("#") - root.count("b")), kind)
        for style in STYLES:
            assert candidates(wanted, Player(), style).grips, (root, kind, style)


@pytest.mark.parametrize(
    ("tuning", "guides"),
    [
        ((40, 45, 50, 55, 59, 64), (2, 3)),
        ((35, 40, 45, 50, 55, 59, 64), (3, 4)),  # seven strings, low B
        ((38, 45, 50, 55, 59, 64), (2, 3)),  # low string down to D
        ((33, 40, 45, 50, 55), (1, 2)),
        ((50, 55, 59, 64), (2, 3)),  # the four high strings alone
    ],
)
def test_any_tuning_is_searched(tuning: tuple[int, ...], guides: tuple[int, int]) -> None:
    player = Player(neck=Neck(tuning=tuning))
    assert guide_strings(player.neck) == guides
    for symbol in ("C7", "Gm7", "F6", "Ebmaj7"):
        found = candidates(chord(symbol), player, "shell").grips
        assert found
        for grip in found:
            count = len(tuning)
            assert all(
                note.midi == tuning[count - note.string] + note.fret for note in grip.voicing.notes
            )


def test_voicings_come_once_and_in_a_fixed_order() -> None:
    first, second = (voicings(chord("C7b9"), Player(), "shell") for _ in range(2))
    assert first == second
    assert len(set(first)) == len(first)


@pytest.mark.parametrize("preset", PRESETS)
def test_every_preset_holds_every_common_chord(preset: str) -> None:
    """Small hands and beginners too find a grip with its root inside the window."""
    for quality in QUALITIES:
        for root in ROOTS:
            found = candidates(chord(root + quality), PRESETS[preset], "shell").grips
            assert any(3 <= grip.voicing.root.fret <= 10 for grip in found), root + quality


@pytest.mark.parametrize("style", ["shell", "four-note", "colour"])
@pytest.mark.parametrize(("symbol", "tones"), [("Faug", {5, 9, 1}), ("C+", {0, 4, 8}),
                                               ("C(b5)", {0, 4, 6})])  # fmt: skip
def test_the_altered_fifth_of_a_triad_is_a_guide_tone(style: str, symbol: str, tones: set) -> None:
    """F augmented is F A C♯: no grip of it leaves one out (common practice, no source)."""
    found = candidates(parse_chord(symbol), Player(), style).grips
    assert found
    assert all(classes(grip) == tones for grip in found)


@pytest.mark.parametrize(
    ("symbol", "frets"),
    [
        ("Gm7/Bb", "6 x 5 7 6 x"),
        ("Gm7/Bb", "6 x 5 7 x x"),
        ("Em7/D", "x 5 5 x 5 x"),
        ("Em7/D", "10 x 9 9 8 x"),
        ("Bb6/F", "x 8 8 7 8 x"),
        ("Am7/G", "3 x 2 2 1 x"),
        ("C/E", "x 7 5 5 x x"),
        ("F/G", "3 x 3 2 x x"),
        ("C7/Bb", "6 x 5 5 5 x"),
    ],
)
def test_grips_over_a_written_bass_that_players_use(symbol: str, frets: str) -> None:
    """Common practice, no source."""
    assert frets in {frets_text(grip.frets) for grip in grips(symbol)}


@pytest.mark.parametrize("root", range(12))
@pytest.mark.parametrize(
    ("quality", "bass"),
    [("m7", 3), ("m7", 10), ("m7", 7), ("6", 7), ("6", 4), ("7", 4), ("7", 10), ("maj7", 4),
     ("", 4), ("", 7), ("m", 3), ("m7b5", 6)],
)  # fmt: skip
def test_alone_a_chord_over_a_bass_keeps_its_root(root: int, quality: str, bass: int) -> None:
    """And its third, within the reach of four frets (common practice, no source)."""
    written = sheet(f"{ROOTS[root]}{quality}/{ROOTS[(root + bass) % 12]}")
    grip = plan_hand(straight(written)).grips[0]
    third = (root + (3 if quality.startswith("m") and quality != "maj7" else 4)) % 12
    assert {root, third} <= classes(grip)
    stopped = [fret for fret in grip.frets if fret is not None]
    assert max(stopped) - min(stopped) <= 3


@pytest.mark.parametrize("key", range(12))
@pytest.mark.parametrize(
    "numerals",
    [
        (("m7b5", 2, 5), ("7", 7, 11), ("m6", 0, 3), ("7", 8, 8)),
        (("m7", 2, 2), ("7", 7, 11), ("maj7", 0, 0), ("7", 9, 1), ("m7", 2, 2), ("7", 2, 6)),
    ],
    ids=["minor", "major"],
)
def test_a_dominant_over_its_third_keeps_its_seventh(
    key: int, numerals: Sequence[tuple[str, int, int]]
) -> None:
    """The tritone of third and seventh pulls; a triad does not (common practice, no source)."""
    symbols = []
    for quality, root, bass in numerals:
        low = "" if bass == root else f"/{ROOTS[(key + bass) % 12]}"
        symbols.append(f"{ROOTS[(key + root) % 12]}{quality}{low}")
    plan = plan_hand(straight(sheet(" ".join(symbols))))
    for (quality, root, bass), grip in zip(numerals, plan.grips, strict=True):
        if quality == "7" and bass != root:
            third, seventh = (key + root + 4) % 12, (key + root + 10) % 12
            assert {third, seventh} <= classes(grip)
            stopped = [fret for fret in grip.frets if fret is not None]
            assert max(stopped) - min(stopped) <= 3


@pytest.mark.parametrize("before", ["Gb7 | Db7", "F6 | Dm7", "Bbmaj7 | Gm7", "Am7b5 | D7"])
@pytest.mark.parametrize(
    ("quality", "bass"),
    [("m7", 10), ("7", 10), ("maj7", 11), ("m7b5", 10), ("6", 9), ("m6", 9), ("o7", 9)],
)
def test_a_seventh_or_sixth_in_the_bass_stands_below_root_and_third(
    before: str, quality: str, bass: int
) -> None:
    """And is not doubled above them (common practice, no source)."""
    written = sheet(f"{before.replace(' |', '')} C{quality}/{ROOTS[bass]} F6")
    grip = plan_hand(straight(written)).grips[2]
    sounding = [note.midi % 12 for note in grip.voicing.notes]
    assert {0, 3 if quality in ("m7", "m7b5", "m6", "o7") else 4} <= set(sounding[1:])
    assert bass not in sounding[1:]


def test_a_bass_may_walk_to_a_seventh_under_a_grip_that_holds_it() -> None:
    """Cm7 to Cm7/Bb; from a triad, or with another chord between, nothing is held."""
    doubled = (6, None, 8, 8, None, None)
    assert (3, None, 5, 5, None, None) in offered("Am7 Am7/G", 1)
    assert doubled in offered("Cm7 Cm7/Bb", 1)
    assert doubled in offered("Cm7/Bb Cm7", 0)
    assert doubled not in offered("Cm Cm7/Bb", 1)
    assert doubled not in offered("Cm7 F7 Cm7/Bb F7", 2)


def offered(symbols: str, chord: int) -> set[Frets]:
    """The frets of all grips among which a plan chooses for a chord."""
    task = task_of(straight(sheet(symbols)), Player(), PlanOptions())
    return {grip.frets for grip in task.choices[task.node_of[chord]].grips}
