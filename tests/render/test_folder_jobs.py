"""A folder in several processes: the same as one by one, in order, whatever happens to some."""

from __future__ import annotations

import os
import signal
from pathlib import Path
from types import SimpleNamespace

import pytest
from midneck.render import processes
from midneck.render.batch import run_job
from midneck.render.commands.main import run
from midneck.render.processes import SHEETS_A_JOB, run_in_processes, sensible_jobs
from support.batch_work import work
from support.run_command import midneck, started, tunes_in

pytestmark = pytest.mark.slow

BAD = "A:\n| Q7 ||\n"


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.fixture
def folder(working_folder: Path) -> Path:
    return tunes_in(working_folder, 5)


def test_two_processes_do_what_one_does(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "tune002x.txt").write_text(BAD, encoding="utf-8")
    (folder / "tune000x.txt").write_text(BAD, encoding="utf-8")
    told = []
    for jobs in ("1", "2"):
        out = ["-o", f"out{jobs}/", "--jobs", jobs]
        assert run(["chart", "tunes", *out]) == 1
        caught = capsys.readouterr()
        lines = [line.partition(" in ")[0] for line in caught.out.splitlines() if "wrote" in line]
        told.append(([line.replace(f"out{jobs}", "out") for line in lines], caught.err))
    assert told[0] == told[1]
    assert [line.split("/")[1] for line in told[0][0]] == [f"tune00{n}.pdf" for n in range(5)]
    assert told[0][1].endswith(
        "2 of 7 sheets failed:\n  tunes/tune000x.txt\n  tunes/tune002x.txt\n"
    )
    assert contents(Path("out1")) == contents(Path("out2"))
    assert len(contents(Path("out1"))) == 5


def test_what_is_printed_comes_in_order(folder: Path, capsysbinary) -> None:
    printed = []
    for jobs in ("1", "2"):
        assert run(["chart", "tunes", "--json", "--jobs", jobs]) == 0
        printed.append(capsysbinary.readouterr().out)
    assert printed[0] == printed[1]
    assert printed[0].count(b"\n") == 5


def test_results_come_in_the_order_of_the_names() -> None:
    names = ["slow 1", "2", "fail 3", "slow 4", "5", "6"]
    told = list(run_in_processes(names, work, 3))
    assert [one.name for one in told] == names
    assert told == [run_job(name, work) for name in names]
    assert [one.succeeded for one in told] == [True, True, False, True, True, True]
    assert told[0].out == b"slow 1\n"
    assert told[0].err == "heard slow 1\n"


def test_a_process_that_dies_fails_its_sheet_alone() -> None:
    told = list(run_in_processes(["1", "die 2", "3", "die 4", "5"], work, 2))
    assert [one.succeeded for one in told] == [True, False, True, False, True]
    assert told[1].err == "die 2: its process died (signal 9); try it alone\n"


def test_all_processes_may_die() -> None:
    told = list(run_in_processes(["die 1", "die 2", "die 3"], work, 2))
    assert [one.succeeded for one in told] == [False] * 3


@pytest.mark.parametrize(
    ("sheets", "processors", "jobs"),
    [(1, 8, 1), (SHEETS_A_JOB - 1, 8, 1), (3 * SHEETS_A_JOB, 8, 3), (10_000, 8, 8),
     (10_000, None, 1)],
)  # fmt: skip
def test_jobs_suit_the_number_of_sheets(
    sheets: int, processors: int | None, jobs: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(processes, "cpu_count", lambda: processors)
    assert sensible_jobs(sheets) == jobs


def test_a_process_ends_with_its_parent_whatever_its_work_swallows(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    done: list[object] = []
    parent = SimpleNamespace(join=lambda: done.append("parent ended"))
    monkeypatch.setattr("multiprocessing.parent_process", lambda: parent)
    monkeypatch.setattr(processes, "sleep", done.append)
    monkeypatch.setattr(os, "kill", lambda process, number: done.append((process, number)))
    monkeypatch.setattr(os, "_exit", lambda status: done.append(f"exit {status}"))
    processes._end_with_parent()
    assert done == ["parent ended", (os.getpid(), signal.SIGTERM), processes._GRACE_S, "exit 143"]


def test_two_sheets_do_not_share_a_name(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "tune001.musicxml").write_text("<nothing/>", encoding="utf-8")
    assert run(["chart", "tunes", "-o", "out", "-q"]) == 1
    told = capsys.readouterr().err
    assert "tunes/tune001.txt would go to out/tune001.pdf, as tunes/tune001.musicxml does" in told
    assert len(list(Path("out").iterdir())) == 4


def test_a_sheet_is_not_written_over(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = folder / "tune001.txt"
    before = path.read_bytes()
    assert run(["chart", str(path), "--format", "txt", "-o", "tunes/", "--force"]) == 2
    assert "tune001.txt is the sheet itself" in capsys.readouterr().err
    assert path.read_bytes() == before


def test_several_runs_into_one_folder(folder: Path) -> None:
    runs = [started("chart", "tunes", "-o", "both/", "-q", cwd=folder.parent) for _ in range(3)]
    assert [process.communicate(timeout=60)[1] for process in runs] == [b""] * 3
    assert [process.returncode for process in runs] == [0] * 3
    assert run(["chart", "tunes", "-o", "alone/", "-q"]) == 0
    assert contents(Path("both")) == contents(Path("alone"))


def test_standard_input_among_several(folder: Path) -> None:
    text = (folder / "tune001.txt").read_bytes()
    done = midneck(
        "chart", "-", "tunes/tune002.txt", "-o", "o/", "--jobs", "2", input=text, cwd=folder.parent
    )
    assert done.returncode == 0
    assert sorted(contents(folder.parent / "o")) == ["sheet.pdf", "tune002.pdf"]
