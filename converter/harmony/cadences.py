"""Areas around dominants: ii–V–I and its pieces, substitutes, chains, turnarounds.

Takes the heard `Tune`, gives `Found` areas. What a dominant aims at is already known
(`preparation`); here it is only named.
"""

from __future__ import annotations

from collections.abc import Iterator

from .found import Found, Tune
from .sounds import DOMINANTS, FALLS, Sound

#: A turnaround goes round in at most so many bars.
TURNAROUND_BARS = 4.0


def cadences(tune: Tune) -> Iterator[Found]:
    """One area for each dominant: what kind of cadence it makes."""
    for at in range(len(tune)):
        if tune.is_open_or_aims(at):
            found = _cadence(tune, at)
            if found is not None:
                yield found


def _cadence(tune: Tune, at: int) -> Found | None:
    said = tune.said[at].goal
    goal = tune.heads[at] if said is None else said
    motion = tune.motion(at, goal)
    two = tune.ii_before(at)
    chords = (at,) if two is None else tuple(range(two, at + 1))
    key = tune.key_of(at)
    if motion == 11:
        if tune.said[at].roman.startswith("V"):
            return None
        return Found("tritone substitute", key, (*chords, goal))
    if motion == 5:
        # The ii of a substitute before the dominant itself (A♭m7 G7) prepares, but is no ii.
        real = two is not None and tune.motion(two, at) == 5
        return _authentic(tune, chords if real else (at,), goal, key)
    if tune.degree(at) == 10 and tune.local[at] < 12 and goal == at + 1 and motion in (2, 6):
        return Found("backdoor", tune.local[at], (*chords, goal))
    if tune.degree(at) == 7 and tune.is_home(goal) and motion in (1, 2, 9, 10):
        return Found("deceptive", tune.local[at], (*chords, goal), False)
    if motion == 0 and tune.heard(goal).sound in DOMINANTS and goal == at + 1:
        return None
    swings_back = two is not None and tune.heard(at + 1) == tune.heard(two)
    return Found("ii-V", key, chords, False) if two is not None and not swings_back else None


def _authentic(tune: Tune, chords: tuple[int, ...], goal: int, key: int) -> Found | None:
    arrives = tune.is_home(goal) and goal == chords[-1] + 1
    if arrives:
        return Found("ii-V-I" if len(chords) > 1 else "V-I", key, (*chords, goal))
    return Found("ii-V", key, chords) if len(chords) > 1 else None


def dominant_chains(tune: Tune) -> Iterator[Found]:
    """Three dominants and more, each the V (or its substitute) of the next."""
    at = 0
    while at < len(tune):
        run = [at]
        while _hands_on(tune, run[-1]) and run[-1] + 1 < len(tune):
            run.append(run[-1] + 1)
        if len(run) >= 3:
            last = run[-1]
            arrives = tune.motion(last, tune.heads[last]) in FALLS and tune.is_dominant(last)
            ends = (tune.heads[last],) if arrives and tune.heads[last] == last + 1 else ()
            yield Found("dominant chain", tune.key_of(last), (*run, *ends), arrives)
        at = run[-1] + 1


def _hands_on(tune: Tune, at: int) -> bool:
    there = tune.heads[at]
    if not tune.is_dominant(at) or there != at + 1 or tune.heard(there).sound not in DOMINANTS:
        return False
    return tune.motion(at, there) in FALLS


def two_five_chains(tune: Tune) -> Iterator[Found]:
    """Two ii–Vs and more, the V of each leading to the next ii or, past it, to its V."""
    runs: list[list[int]] = []
    for at in range(len(tune)):
        if not tune.is_open_or_aims(at) or tune.ii_before(at) != at - 1:
            continue
        if runs and at == runs[-1][-1] + 2 and tune.heads[runs[-1][-1]] in (at - 1, at):
            runs[-1].append(at)
        else:
            runs.append([at])
    for run in runs:
        if len(run) >= 2 and len({tune.heard(at).root for at in run}) == len(run):
            last, goal = run[-1], tune.heads[run[-1]]
            arrives = tune.motion(last, goal) in FALLS
            chords = tuple(at for v in run for at in (v - 1, v))
            ends = (goal,) if arrives and goal == last + 1 else ()
            yield Found("ii-V chain", tune.key_of(last), (*chords, *ends), arrives)


def turnarounds(tune: Tune) -> Iterator[Found]:
    """I (or iii), a chord on VI or its stand-in, ii or II, V, and the tonic again."""
    for at in range(3, len(tune)):
        key = tune.local[at]
        chords = (at - 3, at - 2, at - 1, at)
        if not tune.is_dominant(at) or any(tune.local[chord] != key for chord in chords):
            continue
        if sum(tune.bars(chord) for chord in chords) > TURNAROUND_BARS:
            continue
        tonic, sixth, second, fifth = (tune.degree(chord) for chord in chords)
        if tonic in (0, 4) and sixth in (9, 3, 1) and second in (2, 8) and fifth in (7, 1) \
                and _is_round(tune, at):  # fmt: skip
            goal = tune.heads[at]
            arrives = tune.degree(goal) == 0
            ends = (goal,) if arrives and goal == at + 1 else ()
            yield Found("turnaround", key, (*chords, *ends), arrives)


def _is_round(tune: Tune, at: int) -> bool:
    """Whether the four chords start on a tonic, or on a dominant in a round of two bars at most."""
    start = at - 3
    if tune.heard(start).sound in DOMINANTS and tune.said[start].goal is not None:
        return (
            tune.degree(start) == 4 and sum(tune.bars(chord) for chord in range(start, at + 1)) <= 2
        )
    return tune.degree(start) == 0 or tune.heard(start).sound is Sound.MINOR_7
