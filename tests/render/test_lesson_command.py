"""`midneck lesson`: what is in the folder, what is kept, what is refused, nothing half written."""

from __future__ import annotations

import zipfile
from contextlib import redirect_stdout
from io import BytesIO, StringIO
from pathlib import Path

import midneck
import mido
import pytest
import soundfile
from midneck.converter.prose.facts import HAND_CAUTION, HEARING_CAUTION
from midneck.render import output
from midneck.render.commands.main import run
from midneck.render.lessons import zip_of_lessons
from midneck.render.page.drawing.style import PageStyle
from pypdf import PdfReader

pytestmark = pytest.mark.slow

EXAMPLES = Path(__file__).parents[2] / "examples"
Output = pytest.CaptureFixture[str]

TUNE = """Title: Ladle and Spoon
By: Ferdy Quill-Anders
Key: C
Time: 4/4
Tempo: 150

A:
| Dm7 | G7 | C6 | A7b9 ||
"""


@pytest.fixture
def folder(working_folder: Path) -> Path:
    (working_folder / "ladle.txt").write_text(TUNE, encoding="utf-8")
    return working_folder


def words(text: str) -> str:
    return " ".join(text.split())


def text_of(path: Path) -> str:
    return words(" ".join(page.extract_text() for page in PdfReader(path).pages))


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """The folder of a lesson with its sound, and what was told."""
    folder = tmp_path_factory.mktemp("lessons")
    (folder / "ladle.txt").write_text(TUNE, encoding="utf-8")
    told = StringIO()
    with redirect_stdout(told):
        asked = ["-o", str(folder / "anna"), "--player", "small-hand"]
        assert run(["lesson", str(folder / "ladle.txt"), *asked]) == 0
    return folder / "anna", told.getvalue()


def test_a_lesson_is_a_folder_of_plain_sortable_names(whole: tuple[Path, str]) -> None:
    made, told = whole
    names = sorted(path.name for path in made.iterdir())
    ladle = "Ladle and Spoon_small-hand"
    printed = [f"1 {ladle}, chart.pdf", f"2 {ladle}, drills.pdf"]
    played = [
        f"{number} {name}, {tempo}"
        for number, name, tempo in (
            (3, f"{ladle}, slowly", 100),
            (4, f"{ladle}, in tempo", 150),
            (5, "ii7-V7-I6 in place in C, four-to-the-bar", 100),
            (6, "ii7-V7-I6, down in whole steps, two rounds of six keys, four-to-the-bar", 100),
            (7, "Hard changes in C, four-to-the-bar", 100),
        )
    ]
    assert names == [*printed, *(f"{name}.{kind}" for name in played for kind in ("mid", "ogg"))]
    listed = [line[10:] for line in told.splitlines() if line.startswith("  wrote ")]
    assert listed == [str(made / name) for name in names]
    assert HAND_CAUTION in words(told)
    assert f"Slow is tempo 100. {HEARING_CAUTION}" in words(told)


def test_the_chart_has_its_second_page_and_the_drills_their_caution(folder: Path) -> None:
    assert run(["lesson", "ladle.txt", "-o", "anna", "--no-sound", "--student", "Anna Bell"]) == 0
    assert len(list((folder / "anna").iterdir())) == 2
    chart = text_of(folder / "anna/1 Ladle and Spoon, chart.pdf")
    assert "Anna Bell" in chart
    assert "What to practise" in chart
    drills = text_of(folder / "anna/2 Ladle and Spoon, drills.pdf")
    assert "Practice sheet: Ladle and Spoon" in drills
    assert HAND_CAUTION in drills


