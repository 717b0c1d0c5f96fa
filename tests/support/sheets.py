"""Sheets made up for tests: valid ones with everything in them, as text typed in many ways."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import strategies as st
from midneck.grammar.errors import SheetError, SourcePosition
from midneck.grammar.sheet import Sheet
from midneck.grammar.text.encoding import decode
from midneck.grammar.text.reader import read_sheet, with_remark

NOWHERE = SourcePosition(0, 0)

ROOTS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B", "Gb", "C#")
QUALITIES = ("", "6", "maj7", "m7", "7", "m7b5", "dim7", "7b9", "13", "m6", "-7", "9")
FIXED = (
    "", "", "", "", "<10 x 10 10 x x>", "<10 x 10 10 x x: 2 - 3 4 - ->", "(push)", "(hold)",
    "(push)(hold)",
)  # fmt: skip


def without_places(sheet: Sheet, with_text: bool = True) -> Sheet:
    """The sheet with every place forgotten, so that two readings can be compared."""
    return replace(
        sheet,
        sections=tuple(replace(section, position=NOWHERE) for section in sheet.sections),
        bars=tuple(
            replace(
                bar,
                position=NOWHERE,
                chords=tuple(
                    replace(chord, position=NOWHERE, text=chord.text if with_text else "")
                    for chord in bar.chords
                ),
            )
            for bar in sheet.bars
        ),
    )


def read_text(data: bytes, name: str = "tune.txt") -> Sheet:
    """The sheet in the bytes of a file of text, which is taken for nothing else."""
    decoded = decode(data, name)
    return with_remark(read_sheet(decoded.text, name), decoded.remark)


def refused(text: str, name: str = "") -> SheetError | None:
    """The error that reading a text ends with, None when it is a sheet; any other error passes."""
    try:
        read_sheet(text, name)
    except SheetError as error:
        return error
    return None


@st.composite
def chords(draw: st.DrawFn) -> str:
    """One chord with what may be fixed about it."""
    bass = draw(st.sampled_from(("", "", "", "/G", "/Bb")))
    symbol = draw(st.sampled_from(ROOTS)) + draw(st.sampled_from(QUALITIES)) + bass
    return draw(st.sampled_from([symbol + draw(st.sampled_from(FIXED)), symbol, "N.C."]))


@st.composite
def bars(draw: st.DrawFn, beats: int, straight: bool = False) -> str:
    """The words of one bar of `beats` quarters; `straight` leaves optional chords out."""
    shapes = ("one", "even", "slashes", "lengths", "simile", "rest", "one", "optional")
    shape = draw(st.sampled_from(shapes[:-1] if straight else shapes))
    first = draw(chords())
    if shape == "simile":
        return draw(st.sampled_from(("%", "%%")))
    if shape == "rest":
        return f"-{draw(st.integers(1, 16))}-"
    if shape == "even" and beats % 2 == 0:
        return f"{first} {draw(chords())}"
    if shape == "optional" and beats % 2 == 0:
        return f"{first} ({draw(st.sampled_from(ROOTS))}7{draw(st.sampled_from(FIXED))})"
    if shape == "slashes":
        turn = draw(st.integers(1, beats - 1))
        return f"{first}{' /' * (turn - 1)} {draw(chords())}{' /' * (beats - turn - 1)}"
    if shape == "lengths":
        return f"{_lengthened(first, '1.5')} {_lengthened(draw(chords()), f'{2 * beats - 3}/2')}"
    return first


def _lengthened(chord: str, beats: str) -> str:
    at = min((chord.index(sign) for sign in "<(" if sign in chord), default=len(chord))
    return f"{chord[:at]}={beats}{chord[at:]}"


@st.composite
def passages(draw: st.DrawFn, beats: int, straight: bool = False) -> str:
    """A line of bars, plain or repeated, with or without endings; `straight` is never repeated."""
    body = " | ".join(draw(st.lists(bars(beats, straight), min_size=1, max_size=6)))
    opening = " | ".join(["C", "F7", body])
    shapes = ("plain", "double", "repeat", "times", "two", "three")
    shape = draw(st.sampled_from(shapes[:2] if straight else shapes))
    if shape == "double":
        return f"| {opening} ||"
    if shape == "repeat":
        return f"|: {opening} :|"
    if shape == "times":
        return f"|: {opening} :|{draw(st.integers(3, 9))}x"
    if shape == "two":
        return f"|: {opening} |1. G7 :|2. C | F ||"
    if shape == "three":
        return f"|: {opening} |1,2. G7 | C :|3. C ||"
    return f"| {opening} |"


@st.composite
def sheet_texts(draw: st.DrawFn, straight: bool = False) -> str:
    """A whole valid sheet: header, sections, keys, meters, remarks, words for the player.

    A `straight` one is played as it is written: no repeats, sections again or optional chords.
    """
    beats = draw(st.sampled_from((4, 3, 5)))
    lines = ["# of our own making", f"Title: Study {draw(st.integers(1, 99))}", f"Time: {beats}/4"]
    lines += draw(st.sampled_from((["Key: Eb"], ["Key: F#m", "Year: 1931"], [])))
    if draw(st.booleans()):
        lines += ['"wait for the singer"', "| G7 / (pickup) |"]
    labels = draw(st.lists(st.sampled_from("ABCD"), min_size=1, max_size=4))
    written: list[str] = []
    for label in labels:
        lines.append("")
        if label in written and not straight and draw(st.booleans()):
            lines.append(f"{label}: again")
            continue
        written.append(label)
        lines += [f"{label}:", *draw(st.sampled_from(([], ["Key: Ab"], ['"softly"'], ["# hm"])))]
        lines += draw(st.lists(passages(beats, straight), min_size=1, max_size=3))
        if draw(st.integers(0, 3)) == 0:
            beats = draw(st.sampled_from((4, 3, 5)))
            lines += [f"Time: {beats}/4", draw(passages(beats, straight))]
    return "\n".join([*lines, *draw(st.sampled_from((["# the end"], [])))]) + "\n"
