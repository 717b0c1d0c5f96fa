"""The kinds of areas: a finder for each, from a `Tune` to the `AreaMatch`es in it.

The goals of dominants come from `interpretation`. A chain has no open link inside; it is split
where a root recurs. The kinds are common practice, no source, where none stands beside them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Final

from ...grammar.frozen import frozen
from .chord_class import DOMINANTS, FALLS, MAJORS, MINORS, Sound
from .events import VAMP_EVENTS
from .tune import Link, Tune


@frozen
class AreaMatch:
    """An area as event indices in played order; `key` is a number (minor: tonic + 12).

    `goal` is the event that its last dominant resolves to, None for none.
    """

    kind: str
    key: int
    events: tuple[int, ...]
    resolved: bool = True
    goal: int | None = None


#: The maximum length of a turnaround in bars.
TURNAROUND_BARS: Final = 4.0
#: The minimum length in bars of a single chord that is a vamp by itself.
VAMP_BARS: Final = 8.0
#: The fewest chords of a pedal, or the fewest bars of one of two chords.
PEDAL_CHORDS, PEDAL_BARS = 3, 4.0
#: A tag closes in the last bars of the form, fewer than these.
CLOSE_BARS: Final = 4.0


def cadences(tune: Tune) -> Iterator[AreaMatch]:
    """The areas of each dominant, of the kind of its cadence; of several on one root the last."""
    for link in tune.links:
        yield from _cadence(tune, link.at)


def _cadence(tune: Tune, at: int) -> Iterator[AreaMatch]:
    goal = tune.goal(at)
    two = tune.ii_before(at)
    # The ii of a substitute before the dominant itself (A♭m7 G7) is not the dominant's ii.
    own = two is not None and tune.motion(two, at) == 5
    swings_back = two is not None and tune.chord_class(at + 1) == tune.chord_class(two)
    chords = (at,) if two is None else tuple(range(two, at + 1))
    key = tune.key_of(at)
    if goal is None:
        if two is not None and not swings_back:
            yield AreaMatch("ii-V", key, chords, False)
        return
    motion = tune.motion(at, goal)
    if motion == 5:
        yield from _authentic(tune, chords if own else (at,), goal, key)
    elif motion == 11:
        if tune.interpretations[at].numeral.substitute or tune.degree(at) != 7:
            yield from _substitute(tune, at, chords, goal, key)
    elif tune.degree(at) == 10 and tune.local[at] < 12 and goal == at + 1 and motion in (2, 6):
        yield AreaMatch("backdoor", tune.local[at], (*chords, goal), goal=goal)
    elif tune.degree(at) == 7 and goal == at + 1 and tune.reaches_third(at) and tune.goes_on(goal):
        if two is not None:
            yield AreaMatch("ii-V", key, chords, goal=goal)
    elif motion in (1, 2, 9, 10):
        yield from _deceptive(tune, chords, goal, key)


def _authentic(tune: Tune, chords: tuple[int, ...], goal: int, key: int) -> Iterator[AreaMatch]:
    is_home = tune.is_home(goal) or (len(chords) > 1 and _is_minor_tonic(tune, goal, key))
    if is_home and goal == chords[-1] + 1:
        kind = "ii-V-I" if len(chords) > 1 else "V-I"
        yield AreaMatch(kind, key, (*chords, goal), goal=goal)
    elif len(chords) > 1:
        yield AreaMatch("ii-V", key, chords, goal=goal)


def _is_minor_tonic(tune: Tune, goal: int, key: int) -> bool:
    """Whether the goal of a ii–V is the i of its local key, though it may be a ii as well."""
    there = tune.chord_class(goal)
    is_own = there.sound in MINORS and there.root + 12 == key
    return is_own and tune.local[goal % len(tune)] == key


def _substitute(
    tune: Tune, at: int, chords: tuple[int, ...], goal: int, key: int
) -> Iterator[AreaMatch]:
    numeral = tune.interpretations[at].numeral
    if numeral.degree != 5 or numeral.substitute:
        yield AreaMatch("tritone substitute", key, (*chords, goal), goal=goal)


def _deceptive(tune: Tune, chords: tuple[int, ...], goal: int, key: int) -> Iterator[AreaMatch]:
    """A dominant that moves to another chord than its tonic; a ii–V is an area of its own in it."""
    at = chords[-1]
    own = tune.degree(at) == 7 and tune.is_home(goal)
    applied = len(chords) > 1 and tune.interpretations[at].numeral.of is not None
    if goal == at + 1 and (own or applied):
        named = tune.local[at] if own else key
        yield AreaMatch("deceptive", named, (*chords, goal), False, goal)
    if len(chords) > 1 and tune.motion(chords[0], at) in FALLS and not (own and goal == at + 1):
        yield AreaMatch("ii-V", key, chords, False)


def _runs(tune: Tune, links: Sequence[Link]) -> Iterator[Sequence[Link]]:
    """Links in a row, each resolving to the next."""
    start = 0
    for at in range(1, len(links) + 1):
        if at == len(links) or not _hands_on(tune, links[at - 1], links[at]):
            yield from _without_recurrence(tune, links[start:at])
            start = at


def _without_recurrence(tune: Tune, run: Sequence[Link]) -> Iterator[Sequence[Link]]:
    """The parts of a run in which no root recurs, split from its end, where it arrives."""
    parts: list[Sequence[Link]] = []
    roots: set[int] = set()
    end = len(run)
    for at in range(len(run) - 1, -1, -1):
        root = tune.chord_class(run[at].at).root
        if root in roots:
            parts.append(run[at + 1 : end])
            roots, end = set(), at + 1
        roots.add(root)
    parts.append(run[:end])
    yield from reversed(parts)


def _hands_on(tune: Tune, here: Link, there: Link) -> bool:
    """Whether a dominant resolves to the next one or to its ii, which may be iii in place of I."""
    goal = tune.goal(here.at)
    if goal is None or there.start != here.at + 1 or goal not in there.events:
        return False
    return tune.motion(here.at, goal) in FALLS or tune.reaches_third(here.at)


def chains(tune: Tune) -> Iterator[AreaMatch]:
    """Dominants in a row, each the V (or its substitute) of the next, with or without their iis.

    A row with two or more ii–Vs is a ii–V chain; other rows of three or more are dominant chains,
    and so are rows of two a fourth apart, unless they are part of a turnaround.
    """
    for run in _runs(tune, tune.links):
        with_ii = [tune.ii_before(link.at) is not None for link in run]
        if sum(with_ii) >= 2:
            yield _chain(tune, "ii-V chain", run)
        elif len(run) >= 3 or (len(run) == 2 and _is_pair(tune, run)):
            yield _chain(tune, "dominant chain", run)


def _is_pair(tune: Tune, run: Sequence[Link]) -> bool:
    """Whether a dominant leads a fourth up to another, or to its ii, outside turnarounds."""
    first, second = run
    if tune.motion(first.at, second.start) != 5:
        return False
    rounds = (match.events for match in turnarounds(tune, range(first.at + 1, second.at + 3)))
    return not any(first.at in events and second.start in events for events in rounds)


def _chain(tune: Tune, kind: str, run: Sequence[Link]) -> AreaMatch:
    last = run[-1].at
    goal = tune.goal(last)
    events = tuple(range(run[0].start, last + 1))
    return AreaMatch(
        kind, tune.key_of(last), (*events, *_arrival(tune, last)), goal is not None, goal
    )


def _arrival(tune: Tune, at: int) -> tuple[int, ...]:
    """The chord after a dominant if that resolves to it: a tonic at rest, or the iii for it."""
    goal = tune.goal(at)
    if goal != at + 1 or tune.motion(at, goal) not in (*FALLS, 9):
        return ()
    return (goal,) if tune.is_home(goal) or tune.reaches_third(at) else ()


def turnarounds(tune: Tune, ends: range | None = None) -> Iterator[AreaMatch]:
    """I (or iii), a chord on VI or its substitute, ii or II, V, and the tonic or iii for it.

    `ends` are the events that may be the V, all where it is None.
    """
    for at in range(3, len(tune)) if ends is None else ends:
        if (
            not 3 <= at < len(tune)
            or tune.degree(at) not in (7, 1)
            or tune.degree(at - 3) not in (0, 4)
        ):
            continue
        key, chords = tune.local[at], (at - 3, at - 2, at - 1, at)
        if any(tune.local[chord] != key for chord in chords):
            continue
        if sum(tune.bars(chord) for chord in chords) > TURNAROUND_BARS:
            continue
        if _is_chromatic(tune, chords):
            yield AreaMatch("turnaround", key, (*chords, at + 1), True, at + 1)
        elif tune.is_dominant(at) and _is_turnaround(tune, at):
            goal = tune.goal(at)
            events = (*chords, *_arrival(tune, at))
            yield AreaMatch("turnaround", key, events, goal is not None, goal)


def _is_turnaround(tune: Tune, at: int) -> bool:
    """Whether four chords lead round to V; from iii as a dominant within two bars only."""
    start = at - 3
    sixths = (9, 3, 1) if tune.local[at] < 12 else (9, 3, 1, 8)
    if tune.degree(at - 2) not in sixths or tune.degree(at - 1) not in (2, 8):
        return False
    is_third = tune.degree(start) == 4
    if tune.is_dominant(start):
        return is_third and sum(tune.bars(chord) for chord in range(start, at + 1)) <= 2
    return not is_third or tune.chord_class(start).sound is Sound.MINOR_7


def _is_chromatic(tune: Tune, chords: tuple[int, ...]) -> bool:
    """Whether four major chords lead round: Imaj7 bIIImaj7 bVImaj7 bIImaj7, and I again."""
    around = (*chords, chords[-1] + 1)
    if any(tune.chord_class(at).sound not in MAJORS for at in around):
        return False
    return [tune.degree(at) for at in around] == [0, 3, 8, 1, 0]


def tags(tune: Tune) -> Iterator[AreaMatch]:
    """The ii–V and the iii–VI in turn, twice or more, before the tonic that closes the form."""
    links = tune.links
    last = next((link for link in reversed(links) if _closes(tune, link.at)), None)
    if last is None:
        return
    place = links.index(last)
    first = place
    while first and links[first - 1].at + 1 == links[first].start and \
            _half(tune, links[first - 1].at) == -_half(tune, links[first].at) != 0:  # fmt: skip
        first -= 1
    if place - first >= 3:
        events = tuple(range(links[first].start, last.at + 2))
        yield AreaMatch("tag", tune.local[last.at], events, True, last.at + 1)


def _closes(tune: Tune, at: int) -> bool:
    """Whether a dominant reaches the tonic of its key in the last bars of the form."""
    end = tune.events[-1].start + tune.events[-1].bars
    goal = tune.goal(at)
    if goal != at + 1 or goal >= len(tune) or not tune.is_home(goal):
        return False
    return tune.degree(goal) == 0 and tune.events[goal].start > end - CLOSE_BARS


def _half(tune: Tune, at: int) -> int:
    """1 for a V or its substitute, -1 for a VI or its substitute, 0 for another chord."""
    return {7: 1, 1: 1, 9: -1, 3: -1}.get(tune.degree(at), 0)


#: The tone in which chords on one root differ, in semitones above the root, by sound: on a line
#: down from the octave, and on a line up from the fifth.
_DOWN: Final = {
    Sound.MAJOR: 12, Sound.MINOR: 12, Sound.MAJOR_7: 11, Sound.MINOR_MAJOR: 11,
    Sound.DOMINANT: 10, Sound.MINOR_7: 10, Sound.MAJOR_6: 9, Sound.MINOR_6: 9,
}  # fmt: skip
_UP: Final = {
    Sound.MAJOR: 7, Sound.MINOR: 7, Sound.AUGMENTED: 8, Sound.MAJOR_6: 9, Sound.MINOR_6: 9,
    Sound.DOMINANT: 10, Sound.MINOR_7: 10,
}  # fmt: skip


def line_cliches(tune: Tune) -> Iterator[AreaMatch]:
    """Three or more chords on one root, one voice or the bass moving by semitones."""
    at = 0
    while at + 1 < len(tune):
        if tune.motion(at, at + 1) != 0:
            at += 1
            continue
        end = max(_line_end(tune, at, step) for step in (_inner_down, _inner_up, _bass_down))
        if end - at >= 2:
            yield AreaMatch("line cliche", tune.local[at], tuple(range(at, end + 1)))
        at = max(end, at + 1)


def _line_end(tune: Tune, at: int, moves: Callable[[Tune, int], bool]) -> int:
    while at + 1 < len(tune) and tune.motion(at, at + 1) == 0 and moves(tune, at):
        at += 1
    return at


def _inner_down(tune: Tune, at: int) -> bool:
    here, there = tune.chord_class(at).sound, tune.chord_class(at + 1).sound
    return _DOWN.get(there, 0) == _DOWN.get(here, 0) - 1


def _inner_up(tune: Tune, at: int) -> bool:
    here, there = tune.chord_class(at).sound, tune.chord_class(at + 1).sound
    return here in _UP and _UP.get(there) == _UP[here] + 1


def _bass_down(tune: Tune, at: int) -> bool:
    return tune.bass_motion(at, at + 1) == 11


def thirds_cycles(tune: Tune) -> Iterator[AreaMatch]:
    """Three or more tonics, each the same third from the last, with their dominants between."""
    run: list[int] = []
    for at in range(len(tune)):
        if tune.chord_class(at).sound not in MAJORS:
            continue
        if len(run) >= 2 and not (
            _leads(tune, run[-1], at) and tune.motion(run[-1], at) == tune.motion(run[-2], run[-1])
        ):
            yield from _thirds_cycle(tune, run)
            run = run[-1:]
        if run and not (_leads(tune, run[-1], at) and tune.motion(run[-1], at) in (3, 4, 8, 9)):
            run = []
        run.append(at)
    yield from _thirds_cycle(tune, run)


def _thirds_cycle(tune: Tune, run: Sequence[int]) -> Iterator[AreaMatch]:
    if len(run) >= 3:
        key = tune.chord_class(run[-1]).root
        events = tuple(range(run[0], run[-1] + 1))
        yield AreaMatch("thirds cycle", key, events, True, run[-1])


def _leads(tune: Tune, here: int, there: int) -> bool:
    """Whether nothing stands between two chords but the dominant of the second, with its ii."""
    if there == here + 1:
        return True
    dominant = there - 1
    if not tune.is_dominant(dominant) or tune.goal(dominant) != there:
        return False
    two = tune.ii_before(dominant)
    return (tune.starts[dominant] if two is None else two) == here + 1


def diminished(tune: Tune) -> Iterator[AreaMatch]:
    """Diminished chords: passing between neighbours, or holding the root of a neighbour.

    At the top of the form nothing comes before.
    """
    for at in range(len(tune)):
        if tune.chord_class(at).sound is not Sound.DIMINISHED:
            continue
        key, after = tune.local[at], tune.bass_motion(at, at + 1)
        before = tune.bass_motion(at - 1, at) if at else None
        returns = before == 0 and tune.chord_class(at + 1).root == tune.chord_class(at - 1).root
        if tune.motion(at, at + 1) == 0 or returns or (not at and _holds_root(tune, at)):
            yield AreaMatch("common-tone diminished", key, (at, at + 1))
        elif after in (1, 11) and (before is None or before in (after, 0, 8, 9)):
            events = (at, at + 1) if before is None else (at - 1, at, at + 1)
            yield AreaMatch("passing diminished", key, events)


def _holds_root(tune: Tune, at: int) -> bool:
    """Whether a diminished chord has the root of the next chord, a major one, among its tones."""
    next_major = tune.chord_class(at + 1).sound in MAJORS
    return next_major and tune.motion(at, at + 1) in (3, 6, 9) \
        and tune.bass_motion(at, at + 1) not in (1, 11)  # fmt: skip


def borrowed_fourths(tune: Tune) -> Iterator[AreaMatch]:
    """The minor chord on IV of a major key, unless it is the ii of the next chord."""
    for at in range(len(tune)):
        minor = tune.chord_class(at).sound in MINORS
        if minor and tune.local[at] < 12 and tune.degree(at) == 5 and not tune.goes_on(at):
            yield AreaMatch("borrowed iv", tune.local[at], (at, at + 1))


def pedals(tune: Tune) -> Iterator[AreaMatch]:
    """One bass note under three or more chords, or under two for four bars, of several roots."""
    at = 0
    while at < len(tune):
        end = at
        while end + 1 < len(tune) and tune.chord_class(end + 1).bass == tune.chord_class(at).bass:
            end += 1
        run = tuple(range(at, end + 1))
        roots = {tune.chord_class(event).root for event in run}
        is_long = len(run) >= PEDAL_CHORDS or sum(tune.bars(event) for event in run) >= PEDAL_BARS
        if len(roots) >= 2 and is_long:
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
        if tune.chord_class(at).sound in DOMINANTS and not tune.is_dominant(at):
            resting.setdefault(tune.local[at], []).append(at)
    for key, events in resting.items():
        degrees = {tune.degree(at) for at in events}
        if degrees == {0, 5}:
            yield AreaMatch("blues", key, tuple(events))


#: The finders, in order of rank: of areas with the same chords the first is the passage.
FINDERS: Final[tuple[Callable[[Tune], Iterator[AreaMatch]], ...]] = (
    blues, vamps, pedals, line_cliches, thirds_cycles, tags, turnarounds, chains, cadences,
    diminished, borrowed_fourths,
)  # fmt: skip
