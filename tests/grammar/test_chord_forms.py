"""Every usual way of writing a chord, in every root, against degrees typed by hand."""

from __future__ import annotations

from collections import Counter

import pytest
from midneck.grammar.chord_parser import parse_chord
from midneck.grammar.pitch import parse_pitch_name
from support.chord_forms import chord_forms
from support.roots import SPELLINGS

FORMS = chord_forms()


def degrees(symbol: str) -> str:
    tones = parse_chord(symbol).tones
    return " ".join(
        ("#" if tone.alteration > 0 else "b") * abs(tone.alteration) + str(tone.degree)
        for tone in tones
    )


def test_there_are_hundreds_of_forms_and_none_twice() -> None:
    assert len(FORMS) >= 600
    assert [form for form, count in Counter(form for form, _ in FORMS).items() if count > 1] == []


@pytest.mark.parametrize("root", SPELLINGS)
def test_forms_mean_what_musicians_mean(root: str) -> None:
    wrong = [root + form for form, wanted in FORMS if degrees(root + form) != wanted]
    assert wrong == []
    assert {str(parse_chord(root + form).root) for form, _ in FORMS} == {root}


@pytest.mark.parametrize("root", ["C", "F#", "Bb"])
def test_forms_of_one_meaning_are_one_value(root: str) -> None:
    meanings: dict[str, set[object]] = {}
    for form, wanted in FORMS:
        meanings.setdefault(wanted, set()).add(parse_chord(root + form))
    assert [wanted for wanted, chords in meanings.items() if len(chords) > 1] == []
    assert len(meanings) == len({chord for chords in meanings.values() for chord in chords})


@pytest.mark.parametrize("bass", ["E", "Bb", "F#", "Ebb", "Cx", "D♭", "G♯"])
def test_forms_take_a_bass(bass: str) -> None:
    note = parse_pitch_name(bass)
    for form, _ in FORMS:
        chord = parse_chord(f"C{form}/{bass}")
        assert (chord.bass, parse_chord(str(chord))) == (note, chord)
        assert chord.tones == parse_chord(f"C{form}").tones


@pytest.mark.parametrize(("text", "root"), [
    ("Cb", "Cb"), ("C♭", "Cb"), ("C♯", "C#"), ("Bbb7", "Bbb"), ("B♭♭7", "Bbb"), ("B𝄫7", "Bbb"),
    ("F##7", "F##"), ("Fx7", "F##"), ("F♯♯7", "F##"), ("F𝄪7", "F##"), ("E♭m7", "Eb"),
])  # fmt: skip
def test_roots_with_all_kinds_of_accidentals(text: str, root: str) -> None:
    assert str(parse_chord(text).root) == root
