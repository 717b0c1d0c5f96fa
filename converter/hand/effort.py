"""What playing costs: reach of the fingers and the weights of effort, each with unit and reason.

Lengths are millimetres, prices are millimetres of effort: 1 mm is what it takes to move the whole
hand 1 mm along the neck. Nobody has published such weights; they are settings, calibrated so that
common judgements of players come out (the calibration tests say which). They are never called
measured.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

#: The pairs of fingers in the order in which `Reach` lists its millimetres.
FINGER_PAIRS: Final = ((1, 2), (2, 3), (3, 4), (1, 3), (2, 4), (1, 4))


@dataclass(frozen=True, slots=True)
class Reach:
    """How far two fingers spread along the neck, in mm, for each pair of `FINGER_PAIRS`.

    Up to `comfort_mm` the hand does not notice; beyond `limit_mm` the grip is out of reach. No
    measured fret reach of guitarists is published: both are settings. The defaults let an adult
    hand cover one fret a finger from fret 3 up without strain, and reach the two-fret spread of
    index and middle finger from fret 1 up.
    """

    comfort_mm: tuple[float, ...] = (36.0, 32.0, 32.0, 64.0, 62.0, 80.0)
    limit_mm: tuple[float, ...] = (72.0, 50.0, 48.0, 100.0, 92.0, 125.0)

    def scaled(self, factor: float) -> Reach:
        """The reach of a hand that is `factor` times as large."""
        return Reach(
            tuple(factor * reach for reach in self.comfort_mm),
            tuple(factor * reach for reach in self.limit_mm),
        )


@dataclass(frozen=True, slots=True)
class Effort:
    """The weights of effort. Fields ending in `_mm` are prices or lengths in mm, others factors.

    Travel, paid once for each change:

    - `shift`: a millimetre that the hand moves along the neck. The unit of all.
    - `leap`: a millimetre beyond `leap_from_mm` again: past the width of the hand (four frets in
      the middle of the neck) the eye has to leave the page to aim.
    - `finger`: a millimetre that a finger moves relative to the hand; a finger is light, an arm is
      not.
    - `place_mm`: a finger put down anew, wherever it lands.
    - `blind_mm`: the least that a change costs in which no finger keeps to a string it was on, so
      that nothing guides the hand: about as much as a shift of two frets.
    - `hurry_s`: seconds that a change takes to think of and make (see `hurry`).

    Strain, paid each time a grip is struck:

    - `stretch`: a millimetre of spread between two fingers beyond comfort.
    - `crowd_mm`: for each fret by which two neighbouring fingers stand closer than one fret a
      finger.
    - `little_mm`: the little finger is the weakest.
    - `barre_mm` for a finger laid over two strings, `barre_string_mm` for each further string.
    - `unmuted_mm`: an unwanted string that no finger can silence.
    - `tolerable_mm`: a root one fret outside the window, dear enough that it happens once in some
      hundreds of chords, where it saves several leaps; `outside_mm`: each fret further.
    - `unsaid_mm`: a tone that the symbol names and the grip leaves out.
    - `habit_mm`: a shape for which a fingering is taught, fingered otherwise; `second_mm`: fingered
      in another way that is also in use. `other_mm`: any other shape, fingered otherwise than in
      its easiest way; players know a shape by one fingering.
    """

    shift: float = 1.0
    leap: float = 0.75
    leap_from_mm: float = 75.0
    finger: float = 0.15
    place_mm: float = 3.0
    blind_mm: float = 62.0
    hurry_s: float = 0.25
    stretch: float = 0.45
    crowd_mm: float = 0.8
    little_mm: float = 1.2
    barre_mm: float = 1.2
    barre_string_mm: float = 1.2
    unmuted_mm: float = 3.0
    tolerable_mm: float = 278.0
    outside_mm: float = 250.0
    unsaid_mm: float = 30.0
    habit_mm: float = 70.0
    second_mm: float = 12.0
    other_mm: float = 28.0

    def hurry(self, seconds: float) -> float:
        """How many times its travel a change costs with so many seconds from chord to chord."""
        return 1.0 + self.hurry_s / seconds
