"""What result files are called: after the sheet and after what the result was made for."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from midneck.converter.hand.plan import PlanOptions
from midneck.converter.hand.player import BEGINNER, SMALL_HAND, Player
from midneck.render.commands.main import run
from midneck.render.names import choices_in_name, target
from midneck.render.output import OutputError
from midneck.render.sources import KeyChoice

TUNE = "Title: Tram Stop\nKey: Db\n\nA:\n| Ebm7 | Ab7 | Db6 | Bb7 ||\n\nB:\n| Gbmaj7 | Ab7 ||\n"


@pytest.fixture
def folder(working_folder: Path) -> Path:
    (working_folder / "tram.txt").write_text(TUNE, encoding="utf-8")
    return working_folder


def names(folder: Path) -> list[str]:
    """What was made in a folder."""
    return sorted(path.name for path in folder.iterdir() if path.suffix != ".txt")


@pytest.mark.parametrize(
    ("choice", "player", "options", "name"),
    [
        (KeyChoice(), Player(), PlanOptions(), ""),
        (KeyChoice(key="G"), Player(), PlanOptions(), "_in-G"),
        (KeyChoice(key="E♭ major"), Player(), PlanOptions(), "_in-Eb"),
        (KeyChoice(key="F#m"), Player(), PlanOptions(), "_in-F-sharp-minor"),
        (KeyChoice(up=3), Player(), PlanOptions(), "_up-3"),
        (KeyChoice(down=2), Player(), PlanOptions(), "_down-2"),
        (KeyChoice(key="G", instrument="Bb"), Player(), PlanOptions(), "_in-G_for-Bb"),
        (KeyChoice(), Player(hand="left"), PlanOptions(), "_left"),
        (KeyChoice(), SMALL_HAND, PlanOptions(style="four-note"), "_small-hand_four-note"),
        (KeyChoice(), BEGINNER, PlanOptions("guide tones", True), "_beginner_guide-tones_smooth"),
        (KeyChoice(), Player(window=(5, 12), name="Anna K./x"), PlanOptions(),
         "_anna-k-x_frets-5-12"),
    ],
)  # fmt: skip
def test_choices_are_words_that_no_shell_has_to_quote(
    choice: KeyChoice, player: Player, options: PlanOptions, name: str
) -> None:
    assert choices_in_name(choice, player, options) == name
    assert re.fullmatch(r"[\w-]*", name)


def test_a_chart_in_another_key_does_not_overwrite_the_first(folder: Path) -> None:
    assert run(["chart", "tram.txt", "-q"]) == 0
    first = (folder / "tram.pdf").read_bytes()
    wish = ["--hand", "left", "--player", "small-hand"]
    assert run(["chart", "tram.txt", "-q", "--key", "G", *wish]) == 0
    assert run(["chart", "tram.txt", "-q", "--for", "Bb"]) == 0
    assert names(folder) == ["tram.pdf", "tram_for-Bb.pdf", "tram_in-G_left_small-hand.pdf"]
    assert (folder / "tram.pdf").read_bytes() == first


def test_a_name_that_is_given_wins(folder: Path) -> None:
    assert run(["chart", "tram.txt", "-q", "--key", "G", "-o", "mine.pdf"]) == 0
    assert names(folder) == ["mine.pdf"]


def test_sheets_of_a_folder_are_named_alike(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sheets = folder / "sheets"
    sheets.mkdir()
    for name in ("one", "two"):
        (sheets / f"{name}.txt").write_text(TUNE, encoding="utf-8")
    asked = ["chart", "sheets", "-o", "out/", "--key", "G", "--update"]
    assert run([*asked, "-q"]) == 0
    assert names(folder / "out") == ["one_in-G.pdf", "two_in-G.pdf"]
    assert run(asked) == 0
    assert capsys.readouterr().out.count("is up to date") == 2


def test_drills_playback_and_lessons_say_it_too(folder: Path) -> None:
    assert run(["drill", "ii-V-I", "--strings", "5", "--cycle", "fourths", "-q"]) == 0
    assert run(["drill", "--from", "tram.txt", "--key", "G", "--hand", "left", "-q"]) == 0
    assert run(["play", "tram.txt", "--tempo", "200", "--bars", "B", "--key", "G"]) == 0
    assert run(["lesson", "tram.txt", "--key", "G", "--no-sound", "-q"]) == 0
    assert names(folder) == [
        "ii-V-I_fourths_string-5.pdf",
        "tram-drill_left_in-G.pdf",
        "tram_in-G-lesson",
        "tram_in-G_tempo-200_bars-B.mid",
    ]
    assert names(folder / "tram_in-G-lesson") == [
        "1 Tram Stop_in-G, chart.pdf", "2 Tram Stop_in-G, drills.pdf",
    ]  # fmt: skip


def test_a_file_takes_no_second_sheet(tmp_path: Path) -> None:
    taken, free = tmp_path / "both.pdf", tmp_path / "free"
    taken.write_text("kept", encoding="utf-8")
    said = f"^{re.escape(str(taken))} is a file, but there are several sheets: give a folder$"
    with pytest.raises(OutputError, match=said):
        target("a.txt", ".pdf", str(taken), many=True)
    assert target("a.txt", ".pdf", str(taken), many=False) == taken
    assert target("in/a.txt", ".pdf", str(free), many=True, choices="_left") == free / "a_left.pdf"
    assert target("a.txt", ".pdf", str(free), many=False) == free
    assert target("-", ".pdf", f"{free}/", many=False) == free / "sheet.pdf"
    assert target("in/a.txt", ".pdf", None, many=True) == Path("a.pdf")
