"""The options of a caller, checked and made into values: the player, the plan, the page.

Takes plain words and numbers from a user of Python or of the command line, gives `Player`,
`PlanOptions` and `PageStyle`. A value that is not allowed raises `OptionError`, which names it and
the allowed values; a value of another type raises TypeError.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields, replace
from pathlib import Path
from types import NoneType
from typing import Any, Final, Literal, TypedDict, get_args

from ..converter.hand.plan import STYLES, PlanOptions
from ..converter.hand.player import PRESETS, Player
from ..grammar.checks import check_type
from ..grammar.errors import MidneckError, nearest
from ..grammar.files import open_file
from ..grammar.limits import MAX_TOML_BYTES
from ..grammar.sheet import TEMPOS
from .page.drawing.style import PAPERS, Binding, Grids, Heading, NeckMap, PageStyle, Paper, Symbols

#: The typed names of the styles of voicings and the presets of players: hyphens for blanks.
STYLE_NAMES: Final = {style.replace(" ", "-"): style for style in STYLES}
PRESET_NAMES: Final = {name.replace(" ", "-"): name for name in PRESETS}
#: The last fret that a window may reach.
LAST_FRET: Final = 24
#: The page options with a fixed set of values.
_PAGE_VALUES: Final[dict[str, tuple[str, ...]]] = {
    "paper": tuple(PAPERS),
    "grids": get_args(Grids),
    "symbols": get_args(Symbols),
    "neck_map": get_args(NeckMap),
    "binding": get_args(Binding),
}

_HEADING: Final = tuple(field.name for field in fields(Heading))

Hand = Literal["right", "left"]


class OptionError(MidneckError, ValueError):
    """An option has a value that is not allowed; the message names it and the allowed values."""


class PageOptions(TypedDict, total=False):
    """The options of a page; those that are left out are the command line's own defaults.

    `bars_per_line` is 1 to 12, None for four. `studio`, `student`, `date` and
    `note` stand above the title. `dpi` is dots an inch of a .png file: 36 to 1200, None for 150.
    """

    paper: Paper
    landscape: bool
    large: bool
    bars_per_line: int | None
    grids: Grids
    symbols: Symbols
    punch: bool
    binding: Binding
    neck_map: NeckMap
    analysis: bool
    second_page: bool
    studio: str
    student: str
    date: str
    note: str
    dpi: int | None


#: The names of `PageOptions`.
PAGE_NAMES: Final = frozenset(PageOptions.__annotations__)
#: Those of the page of a chart.
CHART_NAMES: Final = PAGE_NAMES | {"rhythm"}
#: The names of the page options of each format.
PAGE_NAMES_OF: Final = {
    "pdf": PAGE_NAMES - {"dpi"}, "svg": PAGE_NAMES - {"dpi"}, "png": PAGE_NAMES,
}  # fmt: skip


def format_of(path: Path, formats: Sequence[str]) -> str:
    """The format of a name's ending. Raises OptionError when it is not one of `formats`."""
    kind = path.suffix[1:].lower()
    if kind not in formats:
        ending = path.suffix or f"{path} without an ending"
        raise OptionError(f"cannot write {ending}; there are: {', '.join(formats)}")
    return kind


def check_options(options: Iterable[str], allowed: frozenset[str], kind: str) -> None:
    """Check that all options belong to a format. Raises OptionError."""
    for name in options:
        if name not in allowed:
            names = ", ".join(sorted(allowed)) or "none"
            raise OptionError(f"{name} is no option of a .{kind} file; its options: {names}")


def in_keywords(message: str) -> str:
    """A message with options named as in Python: `force=True` for `--force`."""
    message = re.sub(r"\badd --([a-z]+)", r"add \1=True", message)
    return re.sub(r"--([a-z][a-z-]*)", lambda option: option[1].replace("-", "_"), message)


def check_dpi(dpi: int | None, kind: str) -> None:
    """Check that dots an inch are given only for PNG. Raises OptionError."""
    if dpi is not None and kind != "png":
        raise OptionError("--dpi is for PNG: add --format png, or -o FILE.png")


def typed(name: str, value: Any, *kinds: type) -> Any:
    """The value of an option, which must be of one of the types. Raises TypeError.

    A bool is not accepted as an int.
    """
    check_type(name, value, *kinds)
    return value


def one_of(name: str, value: object, allowed: Iterable[str]) -> str:
    """The value of an option that must be one of some words.

    Raises OptionError for another word, TypeError for a value that is not a string.
    """
    word: str = typed(name, value, str)
    names = list(allowed)
    if word not in names:
        raise OptionError(f"{name} cannot be {word!r}; there are: {', '.join(names)}")
    return word


