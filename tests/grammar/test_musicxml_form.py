"""The form in MusicXML: repeats, endings, signs, jumps, pickups, meters, keys, sections, header.

Expected values follow MusicXML 4.0 (W3C Community Group Final Report, 2021), elements `repeat`,
`ending`, `sound`, `measure`, `measure-style`, and common practice on paper (no source) where
words are read.
"""

from __future__ import annotations

import pytest
from midneck.grammar.errors import SheetError
from midneck.grammar.form.unfold import unfold
from midneck.grammar.limits import MAX_TIMES
from midneck.grammar.musicxml import read_musicxml
from midneck.grammar.sheet import Jump, Meter, Sheet
from midneck.grammar.text.reader import read_sheet
from midneck.grammar.text.writer import write_sheet
from support.musicxml_scores import (
    QUARTER,
    WHOLE_REST,
    attributes,
    barline,
    direction,
    harmony,
    key,
    score,
    time,
)

BAR = harmony() + WHOLE_REST
OPEN = barline("left", '<repeat direction="forward"/>')
CLOSE = barline("right", '<repeat direction="backward"/>')


def ending(number: str, type_: str) -> str:
    return f'<ending number="{number}" type="{type_}"/>'


def played(*measures: str) -> tuple[int, ...]:
    """The written bar numbers in played order."""
    sheet = read_musicxml(score(*measures))
    return tuple(sheet.bars[at].number for at in unfold(sheet).bars)


def test_a_plain_repeat() -> None:
    assert played(BAR, OPEN + BAR, BAR + CLOSE, BAR) == (1, 2, 3, 2, 3, 4)


def test_a_repeat_with_a_count() -> None:
    thrice = barline("right", '<repeat direction="backward" times="3"/>')
    assert played(OPEN + BAR + thrice, BAR) == (1, 1, 1, 2)


def test_scores_repeat_as_often_as_sheets_and_no_oftener() -> None:
    (bar,) = read_sheet(f"|: C :|{MAX_TIMES}x").bars
    most = f'<repeat direction="backward" times="{bar.repeat_close}"/>'
    assert played(OPEN + BAR + barline("right", most)) == (1,) * MAX_TIMES
    more = f'<repeat direction="backward" times="{MAX_TIMES + 1}"/>'
    with pytest.raises(SheetError, match=f"1 to {MAX_TIMES} times, not '{MAX_TIMES + 1}'"):
        played(OPEN + BAR + barline("right", more))


def test_a_count_of_one_is_no_repeat() -> None:
    once = barline("right", '<repeat direction="backward" times="1"/>')
    assert played(OPEN + BAR + once, BAR) == (1, 2)


@pytest.mark.parametrize("number", ["1,2", "1, 2", "1-2"])
def test_an_ending_for_two_passes(number: str) -> None:
    first = barline("left", ending(number, "start")) + BAR
    first += barline("right", ending(number, "stop") + '<repeat direction="backward"/>')
    last = (
        barline("left", ending("3", "start")) + BAR + barline("right", ending("3", "discontinue"))
    )
    sheet = read_musicxml(score(OPEN + BAR, first, last, BAR))
    assert [bar.endings for bar in sheet.bars] == [(), (1, 2), (3,), ()]
    assert [bar.ending_close for bar in sheet.bars] == [False, True, True, False]
    assert [bar.repeat_close for bar in sheet.bars] == [0, 3, 0, 0]
    assert played(OPEN + BAR, first, last, BAR) == (1, 2, 1, 2, 1, 3, 4)


def test_the_last_ending_ends_where_it_is_drawn_to_end() -> None:
    first = barline("left", ending("1", "start")) + BAR
    first += barline("right", ending("1", "stop") + '<repeat direction="backward"/>')
    second = barline("left", ending("2", "start")) + BAR + barline("right", ending("2", "stop"))
    assert played(OPEN + BAR, first, second, BAR, BAR + CLOSE, BAR) == (1, 2, 1, 3, 4, 5, 4, 5, 6)


def test_an_ending_without_a_number_is_the_next_pass() -> None:
    first = barline("left", ending("", "start")) + BAR
    first += barline("right", ending("", "stop") + '<repeat direction="backward"/>')
    second = barline("left", ending("", "start")) + BAR + barline("right", ending("", "stop"))
    assert played(OPEN + BAR, first, second) == (1, 2, 1, 3)


