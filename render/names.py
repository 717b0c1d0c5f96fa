"""Names of result files: the name of the sheet, then a word for each choice.

Takes the choices, gives `tune_in-G_left_small-hand.pdf`: a word for each choice that changes the
music or the grips, joined by `_`, in letters, digits and hyphens, so that no shell needs quotes and
results for different choices never overwrite each other. A name that the user gives takes
precedence.
"""

from __future__ import annotations

import os
import re
from pathlib import Path

from ..converter.hand.plan import PlanOptions
from ..converter.hand.player import Player
from ..grammar.key import parse_key
from .output import OutputError
from .sources import KeyChoice


def target(source: str, suffix: str, out: str | None, many: bool, choices: str = "") -> Path:
    """The path of the result of `source`: `out`, or a name in the folder `out` or the current one.

    `choices` follow the name of the sheet. `out` is a folder when it exists as one, ends in a
    slash, or when there are `many` inputs. Raises OutputError when `out` is a file and there are
    many inputs.
    """
    name = stem_of(source) + choices + suffix
    if out is None:
        return Path(name)
    path = Path(out)
    if is_folder(out):
        return path / name
    if many and path.exists():
        raise OutputError(f"{out} is a file, but there are several sheets: give a folder")
    return path / name if many else path


def stem_of(source: str) -> str:
    """The stem of the names of a sheet's results: that of its file, `sheet` for standard input."""
    return "sheet" if source == "-" else Path(source).stem


def is_folder(out: str) -> bool:
    """Whether a typed path is a folder: it exists as one, or ends in a slash."""
    return out.endswith(("/", os.sep)) or Path(out).is_dir()


def choices_in_name(
    choice: KeyChoice, player: Player | None = None, options: PlanOptions | None = None
) -> str:
    """The choices of a chart as a part of its file's name: `_in-G_left_small-hand`, or ""."""
    player, options = player or Player(), options or PlanOptions()
    return joined_words(
        *_key_words(choice),
        *_player_words(player),
        "" if options.style == PlanOptions().style else options.style,
        "smooth" if options.smooth else "",
        "" if options.same_grips else "grips-apart",
    )


def joined_words(*words: str) -> str:
    """The words that are not empty, each after a `_`, in characters for file names."""
    plain = (re.sub(r"\W+", "-", word.replace("#", "-sharp")).strip("-") for word in words)
    return "".join(f"_{word}" for word in plain if word)


def key_word(name: str) -> str:
    """A key as a word of a name: `in-Eb`, `in-F-sharp`, `in-C-minor`."""
    key = parse_key(name)
    mode = "" if key.mode == "major" else f" {key.mode}"
    return f"in {key.tonic}{mode}"


def _key_words(choice: KeyChoice) -> tuple[str, ...]:
    up = choice.up - choice.down
    return (
        "" if choice.key is None else key_word(choice.key),
        f"{'up' if up > 0 else 'down'} {abs(up)}" if up else "",
        "" if choice.instrument is None else f"for {choice.instrument.replace('♭', 'b')}",
    )


def _player_words(player: Player) -> tuple[str, ...]:
    low, high = player.window
    return (
        "left" if player.hand == "left" else "",
        player.name.lower(),
        "" if player.window == Player().window else f"frets {low} {high}",
    )
