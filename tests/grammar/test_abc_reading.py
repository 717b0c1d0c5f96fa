"""ABC tunes as sheets: beats of chords, form, parts and header.

The rules are those of The abc music standard 2.1 (December 2011); each test names the section that
it holds. The tunes are ours.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from midneck.grammar.abc import looks_like_abc, read_abc
from midneck.grammar.errors import SheetError
from midneck.grammar.form.unfold import unfold
from midneck.grammar.mistakes import ABC_MISTAKES
from midneck.grammar.sheet import Meter, Sheet
from midneck.grammar.text.reader import read_sheet
from midneck.grammar.text.writer import write_sheet

TUNES = [(label, text) for label, kind in ABC_MISTAKES.items() for text in kind.tunes]


def tune(body: str, *fields: str) -> Sheet:
    head = "\n".join(("X:1", "T:Study", *(fields or ("M:4/4", "L:1/4")), "K:C"))
    return read_abc(f"{head}\n{body}\n", "study.abc")


def beats(sheet: Sheet) -> list[list[tuple[str, Fraction]]]:
    return [[(chord.symbol, chord.beats) for chord in bar.chords] for bar in sheet.bars]


def music(sheet: Sheet) -> list[str]:
    """The lines of music of the sheet's own text."""
    return [line for line in write_sheet(sheet).splitlines() if line.startswith("|")]


def played(sheet: Sheet) -> list[str]:
    form = unfold(sheet)
    return [sheet.bars[bar].chords[0].symbol for bar in form.bars]


@pytest.mark.parametrize(
    ("bar", "expected"),
    [
        ('"Dm7"c2 "G7"B2', (2, 2)),                         # 4.18
        ('"Dm7"c3 "G7"B', (3, 1)),                          # 4.3
        ('"Dm7"c3/2B/ "G7"A//G//F/ E', (2, 2)),             # 4.3: /, // are a half and a quarter
        ('"Dm7"c>B "G7"A<G', (2, 2)),                       # 4.4
        ('"Dm7"c>"G7"B A2', (Fraction(3, 2), Fraction(5, 2))),
        ('"Dm7"c<<"G7"B A2', (Fraction(1, 4), Fraction(15, 4))),
        ('"Dm7"(3c/B/A/ "G7"G3', (1, 3)),                   # 4.13: three in the time of two
        ('"Dm7"(3:2:2c2B "G7"A2', (2, 2)),                  # 4.13: p:q:r
        ('"Dm7"[CEG]2 "G7"[B,2D2]', (2, 2)),                # 4.17: as long as its first note
        ('"Dm7"z2 "G7"x2', (2, 2)),                         # 4.5
        ('"Dm7"{gfe}c2 "G7"{/a}B2', (2, 2)),                # 4.12: grace notes take no time
        ('"Dm7"c2 & z4 & e2 "G7"f2', (2, 2)),               # 7.4: voice overlay
        ('"Dm7"y c-c y2 "G7"(B2)', (2, 2)),                 # 4.11, 6.1.2
        ('"Dm7"!accent!c2 "G7".~B2', (2, 2)),               # 4.14
        ('"Dm7"+trill+c2 "G7"uB2', (2, 2)),                 # 4.14, the outdated signs
        ('"^high""Dm7"c2 "G7""_low"B2', (2, 2)),            # 4.19: annotations are no chords
    ],
)  # fmt: skip
def test_chords_last_as_long_as_their_notes(bar: str, expected: tuple[Fraction, Fraction]) -> None:
    first, _ = beats(tune(f'{bar} |"C"c4|]'))
    assert first == [("Dm7", expected[0]), ("G7", expected[1])]


def test_symbols_without_notes_share_their_bar() -> None:
    sheet = tune('"C"|"Am7" "D7"|"G7"|]')
    assert [[length for _, length in bar] for bar in beats(sheet)] == [[4], [2, 2], [4]]


def test_a_bar_without_a_symbol_goes_on_with_the_chord_before_it() -> None:
    assert music(tune('"Dm7"c4|c4|c2"G7"B2|]')) == ["| Dm7 | Dm7 | Dm7 G7 ||"]