def test_a_first_ending_alone_makes_the_next_bar_the_second() -> None:
    first = barline("left", ending("1", "start")) + BAR
    first += barline("right", ending("1", "stop") + '<repeat direction="backward"/>')
    sheet = read_musicxml(score(OPEN + BAR, first, BAR, BAR))
    assert sheet.bars[2].endings == (2,)
    assert "bar 3: no bracket follows ending 1; this bar is read as ending 2" in sheet.warnings
    assert played(OPEN + BAR, first, BAR, BAR) == (1, 2, 1, 3, 4)


def test_the_chord_after_another_ending_is_the_one_heard_before_it() -> None:
    first = barline("left", ending("1", "start")) + harmony("F") + WHOLE_REST
    first += barline("right", ending("1", "stop") + '<repeat direction="backward"/>')
    second = (
        barline("left", ending("2", "start")) + WHOLE_REST + barline("right", ending("2", "stop"))
    )
    sheet = read_musicxml(score(OPEN + harmony("D") + WHOLE_REST, first, second))
    assert [str(said.chord.root) for said in sheet.chords if said.chord] == ["D", "F", "D"]


def test_a_repeat_that_is_never_closed_is_left_out_and_said() -> None:
    sheet = read_musicxml(score(BAR, OPEN + BAR))
    assert not sheet.bars[1].repeat_open
    assert "bar 2: a repeat opens here and is never closed; it is left out" in sheet.warnings


def test_nested_repeats_are_refused_with_their_place() -> None:
    with pytest.raises(SheetError, match="a repeat inside a repeat"):
        read_musicxml(score(OPEN + BAR, OPEN + BAR + CLOSE, BAR + CLOSE))


@pytest.mark.parametrize(
    ("words", "jump"),
    [
        ("D.C.", Jump("capo", "end")),
        ("Da Capo", Jump("capo", "end")),
        ("DC al Fine", Jump("capo", "fine")),
        ("D.C. al Coda", Jump("capo", "coda")),
        ("D. S. al Coda", Jump("segno", "coda")),
        ("D.S. al Fine", Jump("segno", "fine")),
        ("Dal Segno al Fine", Jump("segno", "fine")),
        ("D.S. al ⊕", Jump("segno", "coda")),
    ],
)
def test_words_of_jumps(words: str, jump: Jump) -> None:
    signs = {"fine": direction("<words>Fine</words>"), "coda": direction("<words>To Coda</words>")}
    target = direction("<coda/>") if jump.until == "coda" else ""
    sheet = read_musicxml(
        score(
            direction("<segno/>") + BAR,
            BAR + signs.get(jump.until, ""),
            BAR + direction(f"<words>{words}</words>"),
            *([target + BAR] if target else []),
        )
    )
    expected = jump if jump.until != "end" else Jump(jump.to, "end")
    assert sheet.bars[2].jump == expected
    assert sheet.bars[0].segno
    assert sheet.bars[1].fine == (jump.until == "fine")
    assert sheet.bars[1].to_coda == (jump.until == "coda")
    assert not sheet.sections[0].text


@pytest.mark.parametrize("with_words", [True, False])
def test_sounds_of_jumps(with_words: bool) -> None:
    def said(words: str, sound: str) -> str:
        return direction(f"<words>{words}</words>", sound) if with_words else sound

    measures = (
        BAR,
        said("Segno", '<sound segno="s"/>') + BAR,
        BAR + said("To Coda", '<sound tocoda="c"/>'),
        BAR + said("D.S. al Coda", '<sound dalsegno="s"/>'),
        said("Coda", '<sound coda="c"/>') + BAR,
    )
    sheet = read_musicxml(score(*measures))
    assert [bar.segno for bar in sheet.bars] == [False, True, False, False, False]
    assert sheet.bars[3].jump == Jump("segno", "coda")
    assert [bar.coda for bar in sheet.bars] == [False] * 4 + [True]
    assert played(*measures) == (1, 2, 3, 4, 2, 3, 5)


