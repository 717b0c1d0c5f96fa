"""What musicians type, and the sheet that it is read as."""

from __future__ import annotations

from fractions import Fraction

import pytest
from midneck.grammar.errors import SheetError, SourcePosition
from midneck.grammar.key import Key
from midneck.grammar.pitch import PitchName
from midneck.grammar.sheet import Bar, Jump, Meter
from midneck.grammar.text.reader import read_sheet
from midneck.grammar.text.writer import write_sheet
from support.sheets import without_places


def bars_of(text: str) -> tuple[Bar, ...]:
    return read_sheet(text).bars


def test_the_header_in_any_case_and_spacing() -> None:
    sheet = read_sheet("TITLE :  Night Ferry\nby: R. C.\nkey:Bb\nTime: 6/8\nTempo: ♩ = 96\n| C |")
    header = sheet.header
    assert (header.title, header.by, header.tempo) == ("Night Ferry", "R. C.", 96)
    assert (header.key, header.meter) == (Key(PitchName("B", -1)), Meter(6, 8))


def test_a_bracket_in_eighths_shares_no_finer_than_an_eighth() -> None:
    """In 6/8 the bracket has three beats: one for each of three chords, less for four."""
    with pytest.raises(SheetError, match="do not share the 6 beats"):
        bars_of("Time: 6/8\n| C6 (Dm7 G7 C7 F7) |")
    (bar,) = bars_of("Time: 6/8\n| C6 (Dm7 G7 C7) |")
    assert [chord.beats for chord in bar.chords] == [3, 1, 1, 1]


def test_a_key_in_full_width_signs() -> None:
    assert read_sheet("Key：Ｆ＃\n| C |").header.key == Key(PitchName("F", 1))
    (_, later) = read_sheet("| C |\nKey: Ｅ♭－\n| C |").sections
    assert later.key == Key(PitchName("E", -1), "minor")


def test_a_tune_may_be_called_again() -> None:
    sheet = read_sheet("Title: Again\nBy: Again\n| C |")
    assert (sheet.header.title, sheet.header.by) == ("Again", "Again")
    assert read_sheet(write_sheet(sheet)).header == sheet.header


@pytest.mark.parametrize(
    ("text", "meter"),
    [
        ("4/4", Meter(4, 4)), ("C", Meter(4, 4)), ("C|", Meter(2, 2, cut=True)),
        ("cut", Meter(2, 2, cut=True)), ("2/2", Meter(2, 2)), ("12/8", Meter(12, 8)),
        ("7 / 4", Meter(7, 4)), ("C |", Meter(2, 2, cut=True)), ("¢", Meter(2, 2, cut=True)),
        ("６／８", Meter(6, 8)), ("3∕4", Meter(3, 4)), ("Ｃ｜", Meter(2, 2, cut=True)),
    ],
)  # fmt: skip
def test_meters(text: str, meter: Meter) -> None:
    assert bars_of(f"Time: {text}\n| C |")[0].meter == meter


@pytest.mark.parametrize(
    ("name", "near"), [("Titel", "Title"), ("Writer", "By"), ("Tmpo", "Tempo"), ("Groove", "Feel")]
)
def test_unknown_headers_are_kept_and_the_nearest_is_named(name: str, near: str) -> None:
    sheet = read_sheet(f"{name}: something\n| C |")
    assert sheet.header.other == ((name, "something"),)
    assert f"'{name}'" in sheet.warnings[0]
    assert sheet.warnings[0].endswith(f"did you mean {near}?")


def test_an_unknown_header_like_no_other_lists_the_known() -> None:
    assert "known are Title, By" in read_sheet("Xylograph: 3\n| C |").warnings[0]


