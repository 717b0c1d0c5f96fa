"""The help of a command: its options in groups by purpose, the same in every command.

click lists the options of a command in one table; `GroupedCommand` lists them by `PURPOSES`, and
names the option that is meant where people look for another name.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import click

from ..sources import INSTRUMENT_NAMES

#: The purposes in the order of the help, with the parameters that serve them.
PURPOSES: Final[dict[str, tuple[str, ...]]] = {
    "What is asked": (
        "area", "within", "home", "visits", "chord", "grip", "meter", "tempo_range",
        "max_difficulty", "change", "search_text", "knows", "sql",
    ),
    "The desk": ("port", "browser", "share"),
    "The book": ("title", "by", "about", "order", "drills", "indexes", "keep_going"),
    "The tune": ("tune", "bars", "line", "key", "up", "down", "keep_spelling"),
    "For whom": ("instrument", "studio", "student", "date", "note", "defaults"),
    "The keys to practise": ("cycle", "keys", "seed", "strings", "octave"),
    "The hand": (
        "player", "players", "hand", "window", "style", "styles", "smooth", "same_grips",
        "first_root_string", "count",
    ),
    "How it is played": (
        "tempo", "ladder", "rhythm", "time", "swing", "choruses", "repetitions", "bars_per_chord",
        "count_in", "clicks", "without", "soundfont", "audio", "strings_apart", "no_sound",
    ),
    "The page": (
        "paper", "landscape", "large", "punch", "binding", "bars_per_line", "dpi",
    ),
    "What is printed on it": (
        "grids", "neck_map", "symbols", "analysis", "second_page", "tab",
    ),
    "Where it goes": (
        "out", "zipped", "kind", "text", "words", "as_json", "details", "explain", "in_place",
        "force", "update", "jobs", "scheduler", "sync", "keep", "quiet", "help",
    ),
}  # fmt: skip

#: The options that name a file or a folder.
_NAMES_OF_FILES: Final = frozenset(
    {"out", "tune", "keep", "player", "players", "knows", "soundfont", "defaults"}
)
#: Names that people try, and the option that is meant, where the command has it.
_MEANT: Final = {
    "--left": "--hand left",
    "--right": "--hand right",
    "--left-handed": "--hand left",
    "--lefty": "--hand left",
    "--letter": "--paper letter",
    "--transpose": "--up",
    "--capo": "--up",
    "--pdf": "--format pdf",
    "--png": "--format png",
    "--svg": "--format svg",
}


class GroupedCommand(click.Command):
    """A command whose help lists its options by purpose."""

    def format_options(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write a table of options for each purpose."""
        rows = {
            "help" if "--help" in param.opts else param.name: record
            for param in self.get_params(ctx)
            if isinstance(param, click.Option)
            and (record := param.get_help_record(ctx)) is not None
        }
        for purpose, names in PURPOSES.items():
            listed = [rows.pop(name) for name in names if name in rows]
            if listed:
                with formatter.section(purpose):
                    formatter.write_dl(listed)
        if rows:
            with formatter.section("Options"):
                formatter.write_dl(list(rows.values()))

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """As the base does; an unknown option that has another name here is told that name.

        Raises click.UsageError for an empty name: as a path it would be the current folder.
        """
        try:
            rest = super().parse_args(ctx, args)
            self._refuse_empty_names(ctx)
            return rest
        except click.NoSuchOption as error:
            meant = _MEANT.get(error.option_name, "")
            if meant.partition(" ")[0] not in self._names():
                raise
            raise click.UsageError(
                f"there is no option {error.option_name}; it is {meant} here", ctx
            ) from error

    def _refuse_empty_names(self, ctx: click.Context) -> None:
        for param in self.params:
            value = ctx.params.get(param.name or "")
            named = isinstance(param, click.Argument) or param.name in _NAMES_OF_FILES
            if named and (value == "" or (isinstance(value, tuple) and "" in value)):
                raise click.UsageError(f"{param.get_error_hint(ctx)} is empty", ctx)

    def _names(self) -> set[str]:
        return {name for param in self.params for name in param.opts}


def instrument_key(ctx: click.Context, param: click.Parameter, value: str | None) -> str | None:
    """The key of an instrument that is named by its key or its name, in any case.

    Raises click.BadParameter with the names that there are.
    """
    if value is None:
        return None
    found = INSTRUMENT_NAMES.get(" ".join(value.lower().split()))
    if found is None:
        raise click.BadParameter(
            f"{value!r} is no instrument; there are {', '.join(_instruments())}"
        )
    return found


def _instruments() -> Iterator[str]:
    """Each key with the instruments in it: `Bb (trumpet, tenor)`."""
    for key in dict.fromkeys(INSTRUMENT_NAMES.values()):
        names = [name for name, found in INSTRUMENT_NAMES.items() if found == key]
        others = [name for name in names if len(name) > 2]
        yield f"{key} ({', '.join(others)})"
