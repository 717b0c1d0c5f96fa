"""Nothing that is read as MusicXML raises anything but `SheetError`."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from midneck.grammar.errors import SheetError
from midneck.grammar.form.unfold import unfold
from midneck.grammar.musicxml import read_musicxml
from support.examples import share
from support.musicxml_scores import (
    BUSY,
    PACKED,
    QUARTER,
    WHOLE_REST,
    attributes,
    barline,
    degree,
    direction,
    harmony,
    key,
    score,
    time,
)

pytestmark = pytest.mark.slow

PIECES = st.sampled_from(
    [
        harmony(), harmony("F", "other", degree(4, 0, "add")), harmony("A", "none"), QUARTER,
        WHOLE_REST, barline("left", '<repeat direction="forward"/>'),
        barline("right", '<repeat direction="backward"/>'),
        barline("left", '<ending number="1" type="start"/>'),
        barline("right", '<ending number="1, 2" type="stop"/>'),
        barline("left", '<ending number="2" type="start"/>'),
        direction("<words>D.S. al Coda</words>"), direction("<segno/>"), direction("<coda/>"),
        direction("<words>Fine</words>"), '<sound dacapo="yes"/>', '<sound coda="c"/>',
        "<backup><duration>3</duration></backup>", "<forward><duration>5</duration></forward>",
        attributes(time(3, 8)), attributes(key(4, "")), attributes("<divisions>3</divisions>"),
        attributes("<time><senza-misura/></time>"),
        attributes('<measure-style><measure-repeat type="start">2</measure-repeat>'
                   "</measure-style>"),
        attributes("<measure-style><multiple-rest>2</multiple-rest></measure-style>"),
        attributes("<transpose><chromatic>-9</chromatic></transpose>"),
        direction("<rehearsal>Q</rehearsal>"),
    ]
)  # fmt: skip


def survives(data: bytes) -> None:
    try:
        sheet = read_musicxml(data, "fuzz")
    except SheetError:
        return
    assert unfold(sheet).bars
    for bar in sheet.bars:
        ends = [said.start + said.beats for said in bar.chords]
        assert all(said.beats > 0 for said in bar.chords)
        assert [said.start for said in bar.chords] == [0, *ends[:-1]][: len(ends)]
        assert not ends or ends[-1] <= bar.meter.beats


@given(st.binary(max_size=300))
@share(0.6)
def test_random_bytes(data: bytes) -> None:
    survives(data)
    survives(b"PK\x03\x04" + data)
    survives(b"<score-partwise>" + data)


@given(st.data())
@share(1.5)
def test_mutated_scores(data: st.DataObject) -> None:
    mutated = bytearray(data.draw(st.sampled_from([BUSY, PACKED])))
    for _ in range(data.draw(st.integers(1, 6))):
        at = data.draw(st.integers(0, len(mutated) - 1))
        size = data.draw(st.integers(0, 12))
        mutated[at : at + size] = data.draw(st.binary(max_size=6))
        if not mutated:
            mutated += b"<"
    survives(bytes(mutated))


@given(st.lists(st.lists(PIECES, max_size=6).map("".join), min_size=1, max_size=8), st.booleans())
@share(2.5)
def test_scores_of_random_pieces(measures: list[str], short: bool) -> None:
    survives(score(*measures, said={1: 'implicit="yes"'} if short else {}))


@given(st.text(alphabet="0123456789.+-eE, x#b♭", max_size=8), st.sampled_from(
    ["<divisions>2", "<duration>2", "<beats>4", "<beat-type>4", "<fifths>0", "<degree-value>9",
     "<degree-alter>-1", "<inversion>1", "<offset>-1", 'number="1"', 'times="2"', 'tempo="120"',
     "<numeral-root>5", "<multiple-rest>2", "<function>II"]
))  # fmt: skip
@share(1.5)
def test_odd_numbers(text: str, where: str) -> None:
    plain = BUSY.decode()
    assert where in plain
    stem = where.rstrip('0123456789-I"')
    quote = '"' if where.endswith('"') else ""
    survives(plain.replace(where, stem + quote + text + quote).encode())
