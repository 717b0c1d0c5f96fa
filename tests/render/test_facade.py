"""The front door: `import midneck`, what it makes and saves, what it refuses, its examples."""

from __future__ import annotations

import doctest
import io
import json
import re
import subprocess
import sys
import wave
from collections.abc import Callable
from pathlib import Path
from typing import Any

import midneck
import mido
import pypdf
import pytest
import soundfile
from midneck.converter.hand.player import PRESETS
from midneck.converter.make import make_chart
from midneck.grammar.text.reader import read_sheet
from midneck.render import charts, drills, lessons, sources
from midneck.render.commands.main import run
from midneck.render.options import STYLE_NAMES
from midneck.render.report import report
from PIL import Image

TEXT = "Title: Short\nKey: C\nTempo: 120\n\nA:\n| Dm7 | G7 | Cmaj7 | A7 |\n| Dm7 | G7 | C6 | % ||\n"
#: A stamp as it stands in an SVG page.
STAMP = re.compile(r"<metadata>midneck-sha256:[0-9a-f]{64} [0-9/]+ [0-9a-f]{16}</metadata>")
SLOW = ("click", "lark", "mido", "numpy", "pymupdf_fonts", "pypdfium2", "reportlab")


@pytest.fixture
def tune(working_folder: Path) -> Path:
    path = working_folder / "tune.txt"
    path.write_text(TEXT, encoding="utf-8")
    return path


def test_public_names_are_sorted_and_there() -> None:
    assert midneck.__all__ == sorted(midneck.__all__)
    assert all(getattr(midneck, name) is not None for name in midneck.__all__)
    assert set(midneck.__all__) <= set(dir(midneck))
    with pytest.raises(AttributeError, match="module 'midneck' has no attribute 'charts'"):
        midneck.charts  # noqa: B018


def test_import_loads_no_library() -> None:
    script = "import sys, midneck; print(*sys.modules)"
    done = subprocess.run(
        [sys.executable, "-c", script], check=True, capture_output=True, text=True
    )
    loaded = set(done.stdout.split())
    assert not loaded.intersection(SLOW)
    ours = {name for name in loaded if name.startswith("midneck")}
    assert ours == {"midneck", "midneck.render", "midneck.render.version"}


def test_version_is_that_of_the_package(capsys: pytest.CaptureFixture[str]) -> None:
    from importlib.metadata import version

    assert midneck.__version__ == version("midneck")
    assert run(["--version"]) == 0
    assert capsys.readouterr().out.strip() == f"midneck, version {midneck.__version__}"


@pytest.mark.parametrize("module", [midneck, charts, drills, lessons, sources])
def test_examples_of_docstrings_run(module: Any, tmp_path: Path) -> None:
    names = {"midneck": midneck, "folder": tmp_path}
    tried = doctest.testmod(module, extraglobs=names)
    assert tried.failed == 0
    assert tried.attempted > 0


def test_every_public_function_and_method_has_an_example() -> None:
    for shown in (midneck, midneck.chart, midneck.read, midneck.drill, midneck.Chart.save,
                  midneck.Chart.explain, midneck.Drill.save,
                  midneck.lesson, midneck.Lesson.save):  # fmt: skip
        assert ">>>" in (shown.__doc__ or "")


def test_a_tune_comes_as_path_text_or_sheet(tune: Path) -> None:
    whole = read_sheet(TEXT)
    for source in (tune, str(tune), TEXT, whole):
        assert [str(one.chord) for one in midneck.read(source).chords] == [
            str(one.chord) for one in whole.chords
        ]
        assert midneck.chart(source).plan == make_chart(whole).plan


def test_musicxml_comes_as_file_and_text(tune: Path) -> None:
    [path] = midneck.chart(tune).save("tune.musicxml")
    from_file = midneck.read(path)
    assert from_file == midneck.read(str(path))
    from_text = midneck.read(path.read_text(encoding="utf-8"))
    assert [str(one.chord) for one in from_text.chords] == [
        str(one.chord) for one in from_file.chords
    ]


def test_chart_tells_what_it_holds(tune: Path) -> None:
    chart = midneck.chart(tune, player="small-hand", key="Eb")
    assert str(chart.key) == "Eb major"
    assert [area.kind for area in chart.areas] == ["ii-V-I", "turnaround", "ii-V-I"]
    assert chart.player == PRESETS["small hand"]
    assert chart.plan.travel.optimal
    assert str(chart.sheet.chords[0].chord) == "Fm7"
    assert repr(chart).startswith("<Chart 'Short' in Eb major: 8 bars, shifts of ")


