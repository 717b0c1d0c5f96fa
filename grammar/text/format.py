"""The description of the sheet format for people who type sheets.

`SHEET_FORMAT` is plain text for a terminal or a manual. Lines that begin with four spaces are
examples; each block of them reads as it stands.
"""

from __future__ import annotations

from typing import Final

SHEET_FORMAT: Final = """\
A sheet is plain text. Header lines come first, then sections of bars.

    Title: Night Ferry
    By: R. Calloway-Finch
    Key: F
    Time: 4/4
    Tempo: 126
    Feel: swing

    A:
    |: Gm7 | C7 | F6 | D7b9 |
    | Gm7 | C7 |1. F6 D7 | Gm7 C7 :|2. F6 | % ||

HEADER   Every line may be left out. Key: F, Bb major, F#m, D dorian. Time:
         4/4, 6/8, C (4/4), C| (cut time); 4/4 when left out. Tempo: beats a
         minute. Other names are kept.
SECTION  A label and a colon on a line of its own, A: or Bridge:, or the label
         in brackets, [A]. A: again plays the section of that name again
         without typing it; so does the label with nothing under it. A section
         named Coda carries the Coda sign.
BARS     | between bars, || at the end of a part. A line's end ends its last
         bar.
CHORDS   share their bar evenly: | Dm7 G7 | is two beats each. / gives the
         chord before it one more beat, and then every word of the bar is one
         beat: | Dm7 / / G7 |. In cut time the words may count quarters, in
         6/8, 9/8 and 12/8 dotted quarters. A slash that comes first plays the
         chord before the bar line again. = gives a length in beats: C6=1.5
         G7=5/2.
SAME     % plays the bar before again, %% the two bars before (it stands for
         two bars).
SILENCE  N.C. is silence; |-4-| a rest of four bars.
PUSH     C6(push): the chord comes an eighth early. C6(hold): with a fermata.
GRIP     Dm7<10 x 10 10 x x>: this grip and no other, frets from string 6 to
         string 1.
PICKUP   | G7 / (pickup) | first of all: as many beats as words; bar number
         0. A :| alone goes back to the bar after it.

    Time: 3/4

    A:
    | G7 / (pickup) |
    | C6 | % | Dm7 / G7 | C6<8 x 7 9 x x>(push) |
    | %% | N.C. |-4-|

REPEAT   |: and :| play what is between them twice, :|3x three times. A :|
         alone goes back to the beginning, or to the bar after the repeat
         before. No repeat inside a repeat.
ENDINGS  |1. |2. |3. as many as there are; |1,2. or |1-3. for several passes.
         :| closes each of them but the last.
JUMPS    D.C. and D.S., alone or with al Fine or al Coda, at the end of a bar
         or after it; Fine and To Coda at the end of theirs; Segno and Coda at
         the start. A jump is taken once; after it repeats are not played again
         and the last ending is taken; To Coda counts only then.

    A:
    |: Cm6 | Fm7 |1. G7 :|2. Cm6 Fine ||
    B:
    | Segno Bb7 | Ebmaj7 To Coda | Dm7b5 | G7 D.S. al Coda ||
    Coda:
    | Ab7 | G7 D.C. |

CHANGES  Key: and Time: on lines of their own among the bars hold from the next
         bar on.
WORDS    "last time softly" in quotes is for the player. A line that begins
         with # is for nobody.

    A:
    "brushes, very soft"
    | Gm7 | C7 | F6 | Dm7 |
    # the bridge goes up a third
    Key: A
    | Bm7 | E7 | A6 | % ||
    A: again
"""
