"""Places that take no file, odd names, a full disk: told in a line, exit status 2, nothing half.

A folder that may not be written to is tried without root's right to write anywhere.
"""

from __future__ import annotations

import ctypes
import os
import resource
import stat
from pathlib import Path

import pytest
from midneck.render.commands.main import run
from support.run_command import midneck

pytestmark = pytest.mark.slow

TUNE = "Title: Tram Stop\nKey: C\n\nA:\n| Dm7 | G7 | C6 | A7 ||\n"
#: linux/prctl.h, linux/capability.h: drop a right for good; to write, to read everywhere.
PR_CAPBSET_DROP, CAP_DAC_OVERRIDE, CAP_DAC_READ_SEARCH = 24, 1, 2


@pytest.fixture
def folder(working_folder: Path) -> Path:
    (working_folder / "tram.txt").write_text(TUNE, encoding="utf-8")
    return working_folder


def as_anybody() -> None:
    """Give up root's rights over files; others have none to give up."""
    if os.geteuid() == 0:
        for right in (CAP_DAC_OVERRIDE, CAP_DAC_READ_SEARCH):
            ctypes.CDLL(None, use_errno=True).prctl(PR_CAPBSET_DROP, right, 0, 0, 0)


def little_room() -> None:
    """No file may grow over four thousand bytes, as on a disk that is full."""
    resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))


def refused(*arguments: str, because: str, **options: object) -> None:
    done = midneck(*arguments, **options)
    told = done.stderr.decode()
    assert done.returncode == 2, told
    assert because in told
    assert "Traceback" not in told
    assert len(told.splitlines()) == 1


def test_a_folder_that_is_missing_is_made(folder: Path) -> None:
    assert run(["chart", "tram.txt", "-q", "-o", "one/two/three/"]) == 0
    assert (folder / "one/two/three/tram.pdf").is_file()


@pytest.mark.parametrize("target", ["shut/tram.pdf", "shut/", "shut/deeper/"])
def test_a_folder_that_may_not_be_written_to(folder: Path, target: str) -> None:
    (folder / "shut").mkdir()
    (folder / "shut").chmod(0o555)
    because = "cannot be written: permission denied"
    refused("chart", "tram.txt", "-o", target, because=because, cwd=folder, preexec_fn=as_anybody)
    assert list((folder / "shut").iterdir()) == []


def test_a_sheet_that_may_not_be_read(folder: Path) -> None:
    (folder / "tram.txt").chmod(0o000)
    refused(
        "chart", "tram.txt", because="tram.txt: permission denied", cwd=folder,
        preexec_fn=as_anybody,
    )  # fmt: skip


@pytest.mark.parametrize("kind", ["pdf", "svg", "png"])
def test_a_full_disk_leaves_what_was_there(folder: Path, kind: str) -> None:
    assert run(["chart", "tram.txt", "-q", "-o", f"tram.{kind}"]) == 0
    before = (folder / f"tram.{kind}").read_bytes()
    assert len(before) > 4096
    refused(
        "chart", "tram.txt", "--key", "Eb", "-o", f"tram.{kind}", cwd=folder,
        because=f"tram.{kind} cannot be written: file too large", preexec_fn=little_room,
    )  # fmt: skip
    assert (folder / f"tram.{kind}").read_bytes() == before
    assert sorted(path.name for path in folder.iterdir()) == sorted(["tram.txt", f"tram.{kind}"])


@pytest.mark.parametrize("arguments", [["-o", "/dev/full", "-q"], ["-o", "-"], ["--text"], []])
def test_a_device_that_is_full(folder: Path, arguments: list[str]) -> None:
    with Path("/dev/full").open("wb") as full:
        done = midneck("chart", "tram.txt", *arguments, stdout=full)
    assert done.returncode == 2
    assert done.stderr.decode().splitlines()[0].endswith("no space left on device")
    assert len(done.stderr.splitlines()) == 1
    assert stat.S_ISCHR(Path("/dev/full").stat().st_mode)


def test_a_device_stays_a_device(folder: Path) -> None:
    assert run(["chart", "tram.txt", "-q", "-o", "/dev/null"]) == 0
    assert stat.S_ISCHR(Path("/dev/null").stat().st_mode)


def test_a_named_pipe_is_written_through(folder: Path) -> None:
    os.mkfifo(folder / "pipe")
    reader = os.open(folder / "pipe", os.O_RDONLY | os.O_NONBLOCK)
    assert run(["chart", "tram.txt", "-q", "-o", "pipe", "--format", "pdf"]) == 0
    assert os.read(reader, 4) == b"%PDF"
    os.close(reader)


@pytest.mark.parametrize(
    ("out", "message"),
    [
        ("tram.png/", "tram.png is a folder: name a file in it"),
        ("tram.txt/x.pdf", "tram.txt/x.pdf cannot be written: tram.txt is no folder"),
        ("tram.txt/deep/x.pdf", "tram.txt/deep is no folder"),
        ("/proc/x/y.pdf", "/proc/x/y.pdf cannot be written: no such file or directory"),
        (f"{'a' * 300}.pdf", "file name too long"),
    ],
)
def test_places_that_are_none(
    folder: Path, out: str, message: str, capsys: pytest.CaptureFixture[str]
) -> None:
    if out == "tram.png/":
        (folder / "tram.png").mkdir()
        assert run(["chart", "tram.txt", "--format", "png"]) == 2
    else:
        assert run(["chart", "tram.txt", "-q", "-o", out]) == 2
    assert message in capsys.readouterr().err


def test_links_are_followed_and_stay(folder: Path) -> None:
    (folder / "real").mkdir()
    (folder / "link").symlink_to("real")
    assert run(["chart", "tram.txt", "-q", "-o", "link/"]) == 0
    assert (folder / "real" / "tram.pdf").is_file()
    (folder / "chart.pdf").symlink_to("real/tram.pdf")
    before = (folder / "real" / "tram.pdf").read_bytes()
    assert run(["chart", "tram.txt", "-q", "-o", "chart.pdf", "--key", "Eb"]) == 0
    assert (folder / "chart.pdf").is_symlink()
    assert (folder / "real" / "tram.pdf").read_bytes() != before


@pytest.mark.parametrize(
    "stem", ["two words", "line\nbreak", "ünï ♭ 曲", "-o", "*", "'\"$HOME", "a" * 240]
)
def test_names_are_only_names(folder: Path, stem: str) -> None:
    (folder / "tunes").mkdir()
    (folder / "tunes" / f"{stem}.txt").write_text(TUNE, encoding="utf-8")
    assert run(["chart", "tunes", "-o", "out/"]) == 0
    assert [path.name for path in (folder / "out").iterdir()] == [f"{stem}.pdf"]


def test_names_that_are_no_text(folder: Path) -> None:
    """Bytes that are not UTF-8, in the name of a good sheet and of a bad one."""
    (folder / "tunes").mkdir()
    Path(os.fsdecode(b"tunes/caf\xe9.txt")).write_text(TUNE, encoding="utf-8")
    Path(os.fsdecode(b"tunes/bad\xe9.txt")).write_text("| Q |\n", encoding="utf-8")
    for jobs in ("1", "2"):
        done = midneck("chart", "tunes", "-o", "out/", "--jobs", jobs, cwd=folder)
        assert done.returncode == 1
        assert b"1 of 2 sheets failed" in done.stderr
        assert "wrote   out/caf\ufffd.pdf".encode() in done.stdout
    assert [os.fsencode(path.name) for path in Path("out").iterdir()] == [b"caf\xe9.pdf"]
