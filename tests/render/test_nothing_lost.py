"""No result overwrites another one, a sheet or a file of somebody else; files are saved whole."""

from __future__ import annotations

import os
import stat
import time
from pathlib import Path

import midneck
import pytest
from midneck.render import output, stamps
from midneck.render.commands.main import run
from midneck.render.names import clashes, folds_case
from midneck.render.output import OutputError, clear_unfinished, rewrite, write_result
from midneck.render.sources import files_in
from midneck.render.stamps import UNRECORDED, earlier_pages, is_current, sealed, stamp

Output = pytest.CaptureFixture[str]

TUNE = "Title: Tram Stop\nKey: C\n\nA:\n| Dm7 | G7 | C6 | A7 ||\n"
LONG = "Title: Long\nKey: C\n\nA:\n" + "| Dm7 | G7 | C6 | A7 |\n" * 40


@pytest.fixture
def folder(working_folder: Path) -> Path:
    (working_folder / "tram.txt").write_text(TUNE, encoding="utf-8")
    return working_folder


def made(number: int = 1, count: int = 1, text: str = "") -> bytes:
    """A file with the stamp of one of several files."""
    return sealed(f"{text}{stamp('a' * 64, number, count)}\n".encode())


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_page_does_not_overwrite_the_result_of_another_sheet(
    folder: Path, capsys: Output
) -> None:
    (folder / "blue.txt").write_text(LONG, encoding="utf-8")
    (folder / "blue-1.txt").write_text(TUNE, encoding="utf-8")
    for order in (["blue.txt", "blue-1.txt"], ["blue-1.txt", "blue.txt"]):
        assert run(["chart", *order, "-o", "out/", "--format", "svg", "-q"]) == 2
        assert "files, and out/blue-1.svg is that of blue-1.txt: rename one" in (
            capsys.readouterr().err
        )
        assert names(folder / "out") == ["blue-1.svg"]
        assert "Tram Stop" in Path("out/blue-1.svg").read_text(encoding="utf-8")


def test_results_of_a_run_are_kept_apart() -> None:
    paths = {
        "a/x.txt": Path("x.txt"), "b/x.txt": Path("x.txt"), "y.txt": Path("z.txt"),
        "z.txt": Path("w.txt"), "x-2.txt": Path("x-2.txt"),
    }  # fmt: skip
    found = clashes(paths)
    assert found.refused == {
        "b/x.txt": "b/x.txt would go to x.txt, as a/x.txt does: rename one",
        "y.txt": "y.txt would go to z.txt, which is a sheet itself: rename one",
    }
    assert found.taken == {Path("x-2.txt"): "x-2.txt"}
    with pytest.raises(OutputError, match=r"a/x\.txt has 2 files, and x-2\.txt is that of x-2"):
        found.check_pages("a/x.txt", [Path("x-1.txt"), Path("x-2.txt")])


def test_names_that_differ_in_case_are_one_where_the_folder_folds_case(
    tmp_path: Path,
) -> None:
    out = tmp_path / "new"
    paths = {name: out / name for name in ("Blue.txt", "blue.txt", "Tram.txt", "tram-1.txt")}
    assert not folds_case(out)
    assert clashes(paths).refused == {}
    out.mkdir()
    # Two names of one file are what a folder that folds case shows.
    (out / "Old.pdf").touch()
    os.link(out / "Old.pdf", out / "oLD.PDF")
    assert folds_case(out)
    found = clashes(paths)
    assert found.refused.keys() == {"blue.txt"}
    with pytest.raises(OutputError, match=r"Tram\.txt has 1 files, and .* is that of tram-1"):
        found.check_pages("Tram.txt", [out / "TRAM-1.txt"])


def test_names_of_many_sheets_are_compared_in_linear_time() -> None:
    """A quadratic comparison of so many names takes far longer."""
    paths = {f"{number}.txt": Path(f"{number}.pdf") for number in range(20_000)}
    began = time.process_time()
    assert clashes(paths).refused == {}
    assert time.process_time() - began < 4


def test_tidy_keeps_results_apart(folder: Path, capsys: Output) -> None:
    (folder / "deep").mkdir()
    (folder / "deep" / "tram.txt").write_text(TUNE, encoding="utf-8")
    sheets = ["tram.txt", "deep/tram.txt"]
    assert run(["tidy", *sheets, "-o", "out/", "--force"]) == 2
    assert "deep/tram.txt would go to out/tram.txt, as tram.txt does" in capsys.readouterr().err


