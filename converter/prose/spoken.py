"""Names as they are said: notes, keys, chords and numerals in words, for screen readers.

`spoken_chord` reads a symbol aloud: `C minor seven`, `B flat seven flat nine over D`. A quality is
said as its canonical text is written, so that what is heard can be typed; the words for the pieces
of that text are in `_SAID`. Common practice, no source.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final

from ...grammar.chord import Chord, DegreeChange
from ...grammar.key import Key
from ...grammar.numeral import Numeral
from ...grammar.pitch import PitchName, Tone
from ...grammar.quality import quality_text
from .facts import number_words

#: The pieces of canonical texts and how they are said; numbers are said as numbers.
_SAID: Final = {
    "maj": "major", "m": "minor", "dim": "diminished", "aug": "augmented", "sus": "sus",
    "alt": "altered", "add": "add", "no": "no", "b": "flat", "#": "sharp",
    "Neapolitan": "Neapolitan sixth", "Italian": "Italian sixth", "French": "French sixth",
    "German": "German sixth", "Tristan": "Tristan", "pedal": "pedal", "quartal": "quartal",
    "other": "of another kind",
}  # fmt: skip
#: The longest piece first; brackets, commas and strokes are not said.
_PIECE: Final = re.compile("|".join((*sorted(_SAID, key=len, reverse=True), r"\d+", "[(),/]")))
_TIMES: Final = {1: "", 2: "double ", 3: "triple "}


def spoken_note(name: PitchName) -> str:
    """A note: `B flat`, `F sharp`, `C double sharp`."""
    return f"{name.letter}{_accidental(name.alteration)}"


def spoken_key(key: Key) -> str:
    """A key: `B flat major`, `D dorian`."""
    return f"{spoken_note(key.tonic)} {key.mode}"


@lru_cache(maxsize=2048)
def spoken_chord(chord: Chord) -> str:
    """A chord: `C minor seven`, `A flat major over C`; `no chord` for silence."""
    if chord.kind == "none":
        return "no chord"
    bass = "" if chord.bass is None else f" over {spoken_note(chord.bass)}"
    return f"{spoken_note(chord.root)} {spoken_quality(chord.kind, chord.changes) or 'major'}{bass}"


@lru_cache(maxsize=2048)
def spoken_numeral(numeral: Numeral) -> str:
    """A numeral: `two minor seven`, `flat seven seven`, `five seven of two`."""
    quality = spoken_quality(numeral.kind, numeral.changes)
    goal = "" if numeral.of is None else f"of {_degree(numeral.of)}"
    prefix = "substitute" if numeral.substitute else ""
    degree = _degree(Tone(numeral.degree, numeral.alteration))
    return " ".join(part for part in (prefix, degree, quality, goal) if part)


@lru_cache(maxsize=4096)
def spoken_quality(kind: str, changes: tuple[DegreeChange, ...]) -> str:
    """A quality: `minor seven flat five`, `major add sharp eleven`; "" for a major triad."""
    text = quality_text(kind, changes)
    words = " ".join(filter(None, map(_piece, _PIECE.findall(text))))
    # A triad with nothing but changes, C(b5), is not to be heard as C flat.
    return f"major {words}" if text.startswith("(") else words


def _piece(text: str) -> str:
    return number_words(int(text)) if text.isdigit() else _SAID.get(text, "")


def _degree(tone: Tone) -> str:
    return f"{_accidental(tone.alteration).strip()} {number_words(tone.degree)}".strip()


def _accidental(alteration: int) -> str:
    """Flats or sharps with a space before them; "" for none."""
    if not alteration:
        return ""
    times = _TIMES.get(abs(alteration), f"{number_words(abs(alteration))} times ")
    return f" {times}{'sharp' if alteration > 0 else 'flat'}"
