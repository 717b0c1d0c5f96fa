"""`midneck chart` as a user types it: what is printed, what is written, what is refused."""

from __future__ import annotations

import io
import json
from itertools import pairwise
from pathlib import Path

import midneck
import pypdf
import pytest
from midneck.render.commands.main import run
from support.charts import example_paths

EXAMPLES = example_paths()
TUNE = "Title: Tram Stop\nBy: A. Nobody\nKey: C\n\nA:\n| Dm7 | G7 | C6 | A7 ||\n"
FOUR_MISTAKES = "Titel: Tram Stop\nKey: H\n\nA:\n| Dm7 | Gxyz7 | C6 / / / / | F6 :|2. E7 ||\n"


@pytest.fixture
def folder(working_folder: Path) -> Path:
    (working_folder / "tram.txt").write_text(TUNE, encoding="utf-8")
    return working_folder


def text_of(path: Path) -> str:
    return "".join(page.extract_text() for page in pypdf.PdfReader(path).pages)


def test_a_chart_is_written_and_told(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["chart", "tram.txt"]) == 0
    told = capsys.readouterr().out
    for part in ("Tram Stop", "C major", "bars 1–3 C major", "frets in all", "tram.pdf in"):
        assert part in told
    text = text_of(folder / "tram.pdf")
    assert all(symbol in text for symbol in ("Tram Stop", "Dm7", "G7", "C6", "A7"))


def test_the_same_input_gives_the_same_bytes(folder: Path) -> None:
    assert run(["chart", "tram.txt", "-q", "-o", "one.pdf"]) == 0
    assert run(["chart", "tram.txt", "-q", "-o", "two.pdf"]) == 0
    assert (folder / "one.pdf").read_bytes() == (folder / "two.pdf").read_bytes()


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_thirty_two_bars_fit_one_page(path: Path, folder: Path) -> None:
    for paper in ("a4", "letter"):
        assert run(["chart", str(path), "--paper", paper, "-q", "-o", f"{paper}.pdf"]) == 0
        pages = len(pypdf.PdfReader(folder / f"{paper}.pdf").pages)
        assert (pages == 1) == (len(midneck.read(path).bars) <= 32)


def test_json_gives_a_line_a_sheet_and_draws_nothing(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["chart", *map(str, EXAMPLES), "--json"]) == 0
    lines = capsys.readouterr().out.splitlines()
    titles = [json.loads(line)["title"] for line in lines]
    assert len(titles) == len(EXAMPLES) >= 3
    assert list(folder.glob("*.pdf")) == []


def test_json_with_an_output_draws_too(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["chart", "tram.txt", "--json", "-o", "out/"]) == 0
    assert json.loads(capsys.readouterr().out)["key"] == "C major"
    assert (folder / "out" / "tram.pdf").read_bytes().startswith(b"%PDF")


def test_four_mistakes_are_named_at_once(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "bad.txt").write_text(FOUR_MISTAKES, encoding="utf-8")
    assert run(["chart", "bad.txt"]) == 2
    told = capsys.readouterr().err
    for place in ("bad.txt:2:6", "bad.txt:5:11", "bad.txt:5:17", "bad.txt:5:34"):
        assert place in told
    assert "^" in told
    assert list(folder.glob("*.pdf")) == []


def test_mistakes_come_as_data_too(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "bad.txt").write_text(FOUR_MISTAKES, encoding="utf-8")
    assert run(["chart", "bad.txt", "tram.txt", "--json"]) == 2
    failed, good = map(json.loads, capsys.readouterr().out.splitlines())
    assert len(failed["problems"]) >= 4
    assert good["title"] == "Tram Stop"


def test_a_folder_is_worked_through(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "bad.txt").write_text("A:\n| Q7 ||\n", encoding="utf-8")
    assert run(["chart", ".", "-o", "out/"]) == 1
    assert "1 of 2 sheets failed" in capsys.readouterr().err
    assert [path.name for path in (folder / "out").iterdir()] == ["tram.pdf"]


