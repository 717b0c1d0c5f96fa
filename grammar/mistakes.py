"""The mistakes of sheets and progressions: one table from label to message and examples.

A label names a kind of mistake and stays the same in every version. The table gives the messages at
run time; the tests read every example and expect its label. `mistake` fills the braces in messages.
"""

from __future__ import annotations

from typing import Final

from .errors import Problem, SourcePosition
from .frozen import frozen


@frozen
class Mistake:
    """The message of a kind of mistake, what is expected instead, and texts that contain it.

    `examples` are sheets, `progressions` are typed progressions, `tunes` are ABC tunes.
    """

    message: str
    expected: str = ""
    examples: tuple[str, ...] = ()
    progressions: tuple[str, ...] = ()
    tunes: tuple[str, ...] = ()


_ROOT: Final = "a root from A to G, as in C, Bb or F#"
_BASS: Final = "a bass note from A to G"
_QUALITY: Final = "a quality such as m7, maj7, 7, m7b5, dim7 or sus4"
_CHANGE: Final = "a changed degree such as b9, #11, add9 or no5"

#: Chord symbols, in sheets and in progressions.
CHORD_MISTAKES: Final[dict[str, Mistake]] = {
    "chord-missing": Mistake("there is no chord symbol", _ROOT),
    "chord-silence": Mistake("N.C. is silence, not a chord", _ROOT),
    "chord-too-long": Mistake(
        "this is too long for a chord symbol", _QUALITY, (f"| C7{'b9' * 40} | F |",)
    ),
    "bad-root": Mistake("not a root", _ROOT, ("| Cm7 | Qm7 |", "| C | (b9) |")),
    "root-small": Mistake("roots are capitals", _ROOT, ("| C | dm7 |", "| c |")),
    "root-h": Mistake(
        "H is written B here, and the German B is Bb",
        _ROOT,
        ("| Cm7 | Hm7 |", "| H7 (pickup) | C |"),
        ("Dm7 H7 C6",),
    ),
    "bad-bass": Mistake("not a bass note", _BASS, ("| C/e |", "| C/H | F |"), ("Dm7/g | C6",)),
    "bass-missing": Mistake("the bass is missing", _BASS),
    "bad-quality": Mistake(
        "not a quality", _QUALITY, ("| C | Cyes |", "| C Fnone |"), ("Dm7 Gyz C6", "IIyes V7")
    ),
    "bad-degree": Mistake(
        "not part of a chord",
        _CHANGE,
        ("| C7b8 |", "| C/E/G |", "| C | Cmoj7 |", "| C7/E. |"),
        ("Dm7xyz | C6", "ii7xyz V7 I6"),
    ),
    "bracket-open": Mistake(
        "the bracket is not closed",
        ")",
        (
            "| C7(b9 | F |",
            "| C7 (b9 F7 |",
            "| C7(b9,#11 |\n| F |",
            "| C7( | F |",
            "| C6(push | F |",
            "| (pickup C |",
        ),
        ("Dm7 G7(b9 C6", "V7(b9 | I6"),
    ),
    "bracket-empty": Mistake("there is nothing in the brackets", _CHANGE, ("| C7() | F |",)),
    "bracket-stray": Mistake(
        "this closes nothing", _CHANGE, ("| C7) | F |", "| C7b9)/E |"), ("Dm7 G7b9) C6",)
    ),
}

