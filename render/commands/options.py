"""Options that several commands share, in groups, and the values that they become.

A group is a decorator. A command gets its options as keywords (`given`), and `pick` makes one
frozen value of those that belong together.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import fields
from pathlib import Path
from typing import Any, Final, TypeVar, get_args

import click

from ...converter.hand.plan import PlanOptions
from ...converter.hand.player import Player
from ...converter.practice.rhythm import PATTERNS
from ...grammar.bar_names import Bars, BarsError, find_bars
from ...grammar.key import parse_key
from ...grammar.sheet import Sheet
from ...grammar.toml_text import TomlError, load_toml
from ..names import is_folder
from ..options import (
    CHART_NAMES,
    PRESET_NAMES,
    STYLE_NAMES,
    OptionError,
    choose_player,
    page_style,
    toml_text,
)
from ..page.drawing.style import DPI, PAPERS, USUAL_DPI, Binding, Heading, PageStyle
from ..sources import KeyChoice
from .groups import instrument_key

Value = TypeVar("Value")


def group(*options: Callable[[Any], Any]) -> Callable[[Any], Any]:
    """One decorator that adds several options, in the order given."""

    def decorate(function: Any) -> Any:
        for option in reversed(options):
            function = option(function)
        return function

    return decorate


def pick(kind: type[Value], given: dict[str, Any]) -> Value:
    """Take the options that are fields of a value out of `given` and make the value of them."""
    names = [field.name for field in fields(kind)]  # type: ignore[arg-type]
    return kind(**{name: given.pop(name) for name in names if name in given})


def _key(ctx: click.Context, param: click.Parameter, value: str | None) -> str | None:
    if value is not None:
        try:
            parse_key(value)
        except ValueError as error:
            raise click.BadParameter(str(error)) from error
    return value


def bars_option(help_text: str) -> Callable[[Any], Any]:
    """The option that names bars of a tune, by numbers or a section; its help says what for."""
    return click.option("--bars", metavar="BARS", help=help_text)


def bars_of(sheet: Sheet, text: str | None) -> Bars | None:
    """The bars that are named, None for all. Raises click.BadParameter."""
    try:
        return None if text is None else find_bars(sheet, text)
    except BarsError as error:
        raise click.BadParameter(str(error), param_hint="--bars") from error


force_option = click.option(
    "--force", is_flag=True, help="Overwrite a file that Midneck did not make."
)
quiet_option = click.option("-q", "--quiet", is_flag=True, help="Print nothing but mistakes.")
update_option = click.option(
    "--update", is_flag=True, help="Make only what is missing or has changed."
)
ladder_option = click.option(
    "--ladder", metavar="FROM:TO:STEP", help="Rising tempos, as 80:140:10."
)
output_option = click.option(
    "-o", "--output", "out", metavar="PATH", help="A file, a folder/, or - (stdout)."
)
key_options = group(
    click.option("--key", metavar="KEY", callback=_key, help="Set the tune in this key: Eb, F#m."),
    click.option("--up", type=click.IntRange(0, 11), default=0, help="So many semitones up."),
    click.option("--down", type=click.IntRange(0, 11), default=0, help="So many semitones down."),
    click.option(
        "--for",
        "instrument",
        metavar="[Bb|Eb|F]",
        callback=instrument_key,
        help="Write it for an instrument in this key, or by name: tenor, alto.",
    ),
)


def key_choice_of(given: dict[str, Any]) -> KeyChoice:
    """The key to read a tune in, taken out of the options given."""
    return pick(KeyChoice, given)


def player_of(given: dict[str, Any]) -> Player:
    """The player that the options name, taken out of `given`. Raises OptionError, OSError."""
    return choose_player(given.pop("player"), given.pop("hand"), given.pop("window"))


hand_options = group(
    click.option(
        "--player",
        default="adult",
        metavar="FILE|PRESET",
        help=f"A player file (TOML), or one of: {', '.join(PRESET_NAMES)}.",
    ),
    click.option("--hand", type=click.Choice(["right", "left"]), help="Mirror for a left-hander."),
    click.option("--window", metavar="FRETS", help="Keep roots to these frets (3-10)."),
)
player_options = group(
    hand_options,
    click.option(
        "--style",
        type=click.Choice(list(STYLE_NAMES)),
        default="shell",
        callback=lambda ctx, param, value: STYLE_NAMES[value],
        help="The voicings to use (shell).",
    ),
    click.option("--smooth", is_flag=True, help="Make the hardest change as easy as can be."),
    click.option(
        "--same-grips/--no-same-grips",
        default=True,
        help="The same grips for each repeat of a four-bar phrase (on).",
    ),
)


def plan_options(given: dict[str, Any]) -> PlanOptions:
    """The options of the plan, taken out of the options given."""
    return pick(PlanOptions, given)


#: What is printed in the place of a file, by the names of the options.
_PRINT_OPTIONS: Final = {
    "as_json": "--json",
    "text": "--text",
    "words": "--words",
    "explain": "--explain",
}


def check_print_options(given: dict[str, Any]) -> None:
    """Refuse data or a file on standard output beside anything else, and a format without a file.

    Raises OptionError.
    """
    chosen = [option for name, option in _PRINT_OPTIONS.items() if given.get(name)]
    if chosen and given["out"] is None and given["kind"] is not None:
        raise OptionError(f"{chosen[0]} writes no file: leave out --format, or add -o FILE")
    if given["out"] == "-":
        chosen.append("-o -")
    if len(chosen) > 1 and {"--json", "-o -"} & set(chosen):
        raise OptionError(f"{chosen[0]} and {chosen[-1]} both print: give one of them")


def output_format(kind: str | None, out: str | None, formats: Sequence[str]) -> str:
    """The format that `kind` names, or the ending of `out`; else the first of `formats`.

    Raises OptionError when there is no such format, and when name and ending differ.
    """
    suffix = "" if out is None or is_folder(out) else Path(out).suffix.lstrip(".").lower()
    if not suffix or (kind is not None and suffix not in formats):
        return kind or formats[0]
    if suffix not in formats:
        raise OptionError(f"cannot write .{suffix}; there are: {', '.join(formats)}")
    if kind not in (None, suffix):
        raise OptionError(f"-o {out} and --format {kind} ask for two formats: give one")
    return suffix


symbols_option = click.option(
    "--symbols",
    type=click.Choice(["signs", "letters"]),
    default="letters",
    help="Qualities as signs (△ ø °) or letters (maj7 m7♭5 dim).",
)
dpi_option = click.option(
    "--dpi", type=click.IntRange(*DPI), metavar="N", help=f"Dots an inch of a PNG ({USUAL_DPI})."
)
paper_options = group(
    click.option(
        "--paper",
        type=click.Choice(list(PAPERS), case_sensitive=False),
        default="a4",
        help="Paper size (a4).",
    ),
    click.option("--landscape", is_flag=True, help="Turn the page."),
    click.option("--large", is_flag=True, help="Large print: nothing under 18 points."),
    symbols_option,
    click.option("--punch", is_flag=True, help="Leave room for punched holes."),
    click.option(
        "--binding",
        type=click.Choice(get_args(Binding)),
        default="none",
        help="Mirror the margins of left and right pages, as in a book (none).",
    ),
)
_RHYTHMS: Final = ", ".join(row.name for row in PATTERNS)
rhythm_option = click.option("--rhythm", metavar="NAME", help=f"{_RHYTHMS}.")
content_options = group(
    click.option("--bars-per-line", type=click.IntRange(1, 12), help="Bars on a line (4)."),
    click.option(
        "--grids",
        type=click.Choice(["each", "new", "none"]),
        default="each",
        help="A fret grid under each chord, where a grip is new, or none.",
    ),
    click.option(
        "--neck-map",
        type=click.Choice(["none", "line", "page"]),
        help="The hand's path under each line (in large print only when asked), or as a page.",
    ),
    click.option(
        "--analysis/--no-analysis",
        default=None,
        help="Numerals, brackets and arrows, or none (in large print none unless asked for).",
    ),
)
strokes_option = click.option(
    "--rhythm", metavar="NAME", help=f"Strokes over the bars: {_RHYTHMS}."
)
chart_options = group(
    content_options,
    click.option("--second-page", is_flag=True, help="Add grips, areas and what to practise."),
    strokes_option,
)
heading_options = group(
    click.option("--studio", help="The studio's name, above the title."),
    click.option("--student", help="The student's name."),
    click.option("--date", help="A date, as you want it printed."),
    click.option("--note", help="A note of yours."),
    click.option("--defaults", metavar="FILE", help="A TOML file with these four."),
)


def style_of(given: dict[str, Any]) -> PageStyle:
    """The page that the options name, taken out of `given`. Raises OptionError."""
    options: dict[str, Any] = _defaults(given.pop("defaults"))
    options |= {field.name: value for field in fields(Heading) if (value := given.pop(field.name))}
    asked = {name: given.pop(name) for name in CHART_NAMES if name in given}
    options |= {name: value for name, value in asked.items() if value is not None}
    return page_style(options)


def _defaults(path: str | None) -> dict[str, str]:
    """A teacher's defaults from a TOML file: studio, student, date, note. Raises OptionError."""
    if path is None:
        return {}

    try:
        data = load_toml(toml_text(path))
    except TomlError as error:
        raise OptionError(f"{path} is not a TOML file: {error}") from error
    known = [field.name for field in fields(Heading)]
    bad = [key for key, value in data.items() if key not in known or not isinstance(value, str)]
    if bad:
        shown = ", ".join(key[:40] for key in bad[:10])
        raise OptionError(
            f"{path}: {shown} not understood; known are {', '.join(known)}, each a text"
        )
    return {key: str(value) for key, value in data.items()}
