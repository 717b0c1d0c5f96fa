"""Areas: stretches of chords that work together, such as a ii–V–I, a turnaround or a vamp.

Takes a sheet and a `Tune` (the events, what each prepares, the local keys and the interpretations),
gives `Area`s in played order, a longer area before the areas inside it. Each kind of area has a
function that finds its `AreaMatch`es; the goals of dominants come from `preparation`. An event
index equal to or above the number of events is an event of the next chorus (the loop to the top).

An area that a repeat plays again is listed once; a chord written several times in a row counts once
in the middle of an area. The bars of an area are those of its first and last chord; the last bar
number is smaller than the first if the area crosses the loop to the top.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import chain
from typing import Final

from ...grammar.key import Key
from ...grammar.sheet import Sheet, SheetChord
from .analysis import Area
from .chord_class import DOMINANTS, FALLS, MAJORS, MINORS, ChordClass, Sound, is_two_five, motion
from .events import VAMP_EVENTS, Event
from .functions import goal_of
from .interpretation import Interpretation
from .keys import key_named, middle_of
from .preparation import REACH


@dataclass(frozen=True, slots=True)
class AreaMatch:
    """An area as event indices in played order; `key` is a number (minor: tonic + 12)."""

    kind: str
    key: int
    events: tuple[int, ...]
    resolved: bool = True


@dataclass(frozen=True, slots=True)
class Tune:
    """The events of a tune, what each prepares, its local key and its interpretation.

    `count` is the number of events; `row` holds their chord classes and those of the next chorus;
    `starts` for each event the first of the suspended dominants on its root right before it, or the
    event itself.
    """

    events: Sequence[Event]
    heads: Sequence[int]
    local: Sequence[int]
    interpretations: Sequence[Interpretation]
    row: tuple[ChordClass, ...] = field(init=False)
    count: int = field(init=False)
    starts: tuple[int, ...] = field(init=False)

    def __post_init__(self) -> None:
        sounds = [event.chord_class for event in self.events]
        rounds = 2 + 2 * REACH // len(sounds)
        object.__setattr__(self, "row", tuple(sounds * rounds))
        object.__setattr__(self, "count", len(sounds))
        starts: list[int] = []
        for at, here in enumerate(sounds):
            before = sounds[at - 1]
            suspended = at and before.sound is Sound.SUSPENDED and before.root == here.root
            starts.append(starts[-1] if suspended else at)
        object.__setattr__(self, "starts", tuple(starts))

    def __len__(self) -> int:
        return self.count

    def chord_class(self, at: int) -> ChordClass:
        """The chord class of an event, in this chorus or the next."""
        return self.row[at]

    def bars(self, at: int) -> float:
        """The length of an event in bars."""
        return self.events[at % self.count].bars

    def motion(self, here: int, there: int) -> int:
        """Semitones from the root of one event up to that of another, 0 to 11."""
        return motion(self.row[here], self.row[there])

    def bass_motion(self, here: int, there: int) -> int:
        """Semitones from the bass of one event up to that of another, 0 to 11."""
        return (self.chord_class(there).bass - self.chord_class(here).bass) % 12

    def degree(self, at: int) -> int:
        """Semitones of an event's root above the tonic of its local key."""
        return (self.chord_class(at).root - self.local[at % self.count]) % 12

    def is_dominant(self, at: int) -> bool:
        """Whether an event is a dominant that aims at something."""
        return (
            self.chord_class(at).sound in DOMINANTS
            and self.interpretations[at % self.count].goal is not None
        )

    def is_open_or_aims(self, at: int) -> bool:
        """Whether an event is a dominant that is not at rest, with a goal or left open."""
        return (
            self.chord_class(at).sound in DOMINANTS
            and self.interpretations[at % self.count].role == "dominant"
        )

    def goes_on(self, at: int) -> bool:
        """Whether a minor chord is the ii of the dominant after it.

        False for the i of a minor key before a IV7 that does not resolve.
        """
        here, there = self.row[at], self.row[at + 1]
        if not is_two_five(here, there):
            return False
        if self.local[at % self.count] != here.root + 12:
            return True
        return self.motion(at + 1, self.heads[(at + 1) % self.count]) in FALLS

    def ii_before(self, at: int) -> int | None:
        """The ii before a dominant or its suspension, in this chorus; None if there is none."""
        start = self.starts[at]
        return start - 1 if start and self.goes_on(start - 1) else None

    def is_home(self, at: int) -> bool:
        """Whether an event can be the I that a cadence reaches: a chord at rest."""
        sound = self.chord_class(at).sound
        if sound is Sound.DOMINANT:
            return self.interpretations[at % self.count].role != "dominant"
        return (sound in MAJORS or sound in MINORS) and not self.goes_on(at)

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