#: Inside bars: tokens in the wrong place, and beats that do not fit the meter.
BAR_MISTAKES: Final[dict[str, Mistake]] = {
    "stray": Mistake("this belongs to no bar", "", ("| C | } F |", "| C = F |")),
    "no-chord-before": Mistake(
        "there is no chord before this",
        "a chord first",
        (
            "| / / / / | C |",
            "| (push) C |",
            "| =2 C |",
            "| C | -4- | / F G C |",
            "|: C |1. F :|2. / G A B |",
            "|: C |1. F :|2. % | / G A B |",
        ),
        ("/ ii7 | V7", "| ii7 | / V7 |"),
    ),
    "dash-between": Mistake(
        "a dash between chords",
        "a space, or | where a bar ends",
        ("| F#m7 – B7 |", "| F#m7-B7 |", "| C | Dm7 - G7 |"),
    ),
    "comma-between": Mistake(
        "a comma between chords",
        "a space, or | where a bar ends",
        ("| Dm7,G7 | C |", "| Dm7;G7 |"),
    ),
    "slash-twice": Mistake("two slashes before a bass note", "one", ("| F//A |", "| C | Bb//D |")),
    "bass-apart": Mistake(
        "a slash stands apart from its chord, close to what follows",
        "no space before a bass note, a space on both sides of a beat",
        ("| C /F G7 |",),
    ),
    "chord-apart": Mistake(
        "a space inside a chord symbol",
        "its parts without a space between them",
        (
            "| Bb 7 | C |",
            "| C maj7 | F |",
            "| F #m7 G7 |",
            "| C  maj7 | F |",
            "| F - 7 | C |",
            "| Bb7/ F | C |",
        ),
    ),
    "push-misspelt": Mistake(
        "a push or a hold that cannot be read",
        "(push) or (hold) behind its chord",
        ("| C7push | F |", "| C7(psuh) | F |", "| C6hold |", "| C7 push | F |"),
    ),
    "sign-misspelt": Mistake(
        "neither a chord nor a sign",
        "To Coda, Coda, Segno, Fine, D.C. or D.S.",
        ("| C | F To Cdoa |\nCoda\n| C |", "| Sengo C | F |", "| C Fien | F |"),
    ),
    "optional-open": Mistake(
        "the bracket round optional chords is not closed on its line",
        ")",
        ("| C6 | (Dm7 G7 |", "| C6 (G7 |\n| F |"),
    ),
    "pickup-rests": Mistake(
        "{count} beats in a first bar of {meter} that begins with rests",
        "a slash or a chord for each beat",
        ("| / C F | F6 |", "| / / / / / C | F6 |"),
    ),
    "bad-length": Mistake("not a length in beats", "a number above 0, as in =1.5", ("| C=0 F |",)),
    "length-too-fine": Mistake(
        "a length that no notes have",
        "parts of a beat by 2, 3, 5 and 7, as in =4/3",
        ("| C=4/513 F=2048/513 |",),
    ),
    "bad-pin": Mistake(
        "not a grip",
        "six frets from string 6 to string 1, x where silent, as in <10 x 10 10 x x>,"
        " and fingers behind a colon, if any, as in <10 x 10 10 x x: 2 - 3 3 - ->",
        (
            "| C<1 2 3> |",
            "| C<8 x 8 9 y x> |",
            "| C<8 x 8 9 x x: 1 2 3> |",
            "| C<8 x 8 9 x x:> |",
            "| C<8 x 8 9 x x: 1 - 2 5 - -> |",
        ),
    ),
    "pin-open": Mistake("a fixed grip is not closed", ">", ("| Dm7<10 x 10 10 x x |",)),
    "mixed-bar": Mistake(
        "%, %% and rests stand alone in their bar",
        "a bar of their own for them",
        ("| C | % F |", "| C |-4- C |", "| C | F | %% C |", "| C | % // |", "|-2- (pickup)| C |"),
        ("ii7 | V7 %", "ii7 | % V7"),
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
        ("| I II7 ii7 V7 iii7 |",),
    ),
    "beat-count": Mistake(
        "{count} beats in a bar of {meter}",
        "{beats}",
        ("| C / F |", "| C / / / / |", "| C=3 F=2 |"),
        ("ii7 / / V7 / / | I", "ii7 V7 /"),
    ),
    "pickup-full": Mistake(
        "a pickup of {count} beats is no shorter than a bar of {meter}",
        "fewer beats, or no (pickup)",
        ("| C / / / (pickup) | F |",),
    ),
    "pickup-late": Mistake(
        "a pickup bar is the first of the tune",
        "a whole bar with N.C. on the beats before its chords, as in | N.C. / C7 / |",
        ("| C | G (pickup) | C |",),
    ),
    "simile-nothing": Mistake(
        "there is no bar before to play again",
        "chords",
        ("| % | C |", "| C | %% | F |"),
        ("% | V7",),
    ),
    "simile-meter": Mistake(
        "the bar before is {other}, this one {meter}", "chords", ("| C |\nTime: 3/4\n| % |",)
    ),
}

