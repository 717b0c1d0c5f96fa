"""The interpretation of each chord in its local key: its numeral, its role and its goal.

Takes events, the arcs of preparation and the local keys (`interpret`). The rules, common practice
where no source stands:

- A dominant resolves to what it prepares: a fourth up, a semitone down (the tritone substitute), or
  by a deceptive step. Of dominants on one root in a row each has the goal of the last; a suspended
  one resolves to the dominant that follows it.
- iii stands for I: V7 before iii resolves to it, and so does the backdoor bVII7.
- No arc crosses the tonic of its key: a dominant before a tonic at rest has no goal after it.
- A ii follows its V: ii7/IV goes with V7/IV. The related ii of a tritone substitute (Ebm7 Ab7 G7
  in C) keeps the numeral of its own root.
- A target is small if a minor chord follows there, capital if a major one does: V7/iii to iii7,
  V7/III to IIImaj7. Before other dominants and ii–Vs the target has its diatonic chord.
- An applied dominant can be left open or move up a semitone, as V to bVI (Nettles & Graf, *The
  Chord Scale Theory and Jazz Harmony*, 1997): it keeps its numeral where its ii is before it, or
  where that semitone follows.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property, lru_cache
from typing import Final

from ...grammar.frozen import Caching, frozen
from ...grammar.numeral import Numeral
from .analysis import Role
from .chord_class import (
    DOMINANTS,
    FALLS,
    MAJORS,
    MINORS,
    SUPERTONICS,
    ChordClass,
    Sound,
    is_two_five,
)
from .events import Event
from .functions import degree_prices, goal_of
from .metre import SHORT_PHRASE_BARS
from .numerals import applied, is_degree, is_small_target, numeral, plain_role
from .weights import MAJOR_FIT, MINOR_FIT

#: A minor chord that costs no more than this in the key keeps its own numeral before a dominant.
OWN_NUMERAL: Final = 0.5
#: I7 aims at a IV7 that opens a phrase of four bars, if it lasts no longer than this; else it is
#: at rest. In the first four bars of a blues at most the last is V7/IV.
APPLIED_BARS: Final = 1
#: Semitones from a dominant's root up to roots that cannot be its goal.
OPEN_MOTIONS: Final = (0, 3, 4, 6, 8)


@frozen
class Interpretation:
    """Numeral and role of one event, and the event that it resolves to, or None.

    A goal at or above the number of events is in the next chorus.
    """

    numeral: Numeral
    role: Role
    goal: int | None = None


def interpret(
    events: Sequence[Event],
    heads: Sequence[int],
    local: Sequence[int],
    rests: frozenset[int] = frozenset(),
) -> tuple[Interpretation, ...]:
    """The interpretation of each event, in order; `rests`: tonics that are seventh chords."""
    form = _Form(events, heads, local, rests)
    return tuple(form.interpretation(at) for at in range(len(events)))


@frozen
class _Form(Caching):
    """The events, what each prepares, the local key of each, tonics that are seventh chords."""

    events: Sequence[Event]
    heads: Sequence[int]
    local: Sequence[int]
    rests: frozenset[int]

    @cached_property
    def n(self) -> int:
        """How many events there are."""
        return len(self.events)

    @cached_property
    def classes(self) -> tuple[ChordClass, ...]:
        """The chord class of each event."""
        return tuple(event.chord_class for event in self.events)

    @cached_property
    def aims(self) -> tuple[int | None, ...]:
        """The event that each dominant resolves to, None where it is left open."""
        is_dominant = (here.sound in DOMINANTS for here in self.classes)
        return tuple(_aim(self, at) if one else None for at, one in enumerate(is_dominant))

    @cached_property
    def _found(self) -> dict[int, Interpretation]:
        return {}

    def interpretation(self, at: int) -> Interpretation:
        """The interpretation of an event, computed once."""
        if at not in self._found:
            self._found[at] = _interpretation(self, at)
        return self._found[at]

    def chord_class(self, at: int) -> ChordClass:
        return self.classes[at % self.n]

    def motion(self, here: int, there: int) -> int:
        """Semitones from the root of one event up to that of another, 0 to 11."""
        n = self.n
        return (self.classes[there % n].root - self.classes[here % n].root) % 12

    def degree(self, at: int) -> int:
        """Semitones of an event's root above the tonic of its local key."""
        at %= self.n
        return (self.classes[at].root - self.local[at]) % 12

    def is_minor_key(self, at: int) -> bool:
        return self.local[at % self.n] >= 12

    def is_two_five(self, at: int) -> bool:
        """Whether an event is the ii of the next one."""
        return is_two_five(self.chord_class(at), self.chord_class(at + 1))

    def has_own_ii(self, at: int) -> bool:
        """Whether a dominant follows its own ii and does not swing back to it."""
        before, after = self.chord_class(at - 1), self.chord_class(at + 1)
        return at > 0 and self.is_two_five(at - 1) and self.motion(at - 1, at) == 5 \
            and after != before  # fmt: skip

    @cached_property
    def ends(self) -> tuple[int, ...]:
        """For each event the goal of the last of the dominants on one root that it begins.

        A suspended dominant ends at the dominant that releases it. Goals are computed from the end
        of a second chorus backwards, each from the next.
        """
        n = self.n
        ends, releases = [0] * (2 * n), [0] * (2 * n)
        for at in range(2 * n - 1, -1, -1):
            goal = self.heads[at % n] + at // n * n
            goes_on = goal < 2 * n and self._is_same_dominant(at, goal)
            ends[at] = ends[goal] if goes_on else goal
            suspended = self.chord_class(goal).sound is Sound.SUSPENDED
            releases[at] = releases[goal] if goes_on and suspended else goal
        return tuple(
            releases[at] if self.chord_class(at).sound is Sound.SUSPENDED else ends[at]
            for at in range(n)
        )

    def _is_same_dominant(self, here: int, there: int) -> bool:
        return self.chord_class(there).sound in DOMINANTS and self.motion(here, there) == 0

    @cached_property
    def next_tonics(self) -> tuple[int, ...]:
        """For each event the next one at rest on the tonic of the same key; 2n where none is."""
        n = self.n
        following: dict[int, int] = {}
        tonics = [2 * n] * n
        for at in range(2 * n - 1, -1, -1):
            key = self.local[at % n]
            tonics[at % n] = following.get(key, 2 * n)
            if self._is_tonic(at):
                following[key] = at
        return tuple(tonics)

    def _is_tonic(self, at: int) -> bool:
        """Whether an event is the tonic of its local key in root position, and no ii."""
        here = self.chord_class(at)
        sounds = MINORS if self.is_minor_key(at) else MAJORS
        return here.sound in sounds and self.degree(at) == 0 and here.bass == here.root \
            and not self.is_two_five(at)  # fmt: skip


