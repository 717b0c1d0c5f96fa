"""What the command line says when it refuses: the whole line, status 2, nothing written."""

from __future__ import annotations

from pathlib import Path

import pytest
from midneck.render.commands.main import COMMANDS, run

TUNE = "Title: A\nKey: C\n\nA:\n| Dm7 | G7 | C6 | % ||\n"
NAMES = ", ".join(COMMANDS)
#: A command line, and the line that it ends with.
REFUSED = {
    "chrat tune.txt": "Error: there is no command 'chrat'; did you mean 'chart'?",
    "xyz": f"Error: there is no command 'xyz'; there are {NAMES}",
    "help nope": f"Error: there is no help on 'nope'; there is on format, {NAMES}",
    "chart nowhere.txt": "midneck: nowhere.txt: no such file or directory",
    "chart empty": "Error: no sheets in empty",
    "chart tune.txt -o tune.txt": (
        "midneck: tune.txt is the sheet itself: name another place with -o"
    ),
    "chart tune.txt --json --format pdf": (
        "Error: --json writes no file: leave out --format, or add -o FILE"
    ),
    "chart tune.txt other.txt --json -o out.json": (
        "Error: cannot write .json; there are: pdf, svg, png, txt, musicxml"
    ),
    "chart tune.txt --json --text": "Error: --json and --text both print: give one of them",
    "chart tune.txt --words -o -": "Error: --words and -o - both print: give one of them",
    "tidy - --in-place": "midneck: standard input cannot be rewritten in place",
    "drill ii-V-I --cycle keys": "Error: the cycle keys needs its keys: --keys C,F,Bb",
    "play tune.txt -o -": (
        "Error: play cannot write to standard output: give -o a .mid or .wav file"
    ),
    "lesson tune.txt -o file": "midneck: file is a file: name a folder with -o",
    "book empty": "Error: there is no tune to bind: name sheets, or a folder of them",
    "desk nowhere": "Error: there is no folder nowhere: name the folder of your tunes",
    "desk tune.txt": "Error: there is no folder tune.txt: name the folder of your tunes",
    "find nowhere": "Error: there is no folder nowhere: name a folder of tunes",
    "find . --tempo 100": "Error: --tempo takes two tempos, as in 100:140, not '100'",
    "find . --tempo 10000:20000": (
        "Error: --tempo takes two tempos, as in 100:140, not '10000:20000'"
    ),
    "find . --hard-change C6": "Error: 'C6' is no change: two chord symbols, as in 'Gmaj7 Bbm7'",
    "find . --grip x54": "Error: 'x54' is no grip: six frets from string 6, as in 'x 5 4 5 x x'",
    "compare tune.txt": (
        "Error: name two players, two styles, a second sheet, or --smooth"
    ),
    "drill ii-V-I --octave --strings any": (
        "Error: --octave stays on its strings: choose --strings 6 or 5 with it"
    ),
    "drill ii-V-I --keys C,F --cycle fourths": (
        "Error: --keys names the order itself: leave out --cycle fourths"
    ),
    "drill ii-V-I --seed 3 --cycle fourths": (
        "Error: --seed draws a random order: leave out --cycle fourths"
    ),
    "drill ii-V-I --seed 3 --keys C,F": (
        "Error: --seed draws a random order: leave out --keys"
    ),
    "drill ii-V-I --cycle random": (
        "Error: a random order needs --seed N: the same number, the same order"
    ),
    "drill ii-V-I --bars-per-chord x": (
        "Error: --bars-per-chord takes a number of bars, as in 2 or 1/2, not 'x'"
    ),
    "grid Dm7 --key Eb": (
        "Error: a chord alone has no key to leave: name it as it shall be"
    ),
}  # fmt: skip


@pytest.fixture
def place(working_folder: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with two tunes, a file that is none and an empty folder."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(working_folder / "cache"))
    for name in ("tune.txt", "other.txt", "file"):
        Path(name).write_text(TUNE, encoding="utf-8")
    Path("empty").mkdir()
    return working_folder


@pytest.mark.parametrize("line", REFUSED)
def test_a_refusal_says_its_whole_line(
    line: str, place: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = sorted(path for path in place.iterdir() if path.name != "cache")
    assert run(line.split()) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.splitlines()[-1] == REFUSED[line]
    assert sorted(path for path in place.iterdir() if path.name != "cache") == before


#: Names that people try, and the option that is named instead.
MEANT = {
    "--left": "--hand left", "--right": "--hand right", "--left-handed": "--hand left",
    "--lefty": "--hand left", "--letter": "--paper letter", "--transpose": "--up",
    "--capo": "--up", "--pdf": "--format pdf", "--png": "--format png", "--svg": "--format svg",
}  # fmt: skip


@pytest.mark.parametrize("tried", MEANT)
def test_an_option_of_another_name_is_told_ours(
    tried: str, place: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["chart", "tune.txt", tried]) == 2
    assert f"{MEANT[tried]}" in capsys.readouterr().err.splitlines()[-1]


def test_the_first_failed_sheets_are_named_and_the_others_counted(
    place: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for number in range(23):
        Path("empty", f"{number:02}.txt").write_text("| H |\n", encoding="utf-8")
    assert run(["areas", "empty"]) == 1
    names = [f"  empty/{number:02}.txt" for number in range(20)]
    told = ["23 of 23 sheets failed:", *names, "  and 3 more"]
    assert capsys.readouterr().err.splitlines()[-22:] == told


def test_two_texts_are_printed_one_below_the_other(
    place: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    printed = []
    for options in (["--text"], ["--words"], ["--text", "--words"]):
        assert run(["chart", "tune.txt", *options]) == 0
        printed.append(capsys.readouterr().out)
    assert printed[0].strip() in printed[2]
    assert printed[1].strip() in printed[2]
