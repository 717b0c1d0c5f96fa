"""Keys: a tonic's name and a mode, printed as `Bb major` or `F# minor`."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final, Literal

from .pitch import PitchName, parse_pitch_name

Mode = Literal["major", "minor"]


@dataclass(frozen=True, slots=True)
class Key:
    """A key of the two-mode system; `fifths` counts sharps (positive) or flats (negative)."""

    tonic: PitchName
    mode: Mode = "major"

    @property
    def fifths(self) -> int:
        """Sharps (positive) or flats (negative) of the key signature."""
        return self.tonic.fifths - (3 if self.mode == "minor" else 0)

    @property
    def short(self) -> str:
        """The key as players write it: `Bb`, `F#m`."""
        return f"{self.tonic}{'m' if self.mode == 'minor' else ''}"

    def __repr__(self) -> str:
        return f"<Key {self}>"

    def __str__(self) -> str:
        return f"{self.tonic} {self.mode}"


_MODE_WORDS: Final[dict[str, Mode]] = {
    "": "major", "M": "major", "m": "minor", "-": "minor", "–": "minor", "−": "minor",
    "maj": "major", "major": "major", "dur": "major",
    "min": "minor", "mi": "minor", "minor": "minor", "moll": "minor",
}  # fmt: skip
_KEY: Final = re.compile(r"([A-Ga-g])(\s*[b♭#♯]|[\s-]?(?i:flat|sharp)|)[\s-]*(.*)", re.S)


def parse_key(text: str) -> Key:
    """The key that a text names: `F`, `Bb major`, `C#m`, `F♯ minor`, `a minor`.

    A small letter needs its mode beside it, since alone it could mean either. Raises ValueError
    with what was expected when it names none.
    """
    word = " ".join(text.split())
    found = _KEY.fullmatch(word)
    if found is None:
        hint = f"; did you mean B{word[1:]}?" if word[:1] in ("H", "h") else ""
        raise ValueError(f"{text!r} is not a key; expected one as in F, Bb major or C#m{hint}")
    letter, sign, rest = found.groups()
    sign = sign.strip(" -").lower().replace("flat", "b").replace("sharp", "#")
    if word.endswith(("-", "–", "−")) and not rest:
        rest = "-"
    mode = _MODE_WORDS.get(rest, _MODE_WORDS.get(rest.lower()))
    if mode is None:
        raise ValueError(f"{rest!r} is not a mode; expected major or minor, as in Bb major or C#m")
    if letter.islower() and len(rest) < 2:
        name = letter.upper() + sign
        raise ValueError(f"a key begins with a capital; did you mean {name} or {name}m?")
    return Key(parse_pitch_name(letter.upper() + sign), mode)
