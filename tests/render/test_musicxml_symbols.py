"""Text to MusicXML and back to text keeps every symbol as it was typed."""

from __future__ import annotations

import pytest
from midneck.grammar.chord import Chord
from midneck.grammar.musicxml import read_musicxml
from midneck.grammar.pitch import parse_pitch_name
from midneck.grammar.quality import KIND_TONES, DegreeChange
from midneck.grammar.sheet import Sheet
from midneck.grammar.text.reader import read_sheet
from midneck.grammar.text.writer import write_sheet
from midneck.render.musicxml import write_musicxml
from support.chord_forms import chord_forms
from support.musicxml_charts import chart

ROOTS = ("C", "F#", "Bb")
DEGREES = [("add", 9, -1), ("add", 9, 1), ("alter", 5, -1), ("alter", 5, 1), ("add", 11, 1),
           ("add", 13, -1), ("add", 13, 0), ("omit", 5, 0), ("omit", 3, 0)]  # fmt: skip


def typed_in(symbols: list[str]) -> Sheet:
    return read_sheet("Key: C\n\n" + "".join(f"| {symbol} |\n" for symbol in symbols))


def there_and_back(symbols: list[str]) -> list[str]:
    back = read_musicxml(write_musicxml(chart(typed_in(symbols))))
    return [written.text for written in back.chords]


def symbols_of(kind: str) -> list[str]:
    chords = [Chord(parse_pitch_name(root), kind) for root in ROOTS]
    chords += [Chord(parse_pitch_name("G"), kind, (DegreeChange(*d),)) for d in DEGREES]
    return [str(chord) for chord in chords]


@pytest.mark.parametrize("kind", [kind for kind in KIND_TONES if kind not in ("none", "other")])
def test_every_quality_with_every_degree_comes_back(kind: str) -> None:
    symbols = symbols_of(kind)
    assert there_and_back(symbols) == symbols


def test_symbols_come_back_as_they_were_typed() -> None:
    typed = [f"Eb{form}" for form, _ in chord_forms()]
    assert there_and_back(typed) == [written.text for written in typed_in(typed).chords]


def test_a_symbol_over_a_bass_comes_back() -> None:
    typed = ["C-7/Bb", "FΔ7/A", "G7sus/D", "D7(b9)/F#", "Bb/C"]
    assert there_and_back(typed) == typed


def test_the_text_comes_back_with_its_spelling() -> None:
    text = "Key: C\n\nA:\n| C-7 F7alt | BbΔ7 | Am7b5 D7b9 | G-Δ ||\n"
    back = read_musicxml(write_musicxml(chart(read_sheet(text))))
    assert write_sheet(back, keep_spelling=True).splitlines()[-1] == text.splitlines()[-1]
