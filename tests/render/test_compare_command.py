"""`midneck compare`: two plans side by side, with the figures of the charts that they come from."""

from __future__ import annotations

import re
from pathlib import Path

import midneck
import pytest
from midneck.render.commands.main import run

TUNE = "Title: Two Lamps\nKey: C\nA:\n| Dm7 | G7b9 | Cmaj7 | A7 | Fm7 | Bb7 | Ebmaj7 | Am7b5 ||\n"
Output = pytest.CaptureFixture[str]


@pytest.fixture
def folder(working_folder: Path) -> Path:
    (working_folder / "lamps.txt").write_text(TUNE, encoding="utf-8")
    (working_folder / "kept.txt").write_text(
        TUNE.replace("G7b9", "G7b9<x 10 9 10 x x>"), encoding="utf-8"
    )
    return working_folder


def told(capsys: Output, *arguments: str) -> str:
    assert run(["compare", *arguments]) == 0
    text = capsys.readouterr().out
    assert max(map(len, text.splitlines())) <= 80
    return text


def row(text: str, name: str) -> list[str]:
    line = next(line for line in text.splitlines() if line.startswith(name))
    return re.split(r" {2,}", line)[1:]


def test_styles_stand_side_by_side_with_the_figures_of_their_charts(
    folder: Path, capsys: Output
) -> None:
    text = told(capsys, "lamps.txt", "--style", "shell", "--style", "four-note")
    charts = [midneck.chart(folder / "lamps.txt", style=style) for style in ("shell", "four-note")]
    travels = [chart.plan.travel for chart in charts]
    assert text.splitlines()[2].split() == ["shell", "four-note"]
    assert row(text, "effort") == [f"{chart.plan.effort_mm:.0f} mm" for chart in charts]
    assert [int(cell.split()[0]) for cell in row(text, "shifting")] == [
        travel.shift_frets for travel in travels
    ]
    grips = zip(*(chart.plan.grips for chart in charts), strict=True)
    assert text.count("\nbar ") == sum(one != other for one, other in grips)


def test_two_players_have_no_common_measure_of_effort(folder: Path, capsys: Output) -> None:
    text = told(capsys, "lamps.txt", "--player", "adult", "--player", "small-hand")
    assert text.splitlines()[2].split() == ["adult", "small-hand"]
    assert "\neffort" not in text
    assert len(row(text, "widest reach")) == 2


def test_a_sheet_with_other_grips_is_set_beside_the_first(folder: Path, capsys: Output) -> None:
    text = told(capsys, "lamps.txt", "kept.txt")
    assert text.splitlines()[2].split() == ["lamps", "kept"]
    assert row(text, "bar 2 G7(b9)")[-1].startswith("x 10 9 10 x x")


def test_smooth_is_the_second_plan(folder: Path, capsys: Output) -> None:
    text = told(capsys, "lamps.txt", "--smooth")
    assert re.split(r" {2,}", text.splitlines()[2].strip()) == ["least effort", "smooth"]
    least, smooth = (int(cell.split()[0]) for cell in row(text, "effort"))
    assert smooth >= least


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["lamps.txt"], "name two players, two styles, a second sheet, or --smooth"),
        (["lamps.txt", "--style", "shell", "--style", "shell"], "name two players"),
        (["lamps.txt", *["--player", "adult"] * 3], "--player is given 3 times"),
        (["lamps.txt", "short.txt"], "8 chords and 1: they cannot be set side by side"),
    ],
)
def test_what_cannot_be_compared_is_refused(
    folder: Path, capsys: Output, arguments: list[str], message: str
) -> None:
    (folder / "short.txt").write_text("| C6 |\n", encoding="utf-8")
    assert run(["compare", *arguments]) == 2
    assert message in capsys.readouterr().err
