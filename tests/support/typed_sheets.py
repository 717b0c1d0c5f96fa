"""Sheets as people type them, each with the reading that a musician expects.

The tunes are invented. `opening` is played once, `chorus` goes round, `ending` is played after the
last chorus. Bars are parted by `|`, chords are in canonical text, optional ones in brackets; a
slash is one beat more, where a bar is not shared evenly. `remarks` are the beginnings of what is
said about the sheet while it is read. All readings are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class TypedSheet:
    """A sheet as typed (text, or bytes in an encoding) and its reading."""

    name: str
    text: str | bytes
    chorus: str
    opening: str = ""
    ending: str = ""
    title: str = ""
    by: str = ""
    key: str = ""
    feel: str = ""
    remarks: tuple[str, ...] = ()


def _lines(*lines: str) -> str:
    return "\n".join(lines) + "\n"


FIRST: Final = (
    TypedSheet(
        "a pickup with a chord",
        _lines("Title: Tin Roof Waltz", "Key: F", "Time: 3/4", "",
               "| C7 (pickup) | F6 | Gm7 C7 / | F6 |"),
        "C7 | F6 | Gm7 C7 / | F6",
        title="Tin Roof Waltz", key="F major",
    ),
    TypedSheet(
        "a pickup that starts with rests and fills its bar",
        _lines("Key: Bb", "| / / / F7 |", "A:", "| Bb6 | G7 | Cm7 | F7 |"),
        "F7 | Bb6 | G7 | Cm7 | F7",
        key="Bb major",
    ),
    TypedSheet(
        "a pickup of rests and one chord for what is left",
        _lines("Key: F", "| / / C7 |", "| F6 | D7 | Gm7 | C7 |"),
        "C7 / | F6 | D7 | Gm7 | C7",
        key="F major",
    ),
    TypedSheet(
        "an intro, then the form",
        _lines("Title: Gate 9", "Intro:", "| Dm7 G7 | Em7 A7 | Dm7 | G7 ||", "A:",
               "| Cmaj7 | A7 | Dm7 | G7 ||"),
        "Cmaj7 | A7 | Dm7 | G7",
        opening="Dm7 G7 | Em7 A7 | Dm7 | G7", title="Gate 9",
    ),
    TypedSheet(
        "bars before the first repeat, without labels",
        _lines("| Gm7 C7 | Am7 D7 |", "|: Gm7 | C7 | F6 | % :|"),
        "Gm7 | C7 | F6 | F6 | Gm7 | C7 | F6 | F6",
        opening="Gm7 C7 | Am7 D7",
    ),
    TypedSheet(
        "a labelled A before a repeated B is no intro",
        _lines("A:", "| C6 | A7 | D7 | G7 ||", "B:", "|: Fm7 | Bb7 :|"),
        "C6 | A7 | D7 | G7 | Fm7 | Bb7 | Fm7 | Bb7",
    ),
    TypedSheet(
        "endings as 1. and 2.",
        _lines("A:", "|: Fm7 | Bb7 |1. Ebmaj7 | C7 :|2. Ebmaj7 | % ||"),
        "Fm7 | Bb7 | Ebmaj7 | C7 | Fm7 | Bb7 | Ebmaj7 | Ebmaj7",
    ),
    TypedSheet(
        "endings in square brackets, a line each",
        _lines("[A]", "|: Fm7 | Bb7 |", "[1.] Ebmaj7 | C7 :|", "[2.] Ebmaj7 | % ||"),
        "Fm7 | Bb7 | Ebmaj7 | C7 | Fm7 | Bb7 | Ebmaj7 | Ebmaj7",
    ),
    TypedSheet(
        "endings in square brackets behind the bar line",
        _lines("|: Fm7 | Bb7 |[1 Ebmaj7 | C7 :|[2 Ebmaj7 | % ||"),
        "Fm7 | Bb7 | Ebmaj7 | C7 | Fm7 | Bb7 | Ebmaj7 | Ebmaj7",
    ),
    TypedSheet(
        "a coda with D.S. al Coda",
        _lines("A:", "| Segno Cm7 | F7 | Bbmaj7 To Coda | G7 D.S. al Coda |", "Coda:",
               "| Bbmaj7 | % |"),
        "Cm7 | F7 | Bbmaj7 | G7",
        ending="Cm7 | F7 | Bbmaj7 | Bbmaj7 | Bbmaj7",
    ),
    TypedSheet(
        "To Coda and a Coda without a D.C.",
        _lines("A:", "| Cm7 | F7 | Bbmaj7 To Coda | G7 |", "Coda:", "| Bb6 | % |"),
        "Cm7 | F7 | Bbmaj7 | G7",
        ending="Cm7 | F7 | Bbmaj7 | Bb6 | Bb6",
    ),
    TypedSheet(
        "a coda that only has its name",
        _lines("A:", "| Cm7 | F7 | Bbmaj7 | G7 |", "Coda:", "| Cm7 F7 | Bb6 |"),
        "Cm7 | F7 | Bbmaj7 | G7",
        ending="Cm7 F7 | Bb6",
    ),
    TypedSheet(
        "a tag",
        _lines("A:", "| Em7 A7 | D6 |", "Tag:", "|: Em7 | A7 :| D6 |"),
        "Em7 A7 | D6",
        ending="Em7 | A7 | Em7 | A7 | D6",
    ),
    TypedSheet(
        "a turnaround in brackets",
        _lines("| C6 | Am7 | Dm7 G7 | C6 (G7) |"),
        "C6 | Am7 | Dm7 G7 | C6 (G7)",
    ),
    TypedSheet(
        "a turnaround of two bars in one bracket",
        _lines("A:", "| Cm6 | G7b9 | Cm6 | (Dm7b5 G7) |", "B:", "| Fm7 | Bb7 | (Cm7 | D7 G7) |"),
        "Cm6 | G7(b9) | Cm6 | (Dm7b5 G7) | Fm7 | Bb7 | (Cm7) | (D7 G7)",
    ),
    TypedSheet(
        "suspended chords",
        _lines("| G7sus4 | Gsus | C9sus | Dm7sus4 | A7sus |"),
        "G7sus4 | Gsus4 | C9sus4 | Dm7sus4 | A7sus4",
    ),
    TypedSheet(
        "slash chords",
        _lines("| C/E | F/A | Bb/D | G7/B | D7/F# | Am/G |"),
        "C/E | F/A | Bb/D | G7/B | D7/F# | Am/G",
    ),
    TypedSheet(
        "altered chords",
        _lines("| G7alt | G7b9 | G7(#9) | G7#5b9 | G13b9 | G7(b9,#11) | G+7 | G7b5 |"),
        "G7alt | G7(b9) | G7(#9) | G7(#5,b9) | G13(b9) | G7(b9,#11) | G7#5 | G7b5",
    ),
    TypedSheet(
        "signs and dashes for qualities",
        _lines("| C-7 | F7 | BbΔ | Eb△7 | Aø | D7(♭9) | G- | G-Δ | Gm(maj7) | B°7 |"),
        "Cm7 | F7 | Bbmaj7 | Ebmaj7 | Am7b5 | D7(b9) | Gm | Gm(maj7) | Gm(maj7) | Bdim7",
    ),
    TypedSheet(
        "times three",
        _lines("|: Dm7 | G7 :| x3", "| Cmaj7 ||"),
        "Dm7 | G7 | Dm7 | G7 | Dm7 | G7 | Cmaj7",
    ),
    TypedSheet(
        "a bare :| goes back to the top",
        _lines("A:", "Gm7 | C7 | F6 | D7 :|"),
        "Gm7 | C7 | F6 | D7 | Gm7 | C7 | F6 | D7",
    ),
    TypedSheet(
        "Windows line ends and a byte order mark",
        "\ufeffTitle: Low Tide\r\nComposer: Wren Abbot\r\nStyle: bossa\r\nKey: Dm\r\n\r\n"
        "| Dm6 | Em7b5 A7 | Dm6 | % |\r\n",
        "Dm6 | Em7b5 A7 | Dm6 | Dm6",
        title="Low Tide", by="Wren Abbot", feel="bossa", key="D minor",
    ),
    TypedSheet(
        "Windows-1252",
        "Title: Café Olé\r\nBy: Zoë Müller\r\n\r\n| C6 | A7 | Dm7 | G7 |\r\n".encode("cp1252"),
        "C6 | A7 | Dm7 | G7",
        title="Café Olé", by="Zoë Müller",
        remarks=("the file is not UTF-8; it is read as Windows-1252",),
    ),
    TypedSheet(
        "UTF-16",
        "Title: Low Tide\n\n| C△ | A7 | Dm7 | G7 |\n".encode("utf-16"),
        "Cmaj7 | A7 | Dm7 | G7",
        title="Low Tide",
        remarks=("the file is UTF-16",),
    ),
    TypedSheet(
        "chords between bars and nothing else",
        _lines("Dm7 | G7 | Cmaj7 | A7", "Dm7 | G7 | C6 | %"),
        "Dm7 | G7 | Cmaj7 | A7 | Dm7 | G7 | C6 | C6",
    ),
    TypedSheet(
        "a title and a name on lines of their own",
        _lines("The Ninth Bell", "by Oda Farrow", "", "Dm7 | G7 | Cmaj7 | A7"),
        "Dm7 | G7 | Cmaj7 | A7",
        title="The Ninth Bell", by="Oda Farrow",
    ),
    TypedSheet(
        "labels without colons",
        _lines("Title: Wharf", "Intro", "| G7 | % |", "A", "| Cm7 | F7 |", "Bridge",
               "| Bb7 | Eb7 |", "A", "Tag", "| Cm6 |"),
        "Cm7 | F7 | Bb7 | Eb7 | Cm7 | F7",
        opening="G7 | G7", ending="Cm6", title="Wharf",
    ),
    TypedSheet(
        "labels in brackets before their bars",
        _lines("[A] | Cm7 | F7 | Bb6 | % |", "[B] | Ebmaj7 | D7 | Gm6 | % |"),
        "Cm7 | F7 | Bb6 | Bb6 | Ebmaj7 | D7 | Gm6 | Gm6",
    ),
    TypedSheet(
        "the form in the header",
        _lines("Form: AABA", "A:", "| C6 | G7 |", "B:", "| F6 | Fm6 |"),
        "C6 | G7 | C6 | G7 | F6 | Fm6 | C6 | G7",
    ),
    TypedSheet(
        "two chords in three beats",
        _lines("Time: 3/4", "| Gm7 C7 | F6 | Gm7 / C7 | F6 |"),
        "Gm7 C7 | F6 | Gm7 / C7 | F6",
        remarks=("line 2: 2 chords in a bar of 3/4 have 1½ beats each",),
    ),
    TypedSheet(
        "a mode in the key",
        _lines("Key: D dorian", "A:", "| Dm7 | % | Em7 | Dm7 |"),
        "Dm7 | Dm7 | Em7 | Dm7",
        key="D dorian",
    ),
    TypedSheet(
        "pushes, holds and rests",
        _lines("| C6(push) | N.C. | F7 G7(push) | C6(hold) |-2-|"),
        "C6 | N.C. | F7 G7 | C6 | -2-",
    ),
    TypedSheet(
        "flats and sharps of music type, full-width bars",
        _lines("｜B♭6 ｜G‑7 ｜C♯°7 ｜F♯m7(♭5) ｜"),
        "Bb6 | Gm7 | C#dim7 | F#m7b5",
    ),
    TypedSheet(
        "everything on one line of a message",
        "| Am7 D7 | Gmaj7 | Gm7 C7 | Fmaj7 | Fm7 Bb7 | Ebmaj7 | Am7b5 D7 | Gm6 |",
        "Am7 D7 | Gmaj7 | Gm7 C7 | Fmaj7 | Fm7 Bb7 | Ebmaj7 | Am7b5 D7 | Gm6",
    ),
)  # fmt: skip

SECOND: Final = (
    TypedSheet(
        "a title with a chord letter in it",
        _lines("A Room Upstairs", "Key: G", "| Gmaj7 | Am7 D7 | Bm7 E7 | Am7 D7 |"),
        "Gmaj7 | Am7 D7 | Bm7 E7 | Am7 D7",
        title="A Room Upstairs", key="G major",
    ),
    TypedSheet(
        "a title, a feel in brackets, a key",
        _lines("Oil Lamp", "(Medium Swing)", "Key: F", "", "| F6 | D7 | Gm7 | C7 |"),
        "F6 | D7 | Gm7 | C7",
        title="Oil Lamp", feel="Medium Swing", key="F major",
    ),
    TypedSheet(
        "an intro that is repeated",
        _lines("Intro:", "|: Dm7 | G7 :|", "A:", "| Cmaj7 | A7 |"),
        "Cmaj7 | A7",
        opening="Dm7 | G7 | Dm7 | G7",
    ),
    TypedSheet(
        "an intro before a bare :|",
        _lines("Intro:", "| Dm7 | G7 |", "A:", "| Cmaj7 | A7 :|"),
        "Cmaj7 | A7 | Cmaj7 | A7",
        opening="Dm7 | G7",
    ),
    TypedSheet(
        "a pickup before an intro",
        _lines("| / / / G7 |", "Intro:", "| C6 | G7 |", "A:", "| C6 | F7 |"),
        "C6 | F7",
        opening="G7 | C6 | G7",
    ),
    TypedSheet(
        "a pickup before a repeat stays with the chorus",
        _lines("| G7 (pickup) |", "|: C6 | A7 :|"),
        "G7 | C6 | A7 | C6 | A7",
    ),
    TypedSheet(
        "D.C. al Fine is a form of its own",
        _lines("A:", "| Cm7 | F7 | Bb6 | % Fine |", "B:", "| Ebm7 | Ab7 | Db6 | F7 D.C. al Fine |"),
        "Cm7 | F7 | Bb6 | Bb6 | Ebm7 | Ab7 | Db6 | F7 | Cm7 | F7 | Bb6 | Bb6",
    ),
    TypedSheet(
        "signs in brackets",
        _lines("A:", "| Cm7 | F7 | Bb6 | % (Fine) |", "B:", "| Ebm7 | Ab7 (D.C. al Fine) |"),
        "Cm7 | F7 | Bb6 | Bb6 | Ebm7 | Ab7 | Cm7 | F7 | Bb6 | Bb6",
    ),
    TypedSheet(
        "D.C. al Coda on a line of its own",
        _lines("A:", "| F6 | Dm7 | Gm7 To Coda | C7 |", "D.C. al Coda", "Coda", "| Gm7 C7 | F6 |"),
        "F6 | Dm7 | Gm7 | C7",
        ending="F6 | Dm7 | Gm7 | Gm7 C7 | F6",
    ),
    TypedSheet(
        "the last A of AABA by D.S.",
        _lines("A:", "|: Segno F6 | Dm7 | Gm7 |1. C7 :|2. F6 To Coda ||", "B:",
               "| Cm7 | F7 | Bb6 | C7 D.S. al Coda |", "Coda:", "| Bbm6 | F6 |"),
        "F6 | Dm7 | Gm7 | C7 | F6 | Dm7 | Gm7 | F6 | Cm7 | F7 | Bb6 | C7 | F6 | Dm7 | Gm7 | F6 | "
        "Bbm6 | F6",
    ),
    TypedSheet(
        "AABA with again",
        _lines("A:", "| C6 | Am7 | Dm7 | G7 |", "A: again", "B:", "| E7 | A7 | D7 | G7 |", "A"),
        "C6 | Am7 | Dm7 | G7 | C6 | Am7 | Dm7 | G7 | E7 | A7 | D7 | G7 | C6 | Am7 | Dm7 | G7",
    ),
    TypedSheet(
        "Form with an intro and a coda that it does not name",
        _lines("Form: AABA", "Intro:", "| G7 | % |", "A:", "| C6 | G7 |", "B:", "| F6 | Fm6 |",
               "Coda:", "| C6 | % |"),
        "C6 | G7 | C6 | G7 | F6 | Fm6 | C6 | G7",
        opening="G7 | G7", ending="C6 | C6",
    ),
    TypedSheet(
        "Form with names, dashes and a number",
        _lines("Form: Intro - Verse - Verse - Bridge - Verse x3", "Intro", "| Am7 |", "Verse",
               "| Dm7 | G7 |", "Bridge", "| Cmaj7 | E7 |"),
        "Dm7 | G7 | Dm7 | G7 | Cmaj7 | E7 | Dm7 | G7",
        opening="Am7",
    ),
    TypedSheet(
        "labels with numbers and primes",
        _lines("A1", "| Dm7 | G7 |", "A2", "| Em7 | A7 |", "B'", "| F6 | Fm6 |"),
        "Dm7 | G7 | Em7 | A7 | F6 | Fm6",
    ),
    TypedSheet(
        "a blues in capitals of the head",
        _lines("TITLE: LEDGER", "KEY: Bb", "TEMPO: 140", "| Bb7 | Eb7 | Bb7 | Fm7 Bb7 |"),
        "Bb7 | Eb7 | Bb7 | Fm7 Bb7",
        title="LEDGER", key="Bb major",
    ),
    TypedSheet(
        "minor keys and the lot of minor chords",
        _lines("Key: c minor", "| Cm6 | Cm(maj7) | Cm9 | Cm7b5 F7b9 | Bbm11 | Cmin | C-6/9 |"),
        "Cm6 | Cm(maj7) | Cm9 | Cm7b5 F7(b9) | Bbm11 | Cm | Cm6/9",
        key="C minor",
    ),
    TypedSheet(
        "diminished, augmented and sixths",
        _lines("| Co7 | C° | Cdim7 | Caug | C+7 | C6/9 | C69 | Cadd9 |"),
        "Cdim7 | Cdim | Cdim7 | Caug | C7#5 | C6/9 | C6/9 | Cadd9",
    ),
    TypedSheet(
        "tensions in every order",
        _lines("| C7#9b13 | C13(#11) | C9#11 | C7(b9,b13) | C7-9 | Cmaj9(#11) | C7sus4(b9) |"),
        "C7(#9,b13) | C13(#11) | C9(#11) | C7(b9,b13) | C7(b9) | Cmaj9(#11) | C7sus4(b9)",
    ),
    TypedSheet(
        "minor suspended chords in all spellings",
        _lines("| Em7sus4 | E-7sus | Emin7(sus4) | Em9sus4 |"),
        "Em7sus4 | Em7sus4 | Em7sus4 | Em9sus4",
    ),
    TypedSheet(
        "four chords, three with slashes, a pickup of two chords",
        _lines("| / / G7 / |", "| C6 A7 D7 G7 | Em7 / A7 D7 | C6=3 G7 |"),
        "G7 / | C6 A7 D7 G7 | Em7 / A7 D7 | C6 / / G7",
    ),
    TypedSheet(
        "a waltz with slashes",
        _lines("Waltz for a Ferry", "Time: 3/4", "| Gm7 / C7 | F6 | D7 / / | Gm7 C7 F6 |"),
        "Gm7 / C7 | F6 | D7 | Gm7 C7 F6",
        title="Waltz for a Ferry",
    ),
    TypedSheet(
        "cut time and six-eight",
        _lines("Time: C|", "| Dm7 G7 | C6 |", "Time: 6/8", "| F6 C7 | F6 |"),
        "Dm7 G7 | C6 | F6 C7 | F6",
    ),
    TypedSheet(
        "repeat signs with spaces and a number in brackets",
        _lines("| : Dm7 | G7 : | (3x)", "| C6 ||"),
        "Dm7 | G7 | Dm7 | G7 | Dm7 | G7 | C6",
    ),
    TypedSheet(
        "three endings",
        _lines("|: C6 | F7 |1,2. C6 | G7 :|3. C6 | % ||"),
        "C6 | F7 | C6 | G7 | C6 | F7 | C6 | G7 | C6 | F7 | C6 | C6",
    ),
    TypedSheet(
        "endings with numbers first on their lines",
        _lines("A:", "|: Gm7 | C7 |", "1. F6 | D7 :|", "2. F6 | % ||"),
        "Gm7 | C7 | F6 | D7 | Gm7 | C7 | F6 | F6",
    ),
    TypedSheet(
        "old line ends and tabs",
        "Title: Cellar\rKey: Eb\r\r|\tEb6\t|\tC7\t|\rFm7\t|\tBb7\t|\r",
        "Eb6 | C7 | Fm7 | Bb7",
        title="Cellar", key="Eb major",
    ),
    TypedSheet(
        "UTF-16 without a byte order mark",
        "Title: Quay\n| Am7 | D7 | G6 | % |\n".encode("utf-16-le"),
        "Am7 | D7 | G6 | G6",
        title="Quay",
        remarks=("the file is UTF-16",),
    ),
    TypedSheet(
        "Windows-1252 quotes and dashes",
        "Title: Night \u2013 and Day\u2019s End\r\n\u201csoftly\u201d\r\n| C6 | G7 |\r\n"
        .encode("cp1252"),
        "C6 | G7",
        title="Night \u2013 and Day\u2019s End",
        remarks=("the file is not UTF-8; it is read as Windows-1252",),
    ),
    TypedSheet(
        "a capo",
        _lines("Capo: 2", "| G6 | Em7 | Am7 | D7 |"),
        "G6 | Em7 | Am7 | D7",
        remarks=("line 1: grips are for a neck without a capo",),
    ),
    TypedSheet(
        "a vamp before, an outro after",
        _lines("Vamp:", "|: Dm7 | % :|", "A:", "| Gm7 | C7 |", "Outro:", "| Dm7 | Dm6 |"),
        "Gm7 | C7",
        opening="Dm7 | Dm7 | Dm7 | Dm7", ending="Dm7 | Dm6",
    ),
    TypedSheet(
        "a turnaround in brackets over the last ending",
        _lines("|: Gm7 | C7 |1. F6 | D7 :|2. F6 | (Gm7 C7) ||"),
        "Gm7 | C7 | F6 | D7 | Gm7 | C7 | F6 | (Gm7 C7)",
    ),
    TypedSheet(
        "a whole tune without a colon",
        _lines("Slow Tram Home", "by P. Quill", "medium swing", "", "Key: Eb", "Intro",
               "| Fm7 Bb7 | Gm7 C7 |", "A", "| Ebmaj7 | Cm7 | Fm7 | Bb7 |", "Bridge",
               "| Abmaj7 | Db7 |", "A", "Coda", "| Fm7 | Bb7sus | Eb6/9 |"),
        "Ebmaj7 | Cm7 | Fm7 | Bb7 | Abmaj7 | Db7 | Ebmaj7 | Cm7 | Fm7 | Bb7",
        opening="Fm7 Bb7 | Gm7 C7", ending="Fm7 | Bb7sus4 | Eb6/9",
        title="Slow Tram Home", by="P. Quill", feel="medium swing", key="Eb major",
    ),
    TypedSheet(
        "a turnaround in brackets in half a bar",
        _lines("| F6 | D7 | Gm7 C7 | F6 (Gm7 C7) |"),
        "F6 | D7 | Gm7 C7 | F6 / (Gm7 C7)",
    ),
    TypedSheet(
        "brackets close to the chord before them",
        _lines("| C6(A7) | Dm7 (G7b9) | C(add9) | C7 (b9) |"),
        "C6 (A7) | Dm7 (G7(b9)) | Cadd9 | C7(b9)",
    ),
)  # fmt: skip

TYPED_SHEETS: Final = FIRST + SECOND