@pytest.mark.parametrize("sign", ["segno", "coda"])
def test_a_sign_at_the_end_of_a_measure_is_over_the_next_bar(sign: str) -> None:
    """Programs hang it on the bar line, which is drawn with the measure before."""
    words = {"segno": "D.S.", "coda": "D.C. al Coda"}[sign]
    leaves = direction("<words>To Coda</words>") if sign == "coda" else ""
    measures = (BAR + leaves, BAR, BAR + direction(f"<words>{words}</words>"))
    at_end = (*measures[:1], measures[1] + direction(f"<{sign}/>"), measures[2], BAR)
    if sign == "coda":
        at_end = (*measures[:2], measures[2] + direction("<coda/>"), BAR)
    bars = read_musicxml(score(*at_end)).bars
    marked = [bar.segno if sign == "segno" else bar.coda for bar in bars]
    assert marked == [at == (2 if sign == "segno" else 3) for at in range(4)]


def test_dacapo_and_fine_from_sounds() -> None:
    measures = (BAR, BAR + '<sound fine="yes"/>', BAR + '<sound dacapo="yes"/>')
    assert read_musicxml(score(*measures)).bars[2].jump == Jump("capo", "fine")
    assert played(*measures) == (1, 2, 3, 1, 2)


def test_two_coda_signs_are_where_one_leaves_and_where_one_lands() -> None:
    sign = direction("<coda/>")
    measures = (BAR + sign, BAR + direction("<words>D.C. al Coda</words>"), sign + BAR)
    assert played(*measures) == (1, 2, 1, 3)


def test_a_jump_to_nowhere_is_refused() -> None:
    with pytest.raises(SheetError, match="no Segno"):
        read_musicxml(score(BAR, BAR + direction("<words>D.S.</words>")))


def test_a_short_first_measure_is_a_pickup() -> None:
    sheet = read_musicxml(score(harmony("G") + QUARTER, BAR, said={1: 'implicit="yes"'}))
    assert [(bar.number, bar.pickup) for bar in sheet.bars] == [(0, True), (1, False)]
    assert sheet.chords[0].beats == 1


def test_a_bar_that_a_repeat_divides_keeps_its_length() -> None:
    sheet = read_musicxml(
        score(OPEN + BAR, QUARTER * 3 + CLOSE, OPEN + QUARTER, BAR, BAR + CLOSE, BAR)
    )
    assert [str(bar.meter) for bar in sheet.bars] == ["4/4", "3/4", "1/4", "4/4", "4/4", "4/4"]


def test_a_careless_short_bar_is_a_whole_one() -> None:
    sheet = read_musicxml(score(BAR, harmony() + QUARTER, BAR))
    assert [str(bar.meter) for bar in sheet.bars] == ["4/4"] * 3


def test_time_that_is_only_skipped_makes_no_bar_longer() -> None:
    skipped = "<backup><duration>8</duration></backup><forward><duration>9</duration></forward>"
    sheet = read_musicxml(score(BAR, BAR + skipped, "<forward><duration>8</duration></forward>"))
    assert [str(bar.meter) for bar in sheet.bars] == ["4/4"] * 3


def test_an_overfull_bar_is_said_to_be_one() -> None:
    sheet = read_musicxml(score(BAR, harmony() + QUARTER * 5, BAR))
    assert str(sheet.bars[1].meter) == "5/4"
    assert any(warning.startswith("bar 2: its length does not fit") for warning in sheet.warnings)


@pytest.mark.parametrize(
    ("said", "meter"),
    [
        (time(3, 4), Meter(3, 4)),
        (time("3+2", 8), Meter(5, 8)),
        (time(2, 2, "cut"), Meter(2, 2, cut=True)),
        (time(4, 4, "common"), Meter(4, 4)),
        ("<time><beats>3</beats><beat-type>8</beat-type><beats>2</beats><beat-type>4</beat-type>"
         "</time>", Meter(7, 8)),
    ],
)  # fmt: skip
def test_meters(said: str, meter: Meter) -> None:
    sheet = read_musicxml(score(harmony(), attributes(said) + harmony()))
    assert [bar.meter for bar in sheet.bars] == [Meter(4, 4), meter]


