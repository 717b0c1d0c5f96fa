"""What stands above the music in MusicXML: header, keys, tempo, feel, sections and words.

Expected values follow MusicXML 4.0 (W3C Community Group Final Report, 2021), elements `key`,
`metronome`, `sound`, `swing`, `creator`; feels in words are common practice, no source.
"""

from __future__ import annotations

import pytest
from midneck.grammar.musicxml import read_musicxml
from support.musicxml_scores import (
    WHOLE_REST,
    attributes,
    direction,
    harmony,
    key,
    score,
    time,
)

BAR = harmony() + WHOLE_REST


def test_rehearsal_marks_and_changes_of_key_divide_the_sheet() -> None:
    mark = direction("<rehearsal>B</rehearsal>")
    words = direction("<words>brushes</words>")
    sheet = read_musicxml(
        score(words + BAR, BAR, mark + BAR, attributes(key(-4)) + BAR, first=key(-1) + time())
    )
    assert [(s.label, s.first, s.count) for s in sheet.sections] == [
        ("", 0, 2),
        ("B", 2, 1),
        ("", 3, 1),
    ]
    assert [str(s.key) for s in sheet.sections] == ["None", "None", "Ab major"]
    assert sheet.sections[0].text == ("brushes",)
    assert str(sheet.header.key) == "F major"


@pytest.mark.parametrize(
    ("fifths", "mode", "last", "expected"),
    [
        (-3, "major", harmony("C"), "Eb major"),
        (-3, "minor", harmony("C"), "C minor"),
        (3, "minor", harmony("C"), "F# minor"),
        (0, "dorian", harmony("C"), "D dorian"),
        (0, "mixolydian", harmony("C"), "G mixolydian"),
        (-11, "lydian", harmony("C"), "C lydian"),  # D double flat
        (11, "locrian", harmony("C"), "E locrian"),  # D double sharp
        (-3, "", harmony("Eb"), "Eb major"),
        (-3, "blues", harmony("Eb"), "Eb major"),
        (-3, "none", harmony("Eb"), "Eb major"),
        (-3, "", harmony("C", "minor-sixth"), "C minor"),
        (-3, "", harmony("C", "major"), "Eb major"),
    ],
)
def test_keys(fifths: int, mode: str, last: str, expected: str) -> None:
    sheet = read_musicxml(score(BAR, last + WHOLE_REST, first=key(fifths, mode) + time()))
    assert str(sheet.header.key) == expected
    assert any("mode" in warning for warning in sheet.warnings) == (mode in ("", "none", "blues"))


def test_the_header() -> None:
    head = (
        "<work><work-title>Lantern  Street</work-title></work><identification>"
        '<creator type="lyricist">B. Ott</creator><creator type="composer">A. Venn</creator>'
        '<miscellaneous><miscellaneous-field name="Arranger">C. Dray</miscellaneous-field>'
        "</miscellaneous></identification>"
    )
    swing = "<sound tempo='126'><swing><first>2</first><second>1</second></swing></sound>"
    header = read_musicxml(score(direction("<words>Med.</words>", swing) + BAR, head=head)).header
    assert (header.title, header.by, header.tempo) == ("Lantern Street", "A. Venn", 126)
    assert (header.feel, header.other) == ("swing", (("Arranger", "C. Dray"),))


@pytest.mark.parametrize(
    ("first", "mark", "tempo"),
    [
        (time(4, 4), "<beat-unit>half</beat-unit><per-minute>80</per-minute>", 160),
        (time(4, 4), "<beat-unit>quarter</beat-unit><per-minute>c. 92</per-minute>", 92),
        (
            time(6, 8),
            "<beat-unit>quarter</beat-unit><beat-unit-dot/><per-minute>60</per-minute>",
            60,
        ),
        (time(6, 8), "<beat-unit>eighth</beat-unit><per-minute>180</per-minute>", 60),
        (time(15, 8), "<beat-unit>eighth</beat-unit><per-minute>180</per-minute>", 60),
        (time(6, 16), "<beat-unit>eighth</beat-unit><per-minute>180</per-minute>", 90),
    ],
)
def test_tempo_marks(first: str, mark: str, tempo: int) -> None:
    said = direction(f"<metronome>{mark}</metronome>")
    assert read_musicxml(score(said + harmony(), first=key(0) + first)).header.tempo == tempo


@pytest.mark.parametrize("words", ["Swing", "Med. Swing", "Bossa Nova", "Jazz Waltz", "Up-tempo"])
def test_a_feel_in_words(words: str) -> None:
    sheet = read_musicxml(score(direction(f"<words>{words}</words>") + BAR, BAR))
    known = words != "Up-tempo"
    assert sheet.header.feel == (words if known else "")
    assert sheet.sections[0].text == (() if known else (words,))


def test_a_later_feel_is_a_word_for_the_player() -> None:
    first, later = (direction(f"<words>{feel}</words>") for feel in ("Latin", "Swing"))
    sheet = read_musicxml(score(first + BAR, later + BAR))
    assert (sheet.header.feel, sheet.sections[0].text) == ("Latin", ("Swing",))


def test_short_words_in_a_box_are_a_label() -> None:
    boxed = direction('<words enclosure="rectangle">C2</words>')
    sheet = read_musicxml(score(BAR, boxed + BAR))
    assert [section.label for section in sheet.sections] == ["", "C2"]
