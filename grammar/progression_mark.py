"""One numeral or chord of a typed progression, read or reported as a problem.

Takes a `Mark`, gives a `Numeral`. A numeral's quality is read as that of a chord on C; a small one
is minor unless what stands after it says more.
"""

from __future__ import annotations

from .chord import Chord
from .chord_errors import ChordError
from .chord_reader import parse_chord
from .errors import Problem
from .key import Key
from .numeral import ROMAN, Numeral, numeral_of
from .pitch import Tone
from .progression_mistakes import progression_mistake as mistake
from .progression_words import Mark
from .quality import KIND_TONES


def read_mark(mark: Mark, key: Key | None, problems: list[Problem]) -> Numeral | None:
    """The numeral that a word names, in chords by their key; None (and a problem) for none."""
    if mark.kind == "chord":
        chord = read_chord_mark(mark, problems)
        return None if chord is None or key is None else numeral_of(chord, key)
    if not all(_is_roman(roman) for roman in (mark.roman, *(mark.goal or ())[1:])):
        problems.append(mistake("bad-numeral", mark.column, mark.text))
        return None
    small = mark.roman.islower()
    quality = _quality(mark, small, problems)
    if quality is None:
        return None
    if mark.substitute and Tone(7, -1) not in KIND_TONES[quality.kind]:
        problems.append(mistake("substitute-not-dominant", mark.column, mark.text, "subV7"))
        return None
    goal = mark.goal
    return Numeral(
        degree=ROMAN.index(mark.roman.upper()) + 1,
        alteration=_semitones(mark.sign),
        kind=quality.kind,
        changes=quality.changes,
        of=None if goal is None else Tone(ROMAN.index(goal[1].upper()) + 1, _semitones(goal[0])),
        small=goal is not None and goal[1].islower(),
        substitute=mark.substitute,
    )


def _is_roman(text: str) -> bool:
    return text in ROMAN or (text.upper() in ROMAN and text.islower())


def _semitones(sign: str) -> int:
    return sign.count("#") - sign.count("b")


def _quality(mark: Mark, small: bool, problems: list[Problem]) -> Chord | None:
    """The quality of a numeral as a chord on C; a small one is minor unless it says more."""
    suffix = mark.suffix
    for head in ("C", "Cm") if small else ("C",):
        try:
            chord = parse_chord(head + suffix)
        except ChordError:
            continue
        if not small or Tone(3) not in chord.tones:
            return chord
    problems.append(mistake("bad-quality", mark.suffix_column or mark.column, suffix or mark.text))
    return None


def read_chord_mark(mark: Mark, problems: list[Problem]) -> Chord | None:
    """The chord that a word names, None (and a problem) for none or for one over a bass note."""
    try:
        chord = parse_chord(mark.text)
    except ChordError as error:
        problems.append(mistake("bad-chord", mark.column, mark.text, error.suggestion))
        return None
    if chord.bass is not None:
        plain = str(Chord(chord.root, chord.kind, chord.changes))
        problems.append(mistake("bass-note", mark.column, mark.text, plain))
        return None
    return chord
