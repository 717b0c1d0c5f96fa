"""`midneck grid`: one chord's grid, a line or some bars of a tune's chart, as a user types it."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest
from midneck.render.commands.main import run
from midneck.render.page import PageStyle, write_svg
from midneck.render.page.context import layout_context
from midneck.render.page.drawing.items import Line, Text
from midneck.render.page.layout import bars_picture, line_count, line_picture, part_of
from midneck.render.page.line import measure_lines
from midneck.render.page.line_breaks import break_lines
from midneck.render.text import fret_string
from support.charts import FERRYMAN, LANTERNS, chart_of

SVG = "{http://www.w3.org/2000/svg}"
Output = pytest.CaptureFixture[str]


@pytest.fixture
def folder(working_folder: Path) -> Path:
    (working_folder / "lanterns.txt").write_text(LANTERNS, encoding="utf-8")
    (working_folder / "still.txt").write_text("A:\n| N.C. ||\n", encoding="utf-8")
    return working_folder


def symbols(svg: str) -> list[str]:
    """The chord symbols of a picture, left to right and line by line, with plain b and #."""
    root = ElementTree.fromstring(svg)
    assert root.tag == f"{SVG}svg"
    found = []
    for group in root.iter(f"{SVG}g"):
        if group.get("class") == "chord":
            text = next(group.iter(f"{SVG}text"))
            found.append("".join(text.itertext()).replace("♭", "b").replace("♯", "#"))
    return found


def drawn(folder: Path, *wish: str) -> list[str]:
    assert run(["grid", *wish, "-o", "out.svg"]) == 0
    return symbols((folder / "out.svg").read_text(encoding="utf-8"))


def test_a_grid_is_drawn(folder: Path, capsys: Output) -> None:
    assert drawn(folder, "Dm7", "--root-string", "6") == ["Dm7"]
    assert "Dm7  10-x-10-10-x-x  wrote out.svg" in capsys.readouterr().out


def test_signs_are_drawn_where_they_are_wanted(folder: Path) -> None:
    assert drawn(folder, "Dm7", "--symbols", "signs") == ["D–7"]


def test_a_grid_goes_to_standard_output(capsysbinary: pytest.CaptureFixture[bytes]) -> None:
    assert run(["grid", "C7"]) == 0
    assert symbols(capsysbinary.readouterr().out.decode()) == ["C7"]


def test_a_bad_symbol_is_told_with_the_nearest(capsys: Output) -> None:
    assert run(["grid", "Dm77"]) == 2
    assert "did you mean Dm7?" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("line", "expected"),
    [("1", "Gm7 C7 F6 D7(b9)"), ("2", "Gm7 C7 F6 D7 Gm7 C7"), ("5", "Cm7 F7 Bb6")],
)
def test_a_line_is_drawn(line: str, expected: str, folder: Path, capsys: Output) -> None:
    found = drawn(folder, "--from", "lanterns.txt", "--line", line)
    assert " ".join(found).replace("7b9", "7(b9)") == expected
    assert f"line {line}  wrote out.svg" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("bars", "expected"),
    [
        ("5-8", "Gm7 C7 F6 D7 Gm7 C7"),
        ("6–7", "C7 F6 D7"),
        ("7-10", "F6 D7 Gm7 C7 Gm7 C7"),
        ("19", "Bb6"),
        ("1-32", None),
    ],
)
def test_bars_are_drawn(bars: str, expected: str | None, folder: Path) -> None:
    found = drawn(folder, "--from", "lanterns.txt", "--bars", bars)
    if expected is None:
        chords = [str(one.chord) for one in chart_of(LANTERNS).sheet.chords]
        assert [one.replace("7b9", "7(b9)") for one in found] == chords
    else:
        assert " ".join(found) == expected


def test_a_line_in_another_key(folder: Path) -> None:
    found = drawn(folder, "--from", "lanterns.txt", "--line", "2", "--key", "C")
    assert found == ["Dm7", "G7", "C6", "A7", "Dm7", "G7"]


def test_a_chord_of_a_tune_has_the_grip_that_it_has_there(folder: Path, capsys: Output) -> None:
    chart = chart_of(LANTERNS)
    at = next(i for i, one in enumerate(chart.sheet.chords) if str(one.chord) == "Gb7")
    assert drawn(folder, "Gb7", "--from", "lanterns.txt") == ["Gb7"]
    grip = chart.plan.grips[at]
    assert grip is not None
    assert f"bar 21: Gb7  {fret_string(grip)}  wrote" in capsys.readouterr().out
    assert drawn(folder, "C7", "--from", "lanterns.txt", "--bars", "24") == ["C7"]
    assert "bar 24: C7" in capsys.readouterr().out