#: Files, headers and sections.
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
    "line-too-long": Mistake("the line is longer than {most} characters", "lines of a few bars"),
    "text-too-long": Mistake("the text is longer than {most} characters", "a shorter one"),
    "too-many-bars": Mistake("there are more than {most} bars; nothing is read from here on"),
    "too-many-mistakes": Mistake(
        "there are more than {most} mistakes; nothing is read past line {line}"
    ),
    "not-utf-8": Mistake("byte {offset} is not UTF-8: {byte}", "a sheet saved as UTF-8 text"),
    "binary-file": Mistake("this is not text: byte {offset} is zero", "{read}"),
    "other-kind": Mistake("this is {kind}, not a sheet", "{read}"),
    "header-twice": Mistake("the header is given twice", examples=("Key: C\nKey: F\n| C |",)),
    "bad-key": Mistake(
        "not a key",
        "a tonic and a mode, as in F, Bb major, C#m or D dorian",
        ("Key: H\n| C |", "Key: \n| C |"),
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
    "again-misspelt": Mistake(
        "neither bars nor 'again'",
        "again, or bars under the label",
        ("A:\n| C |\nB:\n| F |\nA: agian\n", "A:\n| C |\nA: agin\n"),
    ),
    "field-unknown": Mistake(
        "no header of this name can stand among the bars",
        "Key:, Time:, a label with bars behind it, or quotes round words for the player",
        ("| C |\nBridge: softly\n", "A:\n| C |\nMood: blue\n| F |"),
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
        (
            "Dm7 G7\n| C |",
            "| C |\nplay softly\n",
            "Night Ferry\nold song\n| C |",
            "A:\n| C |\nA again",
        ),
    ),
}

#: The form: repeats, endings, signs and jumps.
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
    "segno-missing": Mistake(
        "there is no Segno to go back to", "Segno", ("| C | F D.S. |", "| C |\n\n  D.S.")
    ),
    "fine-missing": Mistake("there is no Fine to end at", "Fine", ("| C | F D.C. al Fine |",)),
    "coda-missing": Mistake(
        "there is no Coda to go to",
        "Coda at the bar where it begins",
        ("| C To Coda | F D.C. al Coda |",),
    ),
    "coda-misspelt": Mistake(
        "there is no Coda to go to, but a label like it",
        "Coda:",
        ("| C To Coda | F D.C. al Coda |\nCode:\n| G |", "| C To Coda | F |\nCodas:\n| G |"),
    ),
    "to-coda-missing": Mistake(
        "nothing leads to the Coda",
        "To Coda at the bar to leave from",
        ("| C | F D.C. al Coda |\nCoda\n| G |",),
    ),
    "to-coda-idle": Mistake(
        "To Coda stands behind the Coda, and no D.C. or D.S. leads back",
        "the Coda below it",
        ("Coda\n| C | F To Coda |", "| C |\nCoda\n| F | G To Coda |"),
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
    "played-chords": Mistake("the played form has more than {most} chords", ""),
    "played-beats": Mistake("the played form has more than {most} beats", ""),
}