@pytest.mark.parametrize(
    ("body", "bars"),
    [
        ('|:"C"c4|"F"f4:|"G7"g4|]', "C F C F G7"),                          # 4.8
        ('"C"c4|"F"f4:|"G7"g4|]', "C F C F G7"),
        ('"C"c4||"F"f4|"Dm7"d4:|"G7"g4|]', "C F Dm7 F Dm7 G7"),             # from the double bar
        ('"C"c4:|"F"f4:|"G7"g4|]', "C C F F G7"),                           # from the repeat before
        ('"C"c4::"F"f4:|', "C C F F"),
        ('"C"c4:|:"F"f4:|', "C C F F"),
        ('"C"c4:||:"F"f4:|', "C C F F"),
        ('|::"C"c4::|"F"f4|]', "C C C F"),
        ('"C"c4|\n|:"F"f4|\n"G7"g4:|\n', "C F G7 F G7"),                    # a line end between
        ('|:"C"c4|1"F"f4:|2"G7"g4|]', "C F C G7"),                          # 4.9
        ('|:"C"c4|[1"F"f4:|[2"G7"g4||"Am"a4|]', "C F C G7 Am"),
        ('|:"C"c4|[1,2"F"f4:|[3"G7"g4||"Am"a4|]', "C F C F C G7 Am"),       # 4.10
        ('|:"C"c4|[1-3"F"f4:|[4"G7"g4|]', "C F C F C F C G7"),
        ('|:"C"c4|["first""F"f4:|["last""G7"g4|]', "C F C G7"),
        ('"C"c4|"F"f4 !fine!|"G7"g4 !D.C.!|]', "C F G7 C F"),               # 4.14
        ('"C"c4|!segno!"F"f4 !fine!|"G7"g4 !D.S.alfine!|]', "C F G7 F"),
        ('"C"c4|"F"f4 !dacoda!|"G7"g4 "^D.C. al Coda"|!coda!"Am"a4|]', "C F G7 C F Am"),
        ('"C"c4|S"F"f4 "Fine"|"G7"g4|"Am"a4|]\n"D.S. al Fine"', "C F G7 Am F"),
    ],
)  # fmt: skip
def test_repeats_endings_and_jumps_are_played_as_written(body: str, bars: str) -> None:
    assert played(tune(body)) == bars.split()


def test_a_short_first_bar_is_a_pickup() -> None:
    sheet = tune('G|"C"c4|"G7"B3:|]')
    assert [bar.number for bar in sheet.bars] == [0, 1, 2]
    assert sheet.bars[0].pickup
    assert sheet.bars[0].quarters == 1


def test_bars_of_rest_stay_one_rest() -> None:
    assert music(tune('"C"c4|Z3|"F"f4|]')) == ["| C | -3- | F ||"]  # 4.5


def test_parts_are_played_in_their_order() -> None:
    sheet = tune('P:A\n"C"c4|"F"f4|\nP:B\n"G7"g4|]', "P:AABA", "M:4/4", "L:1/4")  # 3.1.9
    assert played(sheet) == ["C", "F", "C", "F", "G7", "C", "F"]
    assert [section.label for section in sheet.sections] == ["A", "A", "B", "A"]


@pytest.mark.parametrize(
    ("order", "bars"),
    [
        ("A2B", "C C G"),
        ("(AB)2", "C G C G"),
        ("A.(AB)2.B", "C C G C G G"),
        ("BA", "G C"),
        ("((AB)2A)2", "C G C G C C G C G C"),
    ],
)
def test_orders_of_parts(order: str, bars: str) -> None:
    sheet = tune('P:A\n"C"c4|\nP:B\n"G"g4|]', f"P:{order}", "M:4/4", "L:1/4")
    assert played(sheet) == bars.split()
    assert read_sheet(write_sheet(sheet)) == sheet or write_sheet(
        read_sheet(write_sheet(sheet))
    ) == (write_sheet(sheet))


