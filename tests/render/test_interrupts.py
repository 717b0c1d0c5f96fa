"""Interrupts of the command line: remembered when a library swallows them, one for several."""

from __future__ import annotations

import gc
import os
import signal
import subprocess
import sys
from collections.abc import Iterator

import pytest
from midneck.render.commands import interrupts, main
from midneck.render.commands.main import cli, run
from support.run_command import wait_until

NUMBERS = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)


@pytest.fixture(autouse=True)
def heard() -> Iterator[None]:
    before = {number: signal.getsignal(number) for number in NUMBERS}
    interrupts.listen()
    yield
    interrupts._Last.at = None
    for number, handler in before.items():
        signal.signal(number, handler)


def changed(*_: object, **__: object) -> None:
    """A library that turns any error, and an interrupt too, into one of its own."""
    try:
        signal.raise_signal(signal.SIGINT)
    except BaseException as error:
        raise OSError("a font is broken") from error


@pytest.mark.parametrize("number", NUMBERS)
def test_a_signal_is_an_interrupt(number: signal.Signals) -> None:
    with pytest.raises(KeyboardInterrupt):
        signal.raise_signal(number)
    assert interrupts.happened()


def test_several_signals_in_a_row_are_one_interrupt(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(KeyboardInterrupt):
        signal.raise_signal(signal.SIGINT)
    for number in NUMBERS:
        signal.raise_signal(number)
    # One that comes later finds a program that did not end: the first one was swallowed.
    monkeypatch.setattr(interrupts, "monotonic", lambda: float("inf"))
    with pytest.raises(KeyboardInterrupt):
        signal.raise_signal(signal.SIGINT)


def test_an_interrupt_that_became_another_error_is_raised_again() -> None:
    with pytest.raises(KeyboardInterrupt), interrupts.kept():
        changed()


def test_an_interrupt_that_was_swallowed_is_raised_at_the_end() -> None:
    with pytest.raises(KeyboardInterrupt), interrupts.kept(), pytest.raises(KeyboardInterrupt):
        signal.raise_signal(signal.SIGINT)
    interrupts.listen()
    with interrupts.kept():
        pass


def test_an_interrupt_inside_a_library_ends_the_command(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(cli, "main", changed)
    assert run(["chart", "x.txt"]) == interrupts.INTERRUPTED
    assert capsys.readouterr().err == "interrupted\n"


class LeftError(Exception):
    """The process would end here."""


def test_the_command_line_hears_signals_from_its_start(monkeypatch: pytest.MonkeyPatch) -> None:
    def leave() -> None:
        raise LeftError

    signal.signal(signal.SIGTERM, lambda *_: None)
    monkeypatch.setattr(main, "run", lambda _: signal.raise_signal(signal.SIGTERM))
    monkeypatch.setattr(interrupts, "leave", leave)
    monkeypatch.setattr(gc, "set_threshold", lambda *_: None)
    with pytest.raises(LeftError):
        main.main([])


def test_a_hangup_that_is_ignored_stays_ignored() -> None:
    signal.signal(signal.SIGHUP, signal.SIG_IGN)
    interrupts.listen()
    assert signal.getsignal(signal.SIGHUP) is signal.SIG_IGN


@pytest.mark.slow
def test_an_interrupted_process_waits_for_nobody() -> None:
    """A thread that never ends and a child that hears no signal would hold an orderly exit."""
    program = """
import multiprocessing, signal, threading
from midneck.render.commands import interrupts
threading.Thread(target=threading.Event().wait).start()
def deaf():
    signal.pthread_sigmask(signal.SIG_BLOCK, set(signal.Signals) - {signal.SIGKILL})
    signal.pause()
child = multiprocessing.get_context("fork").Process(target=deaf)
child.start()
print(child.pid, flush=True)
interrupts.leave()
"""
    command = [sys.executable, "-c", program]
    done = subprocess.run(command, capture_output=True, check=False, timeout=60)
    assert done.returncode == interrupts.INTERRUPTED
    child = int(done.stdout)

    def gone() -> bool:
        try:
            os.kill(child, 0)
        except ProcessLookupError:
            return True
        with open(f"/proc/{child}/stat", encoding="ascii") as file:  # noqa: PTH123
            return " Z " in file.read()

    wait_until(gone)