@pytest.mark.parametrize(
    "arguments",
    [
        ["tidy", "", "--in-place"], ["tidy", "--in-place", "tram.txt", ""], ["chart", ""],
        ["chart", "tram.txt", "-o", ""], ["areas", ""], ["book", "", "-o", "b.pdf"], ["order", ""],
        ["drill", "--from", ""], ["lesson", ""], ["lesson", "tram.txt", "-o", ""], ["play", ""],
        ["others", ""], ["compare", ""], ["grid", "--from", "", "--line", "1"], ["find", ""],
        ["desk", ""], ["chart", "tram.txt", "--player", ""],
        ["book", "tram.txt", "--keep", ""], ["find", ".", "--knows", ""],
    ],
)  # fmt: skip
def test_an_empty_name_is_refused(folder: Path, arguments: list[str], capsys: Output) -> None:
    before = (folder / "tram.txt").read_bytes()
    assert run(arguments) == 2
    assert "is empty" in capsys.readouterr().err
    assert (folder / "tram.txt").read_bytes() == before
    assert names(folder) == ["tram.txt"]


def test_an_export_beside_its_sheet_is_no_sheet(folder: Path) -> None:
    for kind in ("musicxml", "txt"):
        assert run(["chart", "tram.txt", "-q", "--key", "Eb", "-o", f"tram_in-Eb.{kind}"]) == 0
    assert run(["chart", "tram.txt", "-q", "-o", "tram.musicxml"]) == 0
    (folder / "tram_shuttle.txt").write_text(TUNE, encoding="utf-8")
    assert files_in(["."]) == ["tram.txt", "tram_shuttle.txt"]
    assert files_in(["tram.musicxml"]) == ["tram.musicxml"]
    # One that was changed since is somebody's work, and one whose sheet is gone is all there is.
    score = folder / "tram.musicxml"
    score.write_bytes(score.read_bytes().replace(b"Tram Stop", b"Tram Shop"))
    assert files_in(["."]) == ["tram.musicxml", "tram.txt", "tram_shuttle.txt"]
    (folder / "tram.txt").unlink()
    score.unlink()
    assert "tram_in-Eb.musicxml" in [Path(name).name for name in files_in(["."])]


def test_pages_of_a_chart_that_has_shrunk_are_told(folder: Path, capsys: Output) -> None:
    asked = ["chart", "tram.txt", "-q", "--format", "svg"]
    (folder / "tram.txt").write_text(LONG, encoding="utf-8")
    assert run(asked) == 0
    old = sorted(path.name for path in folder.glob("*.svg"))
    assert len(old) > 1
    assert capsys.readouterr().err == ""
    (folder / "tram.txt").write_text(TUNE, encoding="utf-8")
    assert run(asked) == 0
    told = capsys.readouterr().err.splitlines()
    assert told == [f"{name}: the chart had more pages before; delete it" for name in old]


def test_pages_of_a_drill_that_has_shrunk_are_told(folder: Path, capsys: Output) -> None:
    for keys in (["--cycle", "fourths"], ["--keys", "C"]):
        assert run(["drill", "ii-V-I", *keys, "-o", "drill.svg", "--large", "-q"]) == 0
    told = capsys.readouterr().err.splitlines()
    old = [f"drill-{at}.svg" for at in range(3, len(list(folder.glob("*.svg"))) + 1)]
    assert len(old) > 1
    assert told == [f"{name}: the drill had more pages before; delete it" for name in old]


def test_parts_that_a_lesson_has_no_more_are_left(tmp_path: Path) -> None:
    lesson = midneck.lesson(TUNE)
    new = ["1 Tram Stop, chart.pdf", "2 Tram Stop, drills.pdf", "3 Tram Stop, slowly, 80.mid"]
    old = ["3 Tram Stop, slowly, 67.mid", "5 Major ii-V-I, half-notes, 67.mid"]
    for name in (*new, *old, "7 Major ii-V-I, half-notes, 67.ogg"):
        (tmp_path / name).write_bytes(made())
    (tmp_path / "9 of the student.mid").write_bytes(b"no stamp")
    assert [path.name for path in lesson.left_in(tmp_path, new)] == old
    (tmp_path / "1 Another, chart.pdf").write_bytes(made())
    assert lesson.left_in(tmp_path, new) == []


