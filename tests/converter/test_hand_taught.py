"""Shapes with the fingers that teachers give, by string set: each is found, none breaks a rule.

Where a row has several fingerings, teachers give all of them; the first is this player's choice.
Those of the three-note shells and of the four-note shapes with the root on string 6 or 5 are common
practice, no source, as the trade lists them; all others are common practice, no source, from
memory.
"""

from __future__ import annotations

import pytest
from midneck.converter.hand.costs import candidates
from midneck.converter.hand.fingerings import fingering_of, possible_fingerings, taught_fingerings
from midneck.converter.hand.plan import STYLES
from midneck.converter.hand.player import ADULT, FINGER_PAIRS, PRESETS
from support.hand_anatomy import faults, out_of_reach
from support.hand_sheets import chord
from support.roots import ROOTS

#: Chord, frets from string 6 to string 1, fingers on the sounding strings: `/` parts alternatives.
TABLE = """
# Shells on strings 6, 4, 3
Am7       5 x 5 5 x x   233 / 234
A7        5 x 5 6 x x   123
A6        5 x 4 6 x x   214 / 213
Amaj7     5 x 6 6 x x   134 / 123
Am6       5 x 4 5 x x   213
Ammaj7    5 x 6 5 x x   132
A7sus4    5 x 5 7 x x   124
A5        5 x 7 x x x   13
F/A       5 x 3 5 x x   314
# Shells on strings 5, 4, 3
Dm7       x 5 3 5 x x   213 / 314
D7        x 5 4 5 x x   213
D6        x 5 4 4 x x   211
Dmaj7     x 5 4 6 x x   214 / 213
Dm6       x 5 3 4 x x   312
Dmmaj7    x 5 3 6 x x   314
D7sus4    x 5 5 5 x x   111
Daug      x 5 4 3 x x   321
D         x 5 4 2 x x   431
Dm        x 5 3 2 x x   421
Dsus4     x 5 5 2 x x   341
Dsus2     x 5 2 2 x x   411
D5        x 5 7 7 x x   133 / 134
F/A       x 12 10 10 x x   311
Bb6       x 8 7 7 x x   211
# Guide tones on strings 4, 3
Am7       x x 5 5 x x   12 / 11 / 23
A7        x x 5 6 x x   12
D7        x x 4 5 x x   12
D6        x x 4 4 x x   12 / 11
Dmaj7     x x 4 6 x x   13
Ammaj7    x x 6 5 x x   21
# Four notes on strings 6, 4, 3, 2
Am7       5 x 5 5 5 x   2333
Am7b5     5 x 5 5 4 x   2341
Adim7     5 x 4 5 4 x   2131
Amaj7     5 x 6 6 5 x   1342
A7        5 x 5 6 5 x   1243
A7#5      5 x 5 6 6 x   1234 / 1233
A13       5 x 5 6 7 x   1234
A7b5      5 x 5 6 4 x   2341
A6        5 x 4 6 5 x   2143
A6/9      5 x 4 4 5 x   2113
Am6       5 x 4 5 5 x   2133 / 2134
Am11      5 x 5 5 3 x   2341
Amaj13    5 x 6 6 7 x   1234
C7sus4    8 x 8 10 8 x  1243
C13sus4   8 x 8 10 10 x 1233 / 1234
Aaug      5 x 4 6 6 x   2133 / 2134
# Four notes on strings 5, 4, 3, 2
Dmaj7     x 5 7 6 7 x   1324
D7        x 5 7 5 7 x   1314
Dm7       x 5 7 5 6 x   1312
Dm7b5     x 5 6 5 6 x   1324 / 1213
Ddim7     x 5 6 4 6 x   2314
D9        x 5 4 5 5 x   2133 / 2134
D7b9      x 5 4 5 4 x   2131
D7#9      x 5 4 5 6 x   2134
D6        x 5 7 7 7 x   1333 / 1234
Dmaj9     x 5 4 6 5 x   2143
D6/9      x 5 4 4 5 x   2113
Dm9       x 5 3 5 5 x   2133 / 2134
Dm69      x 5 3 4 5 x   3124
D7b5      x 5 6 5 7 x   1324 / 1213
D7sus4    x 5 7 5 8 x   1314
D13sus4   x 5 5 5 5 x   1111
D9sus4    x 5 5 5 6 x   1112
Daug      x 5 4 3 3 x   3211
Dm7       x 5 7 7 6 x   1342
Fmaj7/E   x 7 7 5 6 x   3412
F7/Eb     x 6 7 5 6 x   2413
Fm7/Eb    x 6 6 5 6 x   2314
Fm7b5/Eb  x 6 6 4 6 x   2314
F7/C      x 3 3 2 4 x   2314
Fm7/C     x 8 8 6 9 x   2314
# Four notes on strings 5, 3, 2, 1
Dm7b5     x 5 x 5 6 4   2341
Dm6       x 5 x 4 6 5   2143
F6        x 8 x 7 10 8  2143
Dmaj7     x 5 x 6 7 5   1342
Dm7       x 5 x 5 6 5   1243
Ddim7     x 5 x 4 6 4   2141 / 2131
# Four notes on strings 4, 3, 2, 1
Gmaj7     x x 5 7 7 7   1333 / 1234
G7        x x 5 7 6 7   1324
Gm7       x x 5 7 6 6   1423
Gm7b5     x x 5 6 6 6   1333 / 1234
Gdim7     x x 5 6 5 6   1324 / 1213
G6        x x 5 7 5 7   1314
Gm6       x x 5 7 5 6   1312
Cmaj7/E   x x 2 4 1 3   2413
Cmaj7/G   x x 5 5 5 7   1113
Cmaj7/B   x x 9 9 8 8   2311
C7/E      x x 2 3 1 3   2314
C7/G      x x 5 5 5 6   1112
C7/Bb     x x 8 9 8 8   1211
Cm7/G     x x 5 5 4 6   2314
Cm7/Bb    x x 8 8 8 8   1111
Cm7b5/Gb  x x 4 5 4 6   1324 / 1213
Cm7b5/Bb  x x 8 8 7 8   2314
C7sus4/G  x x 5 5 6 6   1123 / 1233
C7sus4/Bb x x 8 10 8 8  1311
C9/E      x x 2 3 3 3   1333 / 1234
Cm6/A     x x 7 8 8 8   1333 / 1234
# Triads on strings 4, 3, 2 and 3, 2, 1
F/C       x x 10 10 10 x  111
F         x x 3 2 1 x   321
Fm        x x 3 1 1 x   311
F/A       x x 7 5 6 x   312
C         x x x 5 5 3   341 / 231
C/E       x x x 9 8 8   211
C/G       x x x 12 13 12  132 / 121
# Barre chords
A         5 7 7 6 5 5   134211
Am        5 7 7 5 5 5   134111
A7        5 7 5 6 5 5   131211
Am7       5 7 5 5 5 5   131111
Amaj7     5 7 6 6 5 5   142311
Asus4     5 7 7 7 5 5   123411
A7sus4    5 7 5 7 5 5   131411
D         x 5 7 7 7 5   12341
Dm        x 5 7 7 6 5   13421
D7        x 5 7 5 7 5   13141
Dm7       x 5 7 5 6 5   13121
Dmaj7     x 5 7 6 7 5   13241
Dsus4     x 5 7 7 8 5   12341
Dsus2     x 5 7 7 5 5   13411
D9        x 5 4 5 5 5   21333
D6/9      x 5 4 4 5 5   21133 / 21134
# With open strings
C         x 3 2 0 1 0   321
G         3 2 0 0 0 3   213
D         x x 0 2 3 2   132
Am        x 0 2 2 1 0   231
E         0 2 2 1 0 0   231
A         x 0 2 2 2 0   123
Dm        x x 0 2 3 1   231
C7        x 3 2 3 1 0   3241
B7        x 2 1 2 0 2   2134
E7        0 2 0 1 0 0   21
D7        x x 0 2 1 2   213
G7        3 2 0 0 0 1   321
Fmaj7     x x 3 2 1 0   321
Am7       x 0 2 0 1 0   21
F         1 3 3 2 1 1   134211
"""


