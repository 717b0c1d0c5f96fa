"""Reads the reference progressions in `progressions.txt`, whose head explains the format."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

_FILE = Path(__file__).with_name("progressions.txt")


@dataclass(frozen=True, slots=True)
class ExpectedArea:
    """An area as the reference states it; `key` is a tonic, minor with m."""

    kind: str
    key: str
    chords: tuple[int, ...]
    resolved: bool


@dataclass(frozen=True, slots=True)
class Progression:
    """One reference progression; `local` and `romans` have one entry for each chord.

    `rules` are the names of the rules that explain it, `basis` what the weakest of them rests on.
    """

    name: str
    source: str
    basis: str
    rules: frozenset[str]
    bars: str
    key: str
    local: tuple[str, ...]
    romans: tuple[str, ...]
    goals: dict[int, int]
    areas: tuple[ExpectedArea, ...]


def progressions() -> tuple[Progression, ...]:
    """Every progression of the file."""
    text = "\n".join(
        line for line in _FILE.read_text("utf-8").splitlines() if not line.startswith("%")
    )
    return tuple(_progression(block) for block in text.split("\n\n") if block.strip())


def rule_bases() -> dict[str, str]:
    """What each rule in the head of the file rests on: `primer` or `convention`."""
    found = re.findall(r"^% rule (.+) \((\w+)\):", _FILE.read_text("utf-8"), re.MULTILINE)
    return dict(found)


def _progression(block: str) -> Progression:
    name, *lines = block.strip().splitlines()
    fields = {field: value.strip() for field, _, value in (line.partition(":") for line in lines)}
    local, romans, key = [], [], ""
    for word in fields["romans"].split():
        if word.startswith("["):
            key = word.strip("[]")
        else:
            local.append(key)
            romans.append(word)
    basis, _, rules = fields["rule"].partition(": ")
    goals = dict(pair.split(">") for pair in fields["goals"].split())
    return Progression(
        name.removeprefix("# "), fields["source"], basis, frozenset(rules.split(", ")),
        fields["bars"], fields["key"], tuple(local), tuple(romans),
        {int(at): int(goal) for at, goal in goals.items()}, _areas(fields["areas"]),
    )  # fmt: skip


def _areas(text: str) -> tuple[ExpectedArea, ...]:
    areas = []
    for piece in filter(None, text.split("; ")):
        words = piece.split()
        resolved = words[-1] != "open"
        *kind, key, chords = words if resolved else words[:-1]
        indices = tuple(int(at) for at in chords.split(","))
        areas.append(ExpectedArea(" ".join(kind), key, indices, resolved))
    return tuple(areas)
