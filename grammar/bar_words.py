"""One bar's words made into its chords, signs and jumps, before the beats are shared.

Takes the words between two bar lines, gives a `Draft`: a collector that is private to the readers
of bars and never travels. Every word that cannot be read leaves a problem, and reading goes on.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Final

from .beats import Share
from .errors import Problem
from .mistakes import mistake
from .sheet import Place, SheetChord
from .sheet_chord import read_chord
from .words import Word

#: The longest rest that one sign may stand for.
MAX_REST_BARS: Final = 999
ZERO: Final = Fraction(0)


@dataclass
class Draft:
    """A bar in the making: `entries` are its chords and what each takes of the beats.

    `broken`: a word of it could not be read, so its beats are not counted.
    """

    line: int
    problems: list[Problem]
    entries: list[tuple[SheetChord, Share]] = field(default_factory=list)
    simile: int = 0
    rest_bars: int = 0
    broken: bool = False
    signs: dict[str, Word] = field(default_factory=dict)

    @property
    def is_bar(self) -> bool:
        """Whether it holds anything that sounds or rests, and not signs alone."""
        return bool(self.entries or self.simile or self.rest_bars or self.broken)

    def report(self, label: str, word: Word, **fields: object) -> None:
        """Note a mistake in one of its words."""
        self.problems.append(mistake(label, Place(self.line, word.column), word.text, "", **fields))


def draft_bar(
    words: tuple[Word, ...], line: int, last: SheetChord | None, problems: list[Problem]
) -> Draft:
    """What the words of a bar say. `last` is the chord before it, which a slash first repeats."""
    draft = Draft(line, problems)
    stray: list[Word] = []
    for word in words:
        if word.kind == "stray":
            stray.append(word)
            continue
        _flush(stray, draft)
        _ACTIONS.get(word.kind, _add_sign)(draft, word, last)
    _flush(stray, draft)
    return draft


def _flush(stray: list[Word], draft: Draft) -> None:
    """Report a run of stray characters once."""
    if stray:
        together = "".join(word.text for word in stray)
        draft.report("stray", replace(stray[0], text=together))
        draft.broken = True
        stray.clear()


def _add_chord(draft: Draft, word: Word, last: SheetChord | None) -> None:
    place = Place(draft.line, word.column)
    chord = read_chord(word.text, place, draft.problems)
    draft.broken = draft.broken or chord is None
    _refuse_beside_sign(draft, word)
    if chord is not None:
        draft.entries.append((SheetChord(chord, word.text, place, ZERO, ZERO), Share()))


def _add_silence(draft: Draft, word: Word, last: SheetChord | None) -> None:
    place = Place(draft.line, word.column)
    _refuse_beside_sign(draft, word)
    draft.entries.append((SheetChord(None, word.text, place, ZERO, ZERO), Share()))


def _add_beats(draft: Draft, word: Word, last: SheetChord | None) -> None:
    count = word.count
    if not draft.entries:
        if draft.broken or _refuse_beside_sign(draft, word):
            return
        if last is None:
            draft.report("no-chord-before", word)
            draft.broken = True
            return
        place = Place(draft.line, word.column)
        draft.entries.append((replace(last, place=place, push=False, hold=False), Share()))
        count -= 1
    chord, share = draft.entries[-1]
    draft.entries[-1] = (chord, replace(share, words=share.words + count))


def _add_to_chord(draft: Draft, word: Word, last: SheetChord | None) -> None:
    """A push, a hold, a fixed grip or a length belongs to the chord before it in the bar."""
    if not draft.entries:
        if not draft.broken:
            draft.report("no-chord-before", word)
        draft.broken = True
        return
    chord, share = draft.entries[-1]
    if word.kind == "push":
        chord = replace(chord, push=True)
    elif word.kind == "hold":
        chord = replace(chord, hold=True)
    elif word.kind == "length":
        share = replace(share, length=word.amount)
        if not word.amount:
            draft.report("bad-length", word)
            draft.broken = True
    elif word.frets is None or chord.chord is None:
        draft.report("bad-pin", word)
    else:
        chord = replace(chord, pin=word.frets)
    draft.entries[-1] = (chord, share)


def _refuse_pin(draft: Draft, word: Word, last: SheetChord | None) -> None:
    draft.report("pin-open", replace(word, text=word.text.rstrip()))
    draft.broken = True


def _refuse_beside_sign(draft: Draft, word: Word) -> bool:
    """`%`, `%%` and rests stand alone in their bar: whether the word stands beside one."""
    beside = bool(draft.simile or draft.rest_bars)
    if beside:
        draft.report("mixed-bar", word)
    return beside


def _add_sign_for_bars(draft: Draft, word: Word, last: SheetChord | None) -> None:
    if draft.is_bar:
        draft.report("mixed-bar", word)
        return
    if word.kind == "long_rest":
        draft.rest_bars = word.count
        if not 1 <= word.count <= MAX_REST_BARS:
            draft.report("bad-rest", word, most=MAX_REST_BARS)
            draft.rest_bars = 1
    else:
        draft.simile = 2 if word.kind == "long_simile" else 1


def _add_sign(draft: Draft, word: Word, last: SheetChord | None) -> None:
    if word.kind in draft.signs:
        draft.report("twice-in-bar", word)
    draft.signs[word.kind] = word


_ACTIONS: Final[dict[str, Callable[[Draft, Word, SheetChord | None], None]]] = {
    "chord": _add_chord,
    "silence": _add_silence,
    "beats": _add_beats,
    "push": _add_to_chord,
    "hold": _add_to_chord,
    "pin": _add_to_chord,
    "length": _add_to_chord,
    "open_pin": _refuse_pin,
    "simile": _add_sign_for_bars,
    "long_simile": _add_sign_for_bars,
    "long_rest": _add_sign_for_bars,
}
