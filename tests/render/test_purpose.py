"""What a chart was made for stands in its head, in text, in sentences and on the page."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import midneck
import pytest
from midneck.converter.prose.facts import purpose_facts
from midneck.render.commands.main import run
from midneck.render.page import PageStyle, lay_out
from midneck.render.page.drawing.items import Text
from midneck.render.text import chart_in_words, text_chart
from support.pages import overlaps, texts

TUNE = "Title: Tram Stop\nBy: A. Nobody\nKey: Db\n\nA:\n| Ebm7 | Ab7 | Db6 | Bb7 ||\n"


@pytest.mark.parametrize(
    ("options", "facts"),
    [
        ({}, ()),
        ({"key": "G"}, ("transposed from Db major",)),
        ({"key": "Db"}, ()),
        ({"instrument": "Bb"}, ("in Eb for Bb instruments, sounds Db major",)),
        ({"key": "C", "instrument": "Eb"},
         ("in A for Eb instruments, sounds C major", "transposed from Db major")),
        ({"hand": "left"}, ("left-handed",)),
        ({"player": "small-hand", "hand": "left"}, ("for small hands", "left-handed")),
        ({"player": "beginner", "window": (5, 12)}, ("for a beginner", "roots at frets 5–12")),
        ({"style": "four-note", "smooth": True},
         ("four-note voicings", "the hardest change made easy")),
        ({"style": "guide-tones"}, ("guide tones without roots",)),
        ({"style": "colour"}, ("shells with a colour tone",)),
    ],
)  # fmt: skip
def test_all_outputs_say_what_a_chart_was_made_for(
    options: dict[str, object], facts: tuple[str, ...]
) -> None:
    chart = midneck.chart(TUNE, **options).comping  # type: ignore[arg-type]
    assert purpose_facts(chart) == facts
    for text in (text_chart(chart), chart_in_words(chart)):
        assert text.splitlines()[2] == ", ".join(facts)
    page = lay_out(chart, PageStyle()).pages[0]
    printed = " ".join(texts(page)).replace("♭", "b")
    assert all(fact in printed for fact in facts)
    assert overlaps(page) == []


def test_a_sheet_that_is_moved_twice_comes_from_its_first_key() -> None:
    moved = midneck.read(midneck.read(TUNE, key="G"), up=3)
    assert moved.transposition is not None
    assert (str(moved.transposition.home), str(moved.transposition.sounding)) == (
        "Db major", "Bb major",
    )  # fmt: skip
    back = midneck.read(moved, key="Db")
    assert back.transposition is None
    assert back == midneck.read(TUNE)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('name = "Anna  Bell"\nhand = "left"\n', "for Anna Bell, left-handed"),
        ('preset = "small hand"\n', "for anna"),
    ],
)
def test_a_player_file_gives_a_name(
    text: str, says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The name in it, or that of the file."""
    (tmp_path / "anna.toml").write_text(text)
    (tmp_path / "tram.txt").write_text(TUNE)
    asked = [str(tmp_path / "tram.txt"), "--player", str(tmp_path / "anna.toml"), "--text"]
    assert run(["chart", *asked]) == 0
    assert capsys.readouterr().out.splitlines()[2] == says


def test_a_drill_says_for_whom_it_is() -> None:
    drill = midneck.drill("ii-V-I", player="small-hand", hand="left", keys="C,F")
    text = drill.files("txt")[0][1].decode()
    assert text.splitlines()[1].endswith("for small hands, left-handed")


def test_four_rows_of_facts_begin_at_the_top_of_the_frame() -> None:
    """All rows stand below each other beside the name, none above the frame, over the rule."""
    wish = {"key": "G", "instrument": "Bb", "player": "small-hand", "hand": "left"}
    chart = midneck.chart(TUNE, **wish, style="four-note").comping  # type: ignore[arg-type]
    style = PageStyle()
    page = lay_out(chart, style).pages[0]
    right = style.frame[2]
    printed = [item for item in page.items if isinstance(item, Text)]
    rows = [text for text in printed if text.grey and text.x > 200 and text.y < 100]
    assert len(rows) == 4
    heights = [row.y for row in rows]
    assert heights == sorted(heights)
    assert {round(after - before, 2) for before, after in pairwise(heights)} == {14.5}
    assert heights[0] - 10.0 >= style.frame[1] - 0.5
    assert all(row.x + row.spans[-1].end == pytest.approx(right, abs=0.01) for row in rows)
