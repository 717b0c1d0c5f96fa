"""The cautions that stand wherever stretches, fast tempos or long practice are printed.

One text for every renderer, so that it reads the same everywhere. Common advice of teachers, no
source.
"""

from __future__ import annotations

from typing import Final

from .effort import FINGER_PAIRS
from .grip import Grip, places_of
from .player import Player

#: For stretches and long drills.
HAND_CAUTION: Final = (
    "Stretches and barres can strain a hand. Warm up first, rest often, and stop at once when "
    "anything hurts or goes numb. Ask your teacher how to hold a grip that does not come easily; "
    "if pain or numbness lasts, see a doctor or a physiotherapist."
)

#: The same in one line, for the foot of a chart that shows stretches.
HAND_CAUTION_SHORT: Final = (
    "Stretches can strain a hand: warm up, rest, stop when anything hurts or goes numb, ask your "
    "teacher; if it lasts, see a doctor."
)

#: For anything that is played back.
HEARING_CAUTION: Final = "Keep practice playback at a moderate level."


def stretches(grip: Grip, player: Player) -> bool:
    """Whether two fingers of a grip lie farther apart along the neck than is comfortable."""
    at = {finger: player.neck.fret_mm(place.fret) for finger, place in places_of(grip).items()}
    return any(
        one in at and other in at and abs(at[one] - at[other]) > comfort
        for (one, other), comfort in zip(FINGER_PAIRS, player.reach.comfort_mm, strict=True)
    )
