"""Options about paper and what a teacher writes above a page, shared by the commands that print."""

from __future__ import annotations

import tomllib
from dataclasses import fields
from typing import Any

import click

from ..page.style import PAPERS, Heading, PageStyle
from .options import group, pick, toml_text

symbols_option = click.option(
    "--symbols",
    type=click.Choice(["signs", "letters"]),
    default="letters",
    help="Qualities as signs (△ ø °) or letters (maj7 m7♭5 dim).",
)
paper_options = group(
    click.option("--paper", type=click.Choice(list(PAPERS)), default="a4", help="Paper size (a4)."),
    click.option("--landscape", is_flag=True, help="Turn the page."),
    click.option("--large", is_flag=True, help="Large print: nothing under 18 points."),
    symbols_option,
    click.option("--punch", is_flag=True, help="Leave room for punched holes."),
)
chart_options = group(
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
        default="line",
        help="The hand's path under each line, or as a page of its own.",
    ),
    click.option("--second-page", is_flag=True, help="Add grips, areas and what to practise."),
    click.option("--no-analysis", is_flag=True, help="No numerals, brackets and arrows."),
)
heading_options = group(
    click.option("--studio", help="The studio's name, above the title."),
    click.option("--student", help="The student's name."),
    click.option("--date", help="A date, as you want it printed."),
    click.option("--note", help="A note of yours."),
    click.option("--defaults", metavar="FILE", help="A TOML file with these four."),
)


def style_of(given: dict[str, Any]) -> PageStyle:
    """The page that options ask for, taken out of `given`. Raises click.UsageError."""
    heading = _defaults(given.pop("defaults"))
    heading |= {field.name: value for field in fields(Heading) if (value := given.pop(field.name))}
    return pick(PageStyle, given | {"heading": Heading(**heading)})


def _defaults(path: str | None) -> dict[str, str]:
    """A teacher's defaults from a TOML file: studio, student, date, note. Raises UsageError."""
    if path is None:
        return {}
    try:
        data = tomllib.loads(toml_text(path))
    except tomllib.TOMLDecodeError as error:
        raise click.UsageError(f"{path} is not a TOML file: {error}") from error
    known = [field.name for field in fields(Heading)]
    bad = [key for key, value in data.items() if key not in known or not isinstance(value, str)]
    if bad:
        raise click.UsageError(
            f"{path}: {', '.join(bad)} not understood; known are {', '.join(known)}, each a text"
        )
    return {key: str(value) for key, value in data.items()}
