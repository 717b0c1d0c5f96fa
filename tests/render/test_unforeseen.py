"""Errors that nobody foresaw: one sentence, a way to report it, an exit status of its own."""

from __future__ import annotations

from pathlib import Path

import pytest
from midneck.render.commands import order
from midneck.render.commands.main import TRACEBACK, UNFORESEEN, run


def break_unfold(patch: pytest.MonkeyPatch, error: Exception) -> None:
    def unfold(_: object) -> None:
        raise error

    patch.setattr(order, "unfold", unfold)


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (MemoryError(), "midneck: out of memory (MemoryError in test_unforeseen.py, line 14);"),
        (RecursionError("too deep"), "midneck: an error in Midneck itself (RecursionError in"),
        (TypeError("\x1b]0;x\nno"), "line 14: \ufffd]0;x\ufffdno); please report this line"),
    ],
)
def test_an_unforeseen_error_is_one_sentence(
    error: Exception,
    said: str,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    (tmp_path / "tune.txt").write_text("| C |")
    break_unfold(monkeypatch, error)
    assert run(["order", str(tmp_path / "tune.txt")]) == UNFORESEEN
    err = capsys.readouterr().err
    assert said in " ".join(err.split())
    assert err.count("\n") == 1
    assert "\x1b" not in err


def test_the_traceback_is_shown_when_it_is_asked_for(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "tune.txt").write_text("| C |")
    monkeypatch.setenv(TRACEBACK, "1")
    break_unfold(monkeypatch, ValueError("no"))
    assert run(["order", str(tmp_path / "tune.txt")]) == UNFORESEEN
    assert "Traceback (most recent call last)" in capsys.readouterr().err


def test_the_other_sheets_of_a_folder_go_on(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("a.txt", "b.txt"):
        (tmp_path / name).write_text("| C |")
    break_unfold(monkeypatch, MemoryError())
    assert run(["order", str(tmp_path)]) == 1
    err = capsys.readouterr().err
    assert err.count("out of memory") == 2
    assert "2 of 2 sheets failed" in err
