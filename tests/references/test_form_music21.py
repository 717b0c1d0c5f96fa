"""The played order against music21's repeat expander, on the same written forms.

Source: music21 (Cuthbert & Ariza, ISMIR 2010), `music21.repeat.Expander`. Each form is built there
with its own bar lines, repeat brackets and repeat expressions, bar by bar from our `Bar`s, and the
measures that it plays are compared.
"""

from __future__ import annotations

import pytest
from midneck.grammar.form.unfold import unfold
from midneck.grammar.sheet import Bar, Sheet
from midneck.grammar.text.reader import read_sheet
from music21 import bar as m21bar
from music21 import meter, note, repeat, spanner, stream

LOWEST = 36

FORMS = [
    "| C | F |",
    "|: C | F :| G |",
    "|: C | F :|3x G |",
    "|: C | F |1. G :|2. A ||",
    "|: C | F |1,2. G :|3. A ||",
    "|: C |1. F :|2. G :|3. A ||",
    "|: C |1. F | G :|2. A | B || D | E |",
    "| C | F :| G |",
    "|: C :|: F | G :|",
    "| C Fine | F | G D.C. al Fine |",
    "| C | Segno F | G Fine | A D.S. al Fine |",
    "| C | Segno F | G To Coda | A D.S. al Coda |\nCoda\n| C | D |",
    "| C To Coda | F | G D.C. al Coda |\nCoda\n| A |",
    "| C | F | G D.C. |",
    "| C | Segno F | G D.S. |",
    "|: C | F :| G Fine | A D.C. al Fine |",
    "|: C |1. F :|2. G ||: A | B :| C |",
    "| C | F To Coda | G D.C. al Coda |\nCoda\n|: A :| B |",
    "|: C | F :| Segno G Fine | A D.S. al Fine |",
    "|: C | F :| D.C.",
]


def score_of(sheet: Sheet) -> stream.Part:
    """The sheet's bars as music21 measures with the same repeats, endings and signs."""
    part = stream.Part()
    for at, written in enumerate(sheet.bars):
        measure = stream.Measure(number=at + 1)
        if at == 0:
            measure.append(meter.TimeSignature("4/4"))
        # music21 numbers the measures of what it expands anew: the pitch tells which one it was.
        measure.append(note.Note(LOWEST + at, quarterLength=4.0))
        _add_lines(measure, written)
        _add_signs(measure, written)
        part.append(measure)
    for passes, first, last in _endings(sheet.bars):
        measures = list(part.getElementsByClass(stream.Measure))[first : last + 1]
        part.insert(0, spanner.RepeatBracket(*measures, number=list(passes)))
    return part


def _add_lines(measure: stream.Measure, written: Bar) -> None:
    if written.repeat_open:
        measure.leftBarline = m21bar.Repeat(direction="start")
    if written.repeat_close:
        plain = written.repeat_close == 2 or written.ending_close
        times = None if plain else written.repeat_close
        measure.rightBarline = m21bar.Repeat(direction="end", times=times)


def _add_signs(measure: stream.Measure, written: Bar) -> None:
    if written.segno:
        measure.insert(0, repeat.Segno())
    if written.coda:
        measure.insert(0, repeat.Coda())
    ends: list[repeat.RepeatExpression] = []
    if written.to_coda:
        # A Coda sign at a measure's end is music21's "to Coda".
        ends.append(repeat.Coda())
    if written.fine:
        ends.append(repeat.Fine())
    if written.jump is not None:
        ends.append(JUMPS[written.jump.to, written.jump.until]())
    for end in ends:
        measure.append(end)


JUMPS = {
    ("capo", "end"): repeat.DaCapo,
    ("capo", "fine"): repeat.DaCapoAlFine,
    ("capo", "coda"): repeat.DaCapoAlCoda,
    ("segno", "end"): repeat.DalSegno,
    ("segno", "fine"): repeat.DalSegnoAlFine,
    ("segno", "coda"): repeat.DalSegnoAlCoda,
}


def _endings(bars: tuple[Bar, ...]) -> list[tuple[tuple[int, ...], int, int]]:
    """Each ending's passes and its first and last bar."""
    firsts = [at for at, bar in enumerate(bars) if bar.endings]
    lasts = [at for at, bar in enumerate(bars) if bar.ending_close]
    return [(bars[first].endings, first, last) for first, last in zip(firsts, lasts, strict=True)]


@pytest.mark.parametrize("text", FORMS)
def test_the_played_order_is_that_of_music21(text: str) -> None:
    sheet = read_sheet(text)
    expanded = score_of(sheet).expandRepeats()
    played = [sounding.pitch.midi - LOWEST for sounding in expanded.flatten().notes]
    assert list(unfold(sheet).bars) == played


# Where we differ, with both orders and the reason.
DIFFERENCES = [
    # With a jump in the score, music21 reads no repeat brackets and plays all endings each time.
    ("|: C |1. F :|2. G || A D.C. |", "01023023", "0101230123"),
    ("|: C |1. F :|2. G Fine ||: A :| B D.C. al Fine |", "010233402", "01012334012"),
    ("|: C | Segno F |1. G :|2. A || B D.S. |", "0120134134", "012012341234"),
    # A second repeat that is not opened: music21 goes back to the top, we to the bar after the
    # repeat before it, because a repeat inside a repeat is what paper does not know.
    ("| C :| F | G :| A |", "0012123", "001200123"),
]


@pytest.mark.parametrize(("text", "ours", "theirs"), DIFFERENCES)
def test_known_differences_are_still_these(text: str, ours: str, theirs: str) -> None:
    sheet = read_sheet(text)
    expanded = score_of(sheet).expandRepeats()
    assert "".join(str(bar) for bar in unfold(sheet).bars) == ours
    assert "".join(str(n.pitch.midi - LOWEST) for n in expanded.flatten().notes) == theirs
