"""The player: neck, reach of the fingers, weights of effort, preferences, and presets.

Lengths are millimetres; prices are millimetres of effort: 1 mm is what it takes to move the whole
hand 1 mm along the neck. No reach of guitarists' fingers and no weights of effort are published:
all of them are settings, calibrated so that common judgements of players come out (the calibration
tests say which). Tunings are MIDI numbers from the lowest string up.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from typing import Final, Literal

from ...grammar.chord import Chord, Tone
from ...grammar.pitch import ACCIDENTALS, PitchName

#: The pairs of fingers in the order in which `Reach` lists its millimetres.
FINGER_PAIRS: Final = ((1, 2), (2, 3), (3, 4), (1, 3), (2, 4), (1, 4))


@dataclass(frozen=True, slots=True)
class Reach:
    """How far two fingers spread along the neck, in mm, for each pair of `FINGER_PAIRS`.

    Up to `comfort_mm` the hand does not notice; beyond `limit_mm` the grip is out of reach. No
    measured fret reach of guitarists is published: both are settings. The defaults let an adult
    hand cover one fret a finger from fret 3 up without strain, and reach the two-fret spread of
    index and middle finger from fret 1 up.
    """

    comfort_mm: tuple[float, ...] = (36.0, 32.0, 32.0, 64.0, 62.0, 80.0)
    limit_mm: tuple[float, ...] = (72.0, 50.0, 48.0, 100.0, 92.0, 125.0)

    def scaled(self, factor: float) -> Reach:
        """The reach of a hand that is `factor` times as large."""
        return Reach(
            tuple(factor * reach for reach in self.comfort_mm),
            tuple(factor * reach for reach in self.limit_mm),
        )


@dataclass(frozen=True, slots=True)
class Effort:
    """The weights of effort. Fields ending in `_mm` are prices or lengths in mm, others factors.

    Travel, paid once for each change:

    - `shift`: a millimetre that the hand moves along the neck. The unit of all.
    - `leap`: a millimetre beyond `leap_from_mm` again: past the width of the hand (four frets in
      the middle of the neck) the eye has to leave the page to aim.
    - `finger`: a millimetre that a finger moves relative to the hand; a finger is light, an arm is
      not.
    - `place_mm`: a finger put down anew, wherever it lands.
    - `blind_mm`: the least that a change costs in which no finger keeps to a string it was on, so
      that nothing guides the hand: about as much as a shift of two frets.
    - `hurry_s`: seconds that a change takes to think of and make (see `hurry`).

    Strain, paid each time a grip is struck:

    - `stretch`: a millimetre of spread between two fingers beyond comfort.
    - `crowd_mm`: for each fret by which two neighbouring fingers stand closer than one fret a
      finger.
    - `little_mm`: the little finger is the weakest.
    - `barre_mm` for a finger laid over two strings, `barre_string_mm` for each further string.
    - `unmuted_mm`: an unwanted string that no finger can silence.
    - `tolerable_mm`: a root one fret outside the window, dear enough that it happens once in some
      hundreds of chords, where it saves several leaps; `outside_mm`: each fret further.
    - `unsaid_mm`: a tone that the symbol names and the grip leaves out.
    - `habit_mm`: a shape that has a standard fingering, fingered otherwise; `second_mm`: fingered
      in another way that is also in use. `other_mm`: any other shape, fingered otherwise than in
      its easiest way; players know a shape by one fingering.
    """

    shift: float = 1.0
    leap: float = 0.75
    leap_from_mm: float = 75.0
    finger: float = 0.15
    place_mm: float = 3.0
    blind_mm: float = 62.0
    hurry_s: float = 0.25
    stretch: float = 0.45
    crowd_mm: float = 0.8
    little_mm: float = 1.2
    barre_mm: float = 1.2
    barre_string_mm: float = 1.2
    unmuted_mm: float = 3.0
    tolerable_mm: float = 278.0
    outside_mm: float = 250.0
    unsaid_mm: float = 30.0
    habit_mm: float = 70.0
    second_mm: float = 12.0
    other_mm: float = 28.0

    def hurry(self, seconds: float) -> float:
        """How many times its travel a change costs with so many seconds from chord to chord."""
        return 1.0 + self.hurry_s / seconds


MajorTriads = Literal["sixth", "major seventh", "triad"]
MinorTriads = Literal["minor sixth", "minor seventh", "triad"]
DiminishedTriads = Literal["diminished seventh", "triad"]
TonicSevenths = Literal["as written", "sixth", "major seventh"]

ROOT: Final = Tone(1)
_TRIAD_TOPS: Final = {
    ("major", "sixth"): Tone(6),
    ("major", "major seventh"): Tone(7),
    ("minor", "minor sixth"): Tone(6),
    ("minor", "minor seventh"): Tone(7, -1),
    ("diminished", "diminished seventh"): Tone(7, -2),
}
_COLOURS: Final = (Tone(5), Tone(9), Tone(13))


@dataclass(frozen=True, slots=True)
class Preferences:
    """How a player plays what the symbol leaves open; the defaults are those of the swing era.

    `major_triads`: a plain major triad is played as a sixth chord, as a major seventh or as it
    stands; `minor_triads` as a minor sixth, a minor seventh or as it stands; `diminished_triads` as
    a diminished seventh or as it stands. `tonic_sevenths`: written sixths and major sevenths stay
    as they are, or all become sixths (swing era) or all major sevenths (later). Chords with a
    written bass are always played as they stand. Common practice, no source.
    """

    major_triads: MajorTriads = "sixth"
    minor_triads: MinorTriads = "minor sixth"
    diminished_triads: DiminishedTriads = "diminished seventh"
    tonic_sevenths: TonicSevenths = "as written"


def guide_tones(chord: Chord, preferences: Preferences) -> tuple[Tone | None, Tone | None]:
    """The third (or what stands for it) and the seventh (or sixth); None where it has none.

    Third and seventh carry the quality; in sixth chords the sixth stands for the seventh, in
    suspended chords the fourth for the third (common practice, no source).
    """
    tones = {tone.degree: tone for tone in chord.tones}
    third = next((tones[degree] for degree in (3, 4, 2) if degree in tones), None)
    top = next((tones[degree] for degree in (7, 6) if degree in tones), None)
    if chord.kind in ("major-seventh", "major-sixth") and chord.bass is None:
        top = {"sixth": Tone(6), "major seventh": Tone(7)}.get(preferences.tonic_sevenths, top)
    if top is None and chord.bass is None and not chord.changes:
        top = _triad_top(chord.kind, preferences)
    return third, top


def _triad_top(kind: str, preferences: Preferences) -> Tone | None:
    choice = {
        "major": preferences.major_triads,
        "minor": preferences.minor_triads,
        "diminished": preferences.diminished_triads,
    }.get(kind, "")
    return _TRIAD_TOPS.get((kind, choice))


def named_tones(chord: Chord) -> tuple[Tone, ...]:
    """The tones that the symbol itself names besides root and guide tones, the boldest first.

    Altered fifths, added and altered degrees, and the highest extension (9 of C9, 13 of C13); not
    the plain fifth, nor what is merely implied below the highest extension.
    """
    written = {change.degree for change in chord.changes if change.type != "omit"}
    tones = [tone for tone in chord.tones if tone.degree not in (1, 2, 3, 4, 6, 7)]
    highest = max((tone.degree for tone in tones if tone.degree > 7), default=0)
    named = [
        tone
        for tone in tones
        if tone.degree in written
        or tone.degree == highest
        or (tone.alteration != 0 and tone.degree == 5)
    ]
    return tuple(sorted(named, key=lambda tone: (tone.alteration == 0, -tone.degree)))


def colour_tones(chord: Chord) -> tuple[Tone, ...]:
    """What may colour a shell: the tones that the symbol names, else fifth, ninth and thirteenth.

    A thirteenth only where the chord has a major third and a seventh: on others it blurs the
    quality.
    """
    named = named_tones(chord)
    if named:
        return named
    tones = {tone.degree: tone for tone in chord.tones}
    third, seventh = tones.get(3), tones.get(7)
    bright = third is not None and third.alteration == 0 and seventh is not None
    fifth = tones.get(5)
    if fifth is not None and fifth.alteration != 0:
        return (fifth,)
    return tuple(tone for tone in _COLOURS if tone.degree != 13 or bright)


_NAME = re.compile(r"([A-G])([b#♭♯]?)(-?\d)")


def midi_number(name: str) -> int:
    """The MIDI number of a note name with its octave: 40 for `E2`, 60 for `C4`.

    Raises ValueError on anything else. Source: scientific pitch notation with C4 = MIDI 60, the
    numbering of the MIDI Manufacturers Association.
    """
    match = _NAME.fullmatch(name.strip())
    if match is None:
        raise ValueError(f"{name!r} is not a note name with its octave, such as E2 or Bb1")
    letter, sign, octave = match.groups()
    return 12 * (int(octave) + 1) + PitchName(letter).pitch_class + ACCIDENTALS[sign]


#: Strings 6 to 1: E2 A2 D3 G3 B3 E4 (common practice, no source).
STANDARD_TUNING = (40, 45, 50, 55, 59, 64)


@dataclass(frozen=True, slots=True)
class Neck:
    """A fretted neck: open strings as MIDI numbers from the lowest up, scale length, last fret.

    `string_gap_mm` is the distance from one string to the next in the middle of the neck (from
    memory: about 7 mm at the nut, 10 at the bridge). `highest_fret` is the last that the hand
    reaches in comfort (a cutaway raises it), None for the last of the neck.
    """

    tuning: tuple[int, ...] = STANDARD_TUNING
    scale_mm: float = 647.7
    frets: int = 19
    string_gap_mm: float = 8.5
    highest_fret: int | None = None

    def fret_mm(self, fret: int) -> float:
        """Distance of a fret from the nut: L·(1 − 2^(−f/12)), equal temperament."""
        return self.scale_mm * (1.0 - float(2.0 ** (-fret / 12.0)))

    @property
    def last_fret(self) -> int:
        """The highest fret that grips may use."""
        return self.frets if self.highest_fret is None else min(self.highest_fret, self.frets)


@dataclass(frozen=True, slots=True)
class Player:
    """Who plays: the neck, the window of frets kept to where possible, the hand used to fret.

    `fingers` are the player's own fingerings of shapes, as (shape, fingers) in the writing of
    `STANDARD_FINGERINGS`; they stand before the standard ones. `name` is what outputs call the
    player: the name of a preset, that of a player file, "" for the default.
    """

    neck: Neck = Neck()
    window: tuple[int, int] = (3, 10)
    hand: Literal["right", "left"] = "right"
    reach: Reach = field(default_factory=Reach)
    preferences: Preferences = field(default_factory=Preferences)
    effort: Effort = field(default_factory=Effort)
    fingers: tuple[tuple[str, str], ...] = ()
    name: str = field(default="", compare=False)


#: A shorter scale, 24.75 in, as many smaller instruments have it.
SHORT_SCALE_MM: Final = 628.65

#: An adult on a 25.5 in scale: all the defaults.
ADULT: Final = Player()

#: A hand nine tenths as large, on a shorter scale.
SMALL_HAND: Final = Player(
    neck=Neck(scale_mm=SHORT_SCALE_MM), reach=Reach().scaled(0.9), name="small hand"
)

#: Someone in the first months: stretches and barres cost double, a bare shell is as good as one
#: with every tone of the symbol, and thinking takes longer.
BEGINNER: Final = Player(
    effort=replace(
        Effort(), stretch=0.9, barre_mm=2.4, barre_string_mm=2.4, unsaid_mm=0.0, hurry_s=0.5
    ),
    name="beginner",
)

PRESETS: Final = {"adult": ADULT, "small hand": SMALL_HAND, "beginner": BEGINNER}