def rows():
    """Each row as chord, frets, and its fingerings over all strings."""
    for line in TABLE.splitlines():
        if not line or line.startswith("#"):
            continue
        words = line.split()
        frets = tuple(None if word == "x" else int(word) for word in words[1:7])
        given = [word for word in words[7:] if word != "/"]
        yield words[0], frets, [spread(frets, digits) for digits in given]


def spread(frets, digits: str):
    """Fingers for the stopped strings, over all strings."""
    rest = iter(digits)
    row = tuple(int(next(rest)) if fret else None for fret in frets)
    assert next(rest, None) is None
    return row


ROWS = list(rows())
PAIRS = [(name, frets, fingers) for name, frets, every in ROWS for fingers in every]


def test_the_table_is_large_and_has_no_row_twice() -> None:
    assert len({(frets, fingers) for _, frets, fingers in PAIRS}) == len(PAIRS) >= 120
    assert len({frets for _, frets, _ in PAIRS}) >= 120


def at_other_frets(frets):
    """The shape at the frets of the middle of the neck; a grip with open strings stays."""
    if 0 in frets:
        return [frets]
    low = min(fret for fret in frets if fret is not None)
    high = max(fret for fret in frets if fret is not None)
    return [
        tuple(None if fret is None else fret + shift for fret in frets)
        for shift in range(3 - low, ADULT.neck.last_fret - 3 - high)
    ]


