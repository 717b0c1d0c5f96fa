"""A folder on a cluster of dask.distributed: the same as on one machine, whatever is lost.

The cluster is a real one of two worker processes on this machine.
"""

from __future__ import annotations

import builtins
import os
import signal
import threading
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from functools import partial
from pathlib import Path

import pypdf
import pytest
from distributed import LocalCluster
from midneck.render import cluster
from midneck.render.commands.main import run
from support.cluster_work import Logged, pretend
from support.run_command import end, started, wait_until

pytestmark = pytest.mark.slow

TUNE = "Title: Tune {}\nKey: C\n\n| Dm7 | G7 | Cmaj7 | {} |\n"
BAD = "A:\n| Q7 ||\n"


@pytest.fixture(scope="module")
def local() -> Iterator[LocalCluster]:
    with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as made:
        yield made


@pytest.fixture
def folder(working_folder: Path) -> Path:
    return working_folder


@pytest.fixture
def log(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A file of what is done: a line a step, with the process, the step and the sheet."""
    path, before = folder / "log", cluster.on_cluster

    def logged(steps, *others):
        return before(Logged(steps, str(path)), *others)

    monkeypatch.setattr(cluster, "on_cluster", logged)
    return path


def tunes_in(folder: Path, count: int) -> None:
    (folder / "tunes").mkdir()
    for number in range(count):
        last = ("C6", "Am7", "Em7", "A7")[number % 4]
        path = folder / f"tunes/tune{number:03}.txt"
        path.write_text(TUNE.format(number, last), encoding="utf-8")


def charts(out: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in out.glob("*.pdf")}


def steps_in(log: Path, step: str) -> list[tuple[int, str]]:
    """The process and the sheet of each step of a kind."""
    lines = [line.split() for line in log.read_text().splitlines()]
    return [(int(process), name) for process, kind, name in lines if kind == step]


def told_of(*options: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    """The status of a chart command and what it tells, without the times."""
    status = run(["chart", "tunes", *options])
    caught = capsys.readouterr()
    lines = [line.partition(" in ")[0] for line in caught.out.splitlines()]
    return status, "\n".join(lines), caught.err


@pytest.mark.parametrize("seen", [True, False])
def test_workers_do_what_one_process_does(
    local: LocalCluster, folder: Path, log: Path, seen: bool,
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    """Where the workers do not see the folder, what they make is sent back and written here."""
    tunes_in(folder, 12)
    (folder / "tunes/tune004x.txt").write_text(BAD, encoding="utf-8")
    before = cluster.probes_in

    @contextmanager
    def unseen(folders):
        with before(folders) as probes:
            yield replace(probes, token="that of another disk")

    if not seen:
        monkeypatch.setattr(cluster, "probes_in", unseen)
    alone = told_of("-o", "out/", "--jobs", "1", capsys=capsys)
    pages = charts(Path("out"))
    Path("out").rename("alone")
    told = told_of("-o", "out/", "--scheduler", local.scheduler_address, capsys=capsys)
    assert told == alone
    assert alone[0] == 1
    assert charts(Path("out")) == pages
    assert len(pages) == 12
    assert not any(path.name.startswith(".midneck") for path in folder.rglob("*"))
    makers = {process for process, _ in steps_in(log, "make")}
    writers = {process for process, _ in steps_in(log, "finish")}
    assert os.getpid() not in makers
    assert writers <= makers if seen else writers == {os.getpid()}


def test_a_worker_is_killed_in_the_middle(
    local: LocalCluster, folder: Path, log: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    tunes_in(folder, 300)
    killed = []

    def kill() -> None:
        wait_until(lambda: log.exists() and len(steps_in(log, "make")) > 120)
        killed.append(steps_in(log, "make")[-1][0])
        os.kill(killed[0], signal.SIGKILL)

    killer = threading.Thread(target=kill)
    killer.start()
    status = run(["chart", "tunes", "-o", "out/", "-q", "--scheduler", local.scheduler_address])
    killer.join()
    assert (status, capsys.readouterr()) == (0, ("", ""))
    assert len(charts(Path("out"))) == 300
    assert all(data.rstrip().endswith(b"%%EOF") for data in charts(Path("out")).values())
    for path in Path("out").glob("*5.pdf"):
        assert len(pypdf.PdfReader(path).pages) == 1
    times = Counter(name for _, name in steps_in(log, "make"))
    again = [name for name, count in times.items() if count > 1]
    assert len(times) == 300
    # The batch at work is lost, and one before it whose results may still be at the worker.
    assert 1 <= len(again) <= 2 * cluster.MOST_IN_BATCH
    assert max(times.values()) == 2
    assert {process for process, name in steps_in(log, "make") if name in again} - {*killed}
    # Later results come from the worker that took the place of the lost one as well.
    assert run(["chart", "tunes", "-o", "out/", "--update", "-q", "--scheduler",
                local.scheduler_address]) == 0  # fmt: skip
    assert sum(Counter(name for _, name in steps_in(log, "make")).values()) == times.total()


def test_a_sheet_that_kills_its_workers_fails_alone(
    local: LocalCluster, folder: Path, log: Path,
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    tunes_in(folder, 12)
    (folder / "tunes/die.txt").write_text(TUNE.format("of death", "C6"), encoding="utf-8")
    monkeypatch.setattr(local.scheduler, "allowed_failures", 0)
    status, _, err = told_of("-o", "o/", "--scheduler", local.scheduler_address, capsys=capsys)
    assert status == 1
    assert err == (
        "tunes/die.txt: every worker that tried it was lost; try it alone\n"
        "1 of 13 sheets failed:\n  tunes/die.txt\n"
    )
    assert len(charts(Path("o"))) == 12


def test_an_interrupt_cancels_what_has_not_begun(local: LocalCluster, folder: Path) -> None:
    tunes_in(folder, 300)
    out = folder / "out"
    process = started(
        "chart", "tunes", "-o", "out/", "--scheduler", local.scheduler_address, cwd=folder
    )
    wait_until(lambda: len(charts(out)) >= 3)
    assert end(process, signal.SIGINT, True).strip() == b"interrupted"
    assert process.returncode == 130
    wait_until(lambda: not local.scheduler.tasks)
    assert 3 <= len(charts(out)) < 200
    assert all(data.rstrip().endswith(b"%%EOF") for data in charts(out).values())


def test_a_worker_with_another_version_is_refused(
    local: LocalCluster, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    tunes_in(folder, 1)
    with local.get_client() as client:
        client.run(pretend, "9.9")
        try:
            options = ["-o", "out/", "--scheduler", local.scheduler_address]
            status, _, err = told_of(*options, capsys=capsys)
        finally:
            client.run(pretend, None)
    assert status == 2
    assert "has Midneck 9.9, here is 0." in err
    assert "install the same versions" in err
    assert not Path("out").exists()


def test_a_worker_without_midneck_is_told(
    local: LocalCluster, folder: Path,
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    """What the client asks a worker is in a module that the worker cannot import."""
    tunes_in(folder, 1)
    monkeypatch.setattr(cluster, "program", only_here)
    status, _, err = told_of("-o", "out/", "--scheduler", local.scheduler_address, capsys=capsys)
    assert status == 2
    assert f"a worker of {local.scheduler_address} does not run Midneck 0." in err


def only_here() -> dict[str, str]:
    return {}


@pytest.mark.parametrize("name", ["Midneck", "reportlab", "zlib"])
def test_what_differs_is_named(name: str) -> None:
    here = cluster.program()
    cluster.check_program("tcp://w:1", dict(here), here)
    with pytest.raises(cluster.ClusterError, match=f"^the worker tcp://w:1 has {name} 0.0, here"):
        cluster.check_program("tcp://w:1", here | {name: "0.0"}, here)


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (["--scheduler", "here:80"], "'here:80' is no address of a scheduler: write tcp://"),
        (["--scheduler", "tcp://here"], "'tcp://here' is no address"),
        (["--scheduler", "tcp://127.0.0.1:9"], "no scheduler answers at tcp://127.0.0.1:9 within"),
        (["--scheduler", "tcp://h:1", "--jobs", "2"], "--jobs is for this machine"),
    ],
)
def test_what_cannot_be_a_scheduler_is_told(
    options: list[str], message: str, folder: Path,
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    tunes_in(folder, 2)
    monkeypatch.setattr(cluster, "PATIENCE_S", 0.3)
    assert run(["chart", "tunes", *options]) == 2
    assert message in capsys.readouterr().err


def test_the_extra_is_named_where_it_is_missing(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    tunes_in(folder, 2)
    before = builtins.__import__
    monkeypatch.setattr(builtins, "__import__", partial(_without_distributed, before))
    assert run(["chart", "tunes", "--scheduler", "tcp://127.0.0.1:9"]) == 2
    assert "a scheduler needs the extra cluster: pip install 'midneck[cluster]'" in (
        capsys.readouterr().err
    )


def _without_distributed(before, name, *rest):
    if name == "distributed":
        raise ImportError(name)
    return before(name, *rest)
