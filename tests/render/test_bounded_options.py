"""Values from outside that would cost time or memory are refused in words."""

from __future__ import annotations

from pathlib import Path

import pytest
from midneck.grammar.errors import MidneckError
from midneck.grammar.limits import MAX_BOOK_BYTES
from midneck.render.book.book_file import read_book_file
from midneck.render.commands.main import run
from midneck.render.options import choose_player

MANY_DIGITS = "9" * 5000


@pytest.mark.parametrize("window", [f"0-{MANY_DIGITS}", f"{MANY_DIGITS}-3", "3-100", "3"])
def test_a_window_of_many_digits_is_refused(window: str) -> None:
    with pytest.raises(MidneckError, match="window takes two frets"):
        choose_player(window=window)


def test_large_files_are_read_no_further_than_their_limit(tmp_path: Path) -> None:
    large = tmp_path / "large.toml"
    large.write_text("#" * (MAX_BOOK_BYTES + 1))
    with pytest.raises(MidneckError, match="larger than 100,000 bytes"):
        choose_player(large)
    with pytest.raises(MidneckError, match="larger than 1,000,000 bytes"):
        read_book_file(large)


#: Commands with a number far outside what it may be.
NUMBERS = [
    f"drill ii-V-I --seed {MANY_DIGITS}",
    "drill ii-V-I --seed -1",
    *(
        f"{command} {'9' * 30}"
        for command in (
            "drill ii-V-I --seed",
            "drill ii-V-I --repetitions",
            "drill ii-V-I --tempo",
            "drill ii-V-I --count-in",
            "play tune.txt --choruses",
            "play tune.txt --count-in",
            "play tune.txt --tempo",
            "lesson tune.txt --repetitions",
            "lesson tune.txt --tempo",
            "chart tune.txt --bars-per-line",
            "chart tune.txt --bars",
            "others tune.txt --count",
            "find . --max-difficulty",
            "grid Dm7 --line",
        )
    ),
]


@pytest.mark.parametrize("line", NUMBERS, ids=[f"{line[:30]}-{len(line)}" for line in NUMBERS])
def test_numbers_of_the_command_line_are_bounded(
    line: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("tune.txt").write_text("| Dm7 | G7 | C6 |")
    assert run([*line.split()]) == 2
    assert len(capsys.readouterr().err) < 3000
