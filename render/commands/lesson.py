"""`midneck lesson`: a folder or a zip for one student, with a tune's chart, drills and playback."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from textwrap import fill
from typing import Any, Final

import click

from ...converter.hand.player import Player
from ...converter.prose.facts import HAND_CAUTION, HEARING_CAUTION
from ...grammar.foreign_text import one_line
from ...grammar.frozen import frozen
from ..charts import chart
from ..drill_options import DrillChoice, OptionMistakes
from ..lessons import AUDIO, Lesson, file_words, lesson_file, lesson_of, usual_audio
from ..names import choices_in_name, is_folder, stem_of
from ..output import (
    OutputError,
    clear_unfinished,
    write_result,
)
from ..page.drawing.style import PageStyle
from ..sources import KeyChoice, fetch, load
from ..stamps import fingerprint, is_current
from .each import warn
from .groups import GroupedCommand
from .messages import say
from .options import (
    content_options,
    heading_options,
    key_options,
    paper_options,
    pick,
    plan_options,
    player_of,
    player_options,
    quiet_option,
    rhythm_option,
    style_of,
    update_option,
)

#: The endings of a lesson in one file: with playback, or bound for printing.
ONE_FILE: Final = (".zip", ".pdf")
WROTE: Final = "  wrote   "
KEPT: Final = "  kept    "
#: The options that say how the drills are practised.
_PRACTICE: Final = ("repetitions", "ladder", "rhythm")
_EXAMPLE = """\
\b
Examples:
  midneck lesson my_tune.txt -o lessons/anna/
  midneck lesson my_tune.txt -o anna.zip --player anna.toml --key Bb
  midneck lesson my_tune.txt --ladder 80:140:10 --rhythm charleston --no-sound
"""


@frozen
class _Task:
    """A lesson and where it goes: a folder, or a file that ends in .zip or .pdf.

    `digest` is the fingerprint of all that the files depend on.
    """

    lesson: Lesson
    style: PageStyle
    audio: str
    place: Path
    digest: str
    force: bool
    update: bool

    @property
    def is_one_file(self) -> bool:
        """Whether it is one file."""
        return self.place.suffix.lower() in ONE_FILE

    def keeps(self, path: Path) -> bool:
        """Whether a file stays as it is: any that is there; with `update` one that is current."""
        if self.update:
            return is_current(path, self.digest)
        return path.exists() and not self.force


@click.command("lesson", cls=GroupedCommand, epilog=_EXAMPLE)
@click.argument("tune")
@click.option(
    "-o",
    "--output",
    "out",
    metavar="PATH",
    help="A folder (TUNE-lesson), a .zip, or a .pdf to print.",
)
@click.option("--repetitions", type=int, default=4, help="How often each drill is played (4).")
@click.option("--ladder", metavar="FROM:TO:STEP", help="Rising tempos of the drills.")
@click.option("--tempo", type=int, help="The tempo of the tune (the sheet's).")
@rhythm_option
@click.option(
    "--audio",
    type=click.Choice(AUDIO[:-1]),
    help="The format of sound (ogg with the extra audio, else wav).",
)
@click.option("--no-sound", is_flag=True, help="Only what is printed.")
@click.option("--zip", "zipped", is_flag=True, help="Write one zip.")
@click.option("--force", is_flag=True, help="Write files that exist again.")
@update_option
@quiet_option
@key_options
@player_options
@paper_options
@content_options
@heading_options
def command(tune: str, quiet: bool, **given: Any) -> int:
    """Write a folder for one student: TUNE's chart, its drills, and both to play along with.

    Files that exist are kept, unless --force or --update is given. --rhythm is played, and drawn
    over the bars of the chart.
    """
    task = _task(tune, given)
    told = []
    for path, kept in _write_file(task) if task.is_one_file else _write_folder(task):
        told.append(kept)
        if not quiet:
            say(f"{KEPT if kept else WROTE}{one_line(str(path))}")
    if not quiet:
        say("\n".join(_remarks(task, any(told))))
    return 0


def _write_folder(task: _Task) -> Iterator[tuple[Path, bool]]:
    """Write the files of a lesson that are not kept; gives each with whether it was kept."""
    clear_unfinished(task.place)
    files = list(task.lesson.files(task.style, task.audio))
    for file in files:
        path = task.place / file.name
        kept = task.keeps(path)
        if not kept:
            write_result(path, file.make(task.digest), task.force)
        yield path, kept
    for path in task.lesson.left_in(task.place, [file.name for file in files]):
        say(f"{one_line(str(path))}: the lesson has no such part any more; delete it", err=True)


def _write_file(task: _Task) -> Iterator[tuple[Path, bool]]:
    """Write the one file of a lesson unless it is kept; gives it with whether it was kept."""
    clear_unfinished(task.place.parent)
    kept = task.keeps(task.place)
    if not kept:
        data = lesson_file(task.place, task.lesson, task.style, task.audio, task.digest)
        write_result(task.place, data or b"", task.force)
    yield task.place, kept


def _task(tune: str, given: dict[str, Any]) -> _Task:
    """The lesson, planned before a file is written. Raises OptionError with every mistake."""
    mistakes = OptionMistakes()
    output = {name: given.pop(name) for name in ("out", "zipped", "force", "update")}
    tempo, sound, audio = (given.pop(name) for name in ("tempo", "no_sound", "audio"))
    audio = "none" if sound else audio or usual_audio()
    choice = pick(DrillChoice, {name: given.pop(name) for name in _PRACTICE})
    player = mistakes.get(lambda: player_of(given), Player())
    style = mistakes.get(lambda: style_of(given), PageStyle())
    key, plan = pick(KeyChoice, given), plan_options(given)
    source = fetch(tune)
    sheet = load(source, key)
    warn(tune, sheet)
    name, words = (
        file_words(sheet.header.title) or stem_of(tune),
        choices_in_name(key, player, plan),
    )
    made = chart(
        sheet, player=player, style=plan.style, smooth=plan.smooth, same_grips=plan.same_grips
    )
    lesson = lesson_of(made, choice, mistakes, tempo, name + words)
    settings = (lesson.name, choice, tempo, audio, key, player, plan, style)
    digest = fingerprint(source.data, *settings)
    place = _place(output["out"], output["zipped"], f"{stem_of(tune)}{words}-lesson")
    return _Task(lesson, style, audio, place, digest, output["force"], output["update"])


def _place(out: str | None, zipped: bool, usual: str) -> Path:
    """Where the lesson goes. Raises OutputError when a file has the name of its folder."""
    if out is None:
        return Path(f"{usual}.zip" if zipped else usual)
    place = Path(out)
    if zipped and place.suffix.lower() != ".zip":
        place = place / f"{usual}.zip" if is_folder(out) else place.with_name(f"{place.name}.zip")
    if place.suffix.lower() not in ONE_FILE and place.exists() and not place.is_dir():
        raise OutputError(f"{place} is a file: name a folder with -o")
    return place


def _remarks(task: _Task, kept: bool) -> list[str]:
    """The lines below the list of files: why some are kept, the slow tempo, the cautions."""
    why = (
        "What was kept is up to date."
        if task.update
        else "What was kept was there already: --force writes it again, --update what has changed."
    )
    ears = (
        [f"Slow is tempo {task.lesson.slowly}. {HEARING_CAUTION}"] if task.audio != "none" else []
    )
    return [fill(line, 80) for line in (*([why] if kept else []), *ears, HAND_CAUTION)]
