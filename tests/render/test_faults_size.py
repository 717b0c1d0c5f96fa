"""Sheets of any size: made in bounded memory, or refused with the limit that they pass."""

from __future__ import annotations

import resource
from pathlib import Path

import pytest
from support.run_command import midneck

pytestmark = pytest.mark.slow

MEGABYTE = 1 << 20


def limited(megabytes: int, seconds: int):
    """Limits on the memory that a process may ask for, and on its time on the processor."""

    def limit() -> None:
        resource.setrlimit(resource.RLIMIT_AS, (megabytes * MEGABYTE,) * 2)
        resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))

    return limit


def outcome(folder: Path, text: str, *options: str, megabytes: int = 1500) -> tuple[int, str]:
    """Exit status and messages of a chart made of a text within limits."""
    (folder / "big.txt").write_text(text, encoding="utf-8")
    done = midneck(
        "chart", "big.txt", "-q", *options, cwd=folder, preexec_fn=limited(megabytes, 90)
    )
    return done.returncode, done.stderr.decode()


def test_ten_thousand_bars(tmp_path: Path) -> None:
    text = "Title: Endless\n\nA:\n" + "| Dm7 | G7 | C6 | A7 |\n" * 2500
    assert outcome(tmp_path, text, "--json") == (0, "")


def test_a_thousand_sections(tmp_path: Path) -> None:
    text = "\n".join(f"Part {number}:\n| Dm7 | G7 | C6 |" for number in range(1000)) + "\n"
    assert outcome(tmp_path, text) == (0, "")


@pytest.mark.parametrize(
    "line",
    ["|" * 100_000, "# " + "x" * 3_998, '"' + "x" * 3_998 + '"'],
    ids=lambda line: line[:3],
)
def test_lines_as_long_as_they_may_be(tmp_path: Path, line: str) -> None:
    assert outcome(tmp_path, f"Key: C\n\nA:\n{line}\n| C |\n") == (0, "")


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("| " + "Dm7 " * 24_999 + "|", "big.txt:4:3: 24999 chords in a bar of 4/4"),
        ("# " + "x" * 99_998, "big.txt:4:1: the text is longer than 4000 characters"),
        ('"' + "x" * 99_998 + '"', "big.txt:4:1: the text is longer than 4000 characters"),
        ("Title: " + "x" * 99_990, "big.txt:4:1: this header stands below the first bars"),
        ("(" * 100_000, "big.txt:4:1: this line is neither bars nor a header nor a section"),
        ("Dm7" + "(b9)" * 24_999, "big.txt:4:1: this line is neither bars nor a header"),
        ("A" * 99_999 + ":", "big.txt:4:1: this line is neither bars nor a header nor a section"),
        ("|: " * 33_000, "big.txt: there are more than 1000 mistakes"),
        ("%" * 100_000, "big.txt:4:1: this line is neither bars nor a header nor a section"),
        ("| C |" * 20_001, "big.txt:4:100001: the line is longer than 100000 characters"),
    ],
    ids=lambda text: text[:6].strip(),
)
def test_lines_of_a_hundred_thousand_wrong_characters(
    tmp_path: Path, line: str, message: str
) -> None:
    status, told = outcome(tmp_path, f"Key: C\n\nA:\n{line}\n| C |\n")
    assert status == 2
    assert told.startswith(message)
    assert len(told) < 200_000


def test_thousands_of_different_mistakes_on_one_line(tmp_path: Path) -> None:
    words = " ".join(f"C{'x' * 30}{at}" for at in range(2500))
    status, told = outcome(tmp_path, f"| {words} |\n")
    assert status == 2
    assert told.startswith("big.txt: there are more than 1000 mistakes; nothing is read past line")
    assert told.endswith("… and 952 more\n")


def test_thousands_of_mistakes(tmp_path: Path) -> None:
    status, told = outcome(tmp_path, "A:\n" + "| Gxyz | Hm | C / / / / / |\n" * 3000)
    assert status == 2
    assert "big.txt:2:5: " in told
    assert told.startswith("big.txt: there are more than 1000 mistakes; nothing is read past line")
    assert told.endswith("… and 952 more\n")