def _interpretation(form: _Form, at: int) -> Interpretation:
    here, minor_key = form.chord_class(at), form.is_minor_key(at)
    degree = form.degree(at)
    if here.sound in DOMINANTS:
        if is_at_rest(form, at):
            role: Role = "tonic" if degree == 0 else "predominant"
            return Interpretation(numeral(degree, here.sound), role)
        return _dominant(form, at)
    if here.sound in SUPERTONICS:
        return _minor(form, at)
    falls = form.motion(at, at + 1) == 11
    goal = form.heads[at] if goal_of(form.events, form.heads, at) is not None else None
    role = plain_role(degree, here.sound, minor_key)
    return Interpretation(numeral(degree, here.sound, falls=falls), role, goal)


def is_at_rest(form: _Form, at: int) -> bool:
    """Whether a seventh chord on I or IV is at rest, as in the blues or in a minor vamp with i."""
    here, degree = form.chord_class(at), form.degree(at)
    if form.is_minor_key(at) and degree == 5 and here.sound is Sound.DOMINANT:
        return form.motion(at, at + 1) == 7 and form.chord_class(at + 1).sound in MINORS
    if form.is_minor_key(at) or here.sound is not Sound.DOMINANT or degree not in (0, 5):
        return False
    follows = form.heads[at] == at + 1
    if degree == 5 and (here.root - 5) % 12 in form.rests and not follows:
        return True
    if form.has_own_ii(at):
        return False
    step = form.motion(at, form.heads[at])
    goal = form.events[form.heads[at] % form.n]
    is_seventh = goal.chord_class.sound in DOMINANTS
    if degree == 0 and step == 5 and here.root in form.rests and is_seventh:
        is_long = form.events[at].bars > APPLIED_BARS
        return is_long or not follows or goal.start % SHORT_PHRASE_BARS != 0
    return step not in FALLS


def _dominant(form: _Form, at: int) -> Interpretation:
    here, degree, minor_key = form.chord_class(at), form.degree(at), form.is_minor_key(at)
    goal = form.aims[at]
    target = _target(form, at)
    if target is None:
        is_fourth = degree == 5 and not minor_key
        role: Role = "predominant" if is_fourth else "dominant"
        return Interpretation(numeral(degree, here.sound), role, goal)
    substitute = target == (degree + 11) % 12 and form.motion(at, form.heads[at]) == 11
    if substitute and _serves_a_substitute(form, form.heads[at], form.local[at]):
        substitute, target = False, (target + 6) % 12
    small = _is_small(form, goal, target, minor_key=minor_key)
    numeral_there = applied(5, here.sound, target, small=small, substitute=substitute)
    return Interpretation(numeral_there, "dominant", goal)


