"""The cost of a plan worked again from printed strings, frets and fingers.

This is a second working of the description of effort, from the geometry of a neck: equal
temperament divides the scale length, a finger is a (string, fret, finger) triple, the hand lies
where its lowest finger stands with one finger a fret, and a finger mutes what its flesh touches.
Loops go over single fingers, one change and one grip at a time.

Taken from the product: the frets and fingers of a grip; of its voicing which tones it leaves out
and which sounds a flat fifth; the root, bass, kind and tones of a chord; the settings of the
player, as numbers (scale length, string gap, tuning, window, comfort of the fingers, `Effort`).
Not taken: the hand position, barres and mutes of a grip, tables of fret distances, the order of
the finger pairs, any function of the planner, the factors of prices, its sums and rounding.
`test_hand_effort.py` compares both workings, and changes one price after another.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from itertools import pairwise
from math import dist

from midneck.converter.hand.grip import Grip
from midneck.converter.hand.player import Player
from midneck.grammar.chord import Chord

#: A finger on a string: the index of the string from the lowest, its fret, the finger (1 to 4).
Touch = tuple[int, int, int]

INDEX, MIDDLE, RING, LITTLE = 1, 2, 3, 4
#: The finger pairs in the order in which a player states the comfort of each.
PAIRS = (
    (INDEX, MIDDLE), (MIDDLE, RING), (RING, LITTLE),
    (INDEX, RING), (MIDDLE, LITTLE), (INDEX, LITTLE),
)  # fmt: skip


def quantize(value: float) -> float:
    """A cost in whole 1/1024 mm, as plans are summed."""
    return round(value * 1024) / 1024


def x_mm(fret: int, player: Player) -> float:
    """The distance of a fret from the nut: each fret shortens the string by one semitone."""
    sounding_mm = player.neck.scale_mm
    for _ in range(abs(fret)):
        sounding_mm *= 2 ** (-1 / 12) if fret > 0 else 2 ** (1 / 12)
    return player.neck.scale_mm - sounding_mm


def touches(grip: Grip) -> list[Touch]:
    """The fingers on strings, from the lowest string."""
    strings = enumerate(zip(grip.frets, grip.fingers, strict=True))
    return [
        (string, fret, finger)
        for string, (fret, finger) in strings
        if fret is not None and finger is not None
    ]


def hand_fret(hand: Sequence[Touch]) -> int:
    """The fret of the index finger if each finger has a fret of its own; 1 for open strings."""
    if not hand:
        return 1
    finger, fret = min((finger, fret) for _, fret, finger in hand)
    return fret - (finger - INDEX)


def fret_of(hand: Sequence[Touch], finger: int) -> int | None:
    """The fret of a finger, None if it is free."""
    return next((fret for _, fret, used in hand if used == finger), None)


def strings_of(hand: Sequence[Touch], finger: int) -> list[int]:
    """The strings that a finger stops."""
    return [string for string, _, used in hand if used == finger]


def is_muted(grip: Grip, string: int) -> bool:
    """Whether a silent string above the bass can be damped by the flesh of a finger.

    A finger leans on the next thinner string. The index lies flat over thinner strings if it is
    free or stands on a lower string, unless an open string among them has to sound.
    """
    hand = touches(grip)
    if any(at == string - 1 for at, _, _ in hand):
        return True
    index = strings_of(hand, INDEX)
    return 0 not in grip.frets[string:] and (not index or min(index) < string)


def strain(grip: Grip, player: Player) -> float:
    """What striking a grip costs."""
    return sum(strain_parts(grip, player).values())


def strain_parts(grip: Grip, player: Player) -> dict[str, float]:
    """The cost of striking a grip by its reasons, in mm."""
    effort, hand = player.effort, touches(grip)
    spans = [max(stopped) - min(stopped) for stopped in _stopped(hand)]
    return {
        "stretch_mm": stretch_mm(grip, player),
        "crowding_mm": effort.crowd_mm * crowded_frets(hand),
        "little_finger_mm": effort.little_mm if fret_of(hand, LITTLE) is not None else 0.0,
        "barre_mm": sum(
            effort.barre_mm + effort.barre_string_mm * (span - 1) for span in spans if span > 0
        ),
        "unmuted_mm": effort.unmuted_mm * unmuted_strings(grip),
        "window_mm": window_mm(grip, player),
        "unsaid_mm": unsaid_mm(grip, player),
    }


def _stopped(hand: Sequence[Touch]) -> list[list[int]]:
    used = sorted({finger for _, _, finger in hand})
    return [strings_of(hand, finger) for finger in used]


def stretch_mm(grip: Grip, player: Player) -> float:
    """The spread of the fingers beyond comfort."""
    hand, beyond_mm = touches(grip), 0.0
    for (low, high), comfort_mm in zip(PAIRS, player.reach.comfort_mm, strict=True):
        near, far = fret_of(hand, low), fret_of(hand, high)
        if near is not None and far is not None:
            beyond_mm += max(0.0, x_mm(far, player) - x_mm(near, player) - comfort_mm)
    return player.effort.stretch * beyond_mm


def crowded_frets(hand: Sequence[Touch]) -> int:
    """The frets by which neighbouring fingers are closer than one fret a finger."""
    places = sorted({(finger, fret) for _, fret, finger in hand})
    return sum(
        max(0, (other - one) - (above - below)) for (one, below), (other, above) in pairwise(places)
    )


def unmuted_strings(grip: Grip) -> int:
    """The silent strings above the bass that no finger damps."""
    silent = [string for string, fret in enumerate(grip.frets) if fret is None]
    bass = min(set(range(len(grip.frets))) - set(silent))
    return sum(string > bass and not is_muted(grip, string) for string in silent)


def window_mm(grip: Grip, player: Player) -> float:
    """The price of the place of the lowest note."""
    fret = next(fret for fret in grip.frets if fret is not None)
    low, high = player.window
    off = low - fret if fret < low else max(fret - high, 0)
    return 0.0 if off == 0 else player.effort.tolerable_mm + player.effort.outside_mm * (off - 1)


def unsaid_mm(grip: Grip, player: Player) -> float:
    """The price of tones that a grip leaves out; three times that of those that it turns on."""
    sounding = [
        (note.tone.degree, note.tone.alteration) for note in grip.voicing.notes if note.tone
    ]
    counts = []
    for one in grip.voicing.omitted:
        seventh = one.degree == 7 and (5, -1) in sounding
        dominant = (one.degree, one.alteration) == (7, -1) and (3, 0) in sounding
        counts.append(3 if one.degree == 5 or seventh or dominant else 1)
    return player.effort.unsaid_mm * sum(counts)


def travel(start: Grip, goal: Grip, player: Player) -> float:
    """What one change costs before hurry."""
    effort, before, after = player.effort, touches(start), touches(goal)
    from_mm, to_mm = x_mm(hand_fret(before), player), x_mm(hand_fret(after), player)
    total = effort.shift * abs(to_mm - from_mm)
    total += effort.leap * max(0.0, abs(to_mm - from_mm) - effort.leap_from_mm)
    guided = False
    for finger in (INDEX, MIDDLE, RING, LITTLE):
        old, new = fret_of(before, finger), fret_of(after, finger)
        if new is None:
            continue
        if old is None:
            total += effort.place_mm
            continue
        left, reached = strings_of(before, finger), strings_of(after, finger)
        on_string = max(left) >= min(reached) and max(reached) >= min(left)
        guided = guided or on_string
        if not (on_string and old == new):
            gap_mm = player.neck.string_gap_mm
            was = min(left) * gap_mm, x_mm(old, player) - from_mm
            total += effort.finger * dist(was, (min(reached) * gap_mm, x_mm(new, player) - to_mm))
    return total if guided else max(total, effort.blind_mm)


def pitches(grip: Grip, player: Player) -> list[tuple[int, int, int]]:
    """The sounding strings from the lowest: string index, fret and pitch class."""
    tuned = enumerate(zip(grip.frets, player.neck.tuning, strict=True))
    return [
        (string, fret, (midi + fret) % 12) for string, (fret, midi) in tuned if fret is not None
    ]


def unled(grips: tuple[Grip, Grip], chords: tuple[Chord, Chord], player: Player) -> float:
    """What one change costs for voices that should move by step on a string and do not."""
    start, goal = chords
    before, after = (pitches(grip, player) for grip in grips)
    roots = start.root.pitch_class, goal.root.pitch_class
    if start.bass is None and goal.bass is None and roots[0] == roots[1]:
        if _third(start) != _third(goal):
            return 0.0
        pairs = itertools.product(_line_tones(start), _line_tones(goal))
        led = [
            _on_one_string(before, after, (roots[0] + low) % 12, high - low)
            for low, high in pairs
            if abs(high - low) == 1
        ]
        return player.effort.line_mm * led.count(False)
    low, high = ((chord.bass or chord.root).pitch_class for chord in chords)
    most = 1 if start.bass is None and goal.bass is None else 2
    for step in range(-most, most + 1):
        if step != 0 and (low + step) % 12 == high:
            led = _on_one_string(before[:1], after[:1], low, step)
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


def _on_one_string(
    before: Sequence[tuple[int, int, int]],
    after: Sequence[tuple[int, int, int]],
    pitch_class: int,
    step: int,
) -> bool:
    """Whether a note of this pitch class moves so many frets on its string."""
    return any(
        pitch == pitch_class and (string, fret + step) == (other, reached)
        for string, fret, pitch in before
        for other, reached, _ in after
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
