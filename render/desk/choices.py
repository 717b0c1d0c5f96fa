"""For whom and on what paper a tune is set: the choices of the desk as one frozen value.

The same names and values as the command line's options. `to_query` and `from_query` carry them in
the address of a page, so that a bookmark brings them back; what is unknown there is left out.
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
from ..options import PRESET_NAMES, STYLE_NAMES, Hand, choose_player, page_style, plan_options
from ..page.drawing.style import PAPERS, PageStyle
from ..sources import KeyChoice, key_choice

PLAYERS: Final = tuple(PRESET_NAMES)
HANDS: Final = ("right", "left")
STYLES: Final = tuple(STYLE_NAMES)
GRIDS: Final = ("each", "new", "none")
SYMBOLS: Final = ("letters", "signs")


@frozen
class Choices:
    """The choices for one tune; the defaults are those of the command line."""

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

    def key_choice(self) -> KeyChoice:
        """The transposition. Raises OptionError for a key that does not exist."""
        return key_choice(self.key or None, instrument=self.instrument or None)

    def plan_options(self) -> PlanOptions:
        """The options of the plan."""
        return plan_options(self.style)

    def chosen_player(self) -> Player:
        """The player."""
        hand: Hand = "left" if self.hand == "left" else "right"
        return choose_player(self.player, hand)

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

    def to_query(self) -> str:
        """The choices that differ from the defaults as the query of an address."""
        usual = Choices()
        changed = {
            field.name: getattr(self, field.name)
            for field in fields(self)
            if getattr(self, field.name) != getattr(usual, field.name)
        }
        return urlencode({name: "1" if value is True else value for name, value in changed.items()})


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


def from_query(query: Mapping[str, str]) -> Choices:
    """The choices of an address; names and values that do not exist are left out."""
    values: dict[str, Any] = {}
    for field in fields(Choices):
        value = query.get(field.name)
        if value is None:
            continue
        if isinstance(field.default, bool):
            values[field.name] = value == "1"
        elif field.name not in ALLOWED or value in ALLOWED[field.name]:
            values[field.name] = value
    choices = replace(Choices(), **values)
    try:
        choices.key_choice()
    except ValueError:
        return replace(choices, key="")
    return choices