def test_pages_that_are_left_of_another_count(tmp_path: Path) -> None:
    for number in (1, 2, 3):
        (tmp_path / f"x-{number}.svg").write_bytes(made(number, 3))
    (tmp_path / "x-4.svg").write_bytes(made())  # that of the sheet x-4.txt
    (tmp_path / "x.svg").write_bytes(made())
    left = [[path.name for path in earlier_pages(tmp_path / "x.svg", n)] for n in (1, 2, 3)]
    assert left == [["x-1.svg", "x-2.svg", "x-3.svg"], ["x.svg", "x-3.svg"], ["x.svg"]]


@pytest.mark.parametrize(
    "data",
    [b"", b"a letter, not made by Midneck", b'{"schema": 1}', b"midneck-sha256:00 1/1"],
)
def test_only_a_stamp_makes_a_file_ours(tmp_path: Path, data: bytes) -> None:
    theirs = tmp_path / "theirs.pdf"
    theirs.write_bytes(data)
    with pytest.raises(OutputError, match="was not made by Midneck"):
        write_result(theirs, b"new")
    assert theirs.read_bytes() == data
    write_result(theirs, b"new", force=True)
    assert theirs.read_bytes() == b"new"


@pytest.mark.parametrize(
    "ending",
    ["pdf", "svg", "png", "txt", "musicxml", "mid", "wav", "ogg", "flac", "mp3", "json"],
)
def test_what_is_saved_may_be_saved_again(tmp_path: Path, ending: str) -> None:
    chart = midneck.chart(TUNE)
    for _ in range(2):
        [path] = chart.save(tmp_path / f"tram.{ending}")
    assert stamps.is_whole(path)
    path.write_bytes(path.read_bytes()[:-2])
    assert stamps.is_stamped(path)
    assert not stamps.is_whole(path)


@pytest.mark.parametrize(
    "hostile",
    [
        f"midneck-sha256:{'a' * 64} 1/{'9' * 5000}", f"midneck-sha256:{'a' * 64} 1/999999",
        f"midneck-sha256:{'a' * 64} {'9' * 5000}/1 {'0' * 16}", f"midneck-sha256:{'a' * 64} 0/0",
    ],
)  # fmt: skip
def test_a_hostile_stamp_is_not_current(tmp_path: Path, hostile: str) -> None:
    for name in ("x.svg", "x-1.svg"):
        (tmp_path / name).write_bytes(sealed(hostile.encode()))
    assert not is_current(tmp_path / "x.svg", "a" * 64)
    assert earlier_pages(tmp_path / "x.svg", 1) == [] or "1/999999" in hostile


def test_a_stamp_in_a_text_does_not_hide_the_stamp_of_the_file(tmp_path: Path) -> None:
    path = tmp_path / "x.txt"
    path.write_bytes(made(text=f"Title: {UNRECORDED}\n"))
    assert is_current(path, "a" * 64)
    assert not is_current(path, "b" * 64)
    path.write_bytes(path.read_bytes().replace(b"Title", b"title"))
    assert not is_current(path, "a" * 64)


