"""Mistakes inside bars: words, and beats that do not fit the meter."""

from __future__ import annotations

from typing import Final

from .mistake import Mistake

BAR_MISTAKES: Final[dict[str, Mistake]] = {
    "bad-chord": Mistake(
        "not a chord",
        "a chord symbol such as C6, F#m7b5, Bb13",
        ("| Cm7 | Hm7 |", "| H7 (pickup) | C |"),
    ),
    "stray": Mistake("this belongs to no bar", "", ("| C | } F |", "| C = F |")),
    "no-chord-before": Mistake(
        "there is no chord before this",
        "a chord first",
        (
            "| / C |",
            "| (push) C |",
            "| =2 C |",
            "| C | -4- | / F G C |",
            "|: C |1. F :|2. / G A B |",
            "|: C |1. F :|2. % | / G A B |",
        ),
    ),
    "bad-length": Mistake("not a length in beats", "a number above 0, as in =1.5", ("| C=0 F |",)),
    "bad-pin": Mistake(
        "not a grip",
        "six frets from string 6 to string 1, x where silent, as in <10 x 10 10 x x>",
        ("| C<1 2 3> |", "| C<8 x 8 9 y x> |"),
    ),
    "pin-open": Mistake("a fixed grip is not closed", ">", ("| Dm7<10 x 10 10 x x |",)),
    "mixed-bar": Mistake(
        "%, %% and rests stand alone in their bar",
        "a bar of their own for them",
        ("| C | % F |", "| C |-4- C |", "| C | F | %% C |", "| C | % // |", "|-2- (pickup)| C |"),
    ),
    "bad-rest": Mistake("a rest lasts 1 to {most} bars", "", ("| C |-0-|", "| C |-5000-|")),
    "empty-bar": Mistake(
        "an empty bar",
        "chords, % to repeat the bar before, or N.C. for silence",
        ("| C | | F |", "| C |1.", "| C |\nSegno"),
    ),
    "bar-of-signs": Mistake(
        "there is no bar that this could belong to",
        "a bar before it",
        ("D.C.\n| C |", "(pickup) | C |"),
    ),
    "twice-in-bar": Mistake("this stands in its bar twice", "", ("| C Fine Fine |",)),
    "uneven-share": Mistake(
        "{count} chords do not share the {beats} beats of {meter} evenly",
        "a slash for each beat more",
        ("| C F G |", "Time: 7/8\n| C F |"),
    ),
    "too-many-chords": Mistake(
        "{count} chords in a bar of {meter}",
        "at most one for each beat, or a bar line between them",
        ("| C F G C F |",),
    ),
    "beat-count": Mistake(
        "{count} beats in a bar of {meter}",
        "{beats}",
        ("| C / F |", "| C / / / / |", "| C=3 F=2 |"),
    ),
    "pickup-full": Mistake(
        "a pickup of {count} beats is no shorter than a bar of {meter}",
        "fewer beats, or no (pickup)",
        ("| C / / / (pickup) | F |",),
    ),
    "pickup-late": Mistake(
        "a pickup bar is the first of the tune", "", ("| C | G (pickup) | C |",)
    ),
    "simile-nothing": Mistake(
        "there is no bar before to play again", "chords", ("| % | C |", "| C | %% | F |")
    ),
    "simile-meter": Mistake(
        "the bar before is {other}, this one {meter}", "chords", ("| C |\nTime: 3/4\n| % |",)
    ),
}
