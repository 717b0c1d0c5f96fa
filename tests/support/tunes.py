"""Invented tunes for tests and benchmarks: any number of them, in all keys, the same for one seed.

Phrases of four bars in degrees are strung into the forms that everybody uses (32-bar AABA, ABAC,
twelve-bar blues, 16 bars, minor forms), with repeats, endings, split bars and turnarounds. Nothing
here is a real tune; the data are our own and serve only to have many different sheets.
"""

from __future__ import annotations

import random

from midneck.grammar.pitch import Interval, PitchName, parse_pitch_name

from .roots import MAJOR_TONICS, MINOR_TONICS, ROOTS

#: Degree of the scale → (letter steps, semitones) above the tonic.
DEGREES = {
    "I": (0, 0), "bII": (1, 1), "II": (1, 2), "bIII": (2, 3), "III": (2, 4), "IV": (3, 5),
    "#IV": (3, 6), "V": (4, 7), "bVI": (5, 8), "VI": (5, 9), "bVII": (6, 10), "VII": (6, 11),
}  # fmt: skip

MAJOR_PHRASES = (
    "I6 | VI-7 | II-7 | V7",
    "I6 VI7 | II-7 V7 | I6 | V-7 I7",
    "IVmaj7 | IV-6 bVII7 | I6 | VI7b9",
    "II-7 | V7 | I6 | %",
    "II-7 V7 | III-7 VI7 | II-7 bII7 | I6",
    "Imaj7 | #IVo7 | II-7 | V13",
    "III-7b5 | VI7b9 | II-7 | V9",
    "I6 Io7 | II-7 V7 | I / II-7 V7 | Imaj7",
)
MAJOR_BRIDGES = (
    "III7 | % | VI7 | % | II7 | % | V7 | V7sus V7",
    "V-7 | I7 | IVmaj7 | % | VI-7 | II7 | II-7 | V7",
    "bVI-7 | bII7 | #IVmaj7 | % | VI-7 II7 | Vmaj7 | II-7 | V7",
)
MINOR_PHRASES = (
    "I-6 | II-7b5 V7b9 | I-6 | %",
    "IV-7 | bVII7 | bIIImaj7 | bVImaj7",
    "II-7b5 | V7b9 | I-6 | V7b9",
    "I-7 bVII7 | bVImaj7 V7 | I-7 | II-7b5 V7",
)
MINOR_BRIDGES = ("IV-7 | bVII7 | bIIImaj7 | % | II-7b5 | V7b9 | I-7 | V7b9",)
BLUES = "I7 | IV7 | I7 | V-7 I7 | IV7 | #IVo7 | I7 | III-7 VI7 | II-7 | V7 | I7 VI7 | II-7 V7"


def in_key(phrase: str, tonic: PitchName) -> list[str]:
    """The bars of a phrase in degrees, spelled in a key."""
    return [" ".join(_symbol(word, tonic) for word in bar.split()) for bar in phrase.split(" | ")]


def _symbol(word: str, tonic: PitchName) -> str:
    if word in "%/":
        return word
    degree = max((name for name in DEGREES if word.startswith(name)), key=len)
    root = tonic.up(Interval(*DEGREES[degree]))
    if abs(root.alteration) > 1:
        root = _plain(root)
    return f"{root}{word.removeprefix(degree)}"


def _plain(root: PitchName) -> PitchName:
    """A double accidental written as players do: A for B double flat."""
    return parse_pitch_name(ROOTS[root.pitch_class])


def tune_text(seed: int) -> str:
    """One invented tune as sheet text; the key goes round all keys as `seed` rises."""
    chance = random.Random(seed)
    minor = seed % 3 == 2
    names = MINOR_TONICS if minor else MAJOR_TONICS
    name = names[seed // 3 % len(names)]
    tonic = parse_pitch_name(name)
    head = [
        f"Title: Study {seed}",
        f"Key: {name}{'m' if minor else ''}",
        "Time: 4/4",
        f"Tempo: {chance.randrange(80, 240, 4)}",
    ]
    if not minor and seed % 4 == 1:
        return "\n".join([*head, "", "A:", *_lines(in_key(BLUES, tonic))]) + "\n"
    return "\n".join([*head, "", *_song(chance, tonic, minor)]) + "\n"


def _song(chance: random.Random, tonic: PitchName, minor: bool) -> list[str]:
    phrases = MINOR_PHRASES if minor else MAJOR_PHRASES
    bridges = MINOR_BRIDGES if minor else MAJOR_BRIDGES
    first, second, last = (in_key(chance.choice(phrases), tonic) for _ in range(3))
    bridge = in_key(chance.choice(bridges), tonic)
    form = chance.choice(("AABA", "ABAC", "repeat"))
    if form == "repeat":
        ending = f"|1. {last[0]} | {last[1]} :|2. {last[2]} | {last[3]} ||"
        body = [f"|: {' | '.join(first)} |", f"| {second[0]} | {second[1]} {ending}"]
        return ["A:", *body, "B:", *_lines(bridge), "A:", *_lines(first + second)]
    if form == "ABAC":
        return ["A:", *_lines(first + second), "B:", *_lines(first + last)]
    return ["A:", *_lines(first + second), "A:", *_lines(first + last),
            "B:", *_lines(bridge), "A:", *_lines(first + second)]  # fmt: skip


def _lines(bars: list[str]) -> list[str]:
    rows = [f"| {' | '.join(bars[at : at + 4])} |" for at in range(0, len(bars), 4)]
    return [*rows[:-1], rows[-1] + "|"]
