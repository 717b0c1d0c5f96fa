"""The pages of drills: every key once, boxes, cautions, pivots, changes, coordinates, no clashes.

Drills are made the whole way; what a page must hold follows from the drill's own values.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import cache
from io import BytesIO
from itertools import pairwise
from typing import Literal

import pypdfium2
import pytest
from midneck.converter.drill.drill import Drill, Exercise, Practice
from midneck.converter.drill.make import Route
from midneck.converter.drill.positions import StringChoice
from midneck.converter.drill.tune import drill_of
from midneck.converter.hand.player import Player
from midneck.converter.prose.facts import HAND_CAUTION
from midneck.grammar.key import parse_key
from midneck.grammar.sheet import Meter
from midneck.render.page import Document, PageStyle, lay_out_drill, write_pdf, write_png
from midneck.render.page.drawing.blocks import wrapped
from midneck.render.page.drawing.geometry import item_box
from midneck.render.page.drawing.items import (
    CLOSE,
    DRAWING_GROUP,
    Circle,
    Line,
    Open,
    Page,
    Rect,
    Text,
)
from midneck.render.page.drawing.style import LARGE_PT
from midneck.render.page.drill.lines import lay_out_exercise
from midneck.render.page.line import neck_stops
from pypdf import PdfReader
from support.charts import LANTERNS, chart_of
from support.drills import drill
from support.pages import outside, overlaps, smallest_text, struck_through, texts, with_groups

LADDER = (80, 90, 100, 110, 120, 130, 140)
WALTZ = Practice(rhythm="waltz", meter=Meter(3, 4))
#: A tune in five with one ii–V–I, chords of three lengths.
FIVE = """Title: Stairwell in Five
Time: 5/4

A:
| Bbm7 / / Eb7 / | Abmaj7 | Db6 / Fm7 / / | Abmaj7 ||
"""
CROWDED = "| ii7 V7 iii7 VI7 | ii7 V7 I6 / | I6 |"
THREE = Route(cycle="keys", keys=(parse_key("C"), parse_key("F"), parse_key("Bb")))
ON_FIVE, ANY = (Route(string_choice=StringChoice(string)) for string in (5, None))
#: One drill for each way of laying out: a key a line, several on a line, crowded bars, long ones.
DRILLS = {
    "ii-V-I": lambda: drill(),
    "ladder": lambda: drill("minor-ii-V-i", ON_FIVE, Practice(ladder=LADDER)),
    "octave": lambda: drill("ii-V-I", Route(string_choice=StringChoice(6, octave=True))),
    "any": lambda: drill("I-VI-ii-V", ANY, Practice(rhythm="bossa")),
    "chain": lambda: drill("ii-V-chain", None, Practice(rhythm="charleston")),
    "dominants": lambda: drill("dominants", None, Practice(ladder=LADDER)),
    "waltz": lambda: drill("ii-V-I", None, WALTZ),
    "crowded": lambda: drill(CROWDED, THREE),
    "stacked": lambda: drill("ii9 | V7(b9,#11) | Imaj9 | VI7alt", THREE),
    "long": lambda: drill("ii-V-I", THREE, Practice(bars_per_chord=3, repetitions=30)),
    "tune": lambda: drill_of(chart_of(LANTERNS)),
    "five": lambda: drill_of(chart_of(FIVE), None, Practice(meter=Meter(5, 4))),
}  # fmt: skip
PLAIN = PageStyle(symbols="letters")
STYLES = [
    PageStyle(paper="letter", punch=True, neck_map="none"),
    PageStyle(landscape=True),
    PageStyle(paper="a5", symbols="letters"),
    PageStyle(large=True),
    PageStyle(paper="a5", landscape=True, large=True),
]
#: Every drill on plain paper, and those of one exercise in every other style.
CASES = [(name, PLAIN) for name in DRILLS] + [
    (name, style) for name in DRILLS if name not in ("tune", "five") for style in STYLES
]


@cache
def made(name: str) -> Drill:
    return DRILLS[name]()


@cache
def pages(name: str, style: PageStyle = PLAIN) -> Document:
    return lay_out_drill(made(name), style)


def all_texts(document: Document) -> list[str]:
    return [text for page in document.pages for text in texts(page)]


def keys_named(page: Page) -> list[str]:
    """The tonics of the keys that are named over or beside lines."""
    found = (re.fullmatch("([A-G][♭♯]?) (?:major|minor)", text) for text in texts(page))
    return [match[1] for match in found if match]


def boxes(page: Page) -> list[Rect]:
    """The empty squares to tick."""
    return [item for item in page.items if isinstance(item, Rect) and item.fill is None]


def extracted(document: Document) -> str:
    """The text of a PDF by another program's reading, in one line."""
    reader = PdfReader(BytesIO(write_pdf(document)))
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


