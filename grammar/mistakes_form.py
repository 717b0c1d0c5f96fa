"""Mistakes of the form: repeats, endings, signs and jumps."""

from __future__ import annotations

from typing import Final

from .mistake import Mistake

FORM_MISTAKES: Final[dict[str, Mistake]] = {
    "repeat-unclosed": Mistake(
        "this repeat is never closed", ":|", ("|: C | F |", "| C |: F | G |")
    ),
    "repeat-nested": Mistake(
        "a repeat inside a repeat: a player could not tell which passes are meant",
        "the first one closed by :| before",
        ("|: C |: F :| G :|",),
    ),
    "repeat-count": Mistake(
        "a repeat is played 2 to {most} times", "", ("|: C :|1x", "|: C :|9999x")
    ),
    "count-with-endings": Mistake(
        "{count} times, but the endings make {passes}",
        "no number: endings count the passes",
        ("|: C |1. F :|3x |2. G |",),
    ),
    "count-without-close": Mistake("a number of times without :|", ":|", ("|: C |3x F :|",)),
    "ending-without-repeat": Mistake(
        "an ending without a repeat",
        "|: before, :| at the end of every ending but the last",
        ("| C |1. F |2. G |", "|: C :| F |1. G |"),
    ),
    "ending-order": Mistake(
        "the ending for pass {found} comes where pass {wanted} is next",
        "endings in the order of the passes",
        ("|: C |2. F :|1. G |", "|: C |1. F :|3. G |"),
    ),
    "ending-unreachable": Mistake(
        "this ending is never played: its passes have endings already",
        "",
        ("|: C |1. F :|1. G |", "|: C |1,2. F :|2. G :|3. C |"),
    ),
    "ending-unclosed": Mistake(
        "the ending before this one is not closed",
        ":| before the next ending",
        ("|: C |1. F |2. G :|",),
    ),
    "ending-missing": Mistake(
        "the repeat goes back once more, but no ending follows",
        "an ending |{wanted}.",
        ("|: C |1. F :| G |", "|: C |1. F :|2. G :|"),
    ),
    "segno-missing": Mistake("there is no Segno to go back to", "Segno", ("| C | F D.S. |",)),
    "fine-missing": Mistake("there is no Fine to end at", "Fine", ("| C | F D.C. al Fine |",)),
    "coda-missing": Mistake(
        "there is no Coda to go to",
        "Coda at the bar where it begins",
        ("| C To Coda | F D.C. al Coda |",),
    ),
    "to-coda-missing": Mistake(
        "nothing leads to the Coda",
        "To Coda at the bar to leave from",
        ("| C | F D.C. al Coda |\nCoda\n| G |",),
    ),
    "to-coda-idle": Mistake(
        "To Coda is only taken after a D.C. or D.S., and there is none",
        "",
        ("| C To Coda | F |\nCoda\n| G |",),
    ),
    "sign-twice": Mistake("a second {sign}", "one", ("| Segno C | Segno F | G D.S. |",)),
    "jump-in-repeat": Mistake(
        "a jump inside a repeat would leave before the last pass",
        "it where the repeat ends",
        ("|: C Fine | F D.C. al Fine | G :|",),
    ),
    "never-ends": Mistake(
        "playing as it is written never ends: it comes back here without meeting {sign}",
        "{sign} on the way",
        (
            "| C | F D.C. al Fine | G Fine |",
            "| C To Coda | Segno F | G D.S. al Coda |\nCoda\n| C |",
        ),
    ),
    "never-played": Mistake(
        "no way leads here: never played", "", ("| C Fine | F D.C. al Fine | G |",)
    ),
    "too-long": Mistake("the played form is longer than {most} bars", ""),
}
