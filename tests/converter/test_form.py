"""The played order, bar by bar, as a musician would count it on paper."""

from __future__ import annotations

from dataclasses import replace

import pytest
from midneck.converter.chart import CompingChart
from midneck.converter.practice.choruses import ExcerptError
from midneck.converter.prose.facts import describe_form
from midneck.grammar.bar_names import named_bars
from midneck.grammar.errors import SheetError
from midneck.grammar.form.unfold import unfold, unfold_bars
from midneck.grammar.limits import MAX_PLAYED
from midneck.grammar.sheet import Sheet
from midneck.grammar.text.reader import read_sheet
from midneck.render.page.drawing.items import Group, Open
from midneck.render.page.layout import bars_picture
from support.charts import chart_of
from support.performances import played

CHORDS = ("C", "Dm", "Em", "F", "G", "Am", "Bb")

# Each bar is one letter; the played order is written out by hand. Common practice, no source, with
# the jump conventions of MusicXML 4.0 (element sound, attribute after-jump of repeat).
FORMS = [
    ("| a | b |", "ab"),
    ("|: a | b :| c |", "ababc"),
    ("|: a | b :|3x c |", "abababc"),
    ("|: a |1. b :|2. c | d ||", "abacd"),
    ("|: a |1,2. b :|3. c ||", "ababac"),
    ("|: a |1. b :|2. c :|3. d ||", "abacad"),
    ("|: a |1,3. b :|2. c :|4. d ||", "abacabad"),
    ("| a | b :| c |", "ababc"),
    ("| a :| b | c :| d |", "aabcbcd"),
    ("| a |1. b :|2. c |", "abac"),
    ("| p (pickup) | a | b :| c |", "pababc"),
    ("|: a :|: b :|", "aabb"),
    ("| a Fine | b | c D.C. al Fine |", "abca"),
    ("| a | Segno b Fine | c D.S. al Fine |", "abcb"),
    ("| a | Segno b | c To Coda | d D.S. al Coda |\nCoda\n| e | f |", "abcdbcef"),
    ("| a To Coda | b D.C. al Coda |\nCoda:\n| c |", "abac"),
    ("| a | b D.C. |", "abab"),
    ("| a Fine | b D.C. |", "aba"),
    ("| a To Coda | b D.C. | Coda c |", "abac"),
    # Repeats are not played again after a jump, and the last ending is taken.
    ("|: a | b :| c Fine | d D.C. al Fine |", "ababcdabc"),
    ("|: a |1. b :|2. c Fine | d D.C. al Fine |", "abacdac"),
    ("|: a | b :| D.C.", "ababab"),
    ("|: a Fine | b :| D.C. al Fine", "ababa"),
    # A repeat first met after the jump is played.
    ("| a To Coda | b D.C. al Coda |\nCoda\n|: c :| d |", "abaccd"),
    # On the way to the Coda a Fine is passed over; after it, it ends the tune.
    ("| a Fine | b To Coda | c D.C. al Coda |\nCoda\n| d Fine |", "abcabd"),
    # Two jumps, each taken once.
    ("| Segno a | b D.C. | c D.S. |", "ababcabc"),
    ("A:\n| a | b |\nB:\n| c |\nA: again\n", "abcab"),
    ("A:\n|: a |1. b :|2. c ||\nB:\n| d |\nA: again\n", "abacdabac"),
    ("A:\n| a |\nKey: F\n| b |\nB:\n| c |\nA: again\n", "abcab"),
    ("A:\n| a Fine |\nB:\n| b |\nA: again\nC:\n| c D.C. al Fine |", "abaca"),
]


def letters_sheet(text: str) -> Sheet:
    """A sheet whose bars are letters, each in its own line of four beats, with chords for them."""
    words = text.split(" ")
    chords = [CHORDS["abcdefp".index(w)] if w in list("abcdefp") else w for w in words]
    return read_sheet(" ".join(chords))


@pytest.mark.parametrize(("text", "order"), FORMS, ids=[text for text, _ in FORMS])
def test_played_order(text: str, order: str) -> None:
    sheet = letters_sheet(text)
    letters = [word for word in text.split() if word in list("abcdefp")]
    assert "".join(letters[bar] for bar in unfold(sheet).bars) == order