def test_code_has_a_digest(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    package = tmp_path / "midneck"
    for part in ("grammar", "converter", "render"):
        (package / part).mkdir(parents=True)
        (package / part / "code.py").write_text("one = 1\n", encoding="utf-8")
    monkeypatch.setattr(stamps, "__file__", str(package / "render" / "stamps.py"))
    digests = [stamps.code_digest.__wrapped__()]
    (package / "converter" / "code.py").write_text("one = 2\n", encoding="utf-8")
    digests.append(stamps.code_digest.__wrapped__())
    assert digests[0] != digests[1]


def test_a_sheet_is_rewritten_with_its_mode_owner_and_links(tmp_path: Path) -> None:
    owner = 12345 if os.geteuid() == 0 else os.getuid()
    sheet, link = tmp_path / "sheet.txt", tmp_path / "link.txt"
    sheet.write_text("old", encoding="utf-8")
    sheet.chmod(0o640)
    os.chown(sheet, owner, -1)
    link.symlink_to(sheet)
    rewrite(link, b"new")
    assert (sheet.read_bytes(), link.is_symlink()) == (b"new", True)
    assert (stat.S_IMODE(sheet.stat().st_mode), sheet.stat().st_uid) == (0o640, owner)


def test_a_sheet_that_cannot_be_kept_as_it_is_stays(tmp_path: Path) -> None:
    sheet = tmp_path / "sheet.txt"
    sheet.write_text("old", encoding="utf-8")
    sheet.chmod(0o444)
    with pytest.raises(OutputError, match=r"sheet\.txt is read-only: make it writable"):
        rewrite(sheet, b"new")
    with pytest.raises(OutputError, match=r"sheet\.txt is read-only"):
        write_result(sheet, b"new", force=True)
    sheet.chmod(0o644)
    os.link(sheet, tmp_path / "other.txt")
    with pytest.raises(OutputError, match="has other names"):
        rewrite(sheet, b"new")
    assert sheet.read_bytes() == b"old"
    assert names(tmp_path) == ["other.txt", "sheet.txt"]


def test_an_owner_that_cannot_be_kept_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(output.os, "chown", refuse)
    new, old = tmp_path / "new", tmp_path / "old"
    new.touch()
    other = os.stat_result((0o644, 0, 0, 1, os.getuid() + 1, 0, 0, 0, 0, 0))
    with pytest.raises(OutputError, match="belongs to another user or group"):
        output._keep_owner(new, old, other, needed=True)
    output._keep_owner(new, old, other, needed=False)


def test_a_file_is_on_the_disk_before_it_has_its_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    steps: list[str] = []
    replace = Path.replace
    monkeypatch.setattr(os, "fsync", lambda handle: steps.append(f"{os.fstat(handle).st_size}"))
    monkeypatch.setattr(
        Path, "replace", lambda self, to: (steps.append("renamed"), replace(self, to))[1]
    )
    write_result(tmp_path / "a.pdf", b"1234")
    write_result(tmp_path / "b.pdf", b"1234", sync=False)
    assert steps == ["4", "renamed", "renamed"]


def test_no_sync_is_for_folders(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    handles: list[int] = []
    monkeypatch.setattr(os, "fsync", handles.append)
    assert run(["chart", "tram.txt", "-q", "-o", "out/", "--no-sync"]) == 0
    assert handles == []
    assert run(["chart", "tram.txt", "-q", "-o", "out/"]) == 0
    assert len(handles) == 1


def test_the_umask_is_applied_and_not_changed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = os.umask(0o027)
    try:
        monkeypatch.setattr(os, "umask", None)
        write_result(tmp_path / "a.pdf", b"1234")
    finally:
        monkeypatch.undo()
        os.umask(before)
    assert stat.S_IMODE((tmp_path / "a.pdf").stat().st_mode) == 0o640


def test_unfinished_files_of_runs_that_have_ended_are_cleared(tmp_path: Path) -> None:
    ended = os.fork()
    if ended == 0:
        os._exit(0)
    os.waitpid(ended, 0)
    here, now = output._machine(), time.time()
    kept = {
        f".midneck-{here}-{os.getpid()}-00000000.part", ".midneck-00000000-1-00000000.part",
        "mine.part",
    }  # fmt: skip
    gone = {f".midneck-{here}-{ended}-00000000.part", ".midneck-00000000-1-00000001.part"}
    for name in kept | gone:
        (tmp_path / name).touch()
    os.utime(tmp_path / ".midneck-00000000-1-00000001.part", (now - 3600, now - 3600))
    clear_unfinished(tmp_path)
    assert set(names(tmp_path)) == kept


def test_every_command_clears_the_folder_that_it_writes_into(folder: Path) -> None:
    ended = os.fork()
    if ended == 0:
        os._exit(0)
    os.waitpid(ended, 0)
    left = f".midneck-{output._machine()}-{ended}-00000000.part"
    for number, arguments in enumerate(
        (["drill", "ii-V-I", "--format", "txt"], ["play", "tram.txt"], ["book", "tram.txt"])
    ):
        place = folder / str(number)
        place.mkdir()
        (place / left).touch()
        out = str(place / "x") + {0: ".txt", 1: ".mid", 2: ".pdf"}[number]
        assert run([*arguments, "-o", out]) == 0
        assert len(names(place)) == 1


def test_a_pipe_that_nobody_reads_and_a_stuck_reader_are_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pipe = tmp_path / "pipe.pdf"
    os.mkfifo(pipe)
    with pytest.raises(OutputError, match="is a pipe that nobody reads"):
        write_result(pipe, b"1234")
    monkeypatch.setattr(output, "_PATIENCE_S", 0.01)
    reader = os.open(pipe, os.O_RDONLY | os.O_NONBLOCK)
    with pytest.raises(OutputError, match="its reader takes nothing"):
        write_result(pipe, b"1" * 1_000_000)
    os.close(reader)
