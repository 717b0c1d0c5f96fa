"""A tune as its areas are found in it: the events with their interpretations, in one value.

An event index equal to or above the number of events is an event of the next chorus (the loop to
the top).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import field

from ...grammar.frozen import frozen
from .chord_class import DOMINANTS, FALLS, MAJORS, MINORS, ChordClass, Sound, is_two_five
from .events import Event
from .functions import goal_of
from .interpretation import Interpretation


@frozen
class Link:
    """A dominant `at` with the chords before it that belong to it, its ii and those on its root."""

    start: int
    at: int

    @property
    def events(self) -> range:
        """Its events in order."""
        return range(self.start, self.at + 1)


@frozen
class Tune:
    """The events of a tune, what each prepares, its local key and its interpretation.

    `count` is the number of events; `row` holds their chord classes; `starts` for each event the
    first of the dominants on its root right before it, suspended or not, or the event itself;
    `links` every dominant that no other on its root follows, with its ii.
    """

    events: Sequence[Event]
    heads: Sequence[int]
    local: Sequence[int]
    interpretations: Sequence[Interpretation]
    row: tuple[ChordClass, ...] = field(init=False)
    count: int = field(init=False)
    starts: tuple[int, ...] = field(init=False)
    links: tuple[Link, ...] = field(init=False)

    def __post_init__(self) -> None:
        sounds = [event.chord_class for event in self.events]
        object.__setattr__(self, "row", tuple(sounds))
        object.__setattr__(self, "count", len(sounds))
        starts: list[int] = []
        for at, here in enumerate(sounds):
            same = at > 0 and sounds[at - 1].root == here.root
            together = same and self.is_dominant(at - 1) and self.is_dominant(at)
            starts.append(starts[-1] if together else at)
        object.__setattr__(self, "starts", tuple(starts))
        object.__setattr__(self, "links", tuple(self._links()))

    def _links(self) -> Iterator[Link]:
        for at in range(self.count):
            if self.is_dominant(at):
                released = self.motion(at, at + 1) == 0 and self.is_dominant(at + 1)
                if not released or self.count == 1:
                    two = self.ii_before(at)
                    yield Link(self.starts[at] if two is None else two, at)

    def __len__(self) -> int:
        return self.count

    def chord_class(self, at: int) -> ChordClass:
        """The chord class of an event, in this chorus or the next."""
        return self.row[at % self.count]

    def bars(self, at: int) -> float:
        """The length of an event in bars."""
        return self.events[at % self.count].bars

    def motion(self, here: int, there: int) -> int:
        """Semitones from the root of one event up to that of another, 0 to 11."""
        row, n = self.row, self.count
        return (row[there % n].root - row[here % n].root) % 12

    def bass_motion(self, here: int, there: int) -> int:
        """Semitones from the bass of one event up to that of another, 0 to 11."""
        return (self.chord_class(there).bass - self.chord_class(here).bass) % 12

    def degree(self, at: int) -> int:
        """Semitones of an event's root above the tonic of its local key."""
        at %= self.count
        return (self.row[at].root - self.local[at]) % 12

    def goal(self, at: int) -> int | None:
        """The event that an event of this or the next chorus resolves to; None where there is none.

        It can lie in the chorus after.
        """
        goal = self.interpretations[at % self.count].goal
        return None if goal is None else goal + at // self.count * self.count

    def is_dominant(self, at: int) -> bool:
        """Whether an event is a dominant that is not at rest, with a goal or left open."""
        return (
            self.chord_class(at).sound in DOMINANTS
            and self.interpretations[at % self.count].role == "dominant"
        )

    def goes_on(self, at: int) -> bool:
        """Whether a minor chord is the ii of the dominant after it.

        False for the i of a minor key before a IV7 that does not resolve.
        """
        here, there = self.chord_class(at), self.chord_class(at + 1)
        if not is_two_five(here, there):
            return False
        if self.local[at % self.count] != here.root + 12:
            return True
        return self.motion(at + 1, self.heads[(at + 1) % self.count]) in FALLS

    def ii_before(self, at: int) -> int | None:
        """The ii before a dominant and those on its root, in this chorus; None if there is none."""
        start = self.starts[at]
        return start - 1 if start and self.goes_on(start - 1) else None

    def is_home(self, at: int) -> bool:
        """Whether an event can be the I that a cadence reaches: a chord at rest."""
        sound = self.chord_class(at).sound
        if sound is Sound.DOMINANT:
            return self.interpretations[at % self.count].role != "dominant"
        return (sound in MAJORS or sound in MINORS) and not self.goes_on(at)

    def reaches_third(self, at: int) -> bool:
        """Whether a dominant resolves to iii of its major key, which stands for I."""
        goal, key = self.goal(at), self.local[at % self.count]
        if goal is None or key >= 12:
            return False
        there = self.chord_class(goal)
        minor = there.sound in MINORS or there.sound is Sound.HALF_DIMINISHED
        return minor and (there.root - key) % 12 == 4

    def key_of(self, at: int) -> int:
        """The key of a dominant: its goal as tonic, in the mode of the chord on the goal.

        If another chord follows instead, the mode is that of the local key if both share the tonic;
        otherwise minor after a half-diminished ii and major after any other chord.
        """
        goal = goal_of(self.events, self.heads, at)
        root = (self.chord_class(at).root + 5) % 12 if goal is None else goal[0]
        there = self.chord_class(self.heads[at])
        if there.root == root and there.sound not in DOMINANTS:
            return root + (0 if there.sound in MAJORS else 12)
        if self.local[at] % 12 == root:
            return self.local[at]
        two = self.ii_before(at)
        half = two is not None and self.chord_class(two).sound is Sound.HALF_DIMINISHED
        return root + (12 if half else 0)
