"""What is playing at the desk, so that a stand of the same tune can follow it.

The player of a tab tells each bar that it begins; a stand asks where the tune is. Times are seconds
on this process's clock: the two browsers' clocks need not agree.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from time import monotonic
from typing import Any, Final

#: A bar that lasts longer than this, in seconds, is none that a player tells.
LONGEST_S: Final = 60.0
#: A tab that tells nothing for so many times the length of its bar plays no more.
SILENT_BARS: Final = 3


@dataclass(frozen=True, slots=True)
class Heard:
    """The bar with a `number`, `length_s` long, that the player of a `tab` began at `since_s`."""

    tab: str
    number: int
    length_s: float
    since_s: float


@dataclass
class Playback:
    """What the players of the tabs play, by the names of the tunes."""

    clock: Callable[[], float] = monotonic
    _heard: dict[str, Heard] = field(default_factory=dict)

    def begin(self, tune: str, tab: str, told: Any) -> None:
        """Take what a tab tells: `bar` and `length` of a bar that begins, or no bar: it stops."""
        number = told.get("bar") if isinstance(told, dict) else None
        length_s = told.get("length") if isinstance(told, dict) else None
        real = isinstance(length_s, int | float) and 0 < length_s <= LONGEST_S
        if type(number) is int and real:
            self._heard[tune] = Heard(tab, number, float(length_s or 0), self.clock())
        else:
            self.stop(tab)

    def stop(self, tab: str) -> None:
        """A tab plays no more."""
        for tune in [tune for tune, heard in self._heard.items() if heard.tab == tab]:
            del self._heard[tune]

    def plays(self, tab: str) -> bool:
        """Whether the player of a tab plays."""
        return any(heard.tab == tab for heard in self._heard.values())

    def place(self, tune: str) -> dict[str, float] | None:
        """The bar of a tune that is heard: its number, its length and how long ago it began."""
        heard = self._heard.get(tune)
        if heard is None:
            return None
        ago = self.clock() - heard.since_s
        if ago > SILENT_BARS * heard.length_s:
            return None
        return {"bar": heard.number, "length": heard.length_s, "ago": ago}


#: What is played at the desk of this process.
PLAYBACK: Final = Playback()