#: The maximum length of a turnaround in bars.
TURNAROUND_BARS = 4.0


def cadences(tune: Tune) -> Iterator[AreaMatch]:
    """One area for each dominant, of the kind of its cadence."""
    for at in range(len(tune)):
        if tune.is_open_or_aims(at):
            match = _cadence(tune, at)
            if match is not None:
                yield match


def _cadence(tune: Tune, at: int) -> AreaMatch | None:
    goal = tune.interpretations[at].goal
    goal = tune.heads[at] if goal is None else goal
    motion = tune.motion(at, goal)
    two = tune.ii_before(at)
    chords = (at,) if two is None else tuple(range(two, at + 1))
    key = tune.key_of(at)
    if motion == 11:
        numeral = tune.interpretations[at].numeral
        if numeral.degree == 5 and not numeral.substitute:
            return None
        return AreaMatch("tritone substitute", key, (*chords, goal))
    if motion == 5:
        # The ii of the substitute before the dominant itself (A♭m7 G7) is not the dominant's ii.
        is_real_ii = two is not None and tune.motion(two, at) == 5
        return _authentic(tune, chords if is_real_ii else (at,), goal, key)
    if tune.degree(at) == 10 and tune.local[at] < 12 and goal == at + 1 and motion in (2, 6):
        return AreaMatch("backdoor", tune.local[at], (*chords, goal))
    if tune.degree(at) == 7 and motion == 9 and goal == at + 1 and not tune.is_home(goal):
        return AreaMatch("ii-V", key, chords) if two is not None else None
    if tune.degree(at) == 7 and tune.is_home(goal) and motion in (1, 2, 9, 10):
        return AreaMatch("deceptive", tune.local[at], (*chords, goal), False)
    if motion == 0 and tune.chord_class(goal).sound in DOMINANTS and goal == at + 1:
        return None
    swings_back = two is not None and tune.chord_class(at + 1) == tune.chord_class(two)
    return AreaMatch("ii-V", key, chords, False) if two is not None and not swings_back else None


def _authentic(tune: Tune, chords: tuple[int, ...], goal: int, key: int) -> AreaMatch | None:
    arrives = tune.is_home(goal) and goal == chords[-1] + 1
    if arrives:
        return AreaMatch("ii-V-I" if len(chords) > 1 else "V-I", key, (*chords, goal))
    return AreaMatch("ii-V", key, chords) if len(chords) > 1 else None


def dominant_chains(tune: Tune) -> Iterator[AreaMatch]:
    """Three or more dominants, each the V (or its substitute) of the next."""
    at = 0
    while at < len(tune):
        run = [at]
        while _resolves_to_dominant(tune, run[-1]) and run[-1] + 1 < len(tune):
            run.append(run[-1] + 1)
        if len(run) >= 3:
            last = run[-1]
            arrives = tune.motion(last, tune.heads[last]) in FALLS and tune.is_dominant(last)
            ends = (tune.heads[last],) if arrives and tune.heads[last] == last + 1 else ()
            yield AreaMatch("dominant chain", tune.key_of(last), (*run, *ends), arrives)
        at = run[-1] + 1


def _resolves_to_dominant(tune: Tune, at: int) -> bool:
    there = tune.heads[at]
    if (
        not tune.is_dominant(at)
        or there != at + 1
        or tune.chord_class(there).sound not in DOMINANTS
    ):
        return False
    return tune.motion(at, there) in FALLS


