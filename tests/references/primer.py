"""The rules of a harmony primer, worked on the symbols of a reference progression alone.

A second working of the expectations in `progressions.txt`: it reads letters, numerals and indices
and calls nothing of the product. The head of the file says what each rule is and what it rests on.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from .progressions import Progression

_LETTERS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_SIGNS = {"b": -1, "♭": -1, "#": 1, "♯": 1}
_DEGREES = {"i": 0, "ii": 2, "iii": 4, "iv": 5, "v": 7, "vi": 9, "vii": 11}
_SYMBOL = re.compile(r"([A-G])([b#]?)([^/\s]*)(?:/(\S+))?")
_NUMERAL = re.compile(r"(sub)?([♭♯]?)([iv]+|[IV]+)")

#: The rule of a resolution, by the semitones that the root goes up.
_BY_INTERVAL = {
    5: "falling fifth", 11: "tritone substitute", 0: "suspension", 10: "descending bass",
}  # fmt: skip
#: The intervals of the same resolutions with iii in the place of I, four semitones higher.
_TO_III = {9: "falling fifth", 3: "tritone substitute", 6: "backdoor"}
#: Areas that resolutions alone explain.
_OF_RESOLUTIONS = {"V-I", "dominant chain", "tritone substitute", "backdoor"}
_OF_RELATED_II = {"ii-V", "ii-V-I", "ii-V chain"}


@dataclass(frozen=True, slots=True)
class Symbol:
    """A chord symbol: pitch class of its root, what stands after it, a written bass or ""."""

    root: int
    quality: str
    bass: str


def pitch_class(name: str) -> int:
    """The pitch class of a written note: `Bb`."""
    return (_LETTERS[name[0]] + _SIGNS.get(name[1:2], 0)) % 12


def symbols(progression: Progression) -> list[Symbol]:
    """The written chords of the bars in order."""
    return [
        Symbol(pitch_class(letter + sign), quality, bass)
        for letter, sign, quality, bass in _SYMBOL.findall(progression.bars)
    ]


def numeral_root(roman: str, key: str) -> int:
    """The pitch class of the root that a numeral says in a key: degrees of the major scale.

    `V7/ii` is a fifth above ii, `subV7` a semitone above its goal, which is I where none is named.
    """
    head, _, goal = roman.partition("/")
    found = _NUMERAL.match(head)
    assert found, roman
    substitute, sign, degree = found.groups()
    tonic = numeral_root(goal, key) if goal else pitch_class(key.partition(":")[0].rstrip("m"))
    above = 1 if substitute else _DEGREES[degree.lower()] + _SIGNS.get(sign, 0)
    return (tonic + above) % 12


def rules_of(progression: Progression) -> set[str]:
    """The rules that the goals, the areas and the keys of a progression need.

    Raises AssertionError for a goal that no rule allows.
    """
    found: set[str] = set()
    for at, goal in progression.goals.items():
        found |= _resolution(progression, at, goal)
    for kind in {area.kind for area in progression.areas} - _OF_RESOLUTIONS:
        found.add("related ii" if kind in _OF_RELATED_II else kind)
    if len(set(progression.local)) > 1:
        found.add("local key")
    if ":" in progression.key:
        found.add("dorian")
    if sounding_roots(progression) != [chord.root for chord in symbols(progression)]:
        found.add("chord over its fourth")
    return found


def sounding_roots(progression: Progression) -> list[int]:
    """The root of each chord: as written, or its bass where that is the fourth above the root."""
    return [
        chord.root
        if not chord.bass or "sus" not in roman or pitch_class(chord.bass) != (chord.root + 5) % 12
        else pitch_class(chord.bass)
        for chord, roman in zip(symbols(progression), progression.romans, strict=True)
    ]


def _resolution(progression: Progression, at: int, goal: int) -> set[str]:
    roots, roman = sounding_roots(progression), progression.romans[at]
    up = (roots[goal] - roots[at]) % 12
    rules = {"delay"} if goal != (at + 1) % len(roots) else set()
    if up in _TO_III:
        assert progression.romans[goal].startswith("iii"), f"chord {at} goes to {goal}, no iii"
        return {*rules, "iii for I", _TO_III[up]}
    if up == 1:
        return {*rules, "leading tone" if "°" in roman else "deceptive"}
    if up == 2:
        return {*rules, "backdoor" if roman.startswith("♭VII") else "deceptive"}
    assert up in _BY_INTERVAL, f"no rule takes chord {at} to chord {goal}"
    return {*rules, _BY_INTERVAL[up]}


def is_two_five_one(progression: Progression, chords: tuple[int, ...], key: str) -> bool:
    """Whether the chords begin on the second degree of a key, pass its fifth and end on its first.

    The fifth may stand alone as suspended dominant, or its tritone substitute in its place.
    """
    roots, tonic = sounding_roots(progression), pitch_class(key.partition(":")[0].rstrip("m"))
    degrees = [(roots[at] - tonic) % 12 for at in chords]
    return degrees[0] == 2 and degrees[-1] == 0 and degrees[-2] in (1, 7)
