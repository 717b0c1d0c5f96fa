"""Shelves for tests: short tunes to fill them, and what they answer."""

from __future__ import annotations

import random

from midneck.grammar.pitch import parse_pitch_name
from midneck.render.shelf.index import Shelf
from midneck.render.shelf.query import Query, find

from support.roots import MAJOR_TONICS
from support.tunes import MAJOR_PHRASES, in_key


def short_tune(seed: int) -> str:
    """Two bars of phrases in a key, some across an ending, with a meter and a tempo."""
    chance = random.Random(seed)
    tonic = chance.choice(MAJOR_TONICS)
    bars = in_key(chance.choice(MAJOR_PHRASES[:4]), parse_pitch_name(tonic))
    music = f"|: {bars[0]} | {bars[1]} |1. {bars[0]} :|2. {bars[2]} | {bars[3]} ||"
    if seed % 5:
        music = f"| {' | '.join(bars)} |"
    meter = (
        "4/4" if any("/" in bar or " " in bar for bar in bars) else chance.choice(("4/4", "3/4"))
    )
    head = f"Title: Study {seed} of {chance.choice(('Lanterns', 'Mills'))}\nKey: {tonic}\n"
    return f"{head}Time: {meter}\nTempo: {chance.randrange(60, 240, 10)}\n\n{music}\n"


def paths(shelf: Shelf, query: Query) -> list[str]:
    """The paths of the tunes that answer a query, in order."""
    return [found.path for found in find(shelf, query)]
