"""The cost of a plan recomputed from printed frets and fingers alone.

Written from the description of effort, without a look at the planner's arrays: plain loops over
fingers, one change and one grip at a time. Only the weights are shared. `part_mm` alone asks the
planner itself.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from itertools import pairwise
from math import hypot

from midneck.converter.hand.costs import PARTS, gathered
from midneck.converter.hand.grip import Grip
from midneck.converter.hand.player import Player
from midneck.grammar.chord import Chord

PAIRS = [(1, 2), (2, 3), (3, 4), (1, 3), (2, 4), (1, 4)]


def quantize(value: float) -> float:
    """A cost in whole 1/1024 mm, as plans are summed."""
    return round(value * 1024) / 1024


def x_mm(fret: int, player: Player) -> float:
    """Equal temperament: distance of a fret from the nut."""
    return player.neck.scale_mm * (1 - 2 ** (-fret / 12))


def fretted(grip: Grip) -> dict[int, tuple[int, list[int]]]:
    """Finger → its fret and the string indices it stops."""
    found: dict[int, tuple[int, list[int]]] = {}
    for string, (fret, finger) in enumerate(zip(grip.frets, grip.fingers, strict=True)):
        if finger is not None:
            found.setdefault(finger, (fret, []))[1].append(string)
    return dict(sorted(found.items()))


def strain(grip: Grip, player: Player) -> float:
    """What striking a grip costs."""
    effort, hand = player.effort, fretted(grip)
    total = at_any_fret(grip, player)
    for (low, high), comfort in zip(PAIRS, player.reach.comfort_mm, strict=True):
        if low in hand and high in hand:
            spread = x_mm(hand[high][0], player) - x_mm(hand[low][0], player)
            total += effort.stretch * max(0.0, spread - comfort)
    flat_fifth = any(
        note.tone and (note.tone.degree, note.tone.alteration) == (5, -1)
        for note in grip.voicing.notes
    )
    for one in grip.voicing.omitted:
        thrice = one.degree == 5 or (one.degree == 7 and flat_fifth)
        total += effort.unsaid_mm * (3 if thrice else 1)
    return total + window(grip, player)


def part_mm(part: str, grip: Grip, player: Player) -> float:
    """One of the `PARTS` of strain, as the planner prices it."""
    found = gathered([grip.voicing], player)
    return float(found.parts[found.grips.index(grip), PARTS.index(part)])


def at_any_fret(grip: Grip, player: Player) -> float:
    """The parts of strain that do not depend on lengths: crowding, little finger, barres, mutes."""
    effort, hand = player.effort, fretted(grip)
    total = effort.little_mm if 4 in hand else 0.0
    used = list(hand)
    for low, high in pairwise(used):
        gap = hand[high][0] - hand[low][0]
        total += effort.crowd_mm * max(0, high - low - gap)
    for _, strings in hand.values():
        wide = strings[-1] - strings[0]
        total += effort.barre_mm + effort.barre_string_mm * (wide - 1) if wide else 0.0
    count = len(grip.frets)
    bass = min(at for at, fret in enumerate(grip.frets) if fret is not None)
    muted = {count - string for string, _ in grip.mutes}
    loose = [at for at in range(bass, count) if grip.frets[at] is None and at not in muted]
    return total + effort.unmuted_mm * len(loose)


def window(grip: Grip, player: Player) -> float:
    """The price of the place of the lowest note."""
    fret = grip.voicing.notes[0].fret
    low, high = player.window
    off = low - fret if fret < low else max(fret - high, 0)
    return 0.0 if off == 0 else player.effort.tolerable_mm + player.effort.outside_mm * (off - 1)


def travel(start: Grip, goal: Grip, player: Player) -> float:
    """What one change costs before hurry."""
    effort = player.effort
    before, after = fretted(start), fretted(goal)
    shift = abs(x_mm(start.position, player) - x_mm(goal.position, player))
    total = effort.shift * shift + effort.leap * max(0.0, shift - effort.leap_from_mm)
    guided = False
    for finger, (fret, strings) in after.items():
        if finger not in before:
            total += effort.place_mm
            continue
        old_fret, old = before[finger]
        shared = range(max(old[0], strings[0]), min(old[-1], strings[-1]) + 1)
        guided = guided or len(shared) > 0
        if fret == old_fret and len(shared) > 0:
            continue
        along = (x_mm(fret, player) - x_mm(goal.position, player)) - (
            x_mm(old_fret, player) - x_mm(start.position, player)
        )
        across = player.neck.string_gap_mm * (strings[0] - old[0])
        total += effort.finger * hypot(across, along)
    return total if guided else max(total, effort.blind_mm)


def unled(grips: tuple[Grip, Grip], chords: tuple[Chord, Chord], player: Player) -> float:
    """What one change costs for voices that should move by step on a string and do not."""
    start, goal = chords
    roots = start.root.pitch_class, goal.root.pitch_class
    if start.bass is None and goal.bass is None and roots[0] == roots[1]:
        pairs = itertools.product(_line_tones(start), _line_tones(goal))
        lines = [(low, high) for low, high in pairs if abs(high - low) == 1]
        if _third(start) != _third(goal):
            lines = []
        strings = [
            _on_one_string(grips, (roots[0] + low) % 12, (roots[0] + high) % 12, high - low)
            for low, high in lines
        ]
        return player.effort.line_mm * sum(not led for led in strings)
    low, high = ((chord.bass or chord.root).pitch_class for chord in chords)
    most = 1 if start.bass is None and goal.bass is None else 2
    for step in range(-most, most + 1):
        if step != 0 and (low + step) % 12 == high:
            basses = [grip.voicing.notes[0] for grip in grips]
            tuned = [note.midi % 12 for note in basses] == [low, high]
            string = basses[0].string == basses[1].string
            led = tuned and string and basses[1].fret == basses[0].fret + step
            return 0.0 if led else player.effort.slide_mm
    return 0.0


def _third(chord: Chord) -> list[int]:
    """The third, or what stands for it."""
    return [tone.semitones for tone in chord.tones if tone.degree in (2, 3, 4)][:1]


def _line_tones(chord: Chord) -> list[int]:
    """The tones that carry a line: seventh, sixth or altered fifth; else fifth and octave."""
    if chord.kind == "diminished" or not _third(chord):
        return []
    tones = {tone.degree: tone for tone in chord.tones}
    for degree in (7, 6, 13):
        if degree in tones:
            return [tones[degree].semitones % 12]
    fifth = [tones[5].semitones] if 5 in tones else []
    return fifth if fifth and fifth != [7] else [*fifth, 12]


def _on_one_string(grips: tuple[Grip, Grip], low: int, high: int, step: int) -> bool:
    return any(
        one.midi % 12 == low
        and other.midi % 12 == high
        and (one.string, one.fret + step) == other.fret_position
        for one in grips[0].voicing.notes
        for other in grips[1].voicing.notes
    )


def plan_cost(
    grips: Sequence[Grip],
    nodes: Sequence[int],
    seconds: Sequence[float],
    chords: Sequence[Chord],
    player: Player,
) -> float:
    """The cost of one chorus: grips as played, the node, the seconds and the chord of each."""
    total = sum(quantize(strain(grip, player)) for grip in grips)
    weights: dict[tuple[int, int], float] = {}
    costs: dict[tuple[int, int], float] = {}
    for at, node in enumerate(nodes):
        after = (at + 1) % len(nodes)
        if node != nodes[after]:
            key = node, nodes[after]
            weights[key] = weights.get(key, 0.0) + 1 + player.effort.hurry_s / seconds[at]
            ends = grips[at], grips[after]
            costs[key] = travel(*ends, player) + unled(ends, (chords[at], chords[after]), player)
    return total + sum(quantize(costs[key] * weight) for key, weight in weights.items())