def test_slow_is_two_thirds_of_the_tempo(whole: tuple[Path, str]) -> None:
    made, _ = whole
    slow, fast = (
        mido.MidiFile(made / f"{name}.mid")
        for name in (
            "3 Ladle and Spoon_small-hand, slowly, 100",
            "4 Ladle and Spoon_small-hand, in tempo, 150",
        )
    )
    # 100 and 150 quarters a minute; a bar of count-in and four bars.
    assert slow.length == pytest.approx(20 * 0.6, abs=0.01)
    assert fast.length == pytest.approx(20 * 0.4, abs=0.01)
    # The ii–V–I in place: a bar of count-in, four bars four times, slowly.
    drill = mido.MidiFile(next(made.glob("5 *.mid")))
    assert drill.length == pytest.approx(68 * 0.6, abs=0.01)
    # Round the keys: once through twelve keys of four bars.
    drill = mido.MidiFile(next(made.glob("6 *.mid")))
    assert drill.length == pytest.approx(196 * 0.6, abs=0.01)
    sound = soundfile.info(next(made.glob("3 *.ogg")))
    assert sound.duration >= 12.0
    assert (sound.format, sound.samplerate, sound.channels) == ("OGG", 44_100, 1)


def test_what_is_there_is_kept_and_said(folder: Path, capsys: Output) -> None:
    (folder / "anna").mkdir()
    kept = folder / "anna/1 Ladle and Spoon, chart.pdf"
    kept.write_text("with the teacher's notes")
    assert run(["lesson", "ladle.txt", "-o", "anna", "--no-sound"]) == 0
    told = capsys.readouterr().out
    assert "  kept    anna/1 Ladle and Spoon, chart.pdf" in told
    assert "  wrote   anna/2 Ladle and Spoon, drills.pdf" in told
    assert "--force" in told
    assert kept.read_text() == "with the teacher's notes"
    assert run(["lesson", "ladle.txt", "-o", "anna", "--no-sound"]) == 0
    assert "wrote" not in capsys.readouterr().out


def test_force_writes_all_again(folder: Path, capsys: Output) -> None:
    (folder / "anna").mkdir()
    (folder / "anna/1 Ladle and Spoon, chart.pdf").write_text("old")
    assert run(["lesson", "ladle.txt", "-o", "anna", "--no-sound", "--force"]) == 0
    told = capsys.readouterr().out
    assert "kept" not in told
    assert (folder / "anna/1 Ladle and Spoon, chart.pdf").read_bytes().startswith(b"%PDF")


def test_the_folder_is_named_after_the_tune_unless_it_is_named(folder: Path) -> None:
    assert run(["lesson", "ladle.txt", "--no-sound", "-q"]) == 0
    assert sorted(path.name for path in (folder / "ladle-lesson").iterdir()) == [
        "1 Ladle and Spoon, chart.pdf", "2 Ladle and Spoon, drills.pdf",
    ]  # fmt: skip


def test_a_tune_without_title_is_named_after_its_file_dots_included(folder: Path) -> None:
    untitled = TUNE.partition("\n")[2]
    (folder / "no. 4 slow.txt").write_text(untitled, encoding="utf-8")
    assert run(["lesson", "no. 4 slow.txt", "-o", "out", "--no-sound", "-q"]) == 0
    assert (folder / "out/2 no. 4 slow, drills.pdf").exists()


def test_a_student_file_and_another_key(folder: Path) -> None:
    (folder / "anna.toml").write_text("window = [5, 12]\n", encoding="utf-8")
    asked = ["--player", "anna.toml", "--key", "Bb", "--rhythm", "charleston", "--no-sound"]
    assert run(["lesson", "ladle.txt", "-o", "anna", *asked, "--ladder", "80:100:10"]) == 0
    drills = text_of(folder / "anna/2 Ladle and Spoon_in-Bb_anna_frets-5-12, drills.pdf")
    assert "charleston" in drills
    assert "frets 5–12" in drills
    assert "B♭ major" in drills
    assert "tempo 80 to 100" in drills