def test_repeated_bars_and_long_rests() -> None:
    def style(inside: str) -> str:
        return attributes(f"<measure-style>{inside}</measure-style>")

    again = '<measure-repeat type="start">{}</measure-repeat>'
    rest = '<note><rest measure="yes"/><duration>8</duration></note>'
    stop = '<measure-repeat type="stop"/>'
    sheet: Sheet = read_musicxml(
        score(
            BAR,
            style(again.format(1)) + WHOLE_REST,
            style(stop) + harmony("F") + WHOLE_REST,
            style(again.format(2)) + WHOLE_REST,
            WHOLE_REST,
            style(stop) + style("<multiple-rest>3</multiple-rest>") + rest,
            rest,
            rest,
            BAR,
        )
    )  # fmt: skip
    assert [bar.simile for bar in sheet.bars] == [0, 1, 0, 2, 2, 0, 0]
    assert [bar.rest_bars for bar in sheet.bars] == [0, 0, 0, 0, 0, 3, 0]
    assert [len(bar.chords) for bar in sheet.bars] == [1, 0, 1, 0, 0, 0, 1]


def test_a_first_bar_of_another_length_can_be_written_and_read_again() -> None:
    """A fuzz run found a first bar with too many beats, and no section to set its meter apart."""
    long = "<note><rest/><duration>21</duration></note>"
    first = attributes("<divisions>4</divisions>") + harmony() + long
    sheet = read_musicxml(score(first, WHOLE_REST))
    assert [str(bar.meter) for bar in sheet.bars] == ["21/16", "4/4"]
    written = write_sheet(sheet)
    assert [bar.meter for bar in read_sheet(written).bars] == [bar.meter for bar in sheet.bars]
    assert write_sheet(read_sheet(written)) == written


@pytest.mark.parametrize(("beats", "unit"), [(42, 4), (5, 32), (45, 64)])
def test_meters_that_only_scores_have_are_written_and_read_again(beats: int, unit: int) -> None:
    first = attributes(f"<divisions>16</divisions>{time(beats, unit)}")
    sheet = read_musicxml(score(first + harmony() + WHOLE_REST))
    assert read_sheet(write_sheet(sheet)).bars[0].meter == Meter(beats, unit)


REST = '<note><rest measure="yes"/><duration>8</duration></note>'
REST_OF_THREE = attributes("<measure-style><multiple-rest>3</multiple-rest></measure-style>")


@pytest.mark.parametrize(
    "inside",
    [
        attributes(key(2)), attributes(time(3)), direction("<rehearsal>B</rehearsal>"),
        direction("<segno/>"), direction("<coda/>"),
        direction("<words>Fine</words>"), barline("left", '<repeat direction="forward"/>'),
        barline("right", '<repeat direction="backward"/>'),
        barline("right", "<bar-style>light-light</bar-style>"), harmony("G"),
    ],
    ids=["key", "meter", "letter", "segno", "coda", "fine", "opens", "closes", "double", "chord"],
)  # fmt: skip
def test_what_stands_inside_a_rest_of_several_bars_is_kept(inside: str) -> None:
    """Bars that carry a sign of their own cannot be drawn as one bar."""
    rest = REST if "<beats>3" not in inside else REST.replace(">8<", ">6<")
    sheet = read_musicxml(score(BAR, REST_OF_THREE + REST, inside + rest, REST, BAR))
    assert [bar.rest_bars for bar in sheet.bars] == [0] * 5


def test_a_key_and_a_letter_at_the_beginning_of_a_rest_of_several_bars_are_read() -> None:
    first = attributes(key(2)) + direction("<rehearsal>B</rehearsal>") + REST_OF_THREE
    sheet = read_musicxml(score(BAR, first + REST, REST, REST, BAR))
    assert [bar.rest_bars for bar in sheet.bars] == [0, 3, 0]
    assert [(section.label, str(section.key)) for section in sheet.sections][1] == ("B", "D major")


def test_a_chord_under_a_sign_that_repeats_bars_is_read() -> None:
    again = attributes('<measure-style><measure-repeat type="start">1</measure-repeat>'
                       "</measure-style>")  # fmt: skip
    sheet = read_musicxml(score(BAR, again + WHOLE_REST, harmony("G") + WHOLE_REST, WHOLE_REST))
    assert [bar.simile for bar in sheet.bars] == [0, 1, 0, 1]
    assert [len(bar.chords) for bar in sheet.bars] == [1, 0, 1, 0]
