"""What the command line says about slips in options, books, stale pages and folders."""

from __future__ import annotations

import os
from pathlib import Path

import click
import pytest
from midneck.render.commands.groups import PURPOSES
from midneck.render.commands.lesson import _place as lesson_place
from midneck.render.commands.main import COMMANDS, cli, run
from midneck.render.commands.messages import LONGEST, show
from midneck.render.output import UNFINISHED

Output = pytest.CaptureFixture[str]
TUNE = "Title: Weir\nKey: F\n\n| Gm7 | C7 | F6 | % |\n"


@pytest.fixture
def folder(working_folder: Path) -> Path:
    (working_folder / "tunes").mkdir()
    for name in ("weir", "lock"):
        (working_folder / "tunes" / f"{name}.txt").write_text(TUNE, encoding="utf-8")
    return working_folder


def error_of(capsys: Output, *arguments: str, status: int = 2) -> str:
    """What is said on standard error, in one line."""
    assert run(list(arguments)) == status
    return " ".join(capsys.readouterr().err.split())


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_option_of_a_command_has_a_purpose(name: str) -> None:
    purposes = [option for options in PURPOSES.values() for option in options]
    assert len(purposes) == len(set(purposes))
    with click.Context(cli) as context:
        command = cli.get_command(context, name)
    assert command is not None
    options = {param.name for param in command.params if isinstance(param, click.Option)}
    assert options <= set(purposes)


@pytest.mark.parametrize(
    ("topic", "words"),
    [("formt", "did you mean 'format'?"), ("Chrt", "did you mean 'chart'?"),
     ("nothing", "there is on format, chart, areas")],
)  # fmt: skip
def test_help_on_a_topic_that_is_none_names_the_nearest(
    capsys: Output, topic: str, words: str
) -> None:
    assert run(["help", topic]) == 2
    assert f"there is no help on {topic!r}; {words}" in capsys.readouterr().err


def test_the_help_has_the_purposes_in_their_order(capsys: Output) -> None:
    assert run(["chart", "--help"]) == 0
    told = capsys.readouterr().out
    places = [told.index(f"\n{purpose}:\n") for purpose in PURPOSES if f"\n{purpose}:\n" in told]
    assert places == sorted(places)
    assert len(places) == 7
    assert "\nOptions:\n" not in told


@pytest.mark.parametrize(
    ("typed", "key"),
    [("tenor", "Bb"), ("alto", "Eb"), ("bb", "Bb"), ("EB", "Eb"), ("Trumpet", "Bb"), ("f", "F")],
)
def test_an_instrument_goes_by_its_key_or_its_name(folder: Path, typed: str, key: str) -> None:
    assert run(["chart", "tunes/weir.txt", "--for", typed, "-q"]) == 0
    assert [path.name for path in folder.glob("*.pdf")] == [f"weir_for-{key}.pdf"]


def test_an_unknown_instrument_is_told_the_others(folder: Path, capsys: Output) -> None:
    said = error_of(capsys, "chart", "tunes/weir.txt", "--for", "kazoo")
    assert said.endswith(
        "'kazoo' is no instrument; there are Bb (trumpet, clarinet, soprano, tenor), "
        "Eb (alto, baritone), F (horn)"
    )


def test_a_paper_may_be_typed_in_capitals(folder: Path) -> None:
    assert run(["chart", "tunes/weir.txt", "--paper", "Letter", "-q"]) == 0
    assert (folder / "weir.pdf").exists()


def test_left_is_told_its_option(folder: Path, capsys: Output) -> None:
    said = error_of(capsys, "chart", "tunes/weir.txt", "--left")
    assert said.endswith("there is no option --left; it is --hand left here")
    assert "no option --left" not in error_of(capsys, "order", "tunes/weir.txt", "--left")


def test_up_and_down_at_once_are_refused_with_the_reason(folder: Path, capsys: Output) -> None:
    said = error_of(capsys, "chart", "tunes/weir.txt", "--up", "3", "--down", "2")
    assert said.endswith("up 3 and down 2 semitones are two moves: give one (up 1)")


def test_a_minor_key_for_a_major_tune_is_refused_with_the_reason(
    folder: Path, capsys: Output
) -> None:
    said = error_of(capsys, "chart", "tunes/weir.txt", "--key", "Cm")
    assert said == (
        "tunes/weir.txt: the tune is in F major, a major key: it can move to another tonic, as "
        "with the key C, but not become C minor"
    )
    Path("dusk.txt").write_text("Key: Dm\n| Em7b5 | A7 | Dm6 | % |\n", encoding="utf-8")
    assert run(["chart", "dusk.txt", "--key", "Em", "-q"]) == 0
    assert run(["chart", "dusk.txt", "--key", "E", "-q"]) == 0


