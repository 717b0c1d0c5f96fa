"""What the finders of areas share: the heard tune, and an area found in it as event indices.

Event indices from the number of events on are those of the next chorus (the loop to the top).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from .events import Event
from .functions import goal_of
from .preparation import REACH
from .readings import Said
from .sounds import DOMINANTS, FALLS, MAJORS, MINORS, Heard, Sound, is_two_five, motion


@dataclass(frozen=True, slots=True)
class Found:
    """An area as event indices in played order; `key` is a number (minor: tonic + 12)."""

    kind: str
    key: int
    events: tuple[int, ...]
    resolved: bool = True


@dataclass(frozen=True, slots=True)
class Tune:
    """The heard tune: events, what each prepares, its local key and what is said of it.

    `count` is the number of events; `row` holds their sounds and again those of the next chorus.
    """

    events: Sequence[Event]
    heads: Sequence[int]
    local: Sequence[int]
    said: Sequence[Said]
    row: tuple[Heard, ...] = field(init=False)
    count: int = field(init=False)

    def __post_init__(self) -> None:
        sounds = [event.heard for event in self.events]
        rounds = 2 + 2 * REACH // len(sounds)
        object.__setattr__(self, "row", tuple(sounds * rounds))
        object.__setattr__(self, "count", len(sounds))

    def __len__(self) -> int:
        return self.count

    def heard(self, at: int) -> Heard:
        """The sound of an event, in this chorus or the next."""
        return self.row[at]

    def bars(self, at: int) -> float:
        """The length of an event in bars."""
        return self.events[at % self.count].bars

    def motion(self, here: int, there: int) -> int:
        """Semitones from the root of one event up to that of another, 0 to 11."""
        return motion(self.row[here], self.row[there])

    def bass_motion(self, here: int, there: int) -> int:
        """Semitones from the bass of one event up to that of another, 0 to 11."""
        return (self.heard(there).bass - self.heard(here).bass) % 12

    def degree(self, at: int) -> int:
        """Semitones of an event's root above the tonic of its local key."""
        return (self.heard(at).root - self.local[at % self.count]) % 12

    def is_dominant(self, at: int) -> bool:
        """Whether an event is a dominant that aims at something."""
        return self.heard(at).sound in DOMINANTS and self.said[at % self.count].goal is not None

    def is_open_or_aims(self, at: int) -> bool:
        """Whether an event is a dominant that is not at rest; it may be left open."""
        return self.heard(at).sound in DOMINANTS and self.said[at % self.count].role == "dominant"

    def goes_on(self, at: int) -> bool:
        """Whether a minor chord is the ii of the dominant after it.

        The i of a minor key is none before a IV7 that falls nowhere.
        """
        here, there = self.row[at], self.row[at + 1]
        if not is_two_five(here, there):
            return False
        if self.local[at % self.count] != here.root + 12:
            return True
        return self.motion(at + 1, self.heads[(at + 1) % self.count]) in FALLS

    def ii_before(self, at: int) -> int | None:
        """The ii before a dominant or the suspension that it releases, in this chorus; or None."""
        start = at
        while start and self.heard(start - 1).sound is Sound.SUSPENDED and \
                self.motion(start - 1, at) == 0:  # fmt: skip
            start -= 1
        return start - 1 if start and self.goes_on(start - 1) else None

    def is_home(self, at: int) -> bool:
        """Whether an event can be the I that a cadence reaches: at rest, not on its way."""
        sound = self.heard(at).sound
        if sound is Sound.DOMINANT:
            return self.said[at % self.count].goal is None
        return (sound in MAJORS or sound in MINORS) and not self.goes_on(at)

    def key_of(self, at: int) -> int:
        """The key that a dominant names: its goal as tonic, in the mode of what comes there.

        Where another chord comes, the mode of its local key where they share the tonic, else minor
        after a half-diminished ii and major after any other.
        """
        goal = goal_of(self.events, self.heads, at)
        root = (self.heard(at).root + 5) % 12 if goal is None else goal[0]
        there = self.heard(self.heads[at])
        if there.root == root and there.sound not in DOMINANTS:
            return root + (0 if there.sound in MAJORS else 12)
        if self.local[at] % 12 == root:
            return self.local[at]
        two = self.ii_before(at)
        half = two is not None and self.heard(two).sound is Sound.HALF_DIMINISHED
        return root + (12 if half else 0)