def two_five_chains(tune: Tune) -> Iterator[AreaMatch]:
    """Two or more ii–Vs, the V of each leading to the next ii or to the next V."""
    runs: list[list[int]] = []
    for at in range(len(tune)):
        if not tune.is_open_or_aims(at) or tune.ii_before(at) != at - 1:
            continue
        if runs and at == runs[-1][-1] + 2 and tune.heads[runs[-1][-1]] in (at - 1, at):
            runs[-1].append(at)
        else:
            runs.append([at])
    for run in runs:
        if len(run) >= 2 and len({tune.chord_class(at).root for at in run}) == len(run):
            last, goal = run[-1], tune.heads[run[-1]]
            arrives = tune.motion(last, goal) in FALLS
            chords = tuple(at for v in run for at in (v - 1, v))
            ends = (goal,) if arrives and goal == last + 1 else ()
            yield AreaMatch("ii-V chain", tune.key_of(last), (*chords, *ends), arrives)


def turnarounds(tune: Tune) -> Iterator[AreaMatch]:
    """I (or iii), a chord on VI or its substitute, ii or II, V, and the tonic again."""
    for at in range(3, len(tune)):
        key = tune.local[at]
        chords = (at - 3, at - 2, at - 1, at)
        if not tune.is_dominant(at) or any(tune.local[chord] != key for chord in chords):
            continue
        if sum(tune.bars(chord) for chord in chords) > TURNAROUND_BARS:
            continue
        tonic, sixth, second, fifth = (tune.degree(chord) for chord in chords)
        if tonic in (0, 4) and sixth in (9, 3, 1) and second in (2, 8) and fifth in (7, 1) \
                and _is_turnaround(tune, at):  # fmt: skip
            goal = tune.heads[at]
            arrives = tune.degree(goal) == 0
            ends = (goal,) if arrives and goal == at + 1 else ()
            yield AreaMatch("turnaround", key, (*chords, *ends), arrives)


def _is_turnaround(tune: Tune, at: int) -> bool:
    """Whether the four chords start on a tonic, or on a dominant and last two bars at most."""
    start = at - 3
    if tune.chord_class(start).sound in DOMINANTS and tune.interpretations[start].goal is not None:
        return (
            tune.degree(start) == 4 and sum(tune.bars(chord) for chord in range(start, at + 1)) <= 2
        )
    return tune.degree(start) == 0 or tune.chord_class(start).sound is Sound.MINOR_7


#: The minimum length in bars of a single chord that is a vamp by itself.
VAMP_BARS: Final = 8.0


def diminished(tune: Tune) -> Iterator[AreaMatch]:
    """Diminished chords: passing between neighbours, or on the root of a neighbour."""
    for at in range(1, len(tune)):
        if tune.chord_class(at).sound is not Sound.DIMINISHED:
            continue
        before, after = tune.bass_motion(at - 1, at), tune.bass_motion(at, at + 1)
        returns = before == 0 and tune.chord_class(at + 1).root == tune.chord_class(at - 1).root
        if tune.motion(at, at + 1) == 0 or returns:
            yield AreaMatch("common-tone diminished", tune.local[at], (at, at + 1))
        elif after in (1, 11) and before in (after, 0, 8, 9):
            yield AreaMatch("passing diminished", tune.local[at], (at - 1, at, at + 1))


def borrowed_fourths(tune: Tune) -> Iterator[AreaMatch]:
    """The minor chord on IV of a major key, unless it is the ii of the next chord."""
    for at in range(len(tune)):
        minor = tune.chord_class(at).sound in MINORS
        if minor and tune.local[at] < 12 and tune.degree(at) == 5 and not tune.goes_on(at):
            yield AreaMatch("borrowed iv", tune.local[at], (at, at + 1))


