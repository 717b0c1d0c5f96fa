"""Files: what is read, and why the rest is refused."""

from __future__ import annotations

import time
from pathlib import Path

import midneck
import pytest
from midneck.grammar.errors import Problem, SheetError
from midneck.grammar.limits import MAX_BARS, MAX_LINES, MAX_TEXT_BYTES
from midneck.grammar.text.reader import read_sheet
from support.sheets import read_text, refused, without_places

#: Processor time to read 100,000 characters.
MOST_SECONDS = 15.0


def refusal(data: bytes) -> Problem:
    with pytest.raises(SheetError, match=r"^tune\.txt") as caught:
        read_text(data, "tune.txt")
    (problem,) = caught.value.problems
    return problem


def test_a_file_reads_as_its_text(tmp_path: Path) -> None:
    path = tmp_path / "ferry.txt"
    path.write_bytes("\ufeffTitle: Ferry\r\n| B♭m7 | E♭7 |\r\n".encode())
    expected = read_sheet("Title: Ferry\n| B♭m7 | E♭7 |\n")
    assert without_places(midneck.read(path)) == without_places(expected)


# First bytes as the formats' own specifications give them (named in grammar/text/encoding.py).
@pytest.mark.parametrize(
    ("start", "kind"),
    [
        (b"%PDF-1.7\n", "a PDF file"), (b"PK\x03\x04\x14\0", "a ZIP archive"),
        (b"MThd\0\0\0\x06", "a MIDI file"), (b"\x89PNG\r\n\x1a\n", "a PNG picture"),
        (b"\xff\xd8\xff\xe0", "a JPEG picture"), (b"GIF89a", "a GIF picture"),
        (b"RIFF....WAVE", "a sound or video file"), (b"\x1f\x8b\x08", "a gzip archive"),
        (b"{\\rtf1", "a rich text document"),
        (b"\xef\xbb\xbf<!DOCTYPE html>", "a web page"), (b"  <html>", "a web page"),
        (b"<?xml version='1.0'?>", "XML"),
    ],
)  # fmt: skip
def test_files_of_another_kind_are_named(start: bytes, kind: str) -> None:
    problem = refusal(start + b"| C | F |" * 3)
    assert problem.message == f"this is {kind}, not a sheet"
    assert "UTF-8 text" in problem.expected
    assert "MusicXML" in problem.expected


def test_a_section_called_riff_is_no_sound_file(tmp_path: Path) -> None:
    path = tmp_path / "x.txt"
    path.write_bytes(b"RIFF:\n| C |\n")
    assert midneck.read(path).sections[0].label == "RIFF"


def test_binary_data_is_refused() -> None:
    problem = refusal(b"| C |\n\0\1\2")
    assert (problem.label, problem.message) == ("binary-file", "this is not text: byte 6 is zero")


def test_bytes_of_no_encoding_that_is_read_are_placed() -> None:
    # 0x81 stands for no character in Windows-1252 either.
    problem = refusal(b"Title: A\r\n| C | Fi\x81 |\n")
    assert (problem.line, problem.column) == (2, 9)
    assert problem.message == "byte 18 is not UTF-8: 0x81"
    # A byte order mark is three bytes and no column.
    problem = refusal(b"\xef\xbb\xbfBy: Ren\xe9\n| C |\n")
    assert (problem.line, problem.column) == (1, 8)
    assert problem.message == "byte 10 is not UTF-8: 0xE9"


@pytest.mark.parametrize("data", [b"", b"\n \n", b"\xef\xbb\xbf"])
def test_an_empty_file_says_so(data: bytes) -> None:
    assert refusal(data).label == "empty-file"


def test_a_missing_file_is_an_error_of_the_system(tmp_path: Path) -> None:
    with pytest.raises(OSError, match="there is no file"):
        midneck.read(tmp_path / "nothing.txt")


@pytest.mark.parametrize(
    ("text", "label"),
    [
        ("#" + "x" * MAX_TEXT_BYTES, "too-large"),
        ("\n" * (MAX_LINES + 1), "too-many-lines"),
        ("| C" * (MAX_BARS + 1) + " |", "too-many-bars"),
        (("|: " + "C | " * 2000 + " :|99x\n"), "too-long"),
    ],
)
def test_limits_are_stated(text: str, label: str) -> None:
    with pytest.raises(SheetError, match=r"larger|more than|longer") as caught:
        read_sheet(text)
    assert [problem.label for problem in caught.value.problems] == [label]


@pytest.mark.slow
@pytest.mark.parametrize(
    "text",
    [
        "| C " * 10_000 + "|",
        "".join(f"S{at}:\n| C | F |\n" for at in range(1_000)),
        "| " + "C" * 99_998,
        "C" + " " * 99_998 + "x",
        "[A]" + " " * 99_996 + "x",
        "D.C." * 25_000 + "x",
        "|1." + "1." * 50_000,
        "| C" + "(" * 99_000,
        "| " + "- 1" * 33_000,
        "| <" * 33_000,
        "[" + "A" * 99_000,
        "| C<" + "1 " * 50_000 + "|",
        "| C=" + "9" * 50_000 + " |",
        "|-" + "9" * 50_000 + "-|",
        "|: C |" + "".join(f"{at}. F :|" for at in range(1, 5_000)),
        "A:\n| C |\n" + "A: again\n" * 9_000,
        "x\n" * 9_000,
        "| } C | F / / / / / |\n" * 5_000,
    ],
    ids=range(18),
)
def test_huge_input_is_read_or_refused_in_bounded_steps(text: str) -> None:
    """Some take a second of processor time; quadratic steps take more than half a minute."""
    start = time.process_time()
    error = refused(text)
    assert time.process_time() - start < MOST_SECONDS
    assert error is None or (error.problems and len(str(error)) < 60_000)
