"""Text from outside loses what steers a terminal or cannot stand in a file, and nothing else."""

from __future__ import annotations

import unicodedata

import pytest
from midneck.grammar.abc import read_abc
from midneck.grammar.errors import SheetError
from midneck.grammar.foreign_text import harmless, one_line
from midneck.grammar.musicxml import read_musicxml
from midneck.grammar.sheet import Sheet
from midneck.grammar.text.reader import read_sheet
from support.musicxml_scores import direction, harmony, score

#: A title for a terminal, another order of letters, a C1 code, half a character, a noncharacter.
HOSTILE = "a\x1b]0;owned\x07b\u202ec\x9b31md\ud800e\ufffff\u2066g\x7fh\x00i"
PLAIN = "a ]0;owned b c 31md e f g h i"


def test_every_character_is_kept_or_becomes_one_space() -> None:
    astral = (plane << 16 | last for plane in range(1, 17) for last in (0, 0xFFFD, 0xFFFE, 0xFFFF))
    everything = "".join(map(chr, [*range(0x10000), *astral]))
    shown = harmless(everything)
    assert len(shown) == len(everything)
    pairs = zip(everything, shown, strict=True)
    changed = {char: other for char, other in pairs if char != other}
    assert set(changed.values()) == {" "}
    harmful = {
        char for char in everything if unicodedata.category(char) in ("Cc", "Cs", "Zl", "Zp")
    }
    marks = {char for char in everything if unicodedata.bidirectional(char) in BIDI_MARKS}
    nonchars = {char for char in everything if ord(char) & 0xFFFE == 0xFFFE}
    nonchars |= set(map(chr, range(0xFDD0, 0xFDF0)))
    assert set(changed) == (harmful | marks | nonchars) - {"\n", "\t"}


#: The classes of Unicode Standard Annex 9 for embeddings, overrides and isolates.
BIDI_MARKS = ("LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI")


def test_a_name_stays_on_its_line() -> None:
    assert one_line("a\nb\x1b.txt") == "a\ufffdb\ufffd.txt"
    assert one_line("Ünter Wegs.txt") == "Ünter Wegs.txt"


def texts_of(sheet: Sheet) -> list[str]:
    header = sheet.header
    texts = [
        header.title,
        header.by,
        header.feel,
        *(text for pair in header.other for text in pair),
    ]
    texts += [text for section in sheet.sections for text in (section.label, *section.text)]
    return texts + [comment.text for comment in sheet.comments] + [c.text for c in sheet.chords]


def test_no_reader_passes_on_what_is_harmful() -> None:
    typed = (
        f"# {HOSTILE}\nTitle: {HOSTILE}\nBy: {HOSTILE}\nFeel: {HOSTILE}\nYear: {HOSTILE}\n"
        f'A\x07b:\n"{HOSTILE}"\n| C | F |\n'
    )
    in_xml = "a\u202eb\x9b31mc\u2066d\x7fe"
    words = direction(f"<words>{in_xml}</words>") + direction(f"<rehearsal>{in_xml}</rehearsal>")
    head = f"<work><work-title>{in_xml}</work-title></work>"
    abc = f'X:1\nT:{HOSTILE} &#27;[1m &#x9b;\nC:{HOSTILE}\nM:4/4\nK:C\n"C"C4|"^{HOSTILE}""F"F4|\n'
    sheets = [read_sheet(typed), read_musicxml(score(words + harmony(), head=head)), read_abc(abc)]
    for sheet in sheets:
        assert sheet.header.title
        assert all(text == harmless(text) for text in texts_of(sheet))
    assert sheets[0].header.title == PLAIN


@pytest.mark.parametrize(
    "bad", ["| C\x1b[31mH |", "A: agai\x1bn", "Key: \x1b]0;x\x07", "Tempo: \u202e9"]
)
def test_mistakes_show_nothing_harmful(bad: str) -> None:
    with pytest.raises(SheetError) as caught:
        read_sheet(f"A:\n| C |\n{bad}\n" if "\n" not in bad else bad, "x\x1b]0;y\x07\n.txt")
    said = str(caught.value)
    assert said == harmless(said)
    assert said.startswith("x\ufffd]0;y\ufffd\ufffd.txt:")