@pytest.mark.parametrize("sheets", [["tunes"], ["tunes/weir.txt", "tunes/lock.txt"]])
def test_a_book_of_several_sheets_is_another_command(
    folder: Path, capsys: Output, sheets: list[str]
) -> None:
    said = error_of(capsys, "chart", *sheets, "-o", "book.pdf")
    assert said.endswith(
        "-o book.pdf is one file, and there are 2 sheets: chart makes a page of each, in a folder "
        "as with -o book/ --format pdf; a book of them is another command, midneck book"
    )
    assert not (folder / "book.pdf").exists()


def test_an_update_tells_of_pages_whose_sheets_are_gone(folder: Path, capsys: Output) -> None:
    assert run(["chart", "tunes", "-o", "out/", "-q"]) == 0
    assert run(["chart", "tunes", "-o", "out/", "--key", "G", "-q"]) == 0
    Path("out/mine.pdf").write_bytes(b"%PDF my own")
    assert run(["drill", "ii-V-I", "-o", "out/"]) == 0
    Path("out/beside.txt").write_text(TUNE, encoding="utf-8")
    assert run(["chart", "out/beside.txt", "-o", "out/", "-q"]) == 0
    Path("tunes/lock.txt").rename("tunes/sluice.txt")
    capsys.readouterr()
    assert run(["chart", "tunes", "-o", "out/", "--update", "-q"]) == 0
    assert capsys.readouterr().err.splitlines() == [
        f"out/lock{words}.pdf: none of these sheets has its name; delete the page if its sheet was "
        "removed or renamed"
        for words in ("", "_in-G")
    ]
    assert Path("out/lock.pdf").exists()


def test_a_page_that_is_given_as_a_sheet_is_no_text(folder: Path, capsys: Output) -> None:
    assert run(["chart", "tunes/weir.txt", "-q"]) == 0
    assert "weir.pdf: this is a PDF file, not a sheet" in error_of(capsys, "chart", "weir.pdf")


def test_an_unfinished_file_of_a_run_that_ended_goes_although_nothing_is_made(
    folder: Path,
) -> None:
    assert run(["chart", "tunes/weir.txt", "-q"]) == 0
    unfinished = folder / f"{UNFINISHED[0]}tune{UNFINISHED[1]}"
    unfinished.write_bytes(b"%PDF")
    os.utime(unfinished, (0, 0))
    assert run(["chart", "tunes/weir.txt", "-q", "--update"]) == 0
    assert not unfinished.exists()


@pytest.mark.parametrize(("length", "cut"), [(LONGEST, False), (LONGEST + 1, True)])
def test_an_error_is_cut_where_it_is_longer_than_the_most(
    length: int, cut: bool, capsys: Output
) -> None:
    words = "x" * (length - len("Error: \n"))
    show(click.ClickException(words))
    assert ("…" in capsys.readouterr().err) == cut


@pytest.mark.parametrize(
    ("out", "zipped", "place"),
    [
        (None, False, "weir-lesson"), (None, True, "weir-lesson.zip"), ("anna", True, "anna.zip"),
        ("anna.1", True, "anna.1.zip"), ("anna/", True, "anna/weir-lesson.zip"),
        ("anna.zip", True, "anna.zip"), ("anna", False, "anna"),
    ],
)  # fmt: skip
def test_where_a_lesson_goes(folder: Path, out: str | None, zipped: bool, place: str) -> None:
    assert lesson_place(out, zipped, "weir-lesson") == Path(place)


def test_mistakes_and_impossible_grips_name_the_file_with_its_folder(
    folder: Path, capsys: Output
) -> None:
    Path("tunes/lock.txt").write_text("| Hm7 |\n", encoding="utf-8")
    Path("tunes/weir.txt").write_text("| C6<1 x 14 9 x x> |\n", encoding="utf-8")
    said = error_of(capsys, "chart", "tunes", "-o", "out/", status=1)
    assert "tunes/lock.txt:1:3: H is written B here" in said
    assert said.count("tunes/weir.txt:1:3: bar 1, C6: the pinned grip") == 1
    for command in (["others"], ["play"], ["lesson"], ["drill", "--from"]):
        said = error_of(capsys, *command, "tunes/weir.txt")
        assert said.count("tunes/weir.txt:1:3: bar 1, C6: the pinned grip") == 1