@pytest.mark.parametrize(("text", "order"), FORMS[:12], ids=[text for text, _ in FORMS[:12]])
def test_each_playing_is_followed_by_the_next_and_the_last_by_the_first(
    text: str, order: str
) -> None:
    form = unfold(letters_sheet(text))
    count = len(order)
    assert form.successions == tuple((at, (at + 1) % count) for at in range(count))
    assert (form.opening, form.ending) == ((), ())


def test_similes_play_the_chords_of_their_bars_again() -> None:
    form = unfold(read_sheet("| C F | G | %% | % | Am | % |"))
    assert form.sounding == (0, 1, 0, 1, 1, 5, 5)
    assert form.chords == (0, 1, 2, 0, 1, 2, 2, 3, 3)


def test_a_simile_first_in_a_later_ending_is_the_bar_before_the_endings() -> None:
    form = unfold(read_sheet("|: C | F |1. G | A :|2. % | C ||"))
    assert form.sounding == (0, 1, 2, 3, 1, 5)


def test_silence_is_passed_over_in_successions() -> None:
    form = unfold(read_sheet("| C | N.C. | -4- | F |"))
    assert form.chords == (0, 1, 2)
    assert form.successions == ((0, 1), (1, 0))
    assert unfold(read_sheet("| N.C. |")).successions == ()


def test_an_opening_leads_into_the_chorus_and_an_ending_out_of_it() -> None:
    text = "Intro:\n| C |\nA:\n| F | G | (E7) |\nTag:\n| Am |\n"
    form = unfold(read_sheet(text))
    # C to F once; F G E7 go round; G, without the turnaround, leads to Am.
    assert sorted(form.successions) == [(0, 1), (1, 2), (2, 3), (2, 4), (3, 1)]


def test_a_chorus_of_silence_makes_no_ring_of_its_own() -> None:
    form = unfold(read_sheet("Intro:\n| C | F |\nA:\n| N.C. |\n"))
    assert form.chorus == (2,)
    assert sorted(form.successions) == [(0, 1), (1, 0)]


def test_the_form_is_told_in_lines() -> None:
    sheet = read_sheet(
        "A:\n|: C | F |1. G :|2. Am ||\nB:\n| Dm To Coda | -4- | G7 D.C. al Coda |\nCoda:\n| C6 |"
    )
    assert describe_form(sheet, unfold(sheet)).splitlines() == [
        "A     1–3", "A     1–2, 4", "B     5–10", "A     1–2, 4", "B     5", "Coda  11",
        "17 bars in all",
    ]  # fmt: skip


def test_a_hand_made_sheet_that_is_no_form_is_refused() -> None:
    sheet = read_sheet("| C | F |")
    bars = (replace(sheet.bars[0], repeat_open=True), sheet.bars[1])
    assert [problem.label for problem in unfold_bars(bars, sheet.sections).problems] == [
        "repeat-unclosed"
    ]
    with pytest.raises(SheetError, match="never closed"):
        unfold(replace(sheet, bars=bars))


def test_a_form_longer_than_the_limit_is_refused() -> None:
    with pytest.raises(SheetError, match=f"longer than {MAX_PLAYED} bars"):
        read_sheet("|: " + "C | " * (MAX_PLAYED // 99) + "C :|99x")


def test_each_bar_of_a_rest_has_a_number() -> None:
    """The bar behind a rest of four bars has a number four larger (common practice, no source)."""
    sheet = read_sheet("| C / (pickup) | F | -4- | G | %% | C |")
    assert [bar.number for bar in sheet.bars] == [0, 1, 2, 6, 7, 8, 9]
    assert [bar.last_number for bar in sheet.bars] == [0, 1, 5, 6, 7, 8, 9]
    assert describe_form(sheet, unfold(sheet)) == "0–9\n9 bars in all"
    assert named_bars(read_sheet("A:\n| C | -3- |\nB:\n| F |")) == {"A": (1, 4), "B": (5, 5)}


def test_a_number_inside_a_rest_chooses_the_rest() -> None:
    text = "Tempo: 120\n| C | -3- | G | F |"
    assert played(text, bars=(3, 5)).length == 4 * 4
    with pytest.raises(ExcerptError, match="there are bars 1 to 6"):
        played(text, bars=(3, 7))
    chart = chart_of(text)
    assert [group.bar for group in bars_shown(chart, (3, 5))] == [2, 5]


def bars_shown(chart: CompingChart, bars: tuple[int, int]) -> list[Group]:
    items = bars_picture(chart, bars).pages[0].items
    return [item.group for item in items if isinstance(item, Open) and item.group.kind == "bar"]
