"""`midneck find`: ask a folder of tunes what is in them, or which of them to learn next."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import fields
from pathlib import Path
from typing import Any, Final

import click

from ...converter.harmony.analysis import AREA_KINDS
from ...converter.prose.facts import counted
from ..options import OptionError
from ..output import json_line
from ..shelf.index import Shelf, ask, open_shelf
from ..shelf.query import Found, FoundPlace, Next, Query, broken, find, what_next
from .groups import GroupedCommand
from .messages import say, write_text

#: The most new grips, changes or keys that a line names.
MOST_NAMED: Final = 2
_EXAMPLE: Final = """\
\b
Examples:
  midneck find tunes/ --area ii-V-I --in Gb
  midneck find tunes/ --key Eb --tempo 100:140 --max-difficulty 5
  midneck find tunes/ --knows tunes/ledger_blues.txt
"""


@click.command("find", cls=GroupedCommand, epilog=_EXAMPLE)
@click.argument("folders", nargs=-1)
@click.option(
    "--area",
    type=click.Choice(AREA_KINDS),
    metavar="KIND",
    help=f"Has an area of this kind: {', '.join(AREA_KINDS)}. A ii-V-I is a ii-V too.",
)
@click.option("--in", "within", metavar="KEY", help="The key of that area.")
@click.option("--key", "home", metavar="KEY", help="Is in this key.")
@click.option("--visits", metavar="KEY", help="Passes through this key.")
@click.option("--chord", metavar="SYMBOL", help="Has this chord.")
@click.option("--grip", metavar="FRETS", help="Has this grip: 'x 5 4 5 x x'.")
@click.option("--meter", metavar="METER", help="Is in this meter: 3/4.")
@click.option("--tempo", "tempo_range", metavar="FROM:TO", help="Has a tempo in this range.")
@click.option("--max-difficulty", type=click.FloatRange(0, 10), help="At most so difficult.")
@click.option("--hard-change", "change", metavar="CHORDS", help="Has this hard change: 'Bb7 Eb6'.")
@click.option(
    "--text",
    "search_text",
    metavar="WORDS",
    help="Has words that begin so in title, name or texts.",
)
@click.option("--knows", multiple=True, metavar="TUNE", help="Known tunes: what to learn next?")
@click.option("--sql", metavar="SELECT", help="Ask the index itself, read-only.")
@click.option("--json", "as_json", is_flag=True, help="A JSON object for each tune.")
def command(folders: tuple[str, ...], as_json: bool, **given: Any) -> int:
    """List the tunes in FOLDERS (the current one) that answer all that is asked, with their bars.

    The exit status is 1 when there is none. Keys are asked for by their sound: Gb finds F# too.
    """
    knows, sql = given.pop("knows"), given.pop("sql")
    query = _query(given)
    places = [Path(folder) for folder in folders or (".",)]
    for place in places:
        if not place.exists():
            raise click.UsageError(f"there is no folder {place}: name a folder of tunes")
    with open_shelf(places) as shelf:
        for path, problem in broken(shelf):
            say(f"{_short(path)} is left out: {problem}", err=True)
        if sql is not None:
            return _print(ask(shelf, sql), _cells)
        if knows:
            return _print(_next(shelf, knows), _next_json if as_json else _next_line)
        return _print(find(shelf, query), _json if as_json else _line)


def _query(given: dict[str, Any]) -> Query:
    names = {"home": "key", "search_text": "text", "tempo_range": "tempo"}
    values = {names.get(name, name): value for name, value in given.items() if value is not None}
    if "tempo" in values:
        values["tempo"] = _range(values["tempo"])
    return Query(**values)


def _range(text: str) -> tuple[int, int]:
    low, colon, high = text.partition(":")
    if not (colon and low.isdecimal() and high.isdecimal() and len(low) < 5 and len(high) < 5):
        raise OptionError(f"--tempo takes two tempos, as in 100:140, not {text!r}")
    return int(low), int(high)


def _print(answers: Iterable[Any], line: Callable[[Any], str]) -> int:
    count = 0
    for answer in answers:
        count += 1
        write_text(line(answer))
    if not count:
        say("nothing answers all that is asked", err=True)
    return 0 if count else 1


def _line(found: Found) -> str:
    """A tune on one line: file, title, key, meter, difficulty, and the bars of what was asked."""
    facts = f"{found.key}, {found.meter}, {found.bars} bars, difficulty {found.difficulty:.1f}"
    places = "".join(f" | {said}: {_bars(places)}" for said, places in found.places)
    return f"{_short(found.path)}  {found.title} ({facts}){places}\n"


def _bars(places: Sequence[FoundPlace]) -> str:
    return "; ".join(dict.fromkeys(bars for _, _, bars in places))


def _json(found: Found) -> str:
    places = [
        {
            "asked": said,
            "bars": [[first, last] for first, last, _ in at],
            "played": [bars for _, _, bars in at],
        }
        for said, at in found.places
    ]
    facts = {field.name: getattr(found, field.name) for field in fields(found)}
    return json_line({**facts, "places": places})


def _next(shelf: Shelf, knows: Sequence[str]) -> list[Next]:
    return what_next(shelf, [str(Path(name).resolve()) for name in knows])


def _next_line(each: Next) -> str:
    """A tune to learn next: how much of it is known, and what is new."""
    new = [
        *_counted(each.new_grips, "new grip"),
        *_counted(each.new_changes, "new change"),
        *_counted(each.new_keys, "new key"),
    ]
    what = f"{each.found.title} ({_short(each.found.path)})"
    return f"{round(100 * each.known):3} % known  {what}: {', '.join(new) or 'nothing new'}\n"


def _counted(things: Sequence[str], noun: str) -> Iterator[str]:
    """How many new things there are, with the first of them: `4 new grips (x 5 4 5 x x; …)`."""
    if things:
        more = "; …" if len(things) > MOST_NAMED else ""
        yield f"{counted(len(things), noun)} ({'; '.join(things[:MOST_NAMED])}{more})"


def _next_json(each: Next) -> str:
    return json_line(
        {
            "path": each.found.path,
            "title": each.found.title,
            "known": round(each.known, 4),
            "new_grips": list(each.new_grips),
            "new_changes": list(each.new_changes),
            "new_keys": list(each.new_keys),
            "difficulty": each.found.difficulty,
        }
    )


def _cells(row: tuple[object, ...]) -> str:
    return "\t".join("" if cell is None else str(cell) for cell in row) + "\n"


def _short(path: str) -> str:
    """A path from the current folder, where it lies below it."""
    try:
        short = os.path.relpath(path)
    except ValueError:  # on another drive
        return path
    return path if short.startswith("..") else short
