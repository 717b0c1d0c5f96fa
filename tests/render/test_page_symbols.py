"""Chord symbols as they are set: what they read as, where their pieces stand."""

from __future__ import annotations

import pytest
from midneck.grammar.chord import Chord, DegreeChange
from midneck.grammar.chord_parser import parse_chord
from midneck.grammar.pitch import PitchName
from midneck.grammar.quality import KIND_TONES
from midneck.render.page.drawing.fonts import BOLD, BOLD_MARKS, MARKS
from midneck.render.page.drawing.signs import set_symbol


def test_symbol_is_one_text_that_reads_as_the_chord() -> None:
    chord = Chord(PitchName("B", -1), "half-diminished")
    symbol = set_symbol(chord, 20, "signs")
    assert symbol.at(10, 50).string == "B♭ø7"
    letter, accidental = symbol.spans[:2]
    assert (letter.face, letter.size, letter.dx) == (BOLD, 20, 0)
    # The root's accidental is bold on the root's baseline, moved up to it.
    assert (accidental.face, accidental.rise) == (BOLD_MARKS, 0)
    assert accidental.dx < letter.end
    raised = symbol.spans[-1]
    # 0.72 of the size, raised so that its figures end as high as the root: 0.69 · 20 · 0.28.
    assert raised.size == pytest.approx(14.4)
    assert raised.rise == pytest.approx(0.69 * 20 * 0.28)
    assert symbol.width == pytest.approx(raised.dx + raised.width)


@pytest.mark.parametrize(("of_root", "of_extension"), [("Bb9", "B7b9"), ("Gb5", "G(b5)")])
def test_a_root_s_flat_looks_unlike_that_of_an_extension(of_root: str, of_extension: str) -> None:
    sets = [set_symbol(parse_chord(text), 20, "letters") for text in (of_root, of_extension)]
    mine, other = (next(s for s in symbol.spans if s.text == "♭") for symbol in sets)
    assert (mine.face, mine.rise) == (BOLD_MARKS, 0)
    assert other.face == MARKS
    assert other.rise > 3
    assert mine.size > 1.15 * other.size


def test_symbol_in_letters() -> None:
    chord = Chord(PitchName("B", -1), "half-diminished")
    assert set_symbol(chord, 20, "letters").at(0, 0).string == "B♭m7♭5"


def test_symbol_width_grows_with_its_size() -> None:
    for kind in ("minor-seventh", "major-13th", "diminished-seventh"):
        chord = Chord(PitchName("F", 1), kind)
        assert set_symbol(chord, 30, "signs").width == pytest.approx(
            1.5 * set_symbol(chord, 20, "signs").width
        )


def test_slash_bass_is_set_lower() -> None:
    symbol = set_symbol(Chord(PitchName("C"), "major", bass=PitchName("E")), 20, "signs")
    assert symbol.at(0, 0).string == "C/E"
    assert [span.rise < 0 for span in symbol.spans] == [False, True, True]


@pytest.mark.parametrize(("chord", "signs", "letters"), [
    (Chord(PitchName("E", -1), "minor-seventh"), "E♭–7", "E♭m7"),
    (Chord(PitchName("A", -1), "major-seventh"), "A♭△7", "A♭maj7"),
    (Chord(PitchName("F", 1), "diminished-seventh"), "F♯°7", "F♯dim7"),
    (Chord(PitchName("C"), "augmented"), "C+", "Caug"),
    (Chord(PitchName("D"), "major-minor"), "D–△7", "Dm(maj7)"),
    (Chord(PitchName("G"), "suspended-fourth", (DegreeChange("add", 7, -1),)), "G7sus4", "G7sus4"),
    (Chord(PitchName("G"), "suspended-fourth",
           (DegreeChange("add", 7, -1), DegreeChange("add", 9, -1))),
     "G7sus4♭9", "G7sus4♭9"),
    (Chord(PitchName("C"), "major-sixth", (DegreeChange("add", 9),)), "C6/9", "C6/9"),
    (Chord(PitchName("C"), "dominant", (DegreeChange("add", 9, -1), DegreeChange("add", 11, 1))),
     "C7(♭9♯11)", "C7(♭9♯11)"),
    (Chord(PitchName("C"), "dominant", (DegreeChange("omit", 5),)), "C7(no5)", "C7(no5)"),
    (Chord(PitchName("C", 1), "half-diminished", (DegreeChange("add", 11),), PitchName("G", 1)),
     "C♯ø7(11)/G♯", "C♯m7(♭5,11)/G♯"),
    (Chord(PitchName("B"), "pedal"), "Bped", "Bped"),
])  # fmt: skip
def test_symbols_read_as_they_are_written(chord: Chord, signs: str, letters: str) -> None:
    assert set_symbol(chord, 20, "signs").at(0, 0).string == signs
    assert set_symbol(chord, 20, "letters").at(0, 0).string == letters


def test_two_alterations_are_stacked_in_parentheses() -> None:
    chord = Chord(
        PitchName("C"), "dominant", (DegreeChange("add", 9, -1), DegreeChange("add", 11, 1))
    )
    spans = {span.text: span for span in set_symbol(chord, 20, "signs").spans}
    nine, eleven = spans["9"], spans["11"]
    assert nine.rise > eleven.rise + 0.69 * eleven.size
    # Flat and sharp are equally wide, so the figures begin at one x, between the parentheses.
    assert spans["("].dx < nine.dx == pytest.approx(eleven.dx)
    assert eleven.dx + eleven.width <= spans[")"].dx + 1e-9
    # In large print they stand in line, as large as the root.
    large = set_symbol(chord, 30, "signs", 1.0)
    assert {(span.size, span.rise) for span in large.spans} == {(30, 0)}
    assert large.at(0, 0).string == "C7(♭9,♯11)"


def test_every_kind_has_a_printed_form() -> None:
    for kind in KIND_TONES:
        for symbols in ("signs", "letters"):
            text = set_symbol(Chord(PitchName("C"), kind), 20, symbols).at(0, 0).string
            assert text.startswith("N.C." if kind == "none" else "C")
            assert "^" not in text