def test_the_command_line_goes_through_the_same_door(
    tune: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    options = {"key": "A", "style": "colour", "hand": "left", "window": "2-9"}
    arguments = [part for name, value in options.items() for part in (f"--{name}", value)]
    chart = midneck.chart(tune, smooth=True, **options)
    assert run(["chart", "tune.txt", "--json", "--smooth", *arguments]) == 0
    assert json.loads(capsys.readouterr().out) == report(chart.comping, "tune.txt")
    assert run(["chart", "tune.txt", "--explain", "--smooth", *arguments]) == 0
    told = capsys.readouterr().out
    assert told.split() == chart.explain().split()


@pytest.mark.parametrize("page", [{}, {"paper": "a5", "large": True, "studio": "Northgate"}])
def test_pages_are_those_of_the_command_line(tune: Path, page: dict[str, Any]) -> None:
    arguments = [
        part for name, value in page.items()
        for part in ([f"--{name}"] if value is True else [f"--{name}", value])
    ]  # fmt: skip
    assert run(["chart", "tune.txt", "-q", "-o", "theirs/", "--format", "svg", *arguments]) == 0
    ours = midneck.chart(tune).save(Path("ours.svg"), **page)
    for mine, other in zip(ours, sorted(Path("theirs").iterdir()), strict=True):
        drawn, stamped = mine.read_text(), other.read_text()
        assert STAMP.sub("", drawn, 1) == STAMP.sub("", stamped, 1)


def _pdf(data: bytes) -> bool:
    return len(pypdf.PdfReader(io.BytesIO(data)).pages) == 1


def _png(data: bytes) -> bool:
    return Image.open(io.BytesIO(data)).format == "PNG"


def _midi(data: bytes) -> bool:
    return mido.MidiFile(file=io.BytesIO(data)).length > 10


def _wav(data: bytes) -> bool:
    return wave.open(io.BytesIO(data)).getnframes() > 44_100


def _audio(data: bytes) -> bool:
    return soundfile.info(io.BytesIO(data)).duration > 1


#: Each ending with a judge of its bytes: outside libraries where there is one.
JUDGES: dict[str, Callable[[bytes], bool]] = {
    "pdf": _pdf,
    "svg": lambda data: data.rstrip().endswith(b"</svg>"),
    "png": _png,
    "txt": lambda data: "Short" in data.decode(),
    "musicxml": lambda data: b"<score-partwise" in data,
    "mid": _midi,
    "wav": _wav,
    **dict.fromkeys(("ogg", "flac", "mp3"), _audio),
    "json": lambda data: json.loads(data)["title"] == "Short",
}


@pytest.mark.parametrize("ending", charts.SAVED_FORMATS)
def test_the_ending_chooses_the_format(tune: Path, ending: str) -> None:
    chart = midneck.chart(tune)
    for _ in range(2):  # a file of our own is written over
        [path] = chart.save(f"out/Tune.{ending.upper()}")
        assert path == Path(f"out/Tune.{ending.upper()}")
        assert JUDGES[ending](path.read_bytes())


def test_pages_of_a_picture_are_files_of_their_own(tune: Path) -> None:
    chart = midneck.chart(tune)
    names = [path.name for path in chart.save("tune.svg", second_page=True)]
    assert names == ["tune-1.svg", "tune-2.svg"]
    assert all(Path(name).is_file() for name in names)


def test_playback_options_reach_the_file(tune: Path) -> None:
    chart = midneck.chart(tune)
    lengths = []
    for name, options in (("a", {"tempo": 120}), ("b", {"tempo": 60}), ("c", {"choruses": 2})):
        [path] = chart.save(f"{name}.mid", count_in=0, **options)
        lengths.append(mido.MidiFile(path).length)
    assert lengths[1] == pytest.approx(2 * lengths[0], rel=0.1)
    assert lengths[2] > 1.8 * lengths[0]


def test_a_notebook_shows_the_first_page(tune: Path) -> None:
    chart = midneck.chart(tune)
    [page] = chart.save("tune.svg")
    assert chart._repr_svg_() == page.read_text(encoding="utf-8")
    assert midneck.drill("ii-V-I")._repr_svg_().startswith("<svg")


def test_files_of_others_are_kept_unless_forced(tune: Path) -> None:
    Path("mine.json").write_text('{"mine": 1}', encoding="utf-8")
    chart = midneck.chart(tune)
    with pytest.raises(OSError, match=r"mine\.json was not made by Midneck"):
        chart.save("mine.json")
    assert chart.save("mine.json", force=True) == (Path("mine.json"),)


def test_a_drill_is_made_and_saved(tune: Path) -> None:
    drill = midneck.drill(
        "ii-V-I", keys=["C", "F"], strings=5, rhythm="charleston", player="beginner"
    )
    assert len(drill.exercises) == 1
    assert [str(station.key) for station in drill.exercises[0].stations] == ["C major", "F major"]
    assert repr(drill) == f"<Drill {drill.title!r}: 1 exercise>"
    for ending in (*drills.SAVED_FORMATS, drills.SAVED_FORMATS[0]):
        paths = drill.save(f"drill.{ending}")
        assert all(path.stat().st_size > 0 for path in paths)
    assert _pdf(Path("drill.pdf").read_bytes())
    assert _midi(Path("drill.mid").read_bytes())


def test_a_chart_has_a_drill_of_its_own(tune: Path, capsys: pytest.CaptureFixture[str]) -> None:
    drill = midneck.drill(midneck.chart(tune, player="small-hand"), repetitions=2)
    [path] = drill.save("own.json")
    arguments = ["--player", "small-hand", "--repetitions", "2", "--json"]
    assert run(["drill", "--from", "tune.txt", *arguments]) == 0
    saved = json.loads(path.read_text(encoding="utf-8"))
    assert saved.pop("stamp").startswith("midneck-sha256:")
    assert json.loads(capsys.readouterr().out) == saved


def test_a_chart_is_planned_as_it_is_asked_for() -> None:
    asked = {"style": "four-note", "smooth": True, "same_grips": False, "first_root_string": 5}
    options = midneck.chart(TEXT, tempo=240, **asked).comping.options
    assert {name: getattr(options, name) for name in asked} == asked
    slow, fast = (midneck.chart(TEXT, tempo=tempo).comping.plan for tempo in (60, 240))
    assert slow.effort_mm < fast.effort_mm, "a shorter time raises the effort of a change"


def test_a_lesson_keeps_what_it_is_asked_for() -> None:
    lesson = midneck.lesson(TEXT, tempo=90, repetitions=3, rhythm="Charleston", name="Anna")
    practice = lesson.drill.practice
    assert (lesson.tempo, practice.repetitions, lesson.rhythm) == (90, 3, "charleston")
    assert (practice.rhythm, lesson.name) == ("charleston", "Anna")


#: A call, the error, and what its message names: the value and what is allowed.
WRONG: tuple[tuple[Callable[[], Any], type[Exception], str], ...] = (
    (lambda: midneck.chart(TEXT, player="giant"), midneck.MidneckError,
     r"no player file 'giant'; give a TOML file or one of: adult, small-hand, beginner"),
    (lambda: midneck.chart(TEXT, player="begginer"), midneck.MidneckError,
     r"no player file 'begginer'; did you mean 'beginner'\?$"),
    (lambda: midneck.chart(TEXT, key="X"), midneck.MidneckError, "'X' is not a key; expected one"),
    (lambda: midneck.chart(TEXT, style="loud"), midneck.MidneckError,
     "style cannot be 'loud'; there are: " + ", ".join(STYLE_NAMES)),
    (lambda: midneck.chart(TEXT, hand="both"), midneck.MidneckError,
     "hand cannot be 'both'; there are: right, left"),
    (lambda: midneck.chart(TEXT, window=(9, 3)), midneck.MidneckError,
     r"window takes two frets, as in 3-10, not \(9, 3\)"),
    (lambda: midneck.chart(TEXT, up=12), midneck.MidneckError, "up is 0 to 11 semitones, not 12"),
    (lambda: midneck.chart(TEXT, instrument="D"), midneck.MidneckError,
     "instrument cannot be 'D'; there are: Bb, F, Eb"),
    (lambda: midneck.chart(TEXT, tempo=0), midneck.MidneckError, "tempo goes from 20 to 400; 0 "),
    (lambda: midneck.chart(TEXT, first_root_string="6"), TypeError, "first_root_string is int"),
    (lambda: midneck.chart(TEXT, player="."), midneck.MidneckError, r"no player file '\.'; give"),
    (lambda: midneck.chart(TEXT).files("doc"), midneck.MidneckError, "format cannot be 'doc'"),
    (lambda: midneck.drill("ii-V-I").files("doc"), midneck.MidneckError, "format cannot be 'doc'"),
    (lambda: midneck.chart(TEXT).save("a\0.pdf"), midneck.MidneckError, "leave out the zero byte"),
    (lambda: midneck.chart(TEXT).save("t.pdf", force="no"), TypeError, "force is bool, not str"),
    (lambda: midneck.chart("A:\n| Qx7 ||\n"), midneck.SheetError, "Qx7"),
    (lambda: midneck.chart("A:\n| Dm7<19 x 1 10 x x> ||\n"), midneck.MidneckError, "Dm7"),
    (lambda: midneck.chart(TEXT).save("tune.doc"), midneck.MidneckError,
     "cannot write .doc; there are: " + ", ".join(charts.SAVED_FORMATS)),
    (lambda: midneck.chart(TEXT).save("tune"), midneck.MidneckError, "tune without an ending"),
    (lambda: midneck.chart(TEXT).save("tune.mid", paper="a4"), midneck.MidneckError,
     "paper is no option of a .mid file; its options: choruses, count_in, rhythm, tempo"),
    (lambda: midneck.chart(TEXT).save("tune.json", large=True), midneck.MidneckError,
     "large is no option of a .json file; its options: none"),
    (lambda: midneck.chart(TEXT).save("tune.pdf", paper="a3"),
     midneck.MidneckError, "paper cannot be 'a3'; there are: a4, letter, a5"),
    (lambda: midneck.chart(TEXT).save("tune.pdf", bars_per_line=13), midneck.MidneckError,
     "bars per line are 1 to 12, not 13"),
    (lambda: midneck.chart(TEXT).save("tune.mid", rhythm="polka"), midneck.MidneckError, "polka"),
    (lambda: midneck.drill("minor-two-five"), midneck.MidneckError, "There are ii-V-I, "),
    (lambda: midneck.drill("ii-V-I", octave=True, strings="any", repetitions=0),
     midneck.MidneckError, r"(?s)from 1 to 100; 0 .*\noctave stays .*: choose strings 6"),
    (lambda: midneck.chart(7), TypeError, "tune is str or PathLike or Sheet, not int"),
    (lambda: midneck.chart(TEXT, player=7), TypeError, "player is .*, not int"),
    (lambda: midneck.chart(TEXT, up=True), TypeError, "up is int, not bool"),
    (lambda: midneck.read(TEXT, key="X"), midneck.MidneckError, "'X' is not a key; expected one"),
    (lambda: midneck.chart(TEXT, key=3), TypeError, "key is str or Key, not int"),
    (lambda: midneck.chart(TEXT, window=3), TypeError, "window is a pair"),
    (lambda: midneck.chart(TEXT, smooth="no"), TypeError, "smooth is bool"),
    (lambda: midneck.chart(TEXT).save("t.pdf", large=1), TypeError, "large is bool, not int"),
    (lambda: midneck.chart(TEXT).save("t.mid", tempo="fast"), TypeError, "tempo is int"),
    (lambda: midneck.drill("ii-V-I", seed="x"), TypeError, "seed is int, not str"),
    (lambda: midneck.drill("ii-V-I", pace=3), TypeError, "no option pace"),
    (lambda: midneck.drill(midneck.chart(TEXT), player="beginner"), midneck.MidneckError,
     "for the chart's player: leave out player, or give it to midneck.chart"),
    (lambda: midneck.drill(midneck.chart(TEXT), window=(3, 9)), midneck.MidneckError,
     "leave out window"),
)  # fmt: skip


@pytest.mark.parametrize(("call", "error", "says"), WRONG)
def test_wrong_values_are_told_with_what_is_allowed(
    call: Callable[[], Any], error: type[Exception], says: str, tune: Path
) -> None:
    with pytest.raises(error, match=says):
        call()


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("no such tune.txt", r"no file 'no such tune\.txt': give the path of a sheet, or its text"),
        ("| Dm7 | G7 |", "its text with a newline in it"),
        ("", "'' is empty: give the path of one sheet"),
        (".", r"'\.' is a folder: give the path of one sheet"),
        ("a\0b", "cannot be read: embedded null byte"),
        ("a" * 300, "cannot be read: file name too long"),
    ],
)
def test_a_tune_that_cannot_be_read_is_an_error_of_both_kinds(name: str, says: str) -> None:
    for kind in (midneck.MidneckError, OSError):
        with pytest.raises(kind, match=says):
            midneck.read(name)


