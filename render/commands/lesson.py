"""`midneck lesson`: a folder for one student, with a tune's chart, drills and playback."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path
from textwrap import fill
from typing import Any, Final

import click

from ...converter.drill.make import drill_of
from ...converter.hand.player import Player
from ...converter.practice.performance import Settings
from ...converter.prose.facts import HAND_CAUTION, HEARING_CAUTION
from ..charts import chart
from ..drill_export import Lesson, file_words, lesson_files
from ..drill_options import DrillChoice, OptionMistakes
from ..names import choices_in_name, stem_of
from ..output import OutputError, clear_unfinished, write_result
from ..page.drawing.style import PageStyle
from ..sources import KeyChoice, fetch, load
from .each import warn
from .groups import GroupedCommand
from .options import (
    hand_options,
    heading_options,
    key_options,
    paper_options,
    pick,
    player_of,
    rhythm_option,
    style_of,
)

WROTE: Final = "  wrote   "
KEPT: Final = "  kept    "
#: The options that say how the drills are practised.
_PRACTICE: Final = ("repetitions", "ladder", "rhythm")
_EXAMPLE = """\
\b
Examples:
  midneck lesson my_tune.txt -o lessons/anna/
  midneck lesson my_tune.txt -o lessons/anna/ --player anna.toml --key Bb
  midneck lesson my_tune.txt --ladder 80:140:10 --rhythm charleston --no-sound
"""


@click.command("lesson", cls=GroupedCommand, epilog=_EXAMPLE)
@click.argument("tune")
@click.option(
    "-o",
    "--output",
    "out",
    metavar="FOLDER",
    help="Where it goes (TUNE-lesson).",
)
@click.option("--repetitions", type=int, default=4, help="How often each drill is played (4).")
@click.option("--ladder", metavar="FROM:TO:STEP", help="Rising tempos of the drills.")
@click.option("--tempo", type=int, help="The tempo of the tune (the sheet's).")
@rhythm_option
@click.option(
    "--audio",
    type=click.Choice(["ogg", "flac", "mp3", "wav"]),
    help="The format of sound (ogg with the extra audio, else wav).",
)
@click.option("--no-sound", is_flag=True, help="Only what is printed.")
@click.option("--force", is_flag=True, help="Write files that exist again.")
@click.option("-q", "--quiet", is_flag=True, help="Print nothing but mistakes.")
@key_options
@hand_options
@paper_options
@heading_options
def command(tune: str, out: str | None, force: bool, quiet: bool, **given: Any) -> int:
    """Write a folder for one student: TUNE's chart, its drills, and both to play along with.

    Files that exist are kept, unless --force is given.
    """
    lesson, usual = _lesson(tune, given)
    folder = Path(out or usual)
    if folder.exists() and not folder.is_dir():
        raise OutputError(f"{folder} is a file: name a folder with -o")
    clear_unfinished(folder)
    kept = False
    for file in lesson_files(lesson):
        path = folder / file.name
        exists = path.exists() and not force
        kept = kept or exists
        if not exists:
            write_result(path, file.make(), force)
        if not quiet:
            click.echo(f"{KEPT if exists else WROTE}{path}")
    if not quiet:
        click.echo("\n".join(_remarks(lesson, kept)))
    return 0


def _lesson(tune: str, given: dict[str, Any]) -> tuple[Lesson, str]:
    """The lesson, planned before a file is written, and the usual name of its folder."""
    mistakes = OptionMistakes()
    tempo, sound = given.pop("tempo"), not given.pop("no_sound")
    audio = f".{given.pop('audio') or ('ogg' if find_spec('soundfile') else 'wav')}"
    mistakes.get(lambda: Settings(tempo=tempo), None)
    choice = pick(DrillChoice, {name: given.pop(name) for name in _PRACTICE})
    player = mistakes.get(lambda: player_of(given), Player())
    style = mistakes.get(lambda: style_of(given), PageStyle())
    key = pick(KeyChoice, given)
    sheet = load(fetch(tune), key)
    route, practice = choice.of_tune(mistakes, sheet.header)
    warn(tune, sheet)
    comping = chart(sheet, player=player).comping
    drill = drill_of(comping, route, practice)
    stem, choices = stem_of(tune), choices_in_name(key, player)
    name = (file_words(sheet.header.title) or stem) + choices
    lesson = Lesson(name, comping, drill, style, tempo, sound, audio)
    return lesson, f"{stem}{choices}-lesson"


def _remarks(lesson: Lesson, kept: bool) -> list[str]:
    """The lines below the list of files: why some are kept, the slow tempo, the cautions."""
    there = ["What was kept was there already: --force writes it again."] if kept else []
    ears = [f"Slow is tempo {lesson.slowly}. {HEARING_CAUTION}"] if lesson.sound else []
    return [fill(line, 80) for line in (*there, *ears, HAND_CAUTION)]
