"""The candidates of each written chord as a sheet and its options constrain them.

Takes a sheet with its pins, a player and `PlanOptions`; gives `Candidates` by the index of the
chord. A pin fixes a grip, the options fix the string or the position of its root. What no hand can
play is a PlanError with a line for each such chord.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ...grammar.chord import Chord, Tone
from ...grammar.frozen import frozen
from ...grammar.pitch import ADDED_TONES
from ...grammar.sheet import Fingers, Frets, Sheet, SheetChord
from .costs import Candidates, candidates, pinned
from .finger_rules import impossible
from .fingerings import stopped_frets
from .grip import VoicedNote, Voicing, frets_text
from .leading import chords_in_lines
from .plan import PlanError, PlanOptions, Style
from .player import Player, guide_tones, named_tones
from .reach import beyond_reach


@frozen
class RootConstraint:
    """The allowed positions of a chord's root: on one `string`, or at one `position`.

    A position is a string and a fret; None is no constraint.
    """

    string: int | None = None
    position: tuple[int, int] | None = None

    def suits(self, position: tuple[int, int]) -> bool:
        """Whether the position is allowed."""
        fits = self.string in (None, position[0])
        return fits and (self.position is None or position == self.position)

    def __str__(self) -> str:
        if self.position is not None:
            return f"on string {self.position[0]} at fret {self.position[1]}"
        return f"on string {self.string}"


#: The frets and the fingers of a pinned grip, None where they are not fixed.
_Pin = tuple[Frets | None, Fingers | None]


def constrained_candidates(
    sheet: Sheet,
    player: Player,
    options: PlanOptions,
    played: Sequence[int],
    shared: Mapping[int, int],
) -> dict[int, Candidates]:
    """The candidates of every written chord that sounds, by its index in `Sheet.chords`.

    `played` are the chords in played order; `first_root_string` applies to the first and to those
    that share its grip (`shared`, as of `shared_chords`). Raises PlanError with one line for each
    chord that the player cannot play.
    """
    firsts = {shared.get(chord, chord) for chord in played[:1]}
    choices: dict[int, Candidates] = {}
    alike: dict[tuple[Chord | None, _Pin, RootConstraint, bool], Candidates] = {}
    in_lines = _in_lines(sheet, played)
    problems = []
    for index, written in enumerate(sheet.chords):
        if written.chord is None:
            continue
        try:
            root = _root_constraint(options, index, shared.get(index, index) in firsts)
            pin = written.pin, written.fingers
            key = written.chord, pin, root, index in in_lines
            if key not in alike:
                alike[key] = _choice(written, player, options.style, root, index in in_lines)
            choices[index] = alike[key]
        except PlanError as problem:
            problems.append(f"{_where(sheet, index)}{written.text}: {problem}")
    if problems:
        raise PlanError("\n".join(problems))
    return choices


def _where(sheet: Sheet, index: int) -> str:
    """Where a chord stands: source, line and column as far as known, and its bar."""
    position = sheet.chords[index].position
    known = f"{sheet.source}:{position.line}:{position.column}: " if sheet.source else ""
    return f"{known}bar {sheet.bar_number_of(index)}, "


def _in_lines(sheet: Sheet, played: Sequence[int]) -> frozenset[int]:
    chords = [(index, sheet.chords[index].chord) for index in (*played, *played[:1])]
    return chords_in_lines([(index, chord) for index, chord in chords if chord is not None])


def _root_constraint(options: PlanOptions, index: int, is_first: bool) -> RootConstraint:
    position = None if options.roots is None else options.roots[index]
    return RootConstraint(options.first_root_string if is_first else None, position)


def _choice(
    written: SheetChord, player: Player, style: Style, root: RootConstraint, in_line: bool
) -> Candidates:
    chord = written.chord
    assert chord is not None  # silence was passed over
    if written.pin is not None:
        return _pinned(chord, written.pin, written.fingers, player)
    choice = candidates(chord, player, style, in_line)
    if not choice.grips:
        raise PlanError("no hand of this reach can hold it on this neck")
    if root == RootConstraint():
        return choice
    rows = [
        row for row, grip in enumerate(choice.grips) if root.suits(grip.voicing.root.fret_position)
    ]
    if not rows:
        raise PlanError(f"no grip has its root {root}")
    return choice.only(rows)


def _pinned(chord: Chord, pin: Frets, fingers: Fingers | None, player: Player) -> Candidates:
    neck = player.neck
    name = f"the pinned grip {frets_text(pin)}"
    if len(pin) != len(neck.tuning):
        raise PlanError(f"{name} has {len(pin)} strings, the neck {len(neck.tuning)}")
    highest = max((fret for fret in pin if fret is not None), default=None)
    if highest is None:
        raise PlanError(f"{name} sounds no string")
    if highest > neck.frets:
        raise PlanError(f"{name} goes to fret {highest}, the neck ends at {neck.frets}")
    if fingers is not None:
        reason = impossible(pin, fingers) or beyond_reach(stopped_frets(pin, fingers), player)
        if reason:
            raise PlanError(f"{name} cannot be held with its fingers: {reason}")
    choice = pinned(_pinned_voicing(chord, pin, player), fingers, player)
    if not choice.grips:
        raise PlanError(f"{name} cannot be fingered within this player's reach")
    return choice


def _pinned_voicing(chord: Chord, pin: Frets, player: Player) -> Voicing:
    """The notes of a pinned grip with their chord tones; foreign notes count as extensions."""
    tuning = player.neck.tuning
    notes = tuple(
        VoicedNote(
            len(tuning) - at, fret, tuning[at] + fret, _tone(chord, tuning[at] + fret, player)
        )
        for at, fret in enumerate(pin)
        if fret is not None
    )
    sounding = {note.midi % 12 for note in notes}
    root = chord.root.pitch_class
    guides = (tone for tone in guide_tones(chord, player.preferences) if tone is not None)
    wanted = (*guides, *named_tones(chord))
    return Voicing(
        notes, tuple(tone for tone in wanted if (root + tone.semitones) % 12 not in sounding)
    )


def _tone(chord: Chord, midi: int, player: Player) -> Tone | None:
    semitones = (midi - chord.root.pitch_class) % 12
    for tone in (*chord.tones, *guide_tones(chord, player.preferences)):
        if tone is not None and tone.semitones % 12 == semitones:
            return tone
    if chord.bass is not None and chord.bass.pitch_class == midi % 12:
        return None
    return ADDED_TONES[semitones]
