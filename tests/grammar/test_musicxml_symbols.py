"""Chord symbols as programs write them: read as the symbol that a musician sees in the score.

The files are ours; that programs write such kinds, texts and degrees is from memory.
"""

from __future__ import annotations

import pytest
from midneck.grammar.musicxml import read_musicxml
from midneck.grammar.sheet import Sheet
from support.musicxml_scores import WHOLE_REST, degree, harmony, score


def read(kind: str, text: str | None, degrees: str = "", root: str = "A") -> Sheet:
    element = harmony(root, kind, degrees)
    if text is not None:
        element = element.replace("<kind>", f'<kind text="{text}">')
        assert f'text="{text}"' in element
    return read_musicxml(score(element + WHOLE_REST))


def symbol(sheet: Sheet) -> str:
    return sheet.chords[0].symbol


@pytest.mark.parametrize(
    ("kind", "text", "degrees", "expected"),
    [
        # Kinds that the standard lacks.
        ("suspended-fourth-seventh", "7sus4", "", "A7sus4"),
        ("suspended-fourth-seventh", None, "", "A7sus4"),
        ("minor-seventh-flat-five", None, "", "Am7b5"),
        ("altered", None, "", "A7alt"),
        ("something-new", "13sus4", "", "A13sus4"),
        # A text that says more than the kind.
        ("dominant", "7b9", "", "A7(b9)"),
        ("major", "maj7", "", "Amaj7"),
        ("minor-seventh", "m7b5", "", "Am7b5"),
        ("dominant", "7alt", "", "A7alt"),
        ("dominant", "7sus4", "", "A7sus4"),
        # A text that says less: the degrees are printed apart from it.
        ("dominant", "7", degree(9, -1, "add"), "A7(b9)"),
        ("minor", "", "", "Am"),
        # Half-diminished as a minor seventh with a degree, however the degree is called.
        ("minor-seventh", "m7", degree(5, -1, "alter"), "Am7b5"),
        ("minor-seventh", None, degree(5, -1, "alter"), "Am7b5"),
        ("minor-seventh", None, degree(5, -1, "add"), "Am7b5"),
        ("dominant", None, degree(5, 1, "add"), "A7#5"),
        # A text that is no chord symbol says nothing.
        ("dominant", "see below", "", "A7"),
    ],
)
def test_a_symbol_is_read_as_it_is_seen(
    kind: str, text: str | None, degrees: str, expected: str
) -> None:
    assert symbol(read(kind, text, degrees)) == expected


@pytest.mark.parametrize(
    ("kind", "text", "warning"),
    [
        ("dominant", "7b9", "bar 1: A 7b9: its kind says A7 and its symbol A7(b9); read as A7(b9)"),
        ("something-new", "13sus4",
         "bar 1: A 13sus4: the kind 'something-new' is not one that MusicXML names;"
         " read as A13sus4"),
    ],
)  # fmt: skip
def test_what_was_guessed_is_told(kind: str, text: str, warning: str) -> None:
    assert warning in read(kind, text).warnings


def test_a_kind_that_says_all_is_no_guess() -> None:
    guesses = [w for w in read("minor-seventh", "-7").warnings if "kind" in w]
    assert guesses == []
