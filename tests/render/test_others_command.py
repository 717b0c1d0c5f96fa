"""`midneck others`: other grips of a chord, what they add, and that they can be kept."""

from __future__ import annotations

import re
from pathlib import Path

import midneck
import pytest
from midneck.converter.make import make_chart
from midneck.grammar.text.reader import read_sheet
from midneck.render.commands.main import run

TUNE = "Title: Two Lamps\nKey: C\nA:\n| Dm7 | G7 | Cmaj7 | A7 ||\n"
Output = pytest.CaptureFixture[str]


@pytest.fixture
def folder(working_folder: Path) -> Path:
    (working_folder / "lamps.txt").write_text(TUNE, encoding="utf-8")
    return working_folder


def test_a_kept_grip_costs_what_was_said(folder: Path, capsys: Output) -> None:
    assert run(["others", "lamps.txt", "--bars", "2", "--count", "1"]) == 0
    told = capsys.readouterr().out
    assert max(map(len, told.splitlines())) <= 80
    other = re.search(
        r"^  (G7<[\dx ]+>) .*\n +(\d+) mm more(?:, (\d+) frets? (more|less))?$", told, re.M
    )
    assert other is not None
    pin, added, frets, way = other.groups()
    best = make_chart(midneck.read(folder / "lamps.txt")).plan
    kept = make_chart(read_sheet(TUNE.replace("G7", pin))).plan
    assert round(kept.effort_mm - best.effort_mm) == int(added) > 0
    more = int(frets or 0) * (-1 if way == "less" else 1)
    assert kept.travel.shift_frets == best.travel.shift_frets + more


def test_every_chord_is_listed_without_bars(folder: Path, capsys: Output) -> None:
    assert run(["others", "lamps.txt"]) == 0
    told = capsys.readouterr().out
    assert re.findall(r"^Bar (\d): (\w+)<", told, re.M) == [
        ("1", "Dm7"), ("2", "G7"), ("3", "Cmaj7"), ("4", "A7"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("bars", "told"),
    [("9", "no chord sounds in bar 9; the last bar is 4"), ("x", "give numbers, as 7 or 9-16")],
)
def test_bars_that_are_not_there_are_refused(
    folder: Path, capsys: Output, bars: str, told: str
) -> None:
    assert run(["others", "lamps.txt", "--bars", bars]) == 2
    assert told in capsys.readouterr().err


def test_a_silent_tune_has_no_chord(folder: Path, capsys: Output) -> None:
    (folder / "still.txt").write_text("A:\n| N.C. | % ||\n", encoding="utf-8")
    assert run(["others", "still.txt"]) == 2
    assert "no chord sounds in this tune" in capsys.readouterr().err


def test_a_chord_with_one_grip_has_no_other(folder: Path, capsys: Output) -> None:
    (folder / "kept.txt").write_text("A:\n| Dm7<10 x 10 10 x x> ||\n", encoding="utf-8")
    assert run(["others", "kept.txt"]) == 0
    assert "there is no other" in capsys.readouterr().out


def test_warnings_are_printed_before_what_is_wrong(folder: Path, capsys: Output) -> None:
    (folder / "still.txt").write_text("Tempe: 120\nA:\n| N.C. ||\n", encoding="utf-8")
    assert run(["others", "still.txt"]) == 2
    first, *rest = capsys.readouterr().err.splitlines()
    assert first.startswith("still.txt: ")
    assert "Tempo" in first
    assert "no chord sounds in this tune" in "\n".join(rest)