def test_update_makes_what_has_changed(folder: Path, capsys: Output) -> None:
    asked = ["lesson", "ladle.txt", "-o", "anna", "--no-sound", "--update"]
    assert run(asked) == 0
    assert capsys.readouterr().out.count("  wrote ") == 2
    (folder / "anna/2 Ladle and Spoon, drills.pdf").unlink()
    assert run(asked) == 0
    told = capsys.readouterr().out
    assert "  kept    anna/1 Ladle and Spoon, chart.pdf" in told
    assert "  wrote   anna/2 Ladle and Spoon, drills.pdf" in told
    assert run([*asked, "--paper", "a5"]) == 0
    assert capsys.readouterr().out.count("  wrote ") == 2
    (folder / "ladle.txt").write_text(TUNE.replace("A7b9", "Am7"), encoding="utf-8")
    assert run([*asked, "--paper", "a5"]) == 0
    assert capsys.readouterr().out.count("  wrote ") == 2
    (folder / "anna/1 Ladle and Spoon, chart.pdf").write_text("with the teacher's notes")
    assert run([*asked, "--paper", "a5"]) == 2
    assert "not made by Midneck" in words(capsys.readouterr().err)


def test_update_knows_the_files_of_sound(whole: tuple[Path, str], capsys: Output) -> None:
    made, _ = whole
    asked = ["-o", str(made), "--player", "small-hand", "--update"]
    # A file that was made without --update is stamped as well.
    assert run(["lesson", str(made.parent / "ladle.txt"), *asked]) == 0
    assert "wrote" not in capsys.readouterr().out


def test_a_zip_holds_the_files_of_the_folder_and_the_same_bytes(
    folder: Path, capsys: Output
) -> None:
    asked = ["lesson", "ladle.txt", "--no-sound", "--style", "guide-tones"]
    assert run([*asked, "--zip"]) == 0
    name = "ladle_guide-tones-lesson"
    assert f"  wrote   {name}.zip" in capsys.readouterr().out
    assert run([*asked, "-o", "again.zip"]) == 0
    made = (folder / f"{name}.zip").read_bytes()
    assert made == (folder / "again.zip").read_bytes()
    assert run(asked) == 0
    with zipfile.ZipFile(BytesIO(made)) as file:
        assert file.testzip() is None
        assert sorted(file.namelist()) == sorted(path.name for path in (folder / name).iterdir())
    assert run([*asked, "--zip", "--update"]) == 0
    assert f"  kept    {name}.zip" in capsys.readouterr().out


def test_a_book_of_the_lesson_holds_the_chart_and_the_drills(folder: Path, capsys: Output) -> None:
    asked = ["lesson", "ladle.txt", "-o", "anna.pdf", "--rhythm", "charleston", "--update"]
    assert run(asked) == 0
    told = capsys.readouterr().out
    assert "  wrote   anna.pdf" in told
    reader = PdfReader(folder / "anna.pdf")
    tops = [entry.title for entry in reader.outline if not isinstance(entry, list)]
    assert tops == ["Ladle and Spoon", "Drills of each tune"]
    text = text_of(folder / "anna.pdf")
    assert "What to practise" in text
    assert "Practice sheet: Ladle and Spoon" in text
    assert "two rounds of six keys" in text
    assert run(asked) == 0
    assert "  kept    anna.pdf" in capsys.readouterr().out


def test_a_book_of_the_lesson_is_called_as_the_tune_not_as_its_files(folder: Path) -> None:
    asked = ["lesson", "ladle.txt", "-o", "anna.pdf", "--player", "small-hand", "--key", "Ab"]
    assert run(asked) == 0
    reader = PdfReader(folder / "anna.pdf")
    assert reader.metadata is not None
    assert reader.metadata.title == "Ladle and Spoon"
    assert "Ladle and Spoon_" not in text_of(folder / "anna.pdf")


