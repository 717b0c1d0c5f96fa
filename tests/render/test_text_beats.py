"""Beats, repeated pairs of bars and widths in the text and the sentences of a chart."""

from __future__ import annotations

import sys
from fractions import Fraction
from types import SimpleNamespace

import pytest
from midneck.converter.prose.facts import beats_words
from midneck.render import text as module
from midneck.render.text import chart_in_words, terminal_width, text_chart
from support.charts import FERRYMAN, LANTERNS, chart_of


def rows(bars: str, meter: str = "4/4") -> list[str]:
    chart = chart_of(f"Key: C\nTime: {meter}\n\nA:\n{bars}\n")
    return text_chart(chart).splitlines()


@pytest.mark.parametrize(
    ("bar", "meter", "strokes"),
    [
        ("| Em7b5 / / A7 |", "4/4", "X / / X"),
        ("| Dm7=3.5 G7=0.5 |", "4/4", "X / / / x"),
        ("| Dm7=1.5 G7=2.5 |", "4/4", "X / x / /"),
        ("| Dm7 / / G7 / |", "5/4", "X / / X /"),
        ("| Dm7 / G7 / / |", "5/4", "X / X / /"),
        ("| Dm7 G7 |", "3/4", "X / x /"),
    ],
)
def test_every_beat_of_an_uneven_bar_shows(bar: str, meter: str, strokes: str) -> None:
    """Chords that start on a beat have a heavy stroke, those between beats a small one."""
    found = rows(f"{bar} Cmaj7 ||", meter)
    beats = next(line for line in found if "X" in line and "is a beat" not in line)
    assert " ".join(beats.replace("|", " ").split()) == strokes
    assert any(line.startswith("X is a beat with a chord") for line in found)


def test_even_bars_show_no_beats() -> None:
    found = rows("| Em7b5 A7 | Dm7 | G7 / C6 / ||")
    assert not any("X" in line for line in found)


def test_one_sign_repeats_two_bars() -> None:
    bars = "| Dm7 | G7 | %% | C6 ||"
    assert sum(line.count("%%") for line in rows(bars)) == 1
    words = chart_in_words(chart_of(f"Key: C\n\nA:\n{bars}\n")).splitlines()
    assert [line for line in words if "again" in line] == [
        "Bars 3 and 4: the two bars before again."
    ]
    assert any(line.startswith("Bar 5: C6 for the whole bar") for line in words)


@pytest.mark.parametrize(
    ("start", "beats", "whole", "said"),
    [
        ("0", "4", "4", "for the whole bar"),
        ("0", "3", "4", "for the first three beats"),
        ("3", "1", "4", "on beat four"),
        ("2", "2", "4", "on beats three and four"),
        ("2", "3", "5", "on beats three to five"),
        ("0", "1", "4", "on beat one"),
        ("0", "7/2", "4", "for the first three and a half beats"),
        ("7/2", "1/2", "4", "on the and of beat four"),
        ("0", "1/2", "4", "on the first half of beat one"),
        ("3/2", "5/2", "4", "from the and of beat two on for two and a half beats"),
        ("4/3", "2/3", "4", "from 1/3 behind beat two on for 2/3 of a beat"),
        ("0", "15", "16", "for the first 15 beats"),
    ],
)
def test_beats_are_said_as_a_listener_counts_them(
    start: str, beats: str, whole: str, said: str
) -> None:
    assert beats_words(Fraction(start), Fraction(beats), Fraction(whole)) == said


def test_a_pickup_says_how_long_it_lasts() -> None:
    assert "Bar 0 (pickup): F7 for one beat" in chart_in_words(chart_of(FERRYMAN))


@pytest.mark.parametrize("width", [40, 60, 80, 120, 170])
def test_text_keeps_to_the_width(width: int) -> None:
    """Where one bar alone is wider than a narrow terminal it stands by itself."""
    lines = text_chart(chart_of(LANTERNS), width=width).splitlines()
    assert max(map(len, lines)) <= width
    bars = max(line.replace("||", "|").count("|") - 1 for line in lines)
    assert bars == {40: 2, 60: 2, 80: 4, 120: 4, 170: 8}[width]


@pytest.mark.parametrize(
    ("terminal", "columns", "width"), [(False, 200, 80), (True, 200, 200), (True, 10, 40)]
)
def test_the_width_is_that_of_the_terminal(
    terminal: bool, columns: int, width: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    stream = SimpleNamespace(closed=False, isatty=lambda: terminal)
    monkeypatch.setattr(sys, "__stdout__", stream)
    monkeypatch.setenv("COLUMNS", str(columns))
    assert module.WIDTH == 80
    assert terminal_width() == width
