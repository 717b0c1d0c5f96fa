"""The invented sheets of what is frozen: texts, pages, files."""

from __future__ import annotations

from typing import Final

#: A tune with everything that stands in a text.
STAIR: Final = """\
Title: Salt Stair
By: Ines Tarbell
Key: Eb
Tempo: 132
Feel: swing

| Bb7 / (pickup) |
A:
"wait for the bell"
|: Ebmaj7 | C7(b9)(push) / / F9 | Fm7 Bb7 | % |1. Gm7 C7 :|2. Eb6 | Ab7(hold) Db9 / Gb13 ||
B:
| Segno Dbmaj7 | N.C. | -3- | Gm7=1.5 C7=2.5 |
| Fm7 | Bb7 To Coda | %% |
A: again
C:
"out quietly"
| Fm7 | Bb7 D.S. al Coda ||
Coda:
| Eb6 | Eb6 (Bb7) ||
"""

#: A bar of each kind that a player of a page meets, in few bars.
FORD: Final = """\
Title: Ford
By: Lena Osk
Key: Ab
Tempo: 112

| Eb7 (pickup) |
A:
"softly"
|: Abmaj7 | Bbm7(push) Eb7 |1. Ab6 :|2. C°7/Gb(hold) | N.C. Fine ||
Key: D
| Em7b5 A7#11 D.C. al Fine ||
"""

#: Symbols of every kind, meters, keys, a bracket over bars, a fermata, strokes that come early.
SIGNS: Final = """\
Title: Weir and Sluice
By: Tamsin Orrell
Key: Gb
Time: 6/8
Tempo: 96

A:
|: Gbmaj7#11 / | Abm(maj7)/Cb Bbb7b5 | Eb7alt(hold) | D°7 Fø :| x3
Time: C|
Key: A
"hold back"
| Segno Bm7 | E13(#11)(push) | F#m7b5/C B7#5b9 | A6/9 Fine ||
Time: 7/4
B:
| C#m7 / F#7 / / Bsus / | E7sus=2.5 E7=4.5 | (Em7 A7 | Dmaj9 G13) | A+ D.S. al Fine ||
"""

#: A title that is wider than the page, bars that are wider than a line.
CROWDED: Final = """\
Title: The Old Weir Keeper Counts the Boats That Come Down in the Evening Once the Rain Is Over
By: Ottoline Brackwater-Hume
Key: Db

| Dbmaj7(#11)/Ab Gm7b5/Db Gb13(#11)/Fb Cm7b5/Gb | F7(#5,#9)/Eb Bbm(maj7)/A |
| Ebm7b5/A Ab7(b5,b9)/Gb | Dbmaj9/F ||
"""

#: Two ii-V-I's in different keys, the first of them twice, and a line back to the top.
FOOTBRIDGE: Final = """\
Title: Footbridge

A:
| Dm7 G7 | Cmaj7 | Cm7 F7 | Bbmaj7 |
| Dm7 G7 | Cmaj7 | Dm7b5 G7 | Cm6 ||
"""

#: One ii-V-I and the way back to it.
LANDING: Final = "Title: Landing\nKey: C\n\nA:\n| Dm7 | G7 | Cmaj7 | A7 ||\n"
