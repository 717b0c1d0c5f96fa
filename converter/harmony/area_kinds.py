"""The kinds of areas, each with the plain sentence that tells a student what happens in it.

In the sentences `{key}` is the area's key, `{first}`, `{middle}` and `{last}` are its chords as
written (`{middle}` the one before the last).
"""

from __future__ import annotations

from typing import Final

#: Kind → (sentence when it reaches its goal, sentence when it does not; "" where that cannot be).
AREA_KINDS: Final[dict[str, tuple[str, str]]] = {
    "ii-V-I": (
        "A ii–V–I in {key}: {first} gets ready, {middle} pulls, {last} is home.",
        "",
    ),
    "ii-V": (
        "A ii–V of {key} that leads on: what it asks for comes later, or moves on at once.",
        "A ii–V of {key} left open: {last} asks for a tonic that does not come.",
    ),
    "V-I": ("{first} is the V of {key} and falls home to {last}.", ""),
    "turnaround": (
        "A turnaround in {key}: from the tonic round through the VI and the ii–V back to it.",
        "A turnaround in {key} that does not arrive.",
    ),
    "dominant chain": (
        "Dominants in a row, each the V of the next, down to {last}.",
        "Dominants in a row, each the V of the next; the last, {last}, is left open.",
    ),
    "ii-V chain": (
        "ii–Vs in a row, each handing on to the next; the last is in {key}.",
        "ii–Vs in a row, each handing on to the next; the last, of {key}, is left open.",
    ),
    "tritone substitute": (
        "{middle} stands in for the V of {key}, a tritone away, and slides down into {last}.",
        "",
    ),
    "backdoor": (
        "{middle} comes home to {key} by the back door, from a tone below the tonic.",
        "",
    ),
    "passing diminished": (
        "{middle} fills the step from {first} to {last}; play it as a chord in passing.",
        "",
    ),
    "common-tone diminished": (
        "{first} shares its root with {last} and only colours it: nothing has moved.",
        "",
    ),
    "deceptive": ("", "{middle} asks for the tonic of {key} but {last} comes instead."),
    "borrowed iv": (
        "{first} is the iv, borrowed from the minor key on the same tonic as {key}.",
        "",
    ),
    "pedal": ("The bass stays on one note while the chords above it move, in {key}.", ""),
    "vamp": ("The harmony stands still here: a vamp in {key}.", ""),
    "blues": ("Blues in {key}: the sevenths on I and IV are at rest and ask for nothing.", ""),
}