def pedals(tune: Tune) -> Iterator[AreaMatch]:
    """One bass note under two or more chords, whose roots are not all that note."""
    at = 0
    while at < len(tune):
        end = at
        while end + 1 < len(tune) and tune.chord_class(end + 1).bass == tune.chord_class(at).bass:
            end += 1
        run = tuple(range(at, end + 1))
        roots = {tune.chord_class(event).root for event in run}
        if len(run) >= 2 and len(roots) >= 2:
            yield AreaMatch("pedal", tune.local[at], run)
        at = end + 1


def vamps(tune: Tune) -> Iterator[AreaMatch]:
    """One chord for at least `VAMP_BARS`, or two chords in alternation."""
    at = 0
    while at < len(tune):
        if tune.bars(at) >= VAMP_BARS:
            yield AreaMatch("vamp", tune.local[at], (at,))
        end = at + 1
        while end + 1 < len(tune) and tune.chord_class(end + 1) == tune.chord_class(end - 1):
            end += 1
        if end - at + 1 >= VAMP_EVENTS:
            yield AreaMatch("vamp", tune.local[at], tuple(range(at, end + 1)))
            at = end
        at += 1


def blues(tune: Tune) -> Iterator[AreaMatch]:
    """All seventh chords at rest on I and IV of one key, as one area."""
    resting: dict[int, list[int]] = {}
    for at in range(len(tune)):
        if tune.chord_class(at).sound in DOMINANTS and tune.interpretations[at].goal is None:
            resting.setdefault(tune.local[at], []).append(at)
    for key, events in resting.items():
        degrees = {tune.degree(at) for at in events}
        if degrees == {0, 5}:
            yield AreaMatch("blues", key, tuple(events))


_FINDERS: Final[tuple[Callable[[Tune], Iterator[AreaMatch]], ...]] = (
    blues, turnarounds, two_five_chains, dominant_chains, cadences,
    diminished, borrowed_fourths, pedals, vamps,
)  # fmt: skip


def areas_of(sheet: Sheet, tune: Tune, names: dict[int, Key]) -> tuple[Area, ...]:
    """All areas in order of their first event, the longer first; `names` are keys already named."""
    matches = list(chain.from_iterable(finder(tune) for finder in _FINDERS))
    matches.sort(key=lambda area: (area.events[0], -len(area.events)))
    written = list(zip(sheet.bar_numbers, sheet.chords, strict=True))
    areas = (_area(written, tune, match, names) for match in matches)
    once: dict[tuple[str, tuple[int, ...]], Area] = {}
    for area in areas:
        once.setdefault((area.kind, area.chords), area)
    return tuple(once.values())


def _area(
    written: list[tuple[int, SheetChord]], tune: Tune, match: AreaMatch, names: dict[int, Key]
) -> Area:
    indices = tuple(tune.events[at % len(tune)].chords[0] for at in match.events)
    bars, chords = zip(*(written[at] for at in indices), strict=True)
    key = names.get(match.key)
    if key is None:
        roots = [chord.chord.root for chord in chords if chord.chord is not None]
        key = key_named(match.key, middle_of(roots))
    aim = _aim(tune, match)
    goal = None if aim is None else tune.events[aim % len(tune)].chords[0]
    immediate = aim is not None and aim <= match.events[-1] + 1
    return Area(match.kind, key, indices, (bars[0], bars[-1]), match.resolved, goal, immediate)


def _aim(tune: Tune, match: AreaMatch) -> int | None:
    """The event that the last dominant of an area resolves to.

    The goal may be the last chord of the area, even if that is a dominant with a goal of its own
    (`Eb7 D7`: Eb7 reaches D7).
    """
    if not match.resolved:
        return None
    aims = [_goal_of(tune, at) for at in match.events]
    if match.events[-1] in aims[:-1]:
        return match.events[-1]
    return next((aim for aim in reversed(aims) if aim is not None), None)


def _goal_of(tune: Tune, at: int) -> int | None:
    """The event that an event of this or the next chorus resolves to, with the same indexing."""
    goal = tune.interpretations[at % len(tune)].goal
    return None if goal is None else goal + at // len(tune) * len(tune)