@pytest.mark.slow
@pytest.mark.parametrize(("name", "style"), CASES)
def test_nothing_clashes_or_leaves_the_page(name: str, style: PageStyle) -> None:
    document = pages(name, style)
    for page in document.pages:
        assert overlaps(page) == []
        assert outside(page, style) == []
        assert struck_through(page) == []
    if style.large:
        assert smallest_text(document) >= LARGE_PT


@pytest.mark.parametrize("name", ["ii-V-I", "ladder", "octave", "waltz"])
def test_twelve_keys_take_two_pages_a_round_on_each(name: str) -> None:
    document = pages(name)
    assert len(document.pages) == 2
    for number, page in enumerate(document.pages, 1):
        assert texts(page).count(f"Round {number} of 2") == 1
        assert len(keys_named(page)) == 6


@pytest.mark.parametrize("name", ["ii-V-I", "any", "chain", "waltz"])
def test_every_key_is_named_once(name: str) -> None:
    tonics = [tonic for page in pages(name).pages for tonic in keys_named(page)]
    assert len(tonics) == len(set(tonics)) == 12
    wanted = [str(one.key.tonic).replace("b", "♭").replace("#", "♯")
              for one in made(name).exercises[0].stations]  # fmt: skip
    assert tonics == wanted


def test_another_reader_finds_the_keys_the_chords_and_the_caution() -> None:
    text = extracted(pages("ii-V-I"))
    for key in ("C", "B♭", "A♭", "G♭", "E", "D", "D♭", "B", "A", "G", "F", "E♭"):
        assert text.count(f" {key} major ") == 1
    assert HAND_CAUTION in text
    assert "C6 turns minor: Cm7 is the ii of B♭" in text


def test_what_pivots_is_marked_where_it_pivots() -> None:
    found = all_texts(pages("ii-V-I"))
    # Five pivots in each round of six; the last key of a round leads nowhere.
    assert sum(text.startswith("→ ") for text in found) == 10
    assert "→ B♭: ii7" in found
    assert "→ D♭: ii7" not in found


def test_the_sheet_says_where_and_why_the_string_set_changes() -> None:
    text = extracted(pages("ii-V-I"))
    # Common practice, no source: from string 6 the roots would fall below fret 3.
    assert "F♯m7 changes to string 5, fret 9: from string 6 the roots would lie at" in text
    jumped = extracted(pages("octave"))
    assert "F♯m7 jumps an octave up, to fret 14 of string 6" in jumped


def test_a_box_for_each_repetition_of_each_key() -> None:
    document = pages("ii-V-I")
    assert [len(boxes(page)) for page in document.pages] == [24, 24]
    # Of thirty repetitions nobody ticks each: one box a key.
    assert sum(len(boxes(page)) for page in pages("long").pages) == 3


def test_a_box_for_each_tempo_of_the_ladder() -> None:
    document = pages("ladder")
    assert [len(boxes(page)) for page in document.pages] == [6 * 7, 6 * 7]
    for tempo in LADDER:
        assert all_texts(document).count(str(tempo)) == 12


def test_tempos_stand_at_the_head_where_keys_share_a_line() -> None:
    (page,) = pages("dominants").pages
    assert "Tempo" in texts(page)
    assert len(boxes(page)) == len(LADDER) + 12


