"""Symbols, grids, marks, maps and text blocks: coordinates with the arithmetic beside them."""

from __future__ import annotations

import pickle
from dataclasses import replace

import pytest
from midneck.converter.hand.grip import Barre, Grip, VoicedNote, Voicing
from midneck.grammar.chord import Chord, Tone
from midneck.grammar.pitch import PitchName
from midneck.render.page.drawing.blocks import (
    Frame,
    Frames,
    flow,
    flowing,
    heading,
    paragraph,
    table,
    tick,
)
from midneck.render.page.drawing.fonts import BOLD, CAP_HEIGHT, REGULAR, measure, text_width
from midneck.render.page.drawing.geometry import item_box, moved, union
from midneck.render.page.drawing.grid import (
    GridLook,
    draw_grid,
    first_fret,
    guide_degrees,
    rows_needed,
    tone_shape,
)
from midneck.render.page.drawing.items import Circle, Line, Path, Placed, Rect, Text, flat

G7 = Chord(PitchName("G"), "dominant")
G7_GRIP = Grip(
    Voicing((
        VoicedNote(6, 3, 43, Tone(1)), VoicedNote(4, 3, 53, Tone(7, -1)),
        VoicedNote(3, 4, 59, Tone(3)),
    )),
    (3, None, 3, 4, None, None), (1, None, 2, 3, None, None), 3,
)  # fmt: skip
F6 = Chord(PitchName("F"), "major-sixth")
F6_GRIP = Grip(
    Voicing((
        VoicedNote(5, 8, 53, Tone(1)), VoicedNote(4, 7, 57, Tone(3)), VoicedNote(3, 7, 62, Tone(6)),
    )),
    (None, 8, 7, 7, None, None), (None, 2, 1, 1, None, None), 7, (Barre(1, 7, 4, 3),),
)  # fmt: skip
LOOK = GridLook(string=10, fret=12, finger=8, number=9)


def shapes(items, kind):
    return [item for item in flat(items) if isinstance(item, kind)]


def test_first_fret_and_rows() -> None:
    # Frets 3 and 4: the nut is too far for three rows.
    assert (first_fret(G7_GRIP), rows_needed(G7_GRIP)) == (3, 2)
    low = replace(G7_GRIP, frets=(1, None, 1, 2, None, None))
    assert (first_fret(low), rows_needed(low)) == (1, 2)
    opened = replace(G7_GRIP, frets=(3, None, 0, 4, None, None))
    assert (first_fret(opened), rows_needed(opened)) == (1, 4)
    assert (first_fret(F6_GRIP), rows_needed(F6_GRIP)) == (7, 2)


def test_shapes_tell_root_guide_tones_and_others() -> None:
    assert [tone_shape(note.tone, guide_degrees(G7)) for note in G7_GRIP.voicing.notes] == [
        "root",
        "guide",
        "guide",
    ]
    assert [tone_shape(note.tone, guide_degrees(F6)) for note in F6_GRIP.voicing.notes] == [
        "root",
        "guide",
        "guide",
    ]
    assert tone_shape(Tone(9), guide_degrees(G7)) == "other"
    assert tone_shape(Tone(6), guide_degrees(G7)) == "other"
    assert tone_shape(None, guide_degrees(G7)) == "other"
    # A player's preferences may play a sixth for a major seventh and the other way round.
    assert tone_shape(Tone(6), guide_degrees(Chord(PitchName("C"), "major-seventh"))) == "guide"
    assert tone_shape(Tone(7), guide_degrees(F6)) == "guide"
    assert tone_shape(Tone(6), guide_degrees(Chord(PitchName("C"), "minor-seventh"))) == "other"
    suspended = Chord(PitchName("G"), "suspended-fourth")
    assert tone_shape(Tone(4), guide_degrees(suspended)) == "guide"


def test_grid_puts_marks_on_their_strings_and_frets() -> None:
    items = draw_grid(G7_GRIP, G7, (100, 200), LOOK)
    left, top = 100 + LOOK.gutter, 200 + LOOK.top
    root = next(item for item in shapes(items, Rect))
    # String 6 is the first column; fret 3 the middle of the first row: top + 0.5 · 12.
    assert (root.x + root.w / 2, root.y + root.h / 2) == pytest.approx((left, top + 6))
    dots = shapes(items, Circle)
    assert [(dot.x, dot.y) for dot in dots] == [
        pytest.approx((left + 20, top + 6)), pytest.approx((left + 30, top + 18)),
    ]  # fmt: skip
    fingers = shapes(items, Text)
    assert [text.string for text in fingers] == ["3", "1", "2", "3"]
    middle = fingers[2].x + text_width("2", BOLD, 8) / 2
    assert middle == pytest.approx(left + 20)
    assert fingers[2].y - CAP_HEIGHT * 8 / 2 == pytest.approx(top + 6)
    # No nut away from the first fret.
    assert shapes(items, Line) == []
    crosses = shapes(items, Path)[1]
    assert len(crosses.steps) == 4 * 3


