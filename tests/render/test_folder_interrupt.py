"""A folder that is interrupted or killed at any moment: whole files, nobody left, and it goes on.

Signals reach the process alone (as from `kill`) or its whole group (as from a terminal).
"""

from __future__ import annotations

import os
import random
import signal
import time
from pathlib import Path

import pypdf
import pytest
from midneck.render.output import UNFINISHED, clear_unfinished
from support.run_command import end, group_is_gone, midneck, started, tunes_in, wait_until

pytestmark = pytest.mark.slow

TUNES = 24


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("tunes")
    tunes_in(place, TUNES)
    return place


def charts(out: Path) -> list[Path]:
    return list(out.glob("*.pdf")) if out.is_dir() else []


def unfinished(out: Path) -> list[Path]:
    start, ending = UNFINISHED
    return list(out.glob(f"{start}*{ending}"))


def assert_whole(out: Path) -> None:
    for path in charts(out):
        assert len(pypdf.PdfReader(path).pages) >= 1
        assert path.read_bytes().rstrip().endswith(b"%%EOF")


@pytest.mark.parametrize(  # each pair of a number of processes, a signal and who hears it
    ("jobs", "number", "all_of_it"),
    [
        ("1", signal.SIGINT, False),
        ("1", signal.SIGTERM, True),
        ("2", signal.SIGINT, True),
        ("2", signal.SIGTERM, False),
    ],
)
def test_an_interrupt_leaves_whole_files_and_nobody(
    folder: Path, tmp_path: Path, jobs: str, number: signal.Signals, all_of_it: bool
) -> None:
    out = tmp_path / "out"
    process = started("chart", "tunes", "-o", f"{out}/", "--jobs", jobs, cwd=folder)
    wait_until(lambda: len(charts(out)) >= 3)
    told = end(process, number, all_of_it)
    assert process.returncode == 130
    assert told.strip() == b"interrupted"
    wait_until(lambda: group_is_gone(process.pid), 10)
    assert 3 <= len(charts(out)) < TUNES
    assert_whole(out)
    assert unfinished(out) == []


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_an_impatient_interrupt_is_one_interrupt(
    folder: Path, tmp_path: Path, number: signal.Signals
) -> None:
    out = tmp_path / "out"
    process = started("chart", "tunes", "-o", f"{out}/", "--jobs", "2", cwd=folder)
    wait_until(lambda: len(charts(out)) >= 3)
    for _ in range(20):
        os.killpg(process.pid, number)
        time.sleep(0.001)
    assert end(process, number, True).strip() == b"interrupted"
    assert process.returncode == 130
    wait_until(lambda: group_is_gone(process.pid), 10)
    assert_whole(out)


def children(process: int) -> list[str]:
    """The processes that a process has started and not yet waited for."""
    return Path(f"/proc/{process}/task/{process}/children").read_text(encoding="ascii").split()


@pytest.mark.parametrize("begun", [0, 1])
def test_an_interrupt_before_the_first_chart(folder: Path, tmp_path: Path, begun: int) -> None:
    """At once, when the command itself may not have begun, and at its first process."""
    out = tmp_path / "out"
    process = started("chart", "tunes", "-o", f"{out}/", "--jobs", "2", cwd=folder)
    wait_until(lambda: len(children(process.pid)) >= begun)
    end(process, signal.SIGINT, True)
    assert process.returncode != 0
    wait_until(lambda: group_is_gone(process.pid), 10)
    assert_whole(out)


@pytest.mark.parametrize(("jobs", "seed"), [("1", 0), ("2", 1)])
def test_killed_at_random_moments(folder: Path, tmp_path: Path, jobs: str, seed: int) -> None:
    out, chance = tmp_path / "out", random.Random(seed)
    process = started("chart", "tunes", "-o", f"{out}/", "--jobs", jobs, cwd=folder)
    wait_until(lambda: len(charts(out)) >= 1 + seed)
    time.sleep(chance.random() * 0.1)
    end(process, signal.SIGKILL, all_of_it=bool(seed % 2))
    assert process.returncode == -signal.SIGKILL
    wait_until(lambda: group_is_gone(process.pid), 20)
    assert_whole(out)
    assert len(unfinished(out)) <= int(jobs)
    for path in unfinished(out):
        os.utime(path, (0, 0))
    again = midneck("chart", "tunes", "-o", f"{out}/", "--update", "-q", cwd=folder)
    assert again.returncode == 0
    assert len(charts(out)) == TUNES
    assert unfinished(out) == []
    assert_whole(out)


def test_only_what_was_left_behind_is_cleared(tmp_path: Path) -> None:
    now = time.time()
    ages = {".midneck-old.part": 3600, ".midneck-new.part": 5, "mine.part": 3600, "a.pdf": 9999}
    for name, age in ages.items():
        (tmp_path / name).touch()
        os.utime(tmp_path / name, (now - age, now - age))
    clear_unfinished(tmp_path)
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted(
        ages.keys() - {".midneck-old.part"}
    )
    clear_unfinished(tmp_path / "nowhere")
