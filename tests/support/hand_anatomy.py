"""What a hand can do and what teachers let it do, judged from frets and fingers alone.

Written from the anatomy of the left hand, without a look at the rules of the planner: every finger
is a straight rod with one tip, four of them side by side, the index longest as a bar. Each fault is
a sentence. Where no source is named, a rule is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

Row = Sequence[int | None]

NAMES = {1: "index", 2: "middle", 3: "ring", 4: "little"}


def rods(frets: Row, fingers: Row) -> dict[int, list[tuple[int, int]]]:
    """Finger → the (string, fret) pairs that it stops, low strings first."""
    held: dict[int, list[tuple[int, int]]] = {}
    for string, (fret, finger) in enumerate(zip(frets, fingers, strict=True)):
        if finger is not None:
            held.setdefault(finger, []).append((string, fret))
    return held


def faults(frets: Row, fingers: Row) -> list[str]:
    """Everything that is wrong with a fingering that a teacher would give for any fret."""
    return [*impossible(frets, fingers), *untaught(frets, fingers)]


def impossible(frets: Row, fingers: Row) -> Iterator[str]:
    """What no hand can do, whatever its size."""
    for string, (fret, finger) in enumerate(zip(frets, fingers, strict=True)):
        if bool(fret) != (finger is not None):
            yield f"string index {string} is stopped without a finger, or fingered without a fret"
    held = rods(frets, fingers)
    for finger, stops in held.items():
        if len({fret for _, fret in stops}) > 1:
            yield f"the {NAMES[finger]} finger is on two frets"
    for one, stops in held.items():
        for other, others in held.items():
            if one < other and stops[0][1] > others[0][1]:
                yield f"the {NAMES[other]} finger lies behind the {NAMES[one]} finger"
            if one < other and len(stops) + len(others) > 2 and stops[0][1] == others[0][1]:
                lowest, highest = others[0][0], stops[-1][0]
                if highest > lowest:
                    yield "a barre crosses another finger at its fret"
    for finger, stops in held.items():
        if len(stops) > 1:
            yield from _lying(frets, finger, stops)


def _lying(frets: Row, finger: int, stops: list[tuple[int, int]]) -> Iterator[str]:
    """What is wrong with a finger that lies across several strings."""
    (first, fret), (last, _) = stops[0], stops[-1]
    for string in range(first, len(frets)):
        sounding = frets[string]
        if sounding is not None and sounding < fret:
            yield f"string index {string} cannot sound below a barre"
    if finger > 1:
        strings = [string for string, _ in stops]
        if strings != list(range(first, last + 1)):
            yield f"the {NAMES[finger]} finger bends over a string between"
        if len(stops) > (3 if finger == 3 else 2):
            yield f"the {NAMES[finger]} finger is not long enough"


def untaught(frets: Row, fingers: Row) -> Iterator[str]:
    """What a hand can do, but no teacher asks for."""
    held = rods(frets, fingers)
    bars = {finger: stops for finger, stops in held.items() if len(stops) > 1}
    if 2 in bars or 4 in bars:
        yield "the middle or the little finger lies across strings"
    if 3 in bars and not held.keys() & {1, 2}:
        yield "the ring finger lies across strings while the index is free"
    for finger, stops in bars.items():
        inside = [frets[string] for string in range(stops[0][0], stops[-1][0] + 1)]
        if None in inside:
            yield "a silent string lies under a barre"
        if _spared(frets, fingers, finger, stops):
            yield "a barre stops short of a note that it could stop"
    frets_held = {finger: stops[0][1] for finger, stops in held.items()}
    if {1, 4} <= held.keys() and 3 not in held and frets_held[4] - frets_held[1] < 2:
        yield "index and little finger squeeze the ring finger between them"
    for fret in set(frets_held.values()):
        if sum(one == fret for one in frets_held.values()) > 3:
            yield "four fingertips on one fret"


def _spared(frets: Row, fingers: Row, finger: int, stops: list[tuple[int, int]]) -> bool:
    """Whether the barre, made longer at either end, would come upon another note of its fret."""
    fret = stops[0][1]
    for string, step in ((stops[-1][0], 1), (stops[0][0], -1)):
        at = string + step
        while 0 <= at < len(frets):
            sounding = frets[at]
            if sounding == fret and fingers[at] != finger:
                return True
            if sounding is None or sounding < fret or finger != 1:
                break
            at += step
    return False


def out_of_reach(frets: Row, fingers: Row, scale_mm: float, limits_mm: dict) -> list[str]:
    """The pairs of fingers that are farther apart than `limits_mm` (pair → mm) allows.

    Frets lie at L·(1 − 2^(−f/12)) from the nut, equal temperament.
    """
    at = {
        finger: scale_mm * (1 - 2 ** (-stops[0][1] / 12))
        for finger, stops in rods(frets, fingers).items()
    }
    return [
        f"{NAMES[one]} and {NAMES[other]} are {at[other] - at[one]:.0f} mm apart"
        for (one, other), limit in limits_mm.items()
        if one in at and other in at and at[other] - at[one] > limit + 1e-9
    ]