# How the chords of a bar share its beats: common practice, no source; the arithmetic is the check.
@pytest.mark.parametrize(
    ("meter", "bar", "beats"),
    [
        ("4/4", "C F", "2 2"), ("4/4", "C F G C", "1 1 1 1"), ("4/4", "C / F G", "2 1 1"),
        ("4/4", "C///", "4"), ("4/4", "C / / F", "3 1"), ("4/4", "C/E / G /", "2 2"),
        ("4/4", "C=1.5 F=5/2", "3/2 5/2"), ("2/4", "C F", "1 1"),
        ("3/4", "C F", "3/2 3/2"), ("3/4", "C F G", "1 1 1"), ("3/4", "C / F", "2 1"),
        ("5/4", "C F", "5/2 5/2"), ("5/4", "C / / F /", "3 2"), ("6/8", "C F", "3 3"),
        ("6/8", "C F G", "2 2 2"), ("6/8", "C / / / F /", "4 2"), ("7/4", "C F", "7/2 7/2"),
        ("7/4", "C / / / F / /", "4 3"), ("12/8", "C F G C", "3 3 3 3"),
        ("12/8", "C / F G", "6 3 3"),
        ("C|", "C F", "1 1"), ("C|", "C F G C", "1/2 1/2 1/2 1/2"), ("C|", "C / F G", "1 1/2 1/2"),
        ("2/2", "C /", "2"), ("4/4", "C C C C C C C C", "1/2 1/2 1/2 1/2 1/2 1/2 1/2 1/2"),
    ],
)  # fmt: skip
def test_beats(meter: str, bar: str, beats: str) -> None:
    (read,) = bars_of(f"Time: {meter}\n| {bar} |")
    assert [chord.beats for chord in read.chords] == [Fraction(word) for word in beats.split()]
    starts = [
        sum((c.beats for c in read.chords[:at]), Fraction(0)) for at in range(len(read.chords))
    ]
    assert [chord.start for chord in read.chords] == starts


@pytest.mark.parametrize(("meter", "count"), [("4/4", 3), ("4/4", 5), ("7/8", 2), ("3/4", 4)])
def test_shares_that_nobody_plays_are_refused(meter: str, count: int) -> None:
    with pytest.raises(ValueError, match=r"evenly|chords in a bar"):
        read_sheet(f"Time: {meter}\n| {' '.join('C' * count)} |")


def test_a_slash_first_plays_the_chord_before_again() -> None:
    bars = bars_of("| C F | / / G7 / | / / / / |")
    assert [[(c.text, c.beats) for c in bar.chords] for bar in bars[1:]] == [
        [("F", 2), ("G7", 2)], [("G7", 4)],
    ]  # fmt: skip


def test_places_are_lines_and_columns_from_one() -> None:
    sheet = read_sheet("Title: Hush\n\nA:\n|: C6 | Dm7 G7 :|\n")
    assert sheet.sections[0].position == SourcePosition(3, 1)
    assert [chord.position for chord in sheet.chords] == [
        SourcePosition(4, 4),
        SourcePosition(4, 9),
        SourcePosition(4, 13),
    ]
    assert sheet.bars[0].position == SourcePosition(4, 1)


@pytest.mark.parametrize(
    ("line", "passes"),
    [
        ("|: C |1. F :|2. G ||", [(1,), (2,)]),
        ("|: C |1,2. F :|3. G ||", [(1, 2), (3,)]),
        ("|: C |1.2. F :|3. G ||", [(1, 2), (3,)]),
        ("|: C |1-3. F :|4. G ||", [(1, 2, 3), (4,)]),
        ("|: C | 1, 2. F :| 3. G ||", [(1, 2), (3,)]),
        ("|: C |1 F :|2 G ||", [(1,), (2,)]),
        ("|: C |[1. F :|[2. G ||", [(1,), (2,)]),
        ("|: C |1,3. F :|2. A :|4. G ||", [(1, 3), (2,), (4,)]),
    ],
)
def test_endings(line: str, passes: list[tuple[int, ...]]) -> None:
    bars = bars_of(line)
    assert [bar.endings for bar in bars if bar.endings] == passes
    assert all(bar.ending_close for bar in bars if bar.endings)
    times = max(number for group in passes for number in group)
    assert [bar.repeat_close for bar in bars[1:]] == [times] * (len(passes) - 1) + [0]


@pytest.mark.parametrize("close", [":|3x", ":|x3", ":| 3x", ":|(3x)", ":||3×", ":|3x|", ":|3x ||"])
def test_repeat_counts(close: str) -> None:
    assert [bar.repeat_close for bar in bars_of(f"|: C | F {close}")] == [0, 3]


@pytest.mark.parametrize(
    "line", ["|: C :|: F :|", "||: C :||: F :||", "|: C :| |: F :|", "𝄆 C 𝄇 𝄆 F 𝄇"]
)
def test_repeats_side_by_side(line: str) -> None:
    assert [(bar.repeat_open, bar.repeat_close) for bar in bars_of(line)] == [(True, 2)] * 2


