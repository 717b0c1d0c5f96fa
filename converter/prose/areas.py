"""The kinds of areas, each with the plain sentence that tells a student what happens in it.

In the sentences `{key}` is the area's key, `{first}`, `{middle}` and `{last}` are its chords
(`{middle}` the one before the last), `{goal}` the chord that its last dominant aims at.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Sentences:
    """What is said of an area that reaches its goal, reaches it only `later`, or is left `open`.

    A sentence is "" where that cannot be; `later` stands in for `reached` where both are one.
    """

    reached: str = ""
    later: str = ""
    left_open: str = ""

    def of(self, resolved: bool, at_once: bool) -> str:
        """The one that fits; `at_once`: the goal stands next."""
        if not resolved:
            return self.left_open
        return self.reached if at_once or not self.later else self.later


#: What is said of each kind.
AREA_KINDS: Final[dict[str, Sentences]] = {
    "ii-V-I": Sentences("A ii–V–I in {key}: {first} gets ready, {middle} pulls, {last} is home."),
    "ii-V": Sentences(
        "A ii–V of {key}: {last} falls to {goal}, which leads straight on.",
        "A ii–V of {key}: {last} asks for {goal}, which comes later.",
        "A ii–V of {key} left open: {last} asks for a tonic that does not come.",
    ),
    "V-I": Sentences("{first} is the V of {key} and falls home to {last}."),
    "turnaround": Sentences(
        "A turnaround in {key}: from the tonic round through the VI and the ii–V back to it.",
        "A turnaround in {key}: through the VI to the ii–V; {goal} itself comes later.",
        "A turnaround in {key} that does not arrive.",
    ),
    "dominant chain": Sentences(
        "Dominants in a row, each the V of the next, down to {last}.",
        left_open="Dominants in a row, each the V of the next; the last, {last}, is left open.",
    ),
    "ii-V chain": Sentences(
        "ii–Vs in a row, each handing on to the next; the last is in {key}.",
        left_open="ii–Vs in a row, each handing on to the next; the last, of {key}, is left open.",
    ),
    "tritone substitute": Sentences(
        "{middle} stands in for the V of {last}, a tritone away, and slides down into it."
    ),
    "backdoor": Sentences(
        "{middle} comes home to {key} by the back door, from a tone below the tonic."
    ),
    "passing diminished": Sentences(
        "{middle} fills the step from {first} to {last}; play it as a chord in passing."
    ),
    "common-tone diminished": Sentences(
        "{first} shares its root with {last} and only colours it: nothing has moved."
    ),
    "deceptive": Sentences(
        left_open="{middle} asks for the tonic of {key} but {last} comes instead."
    ),
    "borrowed iv": Sentences(
        "{first} is the iv, borrowed from the minor key on the same tonic as {key}."
    ),
    "pedal": Sentences("The bass stays on one note while the chords above it move, in {key}."),
    "vamp": Sentences("The harmony stands still here: a vamp in {key}."),
    "blues": Sentences("Blues in {key}: the sevenths on I and IV are at rest and ask for nothing."),
}
