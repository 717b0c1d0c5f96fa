"""Generated ABC tunes of our own, each with the structure that it was written from."""

from __future__ import annotations

import random
from dataclasses import dataclass

ROOTS = ("C", "D", "Eb", "F", "F#", "G", "Ab", "A", "Bb")
KINDS = ("", "m", "7", "m7", "maj7", "6", "m7b5", "dim7")
KEYS = ("C", "G", "F", "Bb", "D", "Am", "Dm", "Gm", "Em")


@dataclass(frozen=True)
class AbcTune:
    """The text of a tune and what it says: beats of the meter, symbols and times of each bar."""

    text: str
    meter: tuple[int, int]
    symbols: tuple[tuple[str, ...], ...]
    repeats: int


def abc_tune(seed: int) -> AbcTune:
    """A tune of one to three passages of four bars in one meter, some of them repeated."""
    chance = random.Random(seed)
    beats, unit = chance.choice(((4, 4), (3, 4), (2, 4), (6, 8), (5, 4)))
    lines: list[str] = []
    symbols: list[tuple[str, ...]] = []
    repeats = 0
    for _ in range(chance.randint(1, 3)):
        bars = [_bar(chance, beats) for _ in range(4)]
        symbols += [chords for _, chords in bars]
        music = "|".join(text for text, _ in bars)
        if chance.random() < 0.5:
            repeats += 1
            music = f"|:{music}:|"
        else:
            music += "||"
        lines.append(music)
    head = ["X:1", f"T:Study {seed}", f"M:{beats}/{unit}", f"L:1/{unit}"]
    text = "\n".join([*head, f"K:{chance.choice(KEYS)}", *lines]) + "\n"
    return AbcTune(text, (beats, unit), tuple(symbols), repeats)


def _bar(chance: random.Random, beats: int) -> tuple[str, tuple[str, ...]]:
    """A bar of notes of whole beats and halves of beats, with one or two chord symbols."""
    count = chance.choice((1, 1, 2))
    chords = tuple(chance.choice(ROOTS) + chance.choice(KINDS) for _ in range(count))
    first = chance.randint(1, beats - 1) if count == 2 else beats
    spans = [first, beats - first] if count == 2 else [beats]
    text = ""
    for chord, span in zip(chords, spans, strict=True):
        text += f'"{chord}"' + "".join(_beat(chance) for _ in range(span))
    return text, chords


def _beat(chance: random.Random) -> str:
    note = chance.choice("CDEFGABcdefgab")
    return chance.choice(
        (note, f"{note}/{note}/", f"{note}>{note}".replace(">", "3/4") + "/4", "z")
    )
