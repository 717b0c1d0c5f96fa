"""What is taken away from the desk without a browser: names and bytes of the command line's."""

from __future__ import annotations

from pathlib import Path

import midneck
import pytest
from midneck.grammar.errors import MidneckError
from midneck.render.desk.choices import Choices
from midneck.render.desk.folder import TuneFolder
from midneck.render.desk.session import Desk, Session
from midneck.render.desk.take_away import FORMATS, taken
from support.loops import in_thread

TUNE = "Title: Short\nKey: C\n\n| Dm7 G7 | Cmaj7 |\n"


def session_with(folder: Path, text: str) -> Session:
    """A session in which a text was worked out for a left-hander, in E flat, on letter paper."""
    (folder / "short.txt").write_text(TUNE, encoding="utf-8")
    choices = Choices(hand="left", key="Eb", paper="letter")
    session = Session(TuneFolder(folder), Desk(choices=choices))
    session.open("short.txt")
    in_thread(session.work())
    session.type(text)
    in_thread(session.work())
    return session


@pytest.mark.parametrize("kind", [kind for kind, _ in FORMATS])
def test_every_format_is_the_command_lines(kind: str, tmp_path: Path) -> None:
    chart = midneck.chart(TUNE, hand="left", key="Eb")
    options = {"paper": "letter"} if kind in ("pdf", "png") else {}
    stem = "short_in-Eb_left" + ("_chart" if kind == "txt" else "")
    same = [(stem + end, data) for end, data in chart.files(kind, **options)]
    assert taken(session_with(tmp_path, TUNE), kind) == same


def test_a_text_with_mistakes_gives_nothing(tmp_path: Path) -> None:
    with pytest.raises(MidneckError, match="mend them first"):
        taken(session_with(tmp_path, TUNE.replace("G7", "H7")), "pdf")