#: Mistakes of progressions only; those of chords and bars occur in progressions too.
PROGRESSION_MISTAKES: Final[dict[str, Mistake]] = {
    "progression-empty": Mistake(
        "there is no chord", "numerals, as in ii7 | V7 | I6", progressions=("", " | | ")
    ),
    "progression-too-long": Mistake(
        "this is longer than {most} characters", "a shorter progression"
    ),
    "progression-too-many": Mistake(
        "more than {most} chords or bars",
        "a shorter progression",
        progressions=("I | " * 70, "I" + " | %" * 70, "| ii7 V7 |" + " % |" * 40),
    ),
    "progression-repeat": Mistake(
        "a progression has no repeats and no endings",
        "| between bars",
        progressions=("|: ii7 | V7 :|", "ii7 |1. V7 | I6", "ii7 | V7 |: I6"),
    ),
    "not-a-numeral": Mistake(
        "neither a numeral nor a chord",
        "a numeral such as ii7, bVII7, V7/ii",
        progressions=("ii7 qV7 I6", "#bII7 I6", "ii7 V7/b#ii", "ii7 V7 /ii"),
    ),
    "bad-numeral": Mistake(
        "no such degree",
        "I to VII, all capitals or all small",
        progressions=("IIII7 V7", "iI7 V7 I", "subVI7 I"),
    ),
    "bass-note": Mistake(
        "a bass note does not go round the keys with a shell",
        "the chord alone",
        progressions=("Dm7 G7/B C6",),
    ),
    "substitute-not-dominant": Mistake(
        "a substitute stands for a dominant",
        "a seventh, as in subV7",
        progressions=("ii7 subVmaj7 I6",),
    ),
    "numerals-and-chords": Mistake(
        "numerals and chords in one progression",
        "one of the two",
        progressions=("Dm7 V7 I6", "ii7 G7 C6"),
    ),
    "mode-late": Mistake(
        "the mode stands first", "minor: iiø7 | V7 | i6", progressions=("iiø7 minor: V7",)
    ),
    "key-unknown": Mistake("chords need a key to go round the keys", "the key beside them"),
}

#: ABC tunes.
ABC_MISTAKES: Final[dict[str, Mistake]] = {
    "abc-no-chords": Mistake(
        "the tune holds no chord symbols, so there is nothing to chart",
        'symbols in quotes before their notes, as in "Gm7"',
        tunes=("X:1\nK:C\nCDEF|]",),
    ),
    "abc-key": Mistake(
        "not a key",
        "one as in K:Bb, K:F#m or K:D dorian",
        tunes=('X:1\nK:Q\n"C"C4|]', 'X:1\nK:C\n"C"C4|[K:Jm]"F"F4|]'),
    ),
    "abc-meter": Mistake(
        "not a meter",
        "one as in M:4/4, M:C| or M:none",
        tunes=('X:1\nM:4/5\nK:C\n"C"C4|]', 'X:1\nM:4/4\nK:C\n"C"C8|\nM:x\n"F"F8|]'),
    ),
    "abc-order": Mistake(
        "not an order of parts",
        "letters of parts, as in P:AABA or P:(AB)2C",
        tunes=('X:1\nP:A)B\nK:C\n"C"C4|]', 'X:1\nP:A999\nK:C\nP:A\n"C"C4|]'),
    ),
    "abc-part-unknown": Mistake(
        "the tune has no part of that name",
        "a line P: with that letter above its music",
        tunes=('X:1\nP:AB\nK:C\nP:A\n"C"C4|]',),
    ),
    "abc-long-bar": Mistake(
        "the bar is longer than 32 whole notes",
        "bar lines",
        tunes=('X:1\nL:1/1\nK:C\n"C"C33|]',),
    ),
    "abc-unknown": Mistake(
        "this is nothing of the notation",
        "",
        tunes=('X:1\nK:C\n"C"C4 5 ^|]', 'X:1\nK:C\n"C"C4|"F F4|]'),
    ),
}

MISTAKES: Final[dict[str, Mistake]] = {
    **FILE_MISTAKES,
    **CHORD_MISTAKES,
    **BAR_MISTAKES,
    **FORM_MISTAKES,
    **PROGRESSION_MISTAKES,
    **ABC_MISTAKES,
}


def mistake(
    label: str, position: SourcePosition, text: str = "", suggestion: str = "", **fields: object
) -> Problem:
    """The problem of that label at a position; `fields` fill the braces of its message."""
    entry = MISTAKES[label]
    message, expected = entry.message.format(**fields), entry.expected.format(**fields)
    return Problem(position, message, text, "", expected, suggestion, label)
