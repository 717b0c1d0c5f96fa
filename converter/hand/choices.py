"""The choice of grips that each chord of a sheet leaves to the planner, pins and wishes obeyed.

Takes a sheet, a player and wishes, gives `Candidates` for each written chord. Everything that no
hand can do is collected and said at once, in a `PlanError`.
"""

from __future__ import annotations

from dataclasses import dataclass

from ...grammar.chord import Chord, Tone
from ...grammar.sheet import Frets, Sheet, SheetChord
from .candidates import Candidates, candidates, gathered
from .grip import VoicedNote, Voicing, written_frets
from .plan import PlanError
from .player import Player
from .taste import guide_tones, named_tones
from .wishes import PlanWishes, Style


@dataclass(frozen=True, slots=True)
class RootWish:
    """Where the root of one chord may lie: on these `strings`, or at one `place`; None: anywhere.

    A place is a string and a fret.
    """

    strings: tuple[int, ...] | None = None
    place: tuple[int, int] | None = None

    def suits(self, place: tuple[int, int]) -> bool:
        """Whether a root may lie there."""
        fits = self.strings is None or place[0] in self.strings
        return fits and (self.place is None or place == self.place)

    def __str__(self) -> str:
        if self.place is not None:
            return f"on string {self.place[0]} at fret {self.place[1]}"
        return f"on string {' or '.join(map(str, self.strings or ()))}"


#: What a note is called that is not among its chord's tones, by semitones above the root.
_FOREIGN = {
    0: Tone(1), 1: Tone(9, -1), 2: Tone(9), 3: Tone(9, 1), 4: Tone(3), 5: Tone(11), 6: Tone(11, 1),
    7: Tone(5), 8: Tone(13, -1), 9: Tone(13), 10: Tone(7, -1), 11: Tone(7),
}  # fmt: skip


def choices_of(
    sheet: Sheet, player: Player, wishes: PlanWishes, first: int | None
) -> dict[int, Candidates]:
    """The candidates of every written chord that sounds, by its index in `Sheet.chords`.

    `first` is the chord that is played first, to which `first_root_string` applies. Raises
    PlanError with one line for each chord that no hand can play.
    """
    numbers = [bar.number for bar in sheet.bars for _ in bar.chords]
    found: dict[int, Candidates] = {}
    alike: dict[tuple[Chord | None, Frets | None, RootWish], Candidates] = {}
    problems = []
    for index, written in enumerate(sheet.chords):
        if written.chord is None:
            continue
        try:
            root = _root_wish(wishes, index, index == first)
            key = written.chord, written.pin, root
            if key not in alike:
                alike[key] = _choice(written, player, wishes.style, root)
            found[index] = alike[key]
        except PlanError as problem:
            problems.append(f"bar {numbers[index]}, {written.text}: {problem}")
    if problems:
        raise PlanError("\n".join(problems))
    return found


def _root_wish(wishes: PlanWishes, index: int, is_first: bool) -> RootWish:
    place = None if wishes.roots is None else wishes.roots[index]
    if is_first and wishes.first_root_string is not None:
        return RootWish((wishes.first_root_string,), place)
    return RootWish(wishes.strings, place)


def _choice(written: SheetChord, player: Player, style: Style, root: RootWish) -> Candidates:
    chord = written.chord
    assert chord is not None  # silence was passed over
    if written.pin is not None:
        return _pinned(chord, written.pin, player)
    found = candidates(chord, player, style)
    if not found.grips:
        raise PlanError("no hand of this reach can hold it on this neck")
    if root == RootWish():
        return found
    rows = [row for row, grip in enumerate(found.grips) if root.suits(grip.voicing.root.place)]
    if not rows:
        raise PlanError(f"no grip has its root {root}")
    return found.only(rows)


def _pinned(chord: Chord, pin: Frets, player: Player) -> Candidates:
    neck = player.neck
    name = f"the pinned grip {written_frets(pin)}"
    if len(pin) != len(neck.tuning):
        raise PlanError(f"{name} has {len(pin)} strings, the neck {len(neck.tuning)}")
    highest = max((fret for fret in pin if fret is not None), default=None)
    if highest is None:
        raise PlanError(f"{name} sounds no string")
    if highest > neck.frets:
        raise PlanError(f"{name} goes to fret {highest}, the neck ends at {neck.frets}")
    found = gathered([_pinned_voicing(chord, pin, player)], player)
    if not found.grips:
        raise PlanError(f"{name} cannot be fingered within this player's reach")
    return found


def _pinned_voicing(chord: Chord, pin: Frets, player: Player) -> Voicing:
    """The notes of a pinned grip, each with the tone it is; foreign ones named as extensions."""
    tuning = player.neck.tuning
    notes = tuple(
        VoicedNote(
            len(tuning) - at, fret, tuning[at] + fret, _tone(chord, tuning[at] + fret, player)
        )
        for at, fret in enumerate(pin)
        if fret is not None
    )
    heard = {note.midi % 12 for note in notes}
    root = chord.root.pitch_class
    guides = (tone for tone in guide_tones(chord, player.taste) if tone is not None)
    wanted = (*guides, *named_tones(chord))
    return Voicing(
        notes, tuple(tone for tone in wanted if (root + tone.semitones) % 12 not in heard)
    )


def _tone(chord: Chord, midi: int, player: Player) -> Tone | None:
    semitones = (midi - chord.root.pitch_class) % 12
    for tone in (*chord.tones, *guide_tones(chord, player.taste)):
        if tone is not None and tone.semitones % 12 == semitones:
            return tone
    if chord.bass is not None and chord.bass.pitch_class == midi % 12:
        return None
    return _FOREIGN[semitones]