def test_a_part_that_is_never_played_is_left_out_and_told() -> None:
    sheet = tune('P:A\n"C"c4|\nP:B\n"G"g4|]', "P:A", "M:4/4", "L:1/4")
    assert played(sheet) == ["C"]
    assert "never played by the order of parts, and left out: B" in sheet.warnings


@pytest.mark.parametrize(
    ("fields", "meter", "length"),
    [
        (("M:3/4",), Meter(3, 4), "c6"),
        (("M:6/8",), Meter(6, 8), "c6"),
        (("M:C",), Meter(4, 4), "c8"),
        (("M:C|",), Meter(2, 2, cut=True), "c8"),
        (("M:2/4",), Meter(2, 4), "c8"),  # below 3/4 the unit is a 16th (3.1.7)
        (("M:(2+2+3)/8",), Meter(7, 8), "c7"),
        (("M:5/4", "L:1/4"), Meter(5, 4), "c5"),
    ],
)
def test_meters_and_unit_lengths(fields: tuple[str, ...], meter: Meter, length: str) -> None:
    sheet = tune(f'"C"{length}|"F"{length}|]', *fields)
    assert sheet.header.meter == meter
    assert all(bar.meter == meter for bar in sheet.bars)
    assert all(bar.quarters == meter.quarters for bar in sheet.bars)


def test_meter_key_and_unit_change_in_the_body() -> None:
    sheet = tune('"C"c4|[M:3/4]"F"f3|\nL:1/8\nM:4/4\nK:Eb\n"Ebmaj7"c8|]')
    assert [bar.meter for bar in sheet.bars] == [Meter(4, 4), Meter(3, 4), Meter(4, 4)]
    assert [str(section.key) for section in sheet.sections] == ["None", "Eb major"]


def test_a_tune_without_a_meter_has_bars_as_long_as_they_are() -> None:
    sheet = tune('"C"c4|"F"f3|"G7"g5|]', "M:none", "L:1/4")
    assert [bar.quarters for bar in sheet.bars] == [4, 3, 5]


@pytest.mark.parametrize(
    ("field", "tempo"),
    [
        ("Q:1/4=132", 132),
        ('Q:"Easy" 1/4=96', 96),
        ("Q:1/2=60", 120),
        ("Q:3/8=60", 90),
        ("Q:1/4 1/8=60", 90),
        ("Q:240", 120),
        ("Q:1/8=200 ", 100),
    ],
)
def test_tempos_count_quarters(field: str, tempo: int) -> None:
    sheet = tune('"C"c8|]', "M:4/4", "L:1/8", field)  # 3.1.8; Q:240 counts eighths (10.1)
    assert sheet.header.tempo == tempo


def test_a_compound_meter_counts_dotted_beats() -> None:
    assert tune('"C"c6|]', "M:6/8", "Q:3/8=60").header.tempo == 60


@pytest.mark.parametrize(
    ("field", "key"),
    [
        ("K:Bb", "Bb major"),
        ("K:F#m", "F# minor"),
        ("K:A min", "A minor"),
        ("K:Gmaj", "G major"),
        ("K:C ionian", "C major"),
        ("K: E aeolian", "E minor"),
        ("K:Bb clef=bass", "Bb major"),
        ("K:none", "None"),
        ("K:", "None"),
        ("K:HP", "None"),
        ("K:clef=alto", "None"),
    ],
)
def test_keys(field: str, key: str) -> None:
    sheet = read_abc(f'X:1\n{field}\n"C"c8|]\n')  # 3.1.14
    assert str(sheet.header.key) == key


def test_title_composer_and_feel() -> None:
    text = 'X:1\nT:Night \\"Oven\nT:Second Name\nC:Zo\\\'e Marlow\nR:bossa nova\nK:C\n"C"c8|]\n'
    header = read_abc(text).header
    assert (header.title, header.by, header.feel) == ("Night Öven", "Zoé Marlow", "bossa nova")


