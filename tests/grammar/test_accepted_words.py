"""Every word that readers accept, each once: names of headers, feels, labels, form, ABC's fields.

A word that is taken out of a table, or stands for something else, shows here. Words of ABC are
those of the ABC standard 2.1 (sections in brackets); the others are common practice, no source.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from midneck.grammar.abc.fields import (
    Tempo,
    plain_text,
    read_key,
    read_meter,
    read_order,
    read_tempo,
    read_unit,
    usual_unit,
)
from midneck.grammar.errors import SheetError
from midneck.grammar.score.measure import Time, marks_of_words
from midneck.grammar.sheet import Meter
from midneck.grammar.text.reader import read_sheet
from midneck.grammar.text.writer import write_sheet

HEADERS = {
    "title": ["Title", "TITLE"],
    "by": ["By", "Composer", "Music", "Author"],
    "feel": ["Feel", "Style"],
    "meter": ["Time", "Meter", "Metre", "Time signature", "time SIGNATURE"],
    "tempo": ["Tempo", "BPM"],
    "key": ["Key"],
}
VALUES = {"title": "Weir", "by": "Oda", "feel": "swing", "meter": "3/4", "tempo": "90", "key": "F"}
READ = VALUES | {"meter": Meter(3, 4), "tempo": 90, "key": "F major"}


@pytest.mark.parametrize(
    ("part", "name"), [(part, name) for part, names in HEADERS.items() for name in names]
)
def test_a_header_has_these_names(part: str, name: str) -> None:
    header = read_sheet(f"{name}: {VALUES[part]}\n\n| C |\n").header
    found = getattr(header, part)
    assert (str(found) if part == "key" else found) == READ[part]
    assert header.other == ()


@pytest.mark.parametrize(
    ("name", "meant"),
    [
        *(("Writer", "By"), ("Artist", "By"), ("Signature", "Time"), ("Speed", "Tempo")),
        *(("Rhythm", "Feel"), ("Groove", "Feel"), ("Name", "Title"), ("Tune", "Title")),
        *(("Song", "Title"), ("Tonality", "Key"), ("Mode", "Key"), ("Titel", "Title")),
    ],
)
def test_a_header_that_is_not_known_has_a_near_one(name: str, meant: str) -> None:
    sheet = read_sheet(f"{name}: x\n\n| C |\n")
    assert sheet.header.other == ((name, "x"),)
    assert sheet.warnings == (
        f"line 1: unknown header '{name}', kept as it is; did you mean {meant}?",
    )


FEEL_WORDS = [
    *("swing", "bossa", "nova", "ballad", "waltz", "latin", "samba", "funk", "shuffle", "slow"),
    *("medium", "fast", "up", "tempo", "easy", "bright", "relaxed", "even", "straight", "eighths"),
    *("8ths", "jazz", "blues"),
]


@pytest.mark.parametrize("word", FEEL_WORDS)
def test_a_line_of_words_of_feel_below_the_title_is_the_feel(word: str) -> None:
    header = read_sheet(f"Night Ferry\n({word})\n\n| C |\n").header
    assert (header.title, header.feel) == ("Night Ferry", word)


LABELS = [
    *("A", "B2", "C4", "A'", "D''", "Z", "intro", "Introduction", "verse", "Verse 2", "CHORUS"),
    *("refrain", "bridge", "middle eight", "interlude", "solo", "solos", "vamp", "outro"),
    *("ending", "tag", "head", "coda", "Coda 2"),
]


@pytest.mark.parametrize("label", LABELS)
def test_a_label_may_stand_alone(label: str) -> None:
    for line in (label, f"{label}.", f"{label})", f"[{label}]", f"{label}:"):
        sheet = read_sheet(f"Title: X\n\n{line}\n| C | F |\n")
        assert [section.label for section in sheet.sections] == [label]
        assert len(sheet.bars) == 2


@pytest.mark.parametrize(
    ("typed", "number"),
    [
        *((f"{word} ending", at) for at, word in enumerate(("1st", "2nd", "3rd", "4th"), 1)),
        ("First time", 1), ("second time", 2), ("third time", 3), ("fourth time", 4),
    ],
)  # fmt: skip
def test_an_ending_is_named_in_words(typed: str, number: int) -> None:
    first = "".join(f"|{each}. F :" for each in range(1, number))
    spoken = f"|: C {first}|\n{typed}: | G ||\n" if number > 1 else f"|: C |\n{typed}: | G :|\n"
    written = f"|: C {first}|{number}. G ||\n" if number > 1 else "|: C |1. G :|\n"

    def read(text: str) -> object:
        try:
            return write_sheet(read_sheet(text))
        except SheetError as error:
            return [problem.label for problem in error.problems]

    assert read(spoken) == read(written)


@pytest.mark.parametrize(
    ("typed", "tempo"),
    [("90", 90), ("90 bpm", 90), ("90BPM.", 90), ("ca. 90", 90), ("♩ = 90", 90), ("=90", 90),
     ("20", 20), ("400", 400)],
)  # fmt: skip
def test_tempos_as_typed(typed: str, tempo: int) -> None:
    assert read_sheet(f"Tempo: {typed}\n| C |\n").header.tempo == tempo


@pytest.mark.parametrize(
    ("line", "label", "fix"),
    [
        ("Tempo: 19", "bad-tempo", ""), ("Tempo: 401", "bad-tempo", ""),
        ("Tempo: 12345", "bad-tempo", ""), ("Tempo: lively", "bad-tempo", "Feel: lively"),
        ("Key: h", "bad-key", "B"), ("Key: Hm", "bad-key", "Bm"),
        ("Key: bb", "bad-key", "Bb or Bbm"),
        ("Key: e", "bad-key", "E or Em"), ("Key: q", "bad-key", ""),
        ("Time: 3-4", "bad-time", "3/4"), (r"Time: 6\8", "bad-time", "6/8"),
        ("Time: 3:4", "bad-time", "3/4"), ("Time: 3.4", "bad-time", "3/4"),
        ("Time: jazz waltz", "bad-time", "3/4"), ("Time: 3-7", "bad-time", ""),
        ("Time: odd", "bad-time", ""),
    ],
)  # fmt: skip
def test_what_a_wrong_header_most_likely_means(line: str, label: str, fix: str) -> None:
    with pytest.raises(SheetError) as caught:
        read_sheet(f"{line}\n| C |\n")
    assert [(each.label, each.suggestion) for each in caught.value.problems] == [(label, fix)]


FORM = {
    "fine": ["Fine", "FINE.", "(fine)"],
    "coda": ["Coda", "⊕", "𝄌"],
    "segno": ["Segno", "§", "\U0001d10b"],
    "to_coda": ["To Coda", "al Coda", "to ⊕"],
    "silence": ["N.C.", "NC", "n. c.", "No chord", "tacet"],
    "dacapo": ["D.C.", "DC", "D. C.", "Da Capo"],
    "dalsegno": ["D.S.", "DS", "Dal Segno"],
    "dacapo fine": ["D.C. al Fine", "da capo a fine", "D.C. to the fine", "DC to fine"],
    "dalsegno coda": ["D.S. al Coda", "dal segno al ⊕", "D.S. to coda"],
    "feel": [
        *("Swing", "medium swing", "slow shuffle", "Bossa", "Bossa nova", "samba", "fast samba"),
        *("Latin", "ballad", "jazz waltz", "rumba", "even eighths", "straight eighths", "rubato"),
        *("up tempo swing", "uptempo swing", "med swing", "easy swing", "light latin"),
        *("gentle waltz", "bright swing", "up swing"),
    ],
    "text": ["tutti", "swing it", "coda of the tune", "slow", "finely"],
}


@pytest.mark.parametrize("kind", FORM)
def test_words_of_form_and_feel_over_the_music(kind: str) -> None:
    name, _, until = kind.partition(" ")
    for text in FORM[kind]:
        value = text if name in ("feel", "text") else until
        assert list(marks_of_words(text)) == [(name, value)], text
    assert list(marks_of_words("D.C. with repeats")) == [
        ("dacapo", ""),
        ("text", "D.C. with repeats"),
    ]


@pytest.mark.parametrize("beats", [2, 3, 4, 5, 6, 9, 12])
@pytest.mark.parametrize("unit", [2, 4, 8, 16])
def test_a_compound_meter_has_two_groups_of_three_short_beats_or_more(
    beats: int, unit: int
) -> None:
    assert Meter(beats, unit).compound is (unit >= 8 and beats in (6, 9, 12))


MODES = {
    "major": ["C", "Cmaj", "C major", "CMaj", "C ionian", "Cion", "C clef=alto"],
    "minor": ["Cm", "Cmin", "C minor", "C aeolian", "Caeo", "C m"],
    "dorian": ["Cdor", "C Dorian"],
    "phrygian": ["Cphr", "C phrygian"],
    "lydian": ["Clyd", "C lydian"],
    "mixolydian": ["Cmix", "C Mixolydian"],
    "locrian": ["Cloc", "C locrian"],
}


@pytest.mark.parametrize("mode", MODES)
def test_modes_of_abc(mode: str) -> None:
    """(3.1.14)"""
    for text in MODES[mode]:
        found = read_key(text)
        assert found is not None, text
        assert str(found.key) == f"C {mode}", text


@pytest.mark.parametrize("text", ["", "none", "None", "HP", "Hp", "clef=bass", "octave=-1"])
def test_keys_of_abc_that_are_none(text: str) -> None:
    found = read_key(text)
    assert found is not None
    assert found.key is None


@pytest.mark.parametrize("text", ["H", "Cxyz", "1", "Csus"])
def test_what_is_no_key_of_abc(text: str) -> None:
    assert read_key(text) is None


def test_meters_of_abc() -> None:
    """(3.1.6)"""
    meters = {"4/4": Meter(4, 4), "C": Meter(4, 4), "C|": Meter(2, 2, cut=True)}
    meters |= {"(2+3)/8": Meter(5, 8), "2 + 3 / 8": Meter(5, 8), "512/4": Meter(512, 4)}
    meters |= {"(256+256)/4": Meter(512, 4), "(1)/64": Meter(1, 64)}
    assert {text: read_meter(text) for text in meters} == {
        text: Time(meter) for text, meter in meters.items()
    }
    assert read_meter("none") == read_meter(" ") == Time(None)
    wrong = ("x", "(256+257)/4", "(0)/4", "(2+3)/7", "(2+3)/128", "3", "(2+3")
    assert [read_meter(text) for text in wrong] == [None] * len(wrong)


def test_unit_lengths_of_abc() -> None:
    """(3.1.7)"""
    for power in range(10):
        assert read_unit(f" 1/{2**power} ") == Fraction(4, 2**power)
    assert read_unit("1") == 4
    wrong = ("", "2/4", "1/3", "1/1024", "1/", "1/0", "x")
    assert [read_unit(text) for text in wrong] == [None] * len(wrong)
    usual = {None: (1, 2), Meter(2, 4): (1, 4), Meter(5, 8): (1, 4), Meter(3, 4): (1, 2)}
    for meter, parts in (usual | {Meter(6, 8): (1, 2), Meter(4, 4): (1, 2)}).items():
        assert usual_unit(Time(meter)) == Fraction(*parts)
    assert usual_unit(None) == Fraction(1, 2)


@pytest.mark.parametrize(
    ("text", "tempo"),
    [
        ("1/4=120", Tempo(Fraction(120))), ("3/8=50", Tempo(Fraction(75))),
        ("3/8 1/8=40", Tempo(Fraction(80))), ("1/4=92.5", Tempo(Fraction(185, 2))),
        ('"Slow" 1/2=40 "ish"', Tempo(Fraction(80), "Slow ish")),
        ('"Allegro"', Tempo(None, "Allegro")),
        ("120", Tempo(Fraction(60))), ("C=100", Tempo(Fraction(50))), ("1/0=60", Tempo(None)),
        ("1/4=fast", Tempo(None)), ("1/4=12345", Tempo(None)), ("", Tempo(None)),
    ],
)  # fmt: skip
def test_tempos_of_abc(text: str, tempo: Tempo) -> None:
    """(3.1.8); a number alone counts unit note lengths (10.1)."""
    assert read_tempo(text, Fraction(1, 2)) == tempo


def test_orders_of_parts_in_abc() -> None:
    """(3.1.9)"""
    orders = {"AABA": "AABA", "A2B": "AAB", "A.B.A": "ABA", "(AB)3C": "ABABABC", "A1": "A"}
    orders |= {"((AB)2C)2": "ABABCABABC", "a B": "aB", "A200": "A" * 200}
    assert {text: "".join(read_order(text) or ()) for text in orders} == orders
    wrong = (
        "",
        "2A",
        "(AB",
        "AB)",
        "A-B",
        "A0",
        "A202",
        "A2" + "B" * 200,
        "A3 2",
        "(2)",
        "(" * 201,
    )
    assert [read_order(text) for text in wrong] == [None] * len(wrong)


def test_letters_with_accents_in_abc() -> None:
    r"""(8.2): mnemonics, entities, `\u` with four digits."""
    letters = {
        r"\`a": "à", r"\'e": "é", r"\^o": "ô", r"\~n": "ñ", r"\"u": "ü", r"\ua": "ă", r"\vs": "š",
        r"\cc": "ç", r"\,c": "ç", r"\aa": "å", r"\=o": "ō", r"\ss": "ß", r"\AE": "Æ", r"\ae": "æ",
        r"\OE": "Œ", r"\oe": "œ", r"\/O": "Ø", r"\/o": "ø", r"\%": "%", r"\&": "&", r"\\": "\\",
        "&eacute;": "é", r"\u0144": "ń", r"a\ud800b": "a b", r"a\u001fb": "a b", r"\u0020x": "x",
        "  two   words ": "two words",
    }  # fmt: skip
    assert {text: plain_text(text) for text in letters} == letters
