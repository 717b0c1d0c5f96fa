"""Values from outside that would cost time or memory are refused in words."""

from __future__ import annotations

from pathlib import Path

import pytest
from midneck.grammar.errors import MidneckError
from midneck.grammar.limits import MAX_BOOK_BYTES
from midneck.render.book.book_file import read_book_file
from midneck.render.charts import chart
from midneck.render.commands.main import run
from midneck.render.drills import drill
from midneck.render.options import choose_player
from midneck.render.sound.schedule import schedule

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


def test_beats_count_where_a_minute_holds_thousands_of_them() -> None:
    # In 512/64 four minutes have 30,720 beats, and the drills ten times as many.
    made = chart("Time: 512/64\nTempo: 400\n" + "| Dm7 | G7 " * 30 + "|")
    too_many = "too many beats: at most 24,000 are played at once"
    with pytest.raises(MidneckError, match=too_many):
        made.files("mid")
    with pytest.raises(MidneckError, match=too_many):
        schedule(made.comping)
    with pytest.raises(MidneckError, match=too_many):
        drill(made).files("mid")


def test_a_score_has_no_more_beats_than_it_may() -> None:
    made = chart("Time: 512/64\n" + "| Dm7 | G7 " * 98 + "|")
    with pytest.raises(MidneckError, match=r"too long for MusicXML: .* would have 100,352 beats"):
        made.files("musicxml")


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