def test_signs_and_jumps_where_they_stand() -> None:
    text = "| C | Segno F | G To Coda | Am D.S. al Coda ||\nCoda\n| C6 Fine |"
    bars = bars_of(text)
    assert [bar.segno for bar in bars] == [False, True, False, False, False]
    assert [bar.to_coda for bar in bars] == [False, False, True, False, False]
    assert bars[3].jump == Jump("segno", "coda")
    assert (bars[4].coda, bars[4].fine) == (True, True)


@pytest.mark.parametrize(
    ("words", "jump"),
    [
        ("D.C.", Jump("capo", "end")), ("D.C. al Fine", Jump("capo", "fine")),
        ("DC al fine", Jump("capo", "fine")), ("da capo al Fine", Jump("capo", "fine")),
        ("d.c. AL FINE", Jump("capo", "fine")),
    ],
)  # fmt: skip
def test_jumps_are_read_as_they_are_said(words: str, jump: Jump) -> None:
    for text in (f"| C Fine | F {words} |", f"| C Fine | F | {words}", f"| C Fine | F |\n{words}"):
        assert bars_of(text)[1].jump == jump


def test_a_section_named_coda_carries_the_sign() -> None:
    bars = bars_of("A:\n| C To Coda | F D.C. al Coda |\nCoda:\n| G |")
    assert [bar.coda for bar in bars] == [False, False, True]


def test_similes_and_rests_hold_no_chords() -> None:
    bars = bars_of("| C | F | %% | % |-4-| -- 2 -- |")
    assert [bar.simile for bar in bars] == [0, 0, 2, 2, 1, 0, 0]
    assert [bar.rest_bars for bar in bars] == [0, 0, 0, 0, 0, 4, 2]
    assert all(not bar.chords for bar in bars[2:])


def test_pickup_push_hold_and_pin() -> None:
    bars = bars_of("| G7 / (pickup) | C6(push) F<1 x 1 2 x x> | G7(hold) |")
    assert [bar.number for bar in bars] == [0, 1, 2]
    assert (bars[0].pickup, bars[0].chords[0].beats) == (True, 2)
    assert bars[1].chords[0].push
    assert bars[1].chords[1].pin == (1, None, 1, 2, None, None)
    assert bars[2].chords[0].hold


@pytest.mark.parametrize(
    ("pin", "fingers"),
    [
        ("10 x 10 10 x x: 2 - 3 3 - -", (2, None, 3, 3, None, None)),
        ("10 x 10 10 x x : 2 x 3 4 x x", (2, None, 3, 4, None, None)),
        ("x,0,2,2,1,0:-,-,2,3,1,-", (None, None, 2, 3, 1, None)),
        ("10 x 10 10 x x", None),
    ],
)
def test_a_pin_may_name_its_fingers(pin: str, fingers) -> None:
    (bar,) = bars_of(f"| Dm7<{pin}> |")
    assert bar.chords[0].fingers == fingers
    assert bar.chords[0].pin is not None


def test_a_slash_that_plays_a_chord_again_keeps_its_fingers() -> None:
    bars = bars_of("| Dm7<10 x 10 10 x x: 2 - 3 4 - -> | / G7 |")
    assert bars[1].chords[0].fingers == (2, None, 3, 4, None, None)


@pytest.mark.parametrize("text", ["N.C.", "NC", "n.c.", "N.C", "N. C."])
def test_silence(text: str) -> None:
    (bar,) = bars_of(f"| {text} |")
    assert bar.chords[0].chord is None


def test_a_section_is_played_again_by_its_name() -> None:
    text = "A:\n| C | F |\nB:\n| G |\n"
    for again in ("A: again\n", "a : AGAIN\n", "A:\n"):
        sections = read_sheet(text + again).sections
        assert (sections[2].recalls, sections[2].count) == (0, 0)


def test_the_same_label_with_bars_is_a_section_of_its_own() -> None:
    sections = read_sheet("A:\n| C |\nA:\n| F | G |\nA: again\n").sections
    assert [section.recalls for section in sections] == [None, None, 1]


def test_a_key_is_stated_for_a_section_or_from_a_bar_on() -> None:
    sheet = read_sheet("Key: C\nA:\nKey: Eb\n| Eb |\nKey: Am\n| Am | E7 |\nKey: F\nB:\n| F |")
    stated = [(section.label, str(section.key), section.count) for section in sheet.sections]
    assert stated == [("A", "Eb major", 1), ("", "A minor", 2), ("B", "F major", 1)]
    assert str(sheet.header.key) == "C major"


def test_words_for_the_player() -> None:
    sheet = read_sheet('"all of it softly"\nA:\n| C |\n“last time only”\n| F |')
    assert sheet.sections[0].text == ("all of it softly", "last time only")