def test_a_grid_at_the_nut_has_a_thick_line_and_no_number() -> None:
    low = replace(G7_GRIP, frets=(1, None, 1, 2, None, None))
    items = draw_grid(low, G7, (0, 0), LOOK.of(low))
    assert [line.width for line in shapes(items, Line)] == [1.8]
    assert [text.string for text in shapes(items, Text)] == ["1", "2", "3"]
    # Without a number the grid moves left: half a mark and half a line remain.
    assert LOOK.of(low).gutter == pytest.approx(LOOK.dot + 0.225)


def test_fret_number_keeps_clear_of_a_mark_on_the_lowest_string() -> None:
    high = Grip(G7_GRIP.voicing, (10, None, 10, 11, None, None), G7_GRIP.fingers, 10)
    items = draw_grid(high, G7, (0, 0), LOOK)
    number = next(text for text in shapes(items, Text) if text.string == "10")
    root = shapes(items, Rect)[0]
    assert number.x >= 0
    # Never read as one number with the finger in the mark: a third of a string's distance apart.
    assert number.x + measure("10", REGULAR, 9) < root.x - 10 / 3


def test_barre_joins_its_strings() -> None:
    items = draw_grid(F6_GRIP, F6, (0, 0), LOOK)
    barre = max(shapes(items, Rect), key=lambda rect: rect.w)
    # Strings 4 and 3 are the third and fourth of six columns, ten points apart.
    assert (barre.x, barre.w) == pytest.approx((LOOK.gutter + 20, 10))


def test_mirrored_grid_for_a_left_hand() -> None:
    mirrored = GridLook(string=10, fret=12, finger=8, number=9, mirrored=True)
    items = draw_grid(G7_GRIP, G7, (0, 0), mirrored)
    root = shapes(items, Rect)[0]
    # String 6 is now the last of six columns.
    assert root.x + root.w / 2 == pytest.approx(mirrored.gutter + 50)


def test_a_grid_is_one_drawing_wherever_it_stands() -> None:
    here, there = (
        next(item for item in draw_grid(G7_GRIP, G7, at, LOOK) if isinstance(item, Placed))
        for at in ((0, 0), (31.5, 7))
    )
    assert here.drawing is there.drawing
    assert (there.x - here.x, there.y - here.y) == pytest.approx((31.5, 7))
    box = union(filter(None, map(item_box, flat([there]))))
    assert item_box(there) == pytest.approx(box)
    # Pages of a book travel from process to process.
    again = pickle.loads(pickle.dumps(there))
    assert again == there
    assert {again.drawing} == {there.drawing}
    other = draw_grid(F6_GRIP, F6, (0, 0), LOOK)
    assert here.drawing not in {item.drawing for item in other if isinstance(item, Placed)}


def test_grid_stays_in_its_block() -> None:
    for grip, chord in ((G7_GRIP, G7), (F6_GRIP, F6)):
        box = union(filter(None, map(item_box, draw_grid(grip, chord, (0, 0), LOOK))))
        assert box is not None
        assert box[0] >= 0
        assert box[2] <= LOOK.width + 0.3
        assert box[3] <= LOOK.height + 0.3


def test_paragraph_wraps_and_counts_its_height() -> None:
    block = paragraph("one two three four five six seven eight", 10, 60)
    lines = shapes(block.items, Text)
    assert len(lines) > 2
    # 1.4 times the size for each line and 0.35 after the last.
    assert block.height == pytest.approx(14 * len(lines) + 3.5)
    assert all(measure(text.string, REGULAR, 10) <= 60 for text in lines)


def test_heading_stays_with_what_follows() -> None:
    filler = paragraph("x", 10, 100)
    blocks = [*[filler] * 4, heading("Next", 12, 100), filler]
    frame = Frame([], 0, 0, 4 * filler.height + heading("Next", 12, 100).height + 5)
    pages = flow([flowing(block) for block in blocks], Frames(frame, frame)).pages
    assert [[t.string for t in shapes(page, Text)] for page in pages] == [["x"] * 4, ["Next", "x"]]


def test_table_sets_blocks_side_by_side() -> None:
    cell = tick("ab", 10, 40)
    rows = table([cell] * 5, 100, 10)
    # Two columns of 40 with a gap of 10 fit a width of 100; five cells take three rows.
    assert len(rows) == 3
    xs = [text.x for text in shapes(rows[0].items, Text)]
    assert xs == pytest.approx([17, 17 + 55])


def test_moved_items_keep_their_shape() -> None:
    items = [
        Line(0, 0, 1, 2), Circle(3, 3, 1), Rect(0, 0, 2, 2),
        Path((("M", 0, 0), ("L", 1, 1), ("Z",))), Text(5, 5, ()),
    ]  # fmt: skip
    shifted = moved(items, 10, 20)
    assert shifted[0] == Line(10, 20, 11, 22)
    assert shifted[3].placed == (("M", 10, 20), ("L", 11, 21), ("Z",))
    assert moved(shifted, -10, -20) == items