def test_rows_keep_even_distances() -> None:
    page = pages("any").pages[1]
    names = [item.y for item in page.items if isinstance(item, Text)
             and item.string.endswith(" major")]  # fmt: skip
    steps = [below - above for above, below in pairwise(names)]
    # Rows of one height (no long note among them) share what is left of the page evenly.
    assert max(steps) - min(steps) < 12


def test_a_bar_that_repeats_has_the_room_of_its_beats() -> None:
    """Its four strokes stand no closer than those of the bars with chords, within a fifth."""
    layout = lay_out_exercise(made("ii-V-I").exercises[0], Practice(), PageStyle())
    for line in layout.lines:
        widths = [piece.width for piece in line.line.pieces]
        assert widths[:3] == pytest.approx([widths[0]] * 3)
        beats = [times.x(Fraction(1)) - times.x(Fraction(0)) for times in line.times]
        assert min(beats) > 0.8 * max(beats)


@pytest.mark.parametrize("rhythm", ["four-to-the-bar", "charleston"])
@pytest.mark.parametrize("name", ["ii-V-I", "minor-ii-V-i"])
def test_every_key_has_its_bars_on_one_line(name: str, rhythm: str) -> None:
    layout = lay_out_exercise(drill(name).exercises[0], Practice(rhythm=rhythm), PageStyle())
    assert len(layout.lines) == len(layout.groups) == 12


def test_columns_of_a_line_add_up_to_the_page() -> None:
    layout = lay_out_exercise(made("ii-V-I").exercises[0], Practice(), PageStyle())
    last = layout.lines[0].line.pieces[-1]
    filled = layout.column + layout.context.gutter + last.x + last.width + layout.map
    # A4 is 595.3 points wide, less two margins of 36.
    assert filled == pytest.approx(595.2756 - 72, abs=0.01)


def test_short_keys_share_a_line_and_loops_do_not() -> None:
    dominants = lay_out_exercise(made("dominants").exercises[0], Practice(), PageStyle())
    assert [len(group) for group in dominants.groups] == [4, 4, 4]
    hard: Exercise = made("tune").exercises[-1]
    assert hard.loops
    layout = lay_out_exercise(hard, Practice(), PageStyle())
    assert {len(group) for group in layout.groups} == {1}


def test_arrows_do_not_lead_into_other_rounds() -> None:
    """Each V falls to the iii of the next key, the last one to the first; four rounds of three."""
    turns = drill("iii-VI-ii-V", Route("major-thirds"))
    layout = lay_out_exercise(turns.exercises[0], turns.practice, PageStyle())
    ends = range(3, 48, 4)
    heard, shown = (
        [one and one.resolves_to for one in chart.analysis.readings[3::4]]
        for chart in (turns.exercises[0].chart, layout.context.chart)
    )
    assert heard == [(end + 1) % 48 for end in ends]
    assert shown == [None if end % 12 == 11 else end + 1 for end in ends]


@pytest.mark.parametrize("hand", ["right", "left"])
def test_left_hand_mirrors_the_grids(hand: Literal["right", "left"]) -> None:
    made = drill("ii-V-I", player=Player(hand=hand))
    items = lay_out_drill(made, PLAIN).pages[0].items
    start = items.index(Open(DRAWING_GROUP))
    grid = items[start : items.index(CLOSE, start)]
    [root] = [item.x + item.w / 2 for item in grid if isinstance(item, Rect) and item.w == item.h]
    guide_tones = [item.x for item in grid if isinstance(item, Circle)]
    assert len(guide_tones) == 2
    # The first root is on string 6: left of all other notes for a right-handed player.
    assert all((root < x) == (hand == "right") for x in guide_tones)


def test_no_number_gets_tiny() -> None:
    # Finger numbers: 6.2 points plain, 0.72 of that in a bar that is as crowded as can be.
    assert smallest_text(pages("crowded")) >= 0.72 * 6.2 - 0.01
    # Elsewhere the page may shrink to 0.84.
    assert smallest_text(pages("ii-V-I")) >= 0.84 * 6.2 - 0.01


