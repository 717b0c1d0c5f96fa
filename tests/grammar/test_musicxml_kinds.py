"""Every kind of chord of a score: the names of MusicXML 4.0 (`kind-value`), and those of programs.

The second are from memory.
"""

from __future__ import annotations

import pytest
from midneck.grammar.musicxml import read_musicxml
from support.musicxml_scores import WHOLE_REST, harmony, score

STANDARD = {
    "major": "C", "minor": "Cm", "augmented": "Caug", "diminished": "Cdim", "dominant": "C7",
    "major-seventh": "Cmaj7", "minor-seventh": "Cm7", "diminished-seventh": "Cdim7",
    "augmented-seventh": "C7#5", "half-diminished": "Cm7b5", "major-minor": "Cm(maj7)",
    "major-sixth": "C6", "minor-sixth": "Cm6", "dominant-ninth": "C9", "major-ninth": "Cmaj9",
    "minor-ninth": "Cm9", "dominant-11th": "C11", "major-11th": "Cmaj11", "minor-11th": "Cm11",
    "dominant-13th": "C13", "major-13th": "Cmaj13", "minor-13th": "Cm13",
    "suspended-second": "Csus2", "suspended-fourth": "Csus4", "Neapolitan": "CNeapolitan",
    "Italian": "CItalian", "French": "CFrench", "German": "CGerman", "pedal": "Cpedal",
    "power": "C5", "Tristan": "CTristan", "other": "Cother",
}  # fmt: skip
OF_PROGRAMS = {
    "": "C", "minor-major": "Cm(maj7)", "major-11": "Cmaj11", "half-diminished-seventh": "Cm7b5",
    "dominant-seventh": "C7", "augmented-dominant": "C7#5", "suspended-fourth-seventh": "C7sus4",
    "suspended-fourth-ninth": "C9sus4", "dominant-suspended-fourth": "C7sus4",
    "dominant-seventh-suspended-fourth": "C7sus4", "suspended": "Csus4", "sixth-ninth": "C6/9",
    "major-sixth-ninth": "C6/9", "minor-sixth-ninth": "Cm6/9", "minor-seventh-flat-five": "Cm7b5",
    "augmented-major-seventh": "Cmaj7#5", "diminished-major-seventh": "Cdim(maj7)",
    "dominant-flat-ninth": "C7(b9)", "dominant-sharp-ninth": "C7(#9)", "altered": "C7alt",
}  # fmt: skip


@pytest.mark.parametrize(("kind", "symbol"), [*STANDARD.items(), *OF_PROGRAMS.items()])
def test_a_kind_is_the_chord_that_it_names(kind: str, symbol: str) -> None:
    for written in (kind, kind.upper()):
        sheet = read_musicxml(score(harmony(kind=written) + WHOLE_REST))
        assert str(sheet.chords[0].chord) == symbol
        assert sheet.warnings == ()
