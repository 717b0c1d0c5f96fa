"""Canonical text: it says the same as what was typed, and writing it again changes nothing."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from midneck.grammar.sheet import Comment
from midneck.grammar.text.reader import read_sheet
from midneck.grammar.text.writer import reads_back, write_sheet
from support.examples import share
from support.mutants import mutant, odd_sheet
from support.sheets import refused, sheet_texts, without_places
from support.tunes import tune_text

TYPED = """\ufeff# made for a lesson\r
title:\tNight   Ferry\r
Arranger: R. Calloway-Finch
KEY : F
Time:4/4

# the head
A:
"softly, then “louder”"
|:Gm7|C7|F6|D7b9|
|Gm7 |  C7 |1. F6 D7 | Gm7 C7 :|2. F6 | % ||
# the bridge
Key: Bb
| Cm7 / / F7 | Bb6 | N.C. | Dbm7 Gb7<2 x 2 3 x x>(push) ||
A: again
Coda:
Time: C|
| C / F G | C(hold)
# done"""

WRITTEN = """\
# made for a lesson
Title: Night Ferry
Key: F
Time: 4/4
Arranger: R. Calloway-Finch

# the head
A:
"softly, then “louder”"
|:  Gm7 | C7 |   F6    | D7(b9) |
|   Gm7 | C7 |1. F6 D7 | Gm7 C7 :|
|2. F6  | %  ||

# the bridge
Key: Bb
| Cm7 / / F7 | Bb6 | N.C. | Dbm7 Gb7<2 x 2 3 x x>(push) ||

A: again

Coda:
Time: C|
| C / F G | C(hold) |
# done
"""


def test_a_messy_sheet_is_written_in_canonical_form() -> None:
    assert write_sheet(read_sheet(TYPED)) == WRITTEN


def test_canonical_text_stays_as_it_is() -> None:
    assert write_sheet(read_sheet(WRITTEN)) == WRITTEN


def test_comments_know_where_they_stand() -> None:
    comments = read_sheet(TYPED).comments
    assert comments == (
        Comment("# made for a lesson"),
        Comment("# the head", 0, None),
        Comment("# the bridge", 1, None),
        Comment("# done", 3, 16),
    )


@pytest.mark.parametrize("keep", [True, False])
def test_typed_spellings_are_kept_or_made_canonical(keep: bool) -> None:
    text = write_sheet(read_sheet("| C-7 | FΔ | Bb7(b9) | Eø7 |"), keep_spelling=keep)
    last = text.splitlines()[-1]
    assert last == ("| C-7 | FΔ | Bb7(b9) | Eø7 |" if keep else "| Cm7 | Fmaj7 | Bb7(b9) | Em7b5 |")


@pytest.mark.parametrize("seed", range(60))
def test_invented_tunes_survive_being_written(seed: int) -> None:
    sheet = read_sheet(tune_text(seed))
    text = write_sheet(sheet)
    assert without_places(read_sheet(text), False) == without_places(sheet, False)
    assert write_sheet(read_sheet(text)) == text


@pytest.mark.slow
@given(sheet_texts())
@share(0.4)
def test_nothing_is_lost_and_nothing_changes_twice(typed: str) -> None:
    sheet = read_sheet(typed)
    kept, canonical = write_sheet(sheet, keep_spelling=True), write_sheet(sheet)
    assert without_places(read_sheet(kept)) == without_places(sheet)
    assert without_places(read_sheet(canonical), False) == without_places(sheet, False)
    assert write_sheet(read_sheet(canonical)) == canonical
    assert write_sheet(read_sheet(kept), keep_spelling=True) == kept


@pytest.mark.parametrize(
    ("meter", "bar"),
    [
        ("4/4", "C F"), ("4/4", "C / / F"), ("4/4", "C=1.5 F=2.5"), ("4/4", "C=4/3 F=4/3 G=4/3"),
        ("3/4", "C F"), ("3/4", "C / F"), ("5/4", "C / / F /"), ("6/8", "C F"), ("12/8", "C / F G"),
        ("6/8", "C / / / F /"), ("C|", "C / F G"), ("2/2", "C=1/4 F=7/4"), ("7/8", "C / / F / / /"),
        ("2/4", "C F"), ("7/4", "C F"), ("9/8", "C / F"),
    ],
)  # fmt: skip
def test_every_division_of_a_bar_is_written_as_it_reads(meter: str, bar: str) -> None:
    text = f"Time: {meter}\n\n| {bar} |\n"
    sheet = read_sheet(text)
    assert sum(chord.beats for chord in sheet.chords) == sheet.bars[0].meter.beats
    assert without_places(read_sheet(write_sheet(sheet))) == without_places(sheet)
    assert write_sheet(sheet).endswith(f"| {bar} |\n") or "4/3" in bar or "/4 " in bar


def test_a_bar_that_its_chords_do_not_fill_is_written_with_a_meter_of_its_own() -> None:
    sheet = read_sheet("| C | F | G |")
    short = replace(sheet.chords[1], beats=Fraction(5, 2))
    bars = (sheet.bars[0], replace(sheet.bars[1], chords=(short,)), sheet.bars[2])
    text = write_sheet(replace(sheet, bars=bars))
    assert text == "Time: 4/4\n\n| C |\nTime: 5/8\n| F |\nTime: 4/4\n| G |\n"
    assert [chord.beats for chord in read_sheet(text).chords] == [4, 5, 4]


@pytest.mark.parametrize("label", ["Bb/D", "Verse #2", "Solo “A”", "A/"])
def test_labels_keep_their_signs(label: str) -> None:
    sheet = read_sheet(f"{label}:\n| C | F ||\n")
    assert sheet.sections[0].label == label
    assert read_sheet(write_sheet(sheet)).sections[0].label == label


@pytest.mark.parametrize(
    ("typed", "written"),
    [
        ("A:\n| C |\nKey: G\nA: again\n", "A:\n| C |\n\nKey: G\nA: again\n"),
        (
            'A:\n| C |\nKey: G\n"softly"\nA: again\n| D |\n"loud"\n',
            'A:\n| C |\n\nKey: G\nA: again\n"softly"\n\n| D |\n"loud"\n',
        ),
    ],
)
def test_what_stands_around_a_section_played_again_stays_with_it(typed: str, written: str) -> None:
    sheet = read_sheet(typed)
    assert write_sheet(sheet) == f"Time: 4/4\n\n{written}"
    assert reads_back(sheet, written)


def test_another_sheet_is_not_what_was_written() -> None:
    sheet = read_sheet("| C-7 | F |")
    assert reads_back(sheet, "|Cm7|\n|F|")
    assert not reads_back(sheet, "| Cm7 | F ||")
    assert not reads_back(sheet, "| Cm7 |")
    assert not reads_back(sheet, "| Cm7 | H |")


def test_mutants_and_sheets_of_odd_lines_come_back() -> None:
    chance = random.Random(1)
    texts = [tune_text(seed) for seed in range(20)]
    typed = [odd_sheet(chance) for _ in range(60)]
    typed += [mutant(chance, chance.choice([*texts, *typed[:20]])) for _ in range(40)]
    read = [text for text in typed if refused(text) is None]
    assert len(read) > 20
    for text in read:
        sheet = read_sheet(text)
        kept, canonical = write_sheet(sheet, keep_spelling=True), write_sheet(sheet)
        assert without_places(read_sheet(kept)) == without_places(sheet)
        assert reads_back(sheet, canonical)
        assert write_sheet(read_sheet(kept), keep_spelling=True) == kept
        assert write_sheet(read_sheet(canonical)) == canonical