def test_a_rhythm_is_drawn_on_the_chart_and_played(folder: Path) -> None:
    asked = ["--rhythm", "charleston", "--no-sound", "--grids", "none"]
    assert run(["lesson", "ladle.txt", "-o", "anna", *asked]) == 0
    assert "charleston" in text_of(folder / "anna/1 Ladle and Spoon, chart.pdf")
    assert "charleston" in text_of(folder / "anna/2 Ladle and Spoon, drills.pdf")
    assert run(["lesson", "ladle.txt", "-o", "plain", "--no-sound"]) == 0
    assert "charleston" not in text_of(folder / "plain/1 Ladle and Spoon, chart.pdf")


def test_lessons_of_several_tunes_are_one_zip_with_a_folder_each() -> None:
    lessons = [midneck.lesson(TUNE), midneck.lesson(TUNE), midneck.lesson("| Dm7 | G7 |\n")]
    data = zip_of_lessons(lessons, PageStyle(), "none")
    with zipfile.ZipFile(BytesIO(data)) as file:
        folders = {name.partition("/")[0] for name in file.namelist()}
        pages = PdfReader(BytesIO(file.read("Untitled/1 Untitled, chart.pdf"))).pages
    assert folders == {"Ladle and Spoon", "Ladle and Spoon (2)", "Untitled"}
    assert "What to practise" in pages[-1].extract_text()


def test_numbers_of_many_files_sort_as_text() -> None:
    lesson = midneck.lesson(EXAMPLES / "slate_roofs.txt")
    names = [file.name for file in lesson.files(PageStyle(), "ogg")]
    assert len(names) > 18
    assert names == sorted(names, key=lambda name: name.rpartition(".")[::2])
    assert names[0].startswith("01 ")


@pytest.mark.parametrize(
    ("asked", "message"),
    [
        (["--rhythm", "waltz"], "waltz does not fit 4/4"),
        (["--tempo", "5"], "the tempo goes from 20 to 400"),
        (["--ladder", "90"], "80:140:10"),
        (["--repetitions", "0"], "from 1 to 100"),
        (["--player", "nobody"], "adult, small-hand, beginner"),
        (["-o", "ladle.txt"], "ladle.txt is a file: name a folder"),
    ],
)
def test_what_cannot_be_leaves_no_folder(
    asked: list[str], message: str, folder: Path, capsys: Output
) -> None:
    assert run(["lesson", "ladle.txt", *asked]) == 2
    assert message in words(capsys.readouterr().err)
    assert [path.name for path in folder.iterdir()] == ["ladle.txt"]


def test_a_sheet_with_mistakes_leaves_no_folder(folder: Path, capsys: Output) -> None:
    (folder / "bad.txt").write_text("A:\n| Q7 ||\n", encoding="utf-8")
    assert run(["lesson", "bad.txt", "-o", "out"]) == 2
    assert "bad.txt:2:3" in capsys.readouterr().err
    assert not (folder / "out").exists()


def test_a_failing_disk_leaves_whole_files_only(
    folder: Path, capsys: Output, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = output._replace

    def full(place: Path, data: bytes, sync: bool) -> None:
        if place.suffix == ".ogg":
            raise OSError(28, "No space left on device")
        whole(place, data, sync)

    monkeypatch.setattr(output, "_replace", full)
    assert run(["lesson", "ladle.txt", "-o", "anna"]) == 2
    assert "no space left" in capsys.readouterr().err
    left = sorted(path.name for path in (folder / "anna").iterdir())
    assert left == [
        "1 Ladle and Spoon, chart.pdf",
        "2 Ladle and Spoon, drills.pdf",
        "3 Ladle and Spoon, slowly, 100.mid",
    ]


def test_a_tune_without_cadence_gets_dominants(folder: Path) -> None:
    (folder / "vamp.txt").write_text("Title: Vamp\n\nA:\n| Dm7 | Dm7 ||\n", encoding="utf-8")
    assert run(["lesson", "vamp.txt", "-o", "vamp", "--no-sound"]) == 0
    assert "no ii–V–I" in text_of(folder / "vamp/2 Vamp, drills.pdf")