def test_words_for_the_player_may_stand_above_the_header() -> None:
    sheet = read_sheet('"softly"\nKey: F\nTime: 3/4\n| F | % |')
    assert (str(sheet.header.key), sheet.header.meter) == ("F major", Meter(3, 4))
    assert (sheet.sections[0].text, sheet.sections[0].key) == (("softly",), None)
    assert without_places(read_sheet(write_sheet(sheet))) == without_places(sheet)


def test_bar_lines_alone_make_no_section() -> None:
    text = "A:\n| C |\nA: again\n"
    assert without_places(read_sheet(f"||\n{text}||\n")) == without_places(read_sheet(text))
    remark = read_sheet("A:\n| C |\n# again\n|\nA:\n")
    assert without_places(read_sheet(write_sheet(remark))) == without_places(remark)


def test_labels_in_brackets_and_on_the_line_of_their_bars() -> None:
    sheet = read_sheet("[A]\n| C |\nBridge: F | G |\n")
    assert without_places(sheet) == without_places(read_sheet("[A]\n| C |\nBridge: | F | G |\n"))
    assert [chord.position for chord in sheet.chords[1:]] == [
        SourcePosition(3, 9),
        SourcePosition(3, 13),
    ]
    assert [(section.label, section.count) for section in sheet.sections] == [
        ("A", 1),
        ("Bridge", 2),
    ]


CLEAN = 'Title: Ferry\nA:\n"softly"\n|: Bbm7 | Eb7 | Ab6 | % |\n| C7 / / F7 | Bb/D :|\n'
MESSY = [
    "\ufeff" + CLEAN,
    CLEAN.replace("\n", "\r\n"),
    CLEAN.replace("\n", "\r"),
    CLEAN.replace(" |", "\t|").replace("| ", "|\u00a0"),
    CLEAN.replace("|", "｜").replace(":", "：").replace("/", "／").replace("%", "％"),
    CLEAN.replace('"', "”"),
    CLEAN.replace("Bb", "B♭").replace("Eb", "E♭").replace("Ab", "A♭"),
    CLEAN.replace(" | ", "|").replace("|: ", "|:"),
    CLEAN.replace("\n", "   \n\n").replace("|", "  |  ").replace("  |  :", "|:"),
    CLEAN.replace("7", "⁷").replace("6", "⁶"),
    CLEAN.replace("|", "│"),
    CLEAN.replace("\n", "\n\u200b\n\u2003\n"),
]


@pytest.mark.parametrize("text", MESSY, ids=range(len(MESSY)))
def test_messy_typing_reads_as_clean_typing(text: str) -> None:
    assert without_places(read_sheet(text), False) == without_places(read_sheet(CLEAN), False)
    assert write_sheet(read_sheet(text)) == write_sheet(read_sheet(CLEAN))


@pytest.mark.parametrize(
    ("bars", "carried"),
    [
        ("| C | / / F / |", "C"),
        ("| C F | / / G / |", "F"),
        ("| C | % | / / F / |", "C"),
        ("|: C |1. F :|2. A | / / G / |", "A"),
    ],
)
def test_slashes_at_the_start_of_a_bar_go_on_with_the_chord_before(bars: str, carried: str) -> None:
    first, *_ = read_sheet(bars).bars[-1].chords
    assert (first.symbol, first.beats) == (carried, 2)


@pytest.mark.parametrize(
    "bars", ["| C | -2- | / / F / |", "|: C |1. F :|2. / / G / |", "|: C |1. F :|2. % | / / G / |"]
)
def test_slashes_after_a_rest_or_at_another_ending_have_no_chord_before(bars: str) -> None:
    """Before another ending another chord is played than stands there."""
    with pytest.raises(SheetError, match="there is no chord before this '/'"):
        read_sheet(bars)


@pytest.mark.parametrize(
    ("bars", "places"),
    [
        ("| C | / % |", [9]), ("| C | % / / / |", [9, 11, 13]), ("| C | -2- / |", [11]),
        ("| C | % F |", [9]), ("| C | F % |", [9]), ("| C | F -2- |", [9]),
    ],
)  # fmt: skip
def test_a_sign_for_whole_bars_stands_alone(bars: str, places: list[int]) -> None:
    with pytest.raises(SheetError) as caught:
        read_sheet(bars)
    assert [each.column for each in caught.value.problems] == places
    assert {each.label for each in caught.value.problems} == {"mixed-bar"}
