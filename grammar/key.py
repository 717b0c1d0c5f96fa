"""Keys: a tonic's name and a mode, printed as `Bb major`, `F# minor` or `D dorian`."""

from __future__ import annotations

import re
from functools import cache
from typing import Final, Literal

from .checks import check_one_of, check_text, check_type
from .frozen import frozen
from .pitch import LETTERS, Interval, PitchName, parse_pitch_name

Tonality = Literal["major", "minor"]
Mode = Literal[
    "major", "minor", "ionian", "dorian", "phrygian", "lydian", "mixolydian", "aeolian", "locrian"
]
#: How many fifths the tonic of a mode lies above that of the major key with the same signature.
MODE_FIFTHS: Final[dict[Mode, int]] = {
    "major": 0, "minor": 3, "ionian": 0, "dorian": 2, "phrygian": 4, "lydian": -1,
    "mixolydian": 1, "aeolian": 3, "locrian": 5,
}  # fmt: skip


@frozen
class Key:
    """A major or minor key, or one of the seven modes of the major scale."""

    tonic: PitchName
    mode: Mode = "major"

    def __post_init__(self) -> None:
        check_type("tonic", self.tonic, PitchName)
        check_one_of("mode", self.mode, MODE_FIFTHS)

    @property
    def fifths(self) -> int:
        """Sharps (positive) or flats (negative) of the key signature."""
        return self.tonic.fifths - MODE_FIFTHS[self.mode]

    @property
    def tonality(self) -> Tonality:
        """Major or minor by the third of its scale."""
        return "minor" if 3 in self.scale else "major"

    @property
    def modal(self) -> bool:
        """Whether it is neither a major nor a minor key."""
        return self.mode not in ("major", "minor")

    @property
    def plain(self) -> Key:
        """The major or minor key with its signature and its third: A minor of D dorian."""
        fifths = MODE_FIFTHS[self.tonality] - MODE_FIFTHS[self.mode]
        return Key(self.tonic.up(Interval(4 * fifths, 7 * fifths)), self.tonality)

    @property
    def scale(self) -> tuple[int, ...]:
        """Its seven notes in semitones above the tonic; minor is natural minor."""
        return _scale(self.mode)

    @property
    def short(self) -> str:
        """The key as players write it: `Bb`, `F#m`, `D dorian`."""
        return str(self) if self.modal else f"{self.tonic}{'m' if self.mode == 'minor' else ''}"

    def __repr__(self) -> str:
        return f"<Key {self}>"

    def __str__(self) -> str:
        return f"{self.tonic} {self.mode}"


@cache
def _scale(mode: Mode) -> tuple[int, ...]:
    lowest = -1 - MODE_FIFTHS[mode]
    return tuple(sorted(7 * place % 12 for place in range(lowest, lowest + 7)))


_MODE_WORDS: Final[dict[str, Mode]] = {
    "": "major", "M": "major", "m": "minor", "-": "minor", "–": "minor", "−": "minor",
    "maj": "major", "major": "major", "dur": "major",
    "min": "minor", "mi": "minor", "minor": "minor", "moll": "minor",
    "ionian": "ionian", "dorian": "dorian", "phrygian": "phrygian", "lydian": "lydian",
    "mixolydian": "mixolydian", "aeolian": "aeolian", "locrian": "locrian",
    "ion": "ionian", "dor": "dorian", "phr": "phrygian", "lyd": "lydian", "mix": "mixolydian",
    "aeo": "aeolian", "loc": "locrian",
}  # fmt: skip
_KEY: Final = re.compile(r"([A-Ga-g])(\s*[b♭#♯]|[\s-]?(?i:flat|sharp)|)[\s-]*(.*)", re.S)


def mode_named(word: str) -> Mode | None:
    """The mode that a word after a tonic names, as in `m`, `Major`, `dorian`; None for none."""
    return _MODE_WORDS.get(word, _MODE_WORDS.get(word.lower()))


def keys_on(pitch_class: int, mode: Mode) -> list[Key]:
    """The keys of a mode on a pitch class, by its names with at most one accidental."""
    names = (PitchName(letter, sign) for letter in LETTERS for sign in (-1, 0, 1))
    return [Key(name, mode) for name in names if name.pitch_class == pitch_class]


def parse_key(text: str) -> Key:
    """The key that a text names: `F`, `Bb major`, `C#m`, `F♯ minor`, `a minor`, `D dorian`.

    A small letter needs its mode beside it, since alone it could mean either. Raises ValueError
    with what was expected when it names none.
    """
    check_text("a key", text)
    word = " ".join(text.split())
    found = _KEY.fullmatch(word)
    if found is None:
        hint = f"; did you mean B{word[1:]}?" if word[:1] in ("H", "h") else ""
        raise ValueError(f"{text!r} is not a key; expected one as in F, Bb major or C#m{hint}")
    letter, sign, rest = found.groups()
    sign = sign.strip(" -").lower().replace("flat", "b").replace("sharp", "#")
    if word.endswith(("-", "–", "−")) and not rest:
        rest = "-"
    mode = mode_named(rest)
    if mode is None:
        raise ValueError(
            f"{rest!r} is not a mode; expected major, minor or a mode, as in Bb, C#m or D dorian"
        )
    if letter.islower() and len(rest) < 2:
        name = letter.upper() + sign
        raise ValueError(f"a key begins with a capital; did you mean {name} or {name}m?")
    return Key(parse_pitch_name(letter.upper() + sign), mode)