def test_the_exercises_of_a_tune_are_numbered_and_outlined() -> None:
    document = pages("tune")
    found = made("tune").exercises
    assert [entry.title for entry in document.outline] == [
        exercise.name.replace("b", "♭") if "b" in exercise.name else exercise.name
        for exercise in found
    ]
    for number in range(1, len(found) + 1):
        assert any(text.startswith(f"{number}. ") for text in all_texts(document))


def test_a_long_heading_breaks() -> None:
    style = PageStyle(paper="a5", large=True)
    document = lay_out_drill(made("tune"), style)
    name = f"2. {made('tune').exercises[1].name}"
    lines = wrapped(name, "FiraGO-Bold", 1.3 * 18, style.frame[2] - style.frame[0])
    assert len(lines) > 1
    assert set(lines) <= set(all_texts(document))


def test_pictures_are_drawn_by_another_program() -> None:
    document = pages("ii-V-I")
    pdf = pypdfium2.PdfDocument(write_pdf(document))
    page = pdf[0]
    image = page.render(scale=1).to_pil().convert("L")
    # The neck map's band is grey 0.91 in the right of the first key's line.
    name = next(item for item in document.pages[0].items
                if isinstance(item, Text) and item.string == "C major")  # fmt: skip
    column = [image.getpixel((540, y)) for y in range(int(name.y), int(name.y) + 80)]
    assert round(0.91 * 255) in column
    assert write_png(document, 0).startswith(b"\x89PNG")


def test_the_same_drill_gives_the_same_bytes() -> None:
    again = lay_out_drill(DRILLS["ladder"](), PLAIN)
    assert write_pdf(again) == write_pdf(pages("ladder"))


def test_what_is_said_of_a_key_stays_left_of_its_line() -> None:
    page = pages("ii-V-I").pages[0]
    pieces = [item for item in page.items if isinstance(item, Text)]
    said = [item for item in pieces if item.string.startswith(("C6 turns", "F♯m7 changes"))]
    lines = [item.x1 for item in page.items if isinstance(item, Line) and item.x1 == item.x2]
    assert len(said) == 2
    for item in said:
        box = item_box(item)
        assert box is not None
        assert box[2] < min(x for x in lines if x > item.x + 1)


def test_in_large_print_how_to_practise_has_its_pages() -> None:
    document = pages("ii-V-I", PageStyle(large=True))
    assert HAND_CAUTION in extracted(document)
    assert [len(keys_named(page)) for page in document.pages] == [0] + [2, 1] * 4


def test_a_key_of_one_chord_goes_without_a_name() -> None:
    # G7 under "C major" would read as a mistake; its numeral tells the key.
    (page,) = pages("dominants").pages
    assert keys_named(page) == []
    assert {"C: V7", "F: V7", "B♭: V7"} <= set(texts(page))


def test_every_text_lies_in_a_group_pivots_as_text() -> None:
    """Writers tag what groups name; a pivot is read behind its bars."""
    found = [
        (item.string, [group.kind for group in groups])
        for page in pages("ii-V-I").pages
        for item, groups in with_groups(page.items)
        if isinstance(item, Text)
    ]
    assert all(kinds for _, kinds in found)
    pivots = [kinds for string, kinds in found if string.startswith("→ ") and ": ii7" in string]
    # Each round of six keys has five changes of key.
    assert pivots == [["text"]] * 10


def test_no_arrow_and_no_way_of_the_hand_leads_from_a_loop_into_another() -> None:
    chart = chart_of(
        "Key: F\n| Gm7 | C7 | F6 | % | Cm7 | F7 | Bb6 | % | Bbm7 | Eb7 | Ab6 | C7 ||\n"
    )
    loops = [one for one in drill_of(chart).exercises if one.loops]
    assert [len(one.stations) for one in loops] == [3, 3]
    for exercise in loops:
        layout = lay_out_exercise(exercise, Practice(), PageStyle())
        context = layout.context
        for link in context.links.drawn:
            assert any({link.first, link.last} <= set(one.chords) for one in exercise.stations)
        assert context.links.told == {}
        assert len(layout.lines) == len(exercise.stations)
        for line in layout.lines:
            assert all(stop.marked for stop in neck_stops(context, line, 0.0))
