"""The player files of the desk's folder: which there are, and what choosing one means.

Takes a folder and names, gives `Choices` that carry the player as it was read. What is wrong with a
file is told in one line: its name, the line, the mistake and what would be right.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Final

from ...converter.hand.player import Player
from ...converter.hand.player_file import KEYS, TABLES, read_player
from ...grammar.errors import SheetError
from .choices import PLAYERS, Choices, FiledPlayer, from_query
from .folder import PLAYER_ENDING, FolderError, TuneFolder

#: A line that sets something of a player alone, or begins one of its tables: by it a file with
#: mistakes is told from a book and from the settings of other programs, which have names as well.
_OF_A_PLAYER: Final = re.compile(
    rf"^[ \t]*(?:(?:{'|'.join(key for key in KEYS if key != 'name')})[ \t]*=|"
    rf"\[[ \t]*(?:{'|'.join(TABLES)})[ \t]*\])",
    re.MULTILINE,
)


def filed_names(folder: TuneFolder, choices: Choices) -> dict[str, str]:
    """The player files of a folder and what each is called, that which is chosen among them.

    A file with mistakes has its name without the ending. A name that a preset or an earlier file
    has as well is told apart by that of the file.
    """
    try:
        names = dict(_called(folder))
    except FolderError:
        names = {}
    if choices.filed is not None:
        names[choices.player] = choices.filed.player.name
    taken = [name.replace("-", " ") for name in PLAYERS]
    for name, called in names.items():
        names[name] = f"{called} ({name})" if called in taken else called
        taken.append(called)
    return names


def with_player(folder: TuneFolder, choices: Choices, name: str) -> Choices:
    """The choices for a preset, or for the player of a file, with its hand, read anew.

    Raises FolderError.
    """
    if name in PLAYERS:
        return replace(choices, player=name, filed=None)
    filed = _filed(folder, name)
    return replace(choices, player=name, hand=filed.player.hand, filed=filed)


def read_anew(folder: TuneFolder, choices: Choices) -> tuple[Choices, str]:
    """The choices with their player file as it stands in the folder, and "".

    The same choices where it has not changed or is gone, and where it has mistakes, which the text
    tells. A hand that was chosen stays, unless the file has another one than before.
    """
    if choices.filed is None or choices.player not in _there(folder):
        return choices, ""
    try:
        fresh = with_player(folder, choices, choices.player)
    except FolderError as error:
        return choices, str(error)
    assert fresh.filed is not None
    if fresh.filed.text == choices.filed.text:
        return choices, ""
    same_hand = fresh.filed.player.hand == choices.filed.player.hand
    return (replace(fresh, hand=choices.hand) if same_hand else fresh), ""


def _there(folder: TuneFolder) -> tuple[str, ...]:
    """The files that may describe players, none where the folder cannot be read."""
    try:
        return folder.player_names()
    except FolderError:
        return ()


def choices_of(folder: TuneFolder, query: Mapping[str, str]) -> tuple[Choices, str]:
    """The choices of an address, its player file read, and "".

    Where no player can be read of the file that it names, the choices are for the default player,
    and the text tells why.
    """
    name = query.get("player", "")
    if not name.lower().endswith(PLAYER_ENDING):
        return from_query(query), ""
    try:
        return from_query(query, _filed(folder, name)), ""
    except FolderError as error:
        return from_query(query), str(error)


def _called(folder: TuneFolder) -> Iterator[tuple[str, str]]:
    """The files that describe a player, well or badly, and the names of the players."""
    for name in folder.player_names():
        try:
            text = folder.player_text(name)
        except FolderError:
            continue
        if name.isprintable() and _describes(name, text):
            player = _read(name, text)
            yield name, (player.name if isinstance(player, Player) else "") or Path(name).stem


def _describes(name: str, text: str) -> bool:
    """Whether a text is that of a player file, well or badly written."""
    return isinstance(_read(name, text), Player) or _OF_A_PLAYER.search(text) is not None


@lru_cache(maxsize=256)
def _read(name: str, text: str) -> Player | str:
    """The player of a text, or what is wrong with it."""
    try:
        return read_player(text, name)
    except SheetError as error:
        return _first_mistake(name, error)


def _filed(folder: TuneFolder, name: str) -> FiledPlayer:
    """The player of a file. Raises FolderError that says what to do."""
    try:
        text = folder.player_text(name)
    except FolderError as error:
        raise FolderError(f"{error}: choose another player, or mend the file.") from error
    player = _read(name, text)
    if isinstance(player, Player):
        return FiledPlayer(text, player)
    if not _describes(name, text):
        raise FolderError(f'{name} is no player file: it has lines such as preset = "adult".')
    raise FolderError(player)


def _first_mistake(name: str, error: SheetError) -> str:
    """The first mistake of a file in one line, and how many there are besides."""
    first = error.problems[0]
    place = f"{name}, line {first.line}" if first.line else name
    expected = f"; expected {first.expected}" if first.expected else ""
    meant = f"; did you mean {first.suggestion!r}?" if first.suggestion else "."
    more = len(error.problems) - 1
    return f"{place}: {first.message}{expected}{meant}" + (f" And {more} more." if more else "")