def choose_player(
    player: str | os.PathLike[str] | Player = "adult",
    hand: Hand | None = None,
    window: str | tuple[int, int] | None = None,
) -> Player:
    """The player: a preset, a player file (TOML) or a player, with another hand or window if given.

    `window` holds the first and the last fret for roots, as (3, 10) or "3-10". Raises OptionError,
    SheetError with the mistakes of a player file, OSError.
    """
    chosen = player if isinstance(player, Player) else _named_player(player)
    if hand is not None:
        one_of("hand", hand, get_args(Hand))
        chosen = replace(chosen, hand=hand)
    return chosen if window is None else replace(chosen, window=_window(window))


def _named_player(name: str | os.PathLike[str]) -> Player:
    text = os.fspath(typed("player", name, str, os.PathLike, Player))
    if text in PRESET_NAMES:
        return PRESETS[PRESET_NAMES[text]]
    if _is_file(text):
        # It checks fingers with numpy, which few commands need.
        from ..converter.hand.player_file import read_player

        return read_player(toml_text(text), text)
    near = nearest(text.lower()[:20], list(PRESET_NAMES), 0.74)
    presets = ", ".join(PRESET_NAMES)
    hint = f"did you mean {near!r}?" if near else f"give a TOML file or one of: {presets}"
    raise OptionError(f"there is no player file {text!r}; {hint}")


def _is_file(name: str) -> bool:
    """Whether a name is that of a file or a pipe that can be read."""
    try:
        return Path(name).exists() and not Path(name).is_dir()
    except OSError:  # too long a name
        return False


def toml_text(path: str, most: int = MAX_TOML_BYTES) -> str:
    """The text of a TOML file. Raises OptionError when it is too large or not UTF-8, OSError."""
    try:
        with open_file(path) as file:
            data = file.read(most + 1)
        if len(data) > most:
            raise OptionError(f"{path} is larger than {most:,} bytes")
        return data.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        raise OptionError(f"{path} is no UTF-8 text, as a TOML file is") from error


def _window(window: str | tuple[int, int]) -> tuple[int, int]:
    if isinstance(window, str):
        low, dash, high = window.replace("–", "-").partition("-")
        frets = (int(low), int(high)) if dash and _is_fret(low) and _is_fret(high) else (1, 0)
    elif isinstance(window, tuple) and all(type(fret) is int for fret in window):
        frets = window if len(window) == 2 else (1, 0)
    else:
        raise TypeError(f"window is a pair of frets, as (3, 10), not {window!r}")
    if not 0 <= frets[0] <= frets[1] <= LAST_FRET:
        raise OptionError(f"window takes two frets, as in 3-10, not {repr(window)[:40]}")
    return frets


def _is_fret(text: str) -> bool:
    return text.isdecimal() and len(text) <= 2


def plan_options(
    style: str = "shell",
    smooth: bool = False,
    tempo: int | None = None,
    first_root_string: int | None = None,
    same_grips: bool = True,
) -> PlanOptions:
    """The options of a plan. Raises OptionError for a style or a tempo that does not exist."""
    if style not in STYLES:
        style = STYLE_NAMES[one_of("style", style, STYLE_NAMES)]
    chosen = next(known for known in STYLES if known == style)
    typed("smooth", smooth, bool)
    typed("same_grips", same_grips, bool)
    typed("first_root_string", first_root_string, int, NoneType)
    typed("tempo", tempo, int, NoneType)
    if tempo is not None and not TEMPOS[0] <= tempo <= TEMPOS[1]:
        raise OptionError(f"the tempo goes from {TEMPOS[0]} to {TEMPOS[1]}; {tempo} does not")
    return PlanOptions(chosen, smooth, same_grips, first_root_string=first_root_string, tempo=tempo)


def page_style(options: Mapping[str, Any]) -> PageStyle:
    """The page style of `CHART_NAMES`; the default of `symbols` is qualities in letters.

    Raises OptionError for a value that is not allowed, TypeError for one of a wrong type.
    """
    for name, allowed in _PAGE_VALUES.items():
        if name in options:
            one_of(name, options[name], allowed)
    for name, value in options.items():
        typed(name, value, *_page_types(name))
    heading = Heading(**{name: options[name] for name in _HEADING if name in options})
    values = {name: value for name, value in options.items() if name not in _HEADING}
    try:
        return PageStyle(**({"symbols": "letters"} | values), heading=heading)
    except ValueError as error:
        raise OptionError(str(error)) from error


def _page_types(name: str) -> tuple[type, ...]:
    """The types that an option of a page may have."""
    if name in ("bars_per_line", "dpi"):
        return int, NoneType
    if name == "rhythm":
        return str, NoneType
    return (str,) if name in _PAGE_VALUES or name in _HEADING else (bool,)
