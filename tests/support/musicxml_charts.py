"""Charts built by hand for tests of MusicXML: sheets of all kinds of bars, with plain grips.

The grips are shells on strings 6, 4 and 3 made up here; the readings are made up
too. They only have to be there to be written.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from midneck.converter.chart import CompingChart
from midneck.converter.hand.grip import Barre, Grip, VoicedNote, Voicing
from midneck.converter.hand.plan import GripPlan, PlanOptions, Travel
from midneck.converter.hand.player import STANDARD_TUNING, Player
from midneck.converter.harmony.analysis import Analysis, Reading
from midneck.converter.timeline import Timeline
from midneck.grammar.chord import Chord
from midneck.grammar.form.unfold import Form
from midneck.grammar.key import Key
from midneck.grammar.numeral import Numeral
from midneck.grammar.pitch import PitchName, Tone, parse_pitch_name
from midneck.grammar.sheet import Bar, Header, Meter, Section, Sheet, SheetChord

from .sheets import NOWHERE, without_places

FOUR = Meter(4, 4)


def written(
    symbol: str, start: object, beats: object, pin: tuple[int | None, ...] | None = None,
    push: bool = False, hold: bool = False,
) -> SheetChord:  # fmt: skip
    """A chord from `root kind`, silence from ``."""
    root, _, kind = symbol.partition(" ")
    chord = Chord(parse_pitch_name(root), kind or "major") if root else None
    text = "N.C." if chord is None else str(chord)
    return SheetChord(chord, text, NOWHERE, Fraction(start), Fraction(beats), pin, push, hold)  # type: ignore[arg-type]


def bar(number: int, *chords: SheetChord, meter: Meter = FOUR, **flags: object) -> Bar:
    """A bar with its flags."""
    return Bar(number, meter, chords, NOWHERE, **flags)  # type: ignore[arg-type]


def sheet(bars: list[Bar], sections: list[Section] | None = None, **header: object) -> Sheet:
    """A sheet of one section unless told."""
    whole = [Section("A", 0, len(bars), NOWHERE)]
    return Sheet(Header(**header), tuple(sections or whole), tuple(bars))  # type: ignore[arg-type]


def shell(chord: Chord) -> Grip:
    """Root on string 6, the seventh (or what stands for it) on 4, the third (or so) on 3."""
    root = (chord.root.pitch_class - 5) % 12 + 1
    tones = (Tone(1), _tone(chord, (7, 6, 5, 1)), _tone(chord, (3, 4, 2, 5, 1)))
    frets: list[int | None] = [None] * 6
    notes = []
    for string, tone in zip((6, 4, 3), tones, strict=True):
        name = chord.spelled(tone)
        above = (name.pitch_class - STANDARD_TUNING[6 - string] - root + 6) % 12 - 6
        fret = root + above if root + above >= 0 else root + above + 12
        frets[6 - string] = fret
        notes.append(VoicedNote(string, fret, STANDARD_TUNING[6 - string] + fret, tone))
    flat = frets[2] == frets[3]
    fingers = (2, None, 3, 3 if flat else 4, None, None)
    barres = (Barre(3, notes[1].fret, 4, 3),) if flat else ()
    return Grip(Voicing(tuple(notes)), tuple(frets), fingers, max(root - 1, 1), barres)


def _tone(chord: Chord, degrees: tuple[int, ...]) -> Tone:
    """The first of these degrees that the chord has, its root where it has none."""
    found = (tone for degree in degrees for tone in chord.tones if tone.degree == degree)
    return next(found, Tone(1))


def numeral(at: int) -> Numeral:
    """The made-up numeral under the chord of an index, another one for each of 21 neighbours."""
    return Numeral(at % 7 + 1, at // 7 % 3 - 1)


def chart(tune: Sheet) -> CompingChart:
    """A chart of a sheet: shells (or the pinned frets), a made-up numeral under each chord."""
    grips = tuple(_grip(said) for said in tune.chords)
    key = tune.header.key or Key(PitchName("C"))
    readings = tuple(
        None if said.chord is None else Reading(key, numeral(at), "tonic")
        for at, said in enumerate(tune.chords)
    )
    travel = Travel(0, 0, 0, 0.0, 0, 0, 0, 0.0, True)
    count = len(tune.bars)
    form = Form(tuple(range(count)), (), (), (), 0, count)
    plan = GripPlan(grips, 0.0, travel, grips)
    analysis = Analysis(key, readings, ())
    return CompingChart(Timeline(tune, form, ()), analysis, plan, Player(), PlanOptions())


def _grip(said: SheetChord) -> Grip | None:
    if said.chord is None:
        return None
    grip = shell(said.chord)
    if said.pin is None:
        return grip
    return replace(grip, frets=said.pin, fingers=tuple(None for _ in said.pin), barres=())


def music_of(tune: Sheet) -> Sheet:
    """The sheet less what a score does not hold: places, spelling of symbols, remarks, warnings."""
    return replace(without_places(tune, with_text=False), comments=(), warnings=())