def test_a_file_of_somebody_else_is_kept(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "tram.pdf").write_bytes(b"a letter to my mother")
    assert run(["chart", "tram.txt"]) == 2
    assert "not made by Midneck" in capsys.readouterr().err
    assert (folder / "tram.pdf").read_bytes() == b"a letter to my mother"
    assert run(["chart", "tram.txt", "--force", "-q"]) == 0
    assert run(["chart", "tram.txt", "-q"]) == 0


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["chart", "none.txt"], "none.txt: no such file"),
        (["chart", "tram.txt", "-o", "x.docx"], "cannot write .docx; there are: pdf"),
        (["chart", "tram.txt", "--second-page", "--format", "png", "-o", "-"], "takes one file"),
        (["chart", "tram.txt", "-o", "x.png", "--format", "pdf"], "ask for two formats"),
        (["chart", "tram.txt", "--tab"], "--tab is for MusicXML: add --format musicxml"),
        (["chart", "tram.txt", "--json", "--text"], "--json and --text both print: give one"),
        (["chart", "tram.txt", "--text", "-o", "-"], "--text and -o - both print: give one"),
        (["chart", "tram.txt", "--text", "--format", "svg"], "--text writes no file"),
        (["chart", "tram.txt", "--key", "Q"], "'Q' is not a key"),
        (["chart", "tram.txt", "--player", "giant"], "adult, small-hand, beginner"),
        (["chart", "tram.txt", "--window", "ten"], "window takes two frets"),
        (["chrat"], "did you mean 'chart'?"),
        (["chart"], "Missing argument"),
    ],
)
def test_what_cannot_be_done_is_said(
    arguments: list[str], message: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(arguments) == 2
    assert message in capsys.readouterr().err


def test_an_impossible_grip_names_chord_and_bar(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "far.txt").write_text("A:\n| Dm7<1 x x x x 19> | G7 ||\n", encoding="utf-8")
    assert run(["chart", "far.txt"]) == 2
    told = capsys.readouterr().err
    assert "Dm7" in told
    assert "bar 1" in told


def test_another_key(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["chart", "tram.txt", "--key", "Eb", "--json"]) == 0
    report = json.loads(capsys.readouterr().out)
    assert report["key"] == "Eb major"
    assert [chord["symbol"] for chord in report["chords"]] == ["Fm7", "Bb7", "Eb6", "C7"]


def test_an_instrument_in_b_flat_reads_a_tone_up(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["chart", "tram.txt", "--for", "Bb", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["key"] == "D major"


def test_standard_input_and_output(
    folder: Path, capsysbinary: pytest.CaptureFixture[bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    source = io.TextIOWrapper(io.BytesIO(TUNE.encode()), encoding="utf-8")
    monkeypatch.setattr("sys.stdin", source)
    assert run(["chart", "-", "-o", "-"]) == 0
    assert capsysbinary.readouterr().out.startswith(b"%PDF")


def test_text_fits_eighty_columns(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for path in EXAMPLES:
        assert run(["chart", str(path), "--text"]) == 0
        lines = capsys.readouterr().out.splitlines()
        assert max(len(line) for line in lines) <= 80
        assert any("x" in line and "|" in line for line in lines)


def test_frets_keep_off_the_bar_line(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "wide.txt").write_text("| Gm7 C7 | F6 |\n", encoding="utf-8")
    assert run(["chart", "wide.txt", "--text"]) == 0
    rows = [line for line in capsys.readouterr().out.splitlines() if line.startswith("|")]
    assert any("10" in row for row in rows)
    assert all(before == " " for row in rows for before, sign in pairwise(row) if sign == "|")


def test_more_strings_are_counted(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tuning = 'tuning = ["B1", "E2", "A2", "D3", "G3", "B3", "E4"]'
    (folder / "seven.toml").write_text(tuning, encoding="utf-8")
    assert run(["chart", "tram.txt", "--text", "--player", "seven.toml"]) == 0
    assert "fingers run from string 7 to string 1" in capsys.readouterr().out


def test_the_plan_explains_itself(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["chart", "tram.txt", "--explain"]) == 0
    told = capsys.readouterr().out
    assert "Change by change:" in told
    assert "Dm7" in told


@pytest.mark.parametrize(
    ("kind", "start", "holds"),
    [("svg", b"<svg ", b"Tram Stop"), ("png", b"\x89PNG", b"IDAT"),
     ("txt", "Tram Stop – A. Nobody\n".encode(), b"Dm7"),
     ("musicxml", b"<?xml ", b"<work-title>Tram Stop<")],
)  # fmt: skip
def test_other_formats_are_written_and_written_over(
    kind: str, start: bytes, holds: bytes, folder: Path
) -> None:
    assert run(["chart", "tram.txt", "-q", "-o", f"out.{kind}"]) == 0
    once = (folder / f"out.{kind}").read_bytes()
    assert once.startswith(start)
    assert holds in once
    assert run(["chart", "tram.txt", "-q", "-o", f"out.{kind}"]) == 0
    assert (folder / f"out.{kind}").read_bytes() == once


def test_midneck_alone_shows_an_example(capsys: pytest.CaptureFixture[str]) -> None:
    assert run([]) == 0
    assert "midneck chart my_tune.txt" in capsys.readouterr().out


def test_the_chart_in_sentences(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["chart", "tram.txt", "--words"]) == 0
    told = capsys.readouterr().out
    assert "Bar 1: Dm7 for the whole bar, ii7 in C major: string " in told
    assert told.count("the rest silent") == 4


def test_a_teacher_has_defaults_and_options_go_before_them(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "mine.toml").write_text('studio = "Studio Quay"\nnote = "Slowly"', encoding="utf-8")
    wish = ["--defaults", "mine.toml", "--note", "By heart", "-q"]
    assert run(["chart", "tram.txt", *wish]) == 0
    text = text_of(folder / "tram.pdf")
    assert "Studio Quay" in text
    assert "By heart" in text
    assert "Slowly" not in text
    (folder / "mine.toml").write_text('school = "Quay"', encoding="utf-8")
    assert run(["chart", "tram.txt", *wish]) == 2
    assert "school not understood; known are studio, student, date" in capsys.readouterr().err


@pytest.mark.parametrize("option", ["--player", "--defaults"])
def test_a_file_that_is_no_text_is_no_toml(
    option: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "mine.toml").write_bytes('note = "Slowly"'.encode("utf-16"))
    assert run(["chart", "tram.txt", option, "mine.toml"]) == 2
    assert "mine.toml is no UTF-8 text, as a TOML file is" in capsys.readouterr().err


@pytest.mark.slow
def test_a_very_long_tune(folder: Path) -> None:
    (folder / "long.txt").write_text("| Dm7 | G7 | C6 | A7 |\n" * 240, encoding="utf-8")
    assert run(["chart", "long.txt", "-q"]) == 0
    assert len(pypdf.PdfReader(folder / "long.pdf").pages) > 15


def test_a_place_that_takes_no_files(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["chart", "tram.txt", "-o", "/proc/tram.pdf"]) == 2
    assert "/proc/tram.pdf cannot be written" in capsys.readouterr().err