def test_what_the_reader_noticed_is_told(folder: Path, capsys: Output) -> None:
    (folder / "odd.txt").write_text("Titel: Odd\nA:\n| Dm7 ||\n", encoding="utf-8")
    drawn(folder, "--from", "odd.txt", "--bars", "1")
    assert "odd.txt: " in capsys.readouterr().err


@pytest.mark.parametrize(
    ("wish", "message"),
    [
        ([], "name a chord, or a tune with --from and what to draw of it"),
        (["--from", "lanterns.txt"], "name a chord, or a tune with --from"),
        (["--line", "2"], "add --from TUNE"),
        (["Dm7", "--bars", "2"], "add --from TUNE"),
        (["--from", "lanterns.txt", "--line", "9"], "there is no line 9; there are lines 1 to 8"),
        (["--from", "lanterns.txt", "--line", "0"], "there are lines 1 to 8"),
        (["--from", "lanterns.txt", "--bars", "31-33"], "the tune has no bars 31–33; there are "
         "bars 1 to 32"),
        (["--from", "lanterns.txt", "--bars", "33"], "the tune has no bar 33; there are bars 1"),
        (["--from", "lanterns.txt", "--bars", "8-5"], "there are bars 1 to 32"),
        (["--from", "lanterns.txt", "--bars", "x"], "names no bars"),
        (["--from", "lanterns.txt", "--line", "1", "--bars", "2"], "leave out --bars"),
        (["Am7", "--from", "lanterns.txt", "--bars", "1-2"], "there is no Am7 in bars 1–2; there "
         "are Gm7, C7"),
        (["--from", "none.txt", "--line", "1"], "none.txt: no such file"),
        (["Dm7", "--up", "2"], "a chord alone has no key"),
        (["Dm7", "--from", "still.txt"], "there is no Dm7 in bar 1; there are no chords"),
        (["Dm7", "-o", "dm7.pdf"], "cannot write .pdf; there are: svg"),
    ],
)  # fmt: skip
def test_what_cannot_be_drawn_is_said(
    wish: list[str], message: str, folder: Path, capsys: Output
) -> None:
    assert run(["grid", *wish]) == 2
    output = capsys.readouterr()
    assert message in " ".join(output.err.split())
    assert output.out == ""


def test_bars_of_a_line_are_drawn_as_the_line_has_them() -> None:
    """All bars of a line by their numbers make the picture of that line, brackets included."""
    chart = chart_of(LANTERNS)
    assert bars_picture(chart, (5, 8)) == line_picture(chart, 1)
    assert line_count(chart) == 8


def test_a_bracket_is_cut_where_its_other_chord_is_left_out() -> None:
    """Bars 1 and 2 are a ii–V: each alone keeps its half, as wide as the bar, no wider."""
    chart = chart_of(LANTERNS)
    context = layout_context(chart, PageStyle())
    (line, *_) = measure_lines(context, break_lines(context, context.music_width))
    part = part_of(context, line, (1, 1))
    assert part is not None
    (piece,) = part.line.pieces
    assert piece.x == 0
    cut = [mark for mark in part.marks if mark.cut_right]
    assert cut
    assert all(0 <= mark.x1 < mark.x2 <= piece.width for mark in part.marks)
    assert part_of(context, line, (5, 8)) is None


def test_ticks_of_bars_from_the_middle_of_a_line_stand_over_their_chords() -> None:
    """The first tick of a bar stands where its first chord begins, as it does in the whole line."""
    chart = chart_of("Title: T\n\nA:\n| C | Am7 | Dm7 / / G7 | C |\n")
    items = bars_picture(chart, (3, 3)).pages[0].items
    symbol = next(item for item in items if isinstance(item, Text) and item.string.startswith("D"))
    first = next(item for item in items if isinstance(item, Line) and item.x1 != item.x2)
    assert first.x1 - 0.5 * first.width == pytest.approx(symbol.x)


@pytest.mark.parametrize("bars", [(0, 0), (1, 4), (9, 12), (20, 24)])
def test_any_bars_of_a_crowded_tune_are_drawn(bars: tuple[int, int]) -> None:
    assert (
        ElementTree.fromstring(write_svg(bars_picture(chart_of(FERRYMAN), bars))).tag == f"{SVG}svg"
    )
