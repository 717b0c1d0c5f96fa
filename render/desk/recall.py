"""What was chosen in a tab, as long as the desk runs: a reload of the page brings it back.

A tab is known by its name, which a reload keeps. Values are frozen; those of the last `MOST_TABS`
tabs are kept.
"""

from __future__ import annotations

from typing import Final, TypeVar

Value = TypeVar("Value")
#: The tabs whose choices are kept.
MOST_TABS: Final = 200
_CHOSEN: Final[dict[str, dict[str, object]]] = {}


def remember(tab: str, what: str, value: object) -> None:
    """Keep what was chosen in a tab, by the name of the choice."""
    chosen = _CHOSEN.pop(tab, {})
    _CHOSEN[tab] = {**chosen, what: value}
    while len(_CHOSEN) > MOST_TABS:
        del _CHOSEN[next(iter(_CHOSEN))]


def recalled(tab: str, what: str, usual: Value) -> Value:
    """What was chosen in a tab, the usual value where nothing of its kind was."""
    found = _CHOSEN.get(tab, {}).get(what)
    return found if isinstance(found, type(usual)) else usual