def test_a_file_of_another_maker_is_kept_unless_forced(tune: Path) -> None:
    Path("mine.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(midneck.MidneckError, match="move it away, or add force=True"):
        midneck.chart(tune).save("mine.txt")
    assert Path("mine.txt").read_text(encoding="utf-8") == "mine"
    midneck.chart(tune).save("mine.txt", force=True)
    assert Path("mine.txt").read_text(encoding="utf-8") != "mine"


def test_a_plan_shows_itself_on_one_line(tune: Path) -> None:
    plan = midneck.chart(tune).plan
    sounding = sum(grip is not None for grip in plan.grips)
    assert repr(plan) == f"<GripPlan grips: {sounding}, effort: {plan.effort_mm:.1f} mm>"


def test_a_player_file_is_read(tune: Path) -> None:
    Path("anna.toml").write_text('hand = "left"\nwindow = [4, 9]\n', encoding="utf-8")
    player = midneck.chart(tune, player="anna.toml").player
    assert (player.hand, player.window) == ("left", (4, 9))
    assert midneck.chart(tune, player=Path("anna.toml"), window=(3, 8)).player.window == (3, 8)
    Path("bad.toml").write_text('hand = "third"\n', encoding="utf-8")
    with pytest.raises(midneck.SheetError, match="hand cannot be 'third'"):
        midneck.chart(tune, player="bad.toml")
