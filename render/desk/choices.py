"""For whom and on what paper a tune is set: the choices of the desk as one frozen value.

The same names and values as the command line's options. `to_query` and `from_query` carry them in
the address of a page, so that a bookmark brings them back; what is unknown there is left out. The
player is a preset, or that of a file (`players`), which is carried in the value: what a choice
means does not change with the folder.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from typing import Any, Final
from urllib.parse import urlencode

from ...converter.hand.plan import PlanOptions
from ...converter.hand.player import Player
from ...grammar.frozen import frozen
from ...grammar.transpose import INSTRUMENTS
from ..names import choices_in_name
from ..options import PRESET_NAMES, STYLE_NAMES, Hand, choose_player, page_style, plan_options
from ..page.drawing.style import PAPERS, PageStyle
from ..sources import KeyChoice, key_choice

PLAYERS: Final = tuple(PRESET_NAMES)
HANDS: Final = ("right", "left")
STYLES: Final = tuple(STYLE_NAMES)
GRIDS: Final = ("each", "new", "none")
SYMBOLS: Final = ("letters", "signs")


@frozen
class FiledPlayer:
    """The player of a file, and the file's text: players that differ in their name are equal."""

    text: str
    player: Player


@frozen
class Choices:
    """The choices for one tune; the defaults are those of the command line.

    `player` is a preset, or the name of the file that holds `filed`.
    """

    player: str = "adult"
    hand: str = "right"
    style: str = "shell"
    key: str = ""
    instrument: str = ""
    paper: str = "a4"
    landscape: bool = False
    large: bool = False
    grids: str = "each"
    symbols: str = "letters"
    second_page: bool = False
    filed: FiledPlayer | None = None

    def key_choice(self) -> KeyChoice:
        """The transposition. Raises OptionError for a key that does not exist."""
        return key_choice(self.key or None, instrument=self.instrument or None)

    def in_name(self) -> str:
        """Their words in the name of a file."""
        return choices_in_name(self.key_choice(), self.chosen_player(), self.plan_options())

    def plan_options(self) -> PlanOptions:
        """The options of the plan."""
        return plan_options(self.style)

    def chosen_player(self) -> Player:
        """The player."""
        hand: Hand = "left" if self.hand == "left" else "right"
        player = self.player if self.filed is None else self.filed.player
        return choose_player(player, hand)

    def page_style(self) -> PageStyle:
        """The style of the page."""
        return page_style(
            {
                "paper": self.paper,
                "landscape": self.landscape,
                "large": self.large,
                "grids": self.grids,
                "symbols": self.symbols,
                "second_page": self.second_page,
            }
        )

    def changed(self) -> dict[str, str]:
        """The names and values of the choices that differ from the defaults, as in an address."""
        usual = _usual(self.filed)
        values = {name: getattr(self, name) for name in NAMES}
        return {
            name: "1" if value is True else str(value)
            for name, value in values.items()
            if value != getattr(usual, name)
        }

    def to_query(self) -> str:
        """The choices that differ from the defaults as the query of an address."""
        return urlencode(self.changed())


#: The names of the choices in an address.
NAMES: Final = tuple(field.name for field in fields(Choices) if field.name != "filed")


def _usual(filed: FiledPlayer | None) -> Choices:
    """The defaults: those of the command line, with the hand that a player's file has."""
    return Choices() if filed is None else Choices(hand=filed.player.hand, filed=filed)


#: The values that each choice of words may have.
ALLOWED: Final[dict[str, tuple[str, ...]]] = {
    "player": PLAYERS,
    "hand": HANDS,
    "style": STYLES,
    "instrument": ("", *INSTRUMENTS),
    "paper": tuple(PAPERS),
    "grids": GRIDS,
    "symbols": SYMBOLS,
}


def from_query(query: Mapping[str, str], filed: FiledPlayer | None = None) -> Choices:
    """The choices of an address; names and values that do not exist are left out.

    `filed` is the player of the file that the address names.
    """
    usual = _usual(filed)
    values: dict[str, Any] = {}
    for name in NAMES:
        value = query.get(name)
        if value is None:
            continue
        if isinstance(getattr(usual, name), bool):
            values[name] = value == "1"
        elif name not in ALLOWED or value in ALLOWED[name]:
            values[name] = value
    if filed is not None:
        values["player"] = query["player"]
    choices = replace(usual, **values)
    try:
        choices.key_choice()
    except ValueError:
        return replace(choices, key="")
    return choices
