"""Players to start from: an adult, a small hand, a beginner.

Reach and weights are settings (see `effort.py`); the sizes follow from no measurement.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from .effort import Effort, Reach
from .player import Neck, Player

#: A shorter scale, 24.75 in, as many smaller instruments have it.
SHORT_SCALE_MM: Final = 628.65

#: An adult on a 25.5 in scale: all the defaults.
ADULT: Final = Player()

#: A hand nine tenths as large, on a shorter scale.
SMALL_HAND: Final = Player(neck=Neck(scale_mm=SHORT_SCALE_MM), reach=Reach().scaled(0.9))

#: Someone in the first months: stretches and barres cost double, a bare shell is as good as one
#: with every tone said, and thinking takes longer.
BEGINNER: Final = Player(
    effort=replace(
        Effort(), stretch=0.9, barre_mm=2.4, barre_string_mm=2.4, unsaid_mm=0.0, hurry_s=0.5
    )
)

PRESETS: Final = {"adult": ADULT, "small hand": SMALL_HAND, "beginner": BEGINNER}