@pytest.mark.parametrize(("name", "frets", "every"), ROWS, ids=[f"{r[0]} {r[1]}" for r in ROWS])
def test_each_shape_gets_the_fingers_that_teachers_give(name: str, frets, every) -> None:
    """At the fret of the table, and at every other that the hand reaches."""
    assert fingering_of(frets, ADULT).fingers == every[0]
    found = [fingering_of(moved, ADULT) for moved in at_other_frets(frets)]
    assert {one.fingers for one in found if one is not None} == {every[0]}


@pytest.mark.parametrize(("name", "frets", "fingers"), PAIRS)
def test_every_fingering_of_the_table_is_one_that_the_rules_allow(name, frets, fingers) -> None:
    assert fingers in taught_fingerings(frets)
    assert not faults(frets, fingers)


QUALITIES = ["7", "m7", "6", "maj7", "m6", "m7b5", "o7", "mmaj7", "7b9", "9", "13", "7sus4", "m"]


@pytest.mark.parametrize("player", PRESETS.values(), ids=list(PRESETS))
@pytest.mark.parametrize("style", STYLES)
def test_no_grip_of_any_style_breaks_a_rule(style: str, player) -> None:
    """All grips of all qualities on all roots, with a check of their reach in millimetres."""
    limits = dict(zip(FINGER_PAIRS, player.reach.limit_mm, strict=True))
    checked = 0
    for symbol in (root + quality for root in ROOTS for quality in QUALITIES):
        for grip in candidates(chord(symbol), player, style).grips:
            assert not faults(grip.frets, grip.fingers), (symbol, grip.frets, grip.fingers)
            far = out_of_reach(grip.frets, grip.fingers, player.neck.scale_mm, limits)
            assert not far, (symbol, grip.frets, grip.fingers)
            checked += 1
    assert checked > 300


def test_a_pinned_shape_that_nothing_taught_can_hold_gets_what_is_possible() -> None:
    """A thirteenth of five notes: the little finger lies across two strings for want of another."""
    frets = (5, None, 5, 6, 7, 7)
    assert taught_fingerings(frets) == ()
    assert fingering_of(frets, ADULT) is None
    assert fingering_of(frets, ADULT, pinned=True).fingers == (1, None, 2, 3, 4, 4)
    assert (1, None, 2, 3, 4, 4) in possible_fingerings(frets)
