"""The cautions that stand wherever stretches, fast tempos or long practice are printed.

One text for every renderer, so that it reads the same everywhere. Common advice of teachers, no
source.
"""

from __future__ import annotations

from typing import Final

#: For stretches and long drills.
HAND_CAUTION: Final = (
    "Stretches and barres can strain a hand. Warm up first, rest often, and stop at once when "
    "anything hurts or goes numb. Ask your teacher how to hold a grip that does not come easily; "
    "if pain or numbness lasts, see a doctor or a physiotherapist."
)

#: For anything that is played back.
HEARING_CAUTION: Final = "Keep practice playback at a moderate level."
