"""What is read of scores and ABC tunes with something odd in each, whole: sheet and warnings."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from midneck.converter.hand.player_file import read_player
from midneck.grammar.abc.reader import read_abc
from midneck.grammar.errors import SheetError
from midneck.grammar.musicxml.reader import read_musicxml
from midneck.grammar.sheet import Sheet
from midneck.grammar.text.writer import write_sheet

from support.abc_tunes import abc_tune
from support.musicxml_scores import (
    BUSY,
    PACKED,
    QUARTER,
    WHOLE_REST,
    archive,
    attributes,
    barline,
    degree,
    direction,
    harmony,
    key,
    parts,
    score,
    time,
)
from support.sheets import read_text

#: The harmonies of one bar each: kinds, degrees, symbols, basses, numerals, chords over chords.
HARMONIES: Final = (
    harmony("C", "major-seventh", degree(11, 1, "add")),
    harmony("F#", "dominant", degree(5, 0, "subtract") + degree(9, -1, "add")),
    harmony("Bb", "dominant", degree(5, 1, "alter") + degree(9, 1, "alter")),
    harmony("E", "minor", degree(4, 0, "subtract")),
    harmony("A", "power"),
    harmony("D", "suspended-fourth", degree(7, 0, "add")),
    harmony("G", "wobbly", degree(4, 0, "add")),
    harmony("G", "dominant", degree(20, 0, "add")),
    harmony("G", "dominant", degree(9, 3, "add")),
    harmony("G", "major", "".join(degree(at, 0, "subtract") for at in (1, 3, 5))),
    harmony("Ab", "major", "<inversion>1</inversion>"),
    harmony("Ab", "dominant", "<inversion>3</inversion>"),
    harmony("Eb", "minor", "<bass><bass-step>D</bass-step></bass>"),
    harmony("C", "none"),
    harmony("C", "other", attributes=""),
    harmony("C", "minor-seventh", "", 'print-object="no"'),
    *(
        f'<harmony><root><root-step>C</root-step></root><kind text="{text}">{kind}</kind></harmony>'
        for text, kind in (("m7b5", "minor-seventh"), ("7alt", "dominant"), ("?", "major"))
    ),
    "<harmony><root><root-step>X</root-step></root><kind>major</kind></harmony>",
    "<harmony><root><root-step>D</root-step></root><kind>major</kind>"
    "<root><root-step>C</root-step></root><kind>dominant</kind></harmony>",
    "<harmony><root><root-step>A</root-step></root><kind>minor</kind>"
    "<root><root-step>C</root-step></root><kind>dominant</kind></harmony>",
    "<harmony><root><root-step>F</root-step><root-alter>1</root-alter></root><kind>minor</kind>"
    "<root><root-step>G</root-step></root><kind>major</kind></harmony>",
    *(
        f"<harmony><numeral><numeral-root>{root}</numeral-root><numeral-alter>{alter}"
        f"</numeral-alter></numeral><kind>dominant</kind></harmony>"
        for root, alter in ((1, 0), (5, 0), (7, -1), (4, 1), (9, 0))
    ),
    *(
        f"<harmony><function>{name}</function><kind>minor</kind></harmony>"
        for name in ("II", "V/V", "bVI", "vii", "Q")
    ),
)


def _first(tempo: str) -> bytes:
    slower = direction("<words>slower</words>", '<sound tempo="70"/>')
    return score(
        direction("<words>Swing</words>", tempo) + harmony("D", "minor-seventh") + WHOLE_REST,
        slower + harmony("G", "dominant") + WHOLE_REST,
        first=key(0, "") + time(),
    )  # fmt: skip


def _repeats() -> Iterator[bytes]:
    bar = harmony("C") + WHOLE_REST
    close, open_ = '<repeat direction="backward"/>', '<repeat direction="forward"/>'
    first = '<ending number="1" type="start"/>'
    second = '<ending number="2" type="start"/>'
    stop = '<ending number="1" type="stop"/>'
    yield score(barline("left", open_) + bar, bar, bar)
    yield score(bar, bar + barline("right", close), bar + barline("right", close))
    yield score(barline("left", open_) + bar, barline("left", first) + bar
                + barline("right", stop + close), bar)  # fmt: skip
    yield score(barline("left", open_) + bar, barline("left", first) + bar
                + barline("right", stop + close), barline("left", second) + bar
                + barline("right", '<ending number="2" type="stop"/>' + close), bar)  # fmt: skip
    yield score(barline("middle", close) + bar, bar)
    for times in (1, 2, 4, 101):
        yield score(bar + barline("right", f'<repeat direction="backward" times="{times}"/>'), bar)


def _signs() -> Iterator[bytes]:
    bar = harmony("C") + WHOLE_REST
    later = harmony("A", "dominant") + QUARTER + harmony("D", "minor", "<offset>1</offset>")
    rests = "<multiple-rest>2</multiple-rest>"
    again = '<measure-style><measure-repeat type="start">1</measure-repeat></measure-style>'
    yield score(
        direction("<segno/>", '<sound segno="s"/>') + bar,
        bar + direction("<words>To Coda</words>", '<sound tocoda="c"/>'),
        bar + direction("<words>D.S. al Coda</words>", '<sound dalsegno="s"/>'),
        direction("<coda/>", '<sound coda="c"/>') + bar,
    )
    fine = direction("<words>Fine</words>", '<sound fine="yes"/>')
    yield score(
        bar, bar + fine, bar + direction("<words>D.C. al Fine</words>", '<sound dacapo="yes"/>')
    )
    yield score(
        attributes(f"<measure-style>{rests}</measure-style>") + WHOLE_REST,
        attributes(key(2) + time(3, 4)) + direction("<rehearsal>B</rehearsal>") + WHOLE_REST,
        attributes(again)
        + harmony("D") + WHOLE_REST,
        later + QUARTER * 2,
    )  # fmt: skip
    yield score(
        harmony("C") + QUARTER, bar, bar, said={1: 'implicit="yes"'}, first=key(-3) + time()
    )
    down = "<diatonic>-1</diatonic><chromatic>-2</chromatic>"
    yield score(bar, first=f"{key(-2, 'dorian')}{time(6, 8)}<transpose>{down}</transpose>")
    yield score(bar, first=key(4, "minor") + time(2, 2, "cut")
                + "<transpose><chromatic>3</chromatic></transpose>")  # fmt: skip
    yield score(bar, first=key(1, "lydian dominant") + time("3+2", 8))
    for chromatic in ("1.5", "60", "x"):
        wrong = f"<transpose><chromatic>{chromatic}</chromatic></transpose>"
        yield score(bar, first=key(0) + time() + wrong)
    yield score(WHOLE_REST, WHOLE_REST)


def _several_parts() -> bytes:
    opening = attributes("<divisions>2</divisions>" + key(0) + time())
    chords = f'<measure number="1">{opening}{harmony("C")}{WHOLE_REST}</measure>'
    melody = f'<measure number="1">{opening}{harmony("F")}{QUARTER * 4}</measure>'
    more = f'<measure number="2">{harmony("G", "dominant")}{WHOLE_REST}</measure>'
    signs = f'<measure number="2">{direction("<words>Fine</words>")}{QUARTER * 4}</measure>'
    return parts("<work><work-title>Two</work-title></work>", P1=chords + more, P2=melody + signs)


def scores_text() -> str:
    """What is read of each score."""
    scores = [score(each + WHOLE_REST) for each in HARMONIES]
    scores += [_first(f'<sound tempo="{tempo}"/>') for tempo in (10, 90, 401)]
    scores += [*_repeats(), *_signs(), _several_parts(), BUSY]
    scores += [PACKED, PACKED[:-30], archive(BUSY, "../score.xml"), archive(BUSY, container="<c/>")]
    scores += [b"<score-partwise/>", b"<other/>", b"<score", score()]
    return "".join(f"{number}:\n{_told(data)}" for number, data in enumerate(scores, 1))


def _told(data: bytes) -> str:
    try:
        return _sheet(read_musicxml(data, "score.xml"))
    except SheetError as error:
        return f"  {error}\n"


def _sheet(sheet: Sheet) -> str:
    lines = [*write_sheet(sheet).splitlines(), *(f"! {warning}" for warning in sheet.warnings)]
    return "".join(f"  {line}\n" for line in lines if line)


#: ABC tunes with something odd in each.
TUNES: Final = (
    'X:1\nT:Mill\nC:T. Orrell\nM:C|\nL:1/8\nQ:1/2=80\nK:Ddor\n"Dm7"D4 "G7"G4|"C"C8|]\n',
    'X:1\nT:Mill\nM:6/8\nQ:3/8=20\nK:Am\n|:"Am"A3 "E7"B3:|[1"Dm"d6:|[2"Am"a6|]\n',
    'X:1\nT:Mill\nP:ABA\nM:4/4\nL:1/4\nK:F\nP:A\n"F"F4|"C7"c4|\nP:B\n"Bb"B4|\nP:C\n"Eb"E4|\n',
    'X:1\nT:Mill\nT:The Wheel\nM:3/4\nK:Bb exp\n"Bb"B3-|"^softly"B3|"F7"z3|Z2|"Gm7"g>f e|\n',
    'X:1\nT:Mill\nM:4/4\nK:C clef=bass\nV:1\n"C"C8|\nV:2\n"F"F8|"G"G8|\n',
    'X:1\nT:One\nK:C\n"C"C8|\n\nX:2\nT:Two\nK:G\n"G"G8|\n',
    'X:1\nT:Mill\nM:4/4\nK:G\n"G"G4 !segno!"D7"D4|"C"C8!D.S.!|"Q"B8|\n',
    'X:1\nT:Mill\nM:4/4\nL:1/8\nK:G\n"G"(3GAB c2 "D7"[DFA]4|"Em"{g}e4 e4::"Am"A8:|\n',
    'X:1\nU:T=!fine!\nM:4/4\nK:C\n"C"C8|T"G"G8|"C"C8!D.C.!|\n',
    "X:1\nT:Mill\nK:C\nCDEF|\n", "X:1\nT:Mill\n", "T:Mill\n", "X:1\nK:H\n\"C\"C8|\n",
)  # fmt: skip


#: Sheets typed in many ways, each with what it is read as.
SHEETS: Final = (
    "[Solo] | C | F |\n[B]\n| G |\n",
    "A: | C | F |\nB: C | F |\n",
    "Verse 1:\n| C |\nChorus\n| F |\n",
    "The Mill\nby T. Orrell\nStyle: bossa\nComposer: X\nMood: calm\n| C |\n",
    "| C F | % |\n| %% |\n",
    "1st ending: | C :|\n",
    "|: C [1. F :| [2 G |\n",
    "|: C |1st ending: F :|2nd ending: G |\n",
    "| C-7 . F7 | Bb^7 | C°7 | Aø | G7(b9,#11) | F6/9 | Ebsus | D+7 | Gm(maj7) |\n",
    "| C♯7 | B♭ | H | Do |\n",
    "𝄆 C | F 𝄇\n",
    "‖: C | F :‖\n",
    "| NC | N.C | n.c. | -2- | |-3-| C |\n",
    "| C7=1.5 F7=2.5 | C=4/3 F=4/3 G=4/3 |\n",
    "Time: 3/4\n| C F | C / F | C F G |\n",
    "Time: 6/8\n| C F | C / | C . F . . . |\nTime: 12/8\n| C F G A |\n",
    "Time: C|\n| C F | C / F / |\n",
    "| C7 / (pickup) |\n| F |\n",
    "| / / C7 / |\n| F |\n",
    "| C(push) F(hold) |\n",
    "| (C F) | G (A7) |\n",
    "| C | D.C. |\n| Segno F | G D.S. |\n",
    "|: C :| x3\n|: F :|3x\n|: G :| 4 times\n",
    "| C ‘hush’ |\n",
    '"softly"\n| C | # not this\n\u201cand loud\u201d\n| F |\n',
    "Key: F# minor\n| F#m |\nKey: Eb\n| Eb |\n",
    "Key: d dorian\nTempo: ca. 120 bpm\nTime: 4/4 swing\n| Dm |\n",
    "| C\t| F  |   G|A |\n",
    "C | F | G\n",
    "| C<x 3 2 0 1 0> | G<3 2 0 0 0 3: 2 1 - - - 3> |\n",
    "| C/E/ | F\\A |\n",
    "| Cmaj | CM7 | Cj7 | Cma9 |\n",
)


def sheets_text() -> str:
    """What is read of each sheet."""
    return "".join(f"{text!r}\n{_file(text.encode())}" for text in SHEETS)


#: Bytes of files of text in several encodings, and of files that are none.
FILES: Final = (
    "Title: Été\n| C |\n".encode(), "\ufeffTitle: Été\n| C |\n".encode(),
    "Title: Été – “so”\n| C |\n".encode("cp1252"), "Title: Été\n| C |\n".encode("utf-16"),
    "Title: Été\n| C |\n".encode("utf-16-be"), b"Title: \x81\n| C |\n", b"| C |\0\n", b"%PDF-1\n",
    b"PK\x03\x04", b"\x89PNG\r\n", b"RIFF", b"MThd", b"{\\rtf1}", b"<html>",
    b"<?xml version='1.0'?>", b"| C |\r\n| F |\r| G |\n", b"",
)  # fmt: skip
#: Player files with one thing wrong, or nothing.
PLAYERS: Final = (
    "", 'preset = "beginner"\nname = "  Anna  B "\n', "tuning = 3", 'tuning = ["E2", "A2", 3]',
    'tuning = ["E2", "X", "D3"]', "frets = 4", "frets = 3.5", 'hand = "lefthand"', "window = [3]",
    "window = [0, 40]", "[reach]\ncomfort_mm = [1, 2]", "[reach]\nlimit_mm = [1,1,1,1,1,900]",
    "[reach]\nsize = 0.1", '[taste]\nminor_triads = "ninth"', "[effort]\nshift = 99999",
    '[fingers]\n"0 x 0 0" = 3', '[fingers]\n"0 x" = "1 x"', "[fingers]\n[fingers]", "a = [",
    "x = 1",
    f'name = "{"x" * 200}"', "[taste]\nx = 1\n[reach]\ny = 2", "scale_mm = true",
)  # fmt: skip


def files_text() -> str:
    """What is read of files of text, and of player files."""
    lines = [f"{data!r}\n{_file(data)}" for data in FILES]
    return "".join([*lines, *(f"{text!r}\n{_player(text)}" for text in PLAYERS)])


def _file(data: bytes) -> str:
    try:
        return _sheet(read_text(data))
    except SheetError as error:
        return f"  {error}\n"


def _player(text: str) -> str:
    try:
        return f"  {read_player(text, 'me.toml')}\n"
    except SheetError as error:
        return "".join(f"  {line}\n" for line in str(error).splitlines())


def tunes_text() -> str:
    """What is read of each tune."""
    modes = ("maj", "min", "m", "ion", "aeo", "mix", "dor", "phr", "lyd", "loc", "Major", "exp")
    keys = [f'X:1\nK:{tonic}{mode}\n"C"C8|\n' for mode in modes for tonic in ("D ", "Bb")]
    meters = ("4/4", "C", "C|", "6/8", "3+2/8", "none", "", "5", "2/3", "(2+3)/8", "12/16")
    tempos = ("120", "1/4=90", '"Allegro" 1/8=180', "3/8=60", '"slow"', "1/4 3/8=50", "0", "C=100")
    fields = [f'X:1\nM:{meter}\nL:1/8\nK:C\n"C"C8|\n' for meter in meters]
    fields += [f'X:1\nM:6/8\nQ:{tempo}\nK:C\n"C"C6|\n' for tempo in tempos]
    texts = [*TUNES, *keys, *fields, *(abc_tune(seed).text for seed in range(8))]
    return "".join(f"{text.rstrip()}\n{_abc(text)}\n" for text in texts)


def _abc(text: str) -> str:
    try:
        return _sheet(read_abc(text, "tune.abc"))
    except SheetError as error:
        return f"  {error}\n"