def test_continued_and_commented_lines() -> None:
    text = (
        "%abc-2.1\n%%pagewidth 20cm\nX:1 % one\nT:Long\n+:Title\nM:4/4\nL:1/4\nK:C\n"
        '% a remark\n"C"c4 |\\\n"F"f2 % half\nf2|\nw: la la\n"G7"g4|]\n\nX:2\nK:C\n"Am"a4|]\n'
    )
    sheet = read_abc(text)
    assert sheet.header.title == "Long Title"
    assert played(sheet) == ["C", "F", "G7"]
    assert "the first tune of the file is read; 1 more tune follows it" in sheet.warnings


def test_the_voice_with_the_symbols_is_read() -> None:
    sheet = tune('V:1\nc4|d4|]\nV:2\n"C"c4|"Dm7"d4|]\n[V:1]e4|]')
    assert played(sheet) == ["C", "Dm7"]
    assert "the chord symbols of voice '2' are read, one of 2" in sheet.warnings


def test_the_symbols_are_read_as_in_sheets() -> None:
    sheet = tune(
        '"G-7"g4|"C7alt"c4|"F#m7b5"f4|"Bb^7"b4|"A7(b9)"a4|"N.C."z4|"D/F#"d4|]'.replace("^7", "maj7")
    )
    symbols = ["Gm7", "C7alt", "F#m7b5", "Bbmaj7", "A7(b9)", "N.C.", "D/F#"]
    assert [chord.symbol for chord in sheet.chords] == symbols
    assert sheet.chords[0].text == "G-7"


def test_mistakes_come_all_at_once_with_their_places() -> None:
    with pytest.raises(SheetError) as caught:
        read_abc('X:1\nM:9/5\nK:C\n"Cyes"c4|"F"f4|\n"Gyx7"g4|]\n', "bad.abc")
    places = [(each.label, each.line, each.column) for each in caught.value.problems]
    assert places == [("abc-meter", 2, 3), ("bad-quality", 4, 3), ("bad-quality", 5, 3)]
    assert "bad.abc:4:3: not a quality 'yes'" in str(caught.value)


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ('M:q\n\nX:1\nK:C\n"C"c4|', (1, 3)),
        ('% x\nL:1/4\nM: q\n\nX:1\nK:C\n"C"c4|', (3, 4)),
        ('X:1\nM:  q\nK:C\n"C"c4|', (2, 5)),
        ('X:1\nM:4/4\nK:C\n"C"c4|\nM: q\n"C"c4|', (5, 4)),
        ('X:1\nM:4/4\nK:C\n"C"c4|[M:q]"C"c4|', (4, 7)),
    ],
)
def test_a_wrong_meter_is_told_where_it_stands(text: str, place: tuple[int, int]) -> None:
    with pytest.raises(SheetError) as caught:
        read_abc(text)
    assert [(each.label, each.text) for each in caught.value.problems] == [("abc-meter", "q")]
    assert [(each.line, each.column) for each in caught.value.problems] == [place]


@pytest.mark.parametrize(("label", "text"), TUNES, ids=[label for label, _ in TUNES])
def test_each_example_makes_its_mistake(label: str, text: str) -> None:
    with pytest.raises(SheetError) as caught:
        read_abc(text)
    assert {problem.label for problem in caught.value.problems} == {label}


def test_every_kind_of_mistake_has_an_example() -> None:
    assert all(kind.tunes for kind in ABC_MISTAKES.values())


@pytest.mark.parametrize(
    ("text", "is_abc"),
    [
        ('X:1\nT:A\nK:C\n"C"c4|', True),
        ("%abc-2.1\n\nX: 1\nK: G\n", True),
        ("T:No number\nM:4/4\nL:1/8\nK:C\nabc|", True),
        ("\ufeffX:1\r\nK:C\r\n", True),
        ("Title: X\nKey: C\n\nA:\n| C |\n", False),
        ("K:\n| C |\n", False),
        ("| C | F |", False),
        ("X:\n| C | F |\nY:\n| G |\n", False),
        ("", False),
    ],
)
def test_what_is_taken_for_abc(text: str, is_abc: bool) -> None:
    assert looks_like_abc(text) is is_abc
