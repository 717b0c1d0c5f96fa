"""Names of result files: the name of the sheet, then a word for each choice.

Takes the choices, gives `tune_in-G_left_small-hand.pdf`: a word for each choice that changes the
music or the grips, joined by `_`, in letters, digits and hyphens, so that no shell needs quotes and
results for different choices never overwrite each other. A name that the user gives takes
precedence.
"""

from __future__ import annotations

import os
import re
import unicodedata
from collections.abc import Mapping, Sequence
from itertools import islice
from pathlib import Path

from ..converter.hand.plan import PlanOptions
from ..converter.hand.player import ADULT, Player
from ..grammar.frozen import frozen
from ..grammar.key import parse_key
from .output import OutputError
from .sources import SUFFIXES, KeyChoice


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


@frozen
class Clashes:
    """What keeps the results of a run apart.

    `refused` says for sheets why they have no result; `taken` holds paths that are results of
    sheets and look like a page of another one's, with these sheets. `folds`: paths that differ in
    case alone are one file, and `taken` holds their common form.
    """

    refused: Mapping[str, str]
    taken: Mapping[Path, str]
    folds: bool = False

    def check(self, name: str) -> None:
        """Raise OutputError when a sheet is refused."""
        if name in self.refused:
            raise OutputError(self.refused[name])

    def check_pages(self, name: str, pages: Sequence[Path]) -> None:
        """Raise OutputError when a page of a sheet would go where another sheet's result goes."""
        for page in pages:
            other = self.taken.get(_folded(page) if self.folds else page)
            if other is not None and other != name:
                raise OutputError(
                    f"{name} has {len(pages)} files, and {page} is that of {other}: rename one"
                )


def clashes(paths: Mapping[str, Path]) -> Clashes:
    """What would go wrong when the result of each sheet (by its name) goes to its path.

    A sheet is refused when its result would overwrite that of an earlier one, or another sheet. On
    a file system that folds case, paths that differ in case alone are the same.
    """
    folds = any(folds_case(folder) for folder in {path.parent for path in paths.values()})
    form = _folded if folds else Path
    first: dict[Path, str] = {}
    typed = {path.suffix for path in paths.values()} & set(SUFFIXES)
    sheets = {form(os.path.realpath(name)): name for name in paths} if typed else {}
    refused: dict[str, str] = {}
    for name, path in paths.items():
        earlier = first.setdefault(form(path), name)
        sheet = sheets.get(form(os.path.realpath(path)), name) if sheets else name
        if earlier != name:
            refused[name] = f"{name} would go to {path}, as {earlier} does: rename one"
        elif sheet != name:
            refused[name] = f"{name} would go to {path}, which is a sheet itself: rename one"
    taken = {path: name for path, name in first.items() if _is_page(path, first)}
    return Clashes(refused, taken, folds)


def _folded(path: str | Path) -> Path:
    """The common form of paths that a file system which folds case takes for the same.

    Such file systems take composed and decomposed letters for the same too (Apple File System
    Reference, 2020: normalization-insensitive names).
    """
    return Path(unicodedata.normalize("NFD", unicodedata.normalize("NFD", str(path)).casefold()))


def folds_case(folder: Path) -> bool:
    """Whether names in a folder that differ in case alone are one file, as mostly on macOS.

    It is seen from a file that is in the folder, or else from the folder's own name or that of one
    above it: the name with its case swapped is the same file, another one or none.
    """
    place = folder.resolve()
    try:
        with os.scandir(place) as entries:
            inside = [Path(entry.path) for entry in islice(entries, 20)]
    except OSError:
        inside = []
    for path in (*inside, place, *place.parents):
        swapped = path.parent / path.name.swapcase()
        if path.name.isascii() and swapped != path and os.path.lexists(path):
            return os.path.lexists(swapped) and path.lstat().st_ino == swapped.lstat().st_ino
    return False


def _is_page(path: Path, results: Mapping[Path, str]) -> bool:
    """Whether a path is what a page of another result would be called."""
    stem, _, number = path.stem.rpartition("-")
    return bool(stem) and number.isdecimal() and path.with_name(stem + path.suffix) in results


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
    player, options = player or ADULT, options or PlanOptions()
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
        "" if player.window == ADULT.window else f"frets {low} {high}",
    )