def _target(form: _Form, at: int) -> int | None:
    """The degree that a dominant is applied to; 0 for a substitute of V, None for a plain numeral.

    A dominant whose target does not follow keeps it where its own ii is before it, and where the
    next root lies a semitone higher. Its target is then a degree of the key, or bVI of a major key.
    """
    degree, minor_key = form.degree(at), form.is_minor_key(at)
    if degree == 7 or _is_backdoor(form, at):
        return None
    next_follows = form.heads[at] == at + 1
    if degree == 5 and not minor_key and not next_follows:
        return None
    root, follows = goal_of(form.events, form.heads, at) or (0, False)
    target = (root - form.local[at]) % 12
    goal = form.aims[at]
    if follows and goal is not None:
        return target
    expected = form.has_own_ii(at) or (next_follows and form.motion(at, at + 1) == 1)
    own = (degree + 5) % 12
    if minor_key and degree in (5, 10):
        return None
    near = is_degree(own, minor_key=minor_key) or own == 8
    return own if expected and near else None


def _is_small(form: _Form, goal: int | None, target: int, *, minor_key: bool) -> bool:
    """Whether a target has a small numeral: by the chord that rests on it, else diatonically."""
    if goal is None:
        return is_small_target(target, minor_key, Sound.MAJOR)
    there = form.chord_class(goal)
    on_target = (there.root - form.local[goal % form.n]) % 12 == target
    if on_target and not form.is_two_five(goal) and there.sound in MAJORS | MINORS:
        return there.sound in MINORS
    return is_small_target(target, minor_key, there.sound)


def _serves_a_substitute(form: _Form, goal: int, key: int) -> bool:
    """Whether a dominant's goal is a tritone substitute for a V of a degree of the key.

    In D7 D♭7 C, D♭7 is the substitute of G7; D7 is the V of G7 and not a substitute.
    """
    here = form.chord_class(goal)
    substitute = here.sound in DOMINANTS and form.motion(goal, form.heads[goal % form.n]) == 11
    return substitute and is_degree((here.root + 6 - key) % 12, minor_key=key >= 12)


def _aim(form: _Form, at: int) -> int | None:
    """The event that a dominant resolves to, None when it is left open."""
    if _is_backdoor(form, at) or _is_dominant_of_iii(form, at):
        return at + 1
    goal = form.ends[at]
    suspended = form.chord_class(at).sound is Sound.SUSPENDED
    there = form.chord_class(goal).sound
    if form.motion(at, goal) == 0 and suspended and there in DOMINANTS - {Sound.SUSPENDED}:
        return goal
    is_open = form.motion(at, goal) in OPEN_MOTIONS or goal > form.next_tonics[at]
    return None if is_open else goal


def _is_dominant_of_iii(form: _Form, at: int) -> bool:
    """Whether V7 of a major key goes to iii, which stands for I."""
    if form.is_minor_key(at) or form.degree(at) != 7:
        return False
    minor = MINORS | {Sound.HALF_DIMINISHED}
    return form.motion(at, at + 1) == 9 and form.chord_class(at + 1).sound in minor


def _is_backdoor(form: _Form, at: int) -> bool:
    """Whether bVII7 of a major key goes to I, or to iii, which stands for I."""
    if form.is_minor_key(at) or form.degree(at) != 10:
        return False
    step = form.motion(at, at + 1)
    return step == 2 or (step == 6 and form.chord_class(at + 1).sound in MINORS)


def _minor(form: _Form, at: int) -> Interpretation:
    here, minor_key, degree = form.chord_class(at), form.is_minor_key(at), form.degree(at)
    plain = numeral(degree, here.sound)
    five = at + 1 if form.is_two_five(at) else form.heads[at]
    if not is_two_five(here, form.chord_class(five)):
        return Interpretation(plain, plain_role(degree, here.sound, minor_key))
    there = form.interpretation(five % form.n).numeral
    own = degree == 5 or _fit(here.sound, degree, minor_key) <= OWN_NUMERAL
    # A substitute a semitone lower replaces the V of this ii; one a fourth higher has a ii apart.
    is_related = (form.motion(at, five) == 11) == there.substitute
    if own or there.of is None or not is_related:
        return Interpretation(plain, "predominant")
    related = applied(2, here.sound, there.of.semitones, small=there.small)
    return Interpretation(related, "predominant")


@lru_cache(maxsize=512)
def _fit(sound: Sound, degree: int, minor_key: bool) -> float:
    return degree_prices((MINOR_FIT if minor_key else MAJOR_FIT)[sound])[degree]
