"""Mistakes of files, headers and sections."""

from __future__ import annotations

from typing import Final

from .mistake import Mistake

FILE_MISTAKES: Final[dict[str, Mistake]] = {
    "empty-file": Mistake(
        "there is nothing to read", "bars such as | Dm7 G7 | C6 |", ("", " \n\n")
    ),
    "no-bars": Mistake(
        "there are no bars",
        "bars such as | Dm7 G7 | C6 |",
        ("Title: Hush\n", "# only a remark\n", "||"),
    ),
    "too-large": Mistake("the file is larger than {most} bytes"),
    "too-many-lines": Mistake("there are more than {most} lines"),
    "too-many-bars": Mistake("there are more than {most} bars; nothing is read from here on"),
    "too-many-mistakes": Mistake(
        "there are more than {most} mistakes; nothing is read past line {line}"
    ),
    "not-utf-8": Mistake("byte {offset} is not UTF-8: {byte}", "the file saved as UTF-8 text"),
    "binary-file": Mistake("this is not text: byte {offset} is zero", "{read}"),
    "other-kind": Mistake("this is {kind}, not a sheet", "{read}"),
    "header-twice": Mistake("the header is given twice", examples=("Key: C\nKey: F\n| C |",)),
    "bad-key": Mistake(
        "not a key", "a tonic and a mode, as in F, Bb major, C#m", ("Key: H\n| C |", "Key: \n| C |")
    ),
    "bad-time": Mistake(
        "not a meter",
        "beats over their unit, as in 4/4, 6/8, or C|",
        ("Time: 4/5\n| C |", "Time: waltz\n| C |", "Time: 0/4\n| C |"),
    ),
    "bad-tempo": Mistake(
        "not a tempo", "beats a minute from {least} to {most}, as in 126", ("Tempo: 9000\n| C |",)
    ),
    "header-too-late": Mistake(
        "this header stands below the first bars",
        "it above them; only Key: and Time: may change later",
        ("| C |\nTitle: Hush\n", "|:\nKey: F\n| C :|"),
    ),
    "section-empty": Mistake(
        "this section has no bars",
        "bars under its label",
        ("A:\nB:\n| C |", "| C |\nB:\n", "| C |\nCoda:\n"),
    ),
    "key-alone": Mistake("a key without bars", "bars below it", ("| C |\nKey: F\n",)),
    "section-unknown": Mistake(
        "there is no earlier section of that name to play again",
        "a label that stands above",
        ("| C |\nA: again\n",),
    ),
    "recall-broken-repeat": Mistake(
        "this section cannot be played again by its name: it does not hold its repeats whole",
        "it written out",
        ("A:\n|: C | F |\nB:\n| C | F :|\nA: again\n",),
    ),
    "recall-jump": Mistake(
        "this section cannot be played again by its name: it holds a D.C. or D.S.",
        "it written out",
        ("A:\n| C | F Fine | G D.C. al Fine |\nA: again\n",),
    ),
    "line-unknown": Mistake(
        "this line is neither bars nor a header nor a section",
        "| around bars, a colon after a label, # before a remark, quotes round words to play by",
        ("Dm7 G7\n| C |", "| C |\nplay softly\n", "Night Ferry\nKey: F\n| C |"),
    ),
}
