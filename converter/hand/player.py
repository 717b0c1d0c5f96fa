"""The player: neck, reach of the fingers, weights of effort, preferences, and presets.

Lengths are millimetres; prices are millimetres of effort: 1 mm is the effort of moving the whole
hand 1 mm along the neck. No reach of guitarists' fingers and no weights of effort are published:
all of them are settings, calibrated to agree with common judgements of players (the calibration
tests list these). Tunings are MIDI numbers from the lowest string up.
"""

from __future__ import annotations

import re
from dataclasses import field, fields, replace
from typing import Final, Literal, get_args

from ...grammar.checks import (
    check_number,
    check_numbers,
    check_one_of,
    check_text,
    check_type,
    check_whole,
)
from ...grammar.chord import Chord, Tone
from ...grammar.frozen import frozen
from ...grammar.pitch import ACCIDENTALS, PitchName

#: The pairs of fingers in the order in which `Reach` lists its millimetres.
FINGER_PAIRS: Final = ((1, 2), (2, 3), (3, 4), (1, 3), (2, 4), (1, 4))


#: The longest reach of two fingers that a player may have, in mm.
MOST_REACH_MM: Final = 450.0
#: The largest weight of effort.
MOST_EFFORT: Final = 10_000.0


@frozen
class Reach:
    """The spread of two fingers along the neck, in mm, for each pair of `FINGER_PAIRS`.

    A spread up to `comfort_mm` has no cost; a grip with one beyond `limit_mm` is out of reach. No
    measured fret reach of guitarists is published: both are settings. With the defaults an adult
    hand covers one fret a finger from fret 3 up without strain, and reaches the two-fret spread of
    index and middle finger from fret 1 up.
    """

    comfort_mm: tuple[float, ...] = (36.0, 32.0, 32.0, 64.0, 62.0, 80.0)
    limit_mm: tuple[float, ...] = (72.0, 50.0, 48.0, 100.0, 92.0, 125.0)

    def __post_init__(self) -> None:
        for name in ("comfort_mm", "limit_mm"):
            check_numbers(name, getattr(self, name), len(FINGER_PAIRS), (0.0, MOST_REACH_MM))

    def scaled(self, factor: float) -> Reach:
        """The reach of a hand that is `factor` times as large."""
        return Reach(
            tuple(factor * reach for reach in self.comfort_mm),
            tuple(factor * reach for reach in self.limit_mm),
        )


#: How much more some tones count than others that a grip leaves out, because the chord turns on
#: them. These are altered fifths, the seventh beside a flat fifth and that of a dominant: a
#: half-diminished chord sounds as a minor seventh without its fifth, as a minor sixth on its third
#: without its seventh, and G7/B without its seventh as a triad without a tritone that pulls.
MAIN_FACTOR: Final = 3


@frozen
class Effort:
    """The weights of effort. Fields ending in `_mm` are prices or lengths in mm, others factors.

    Travel, counted once for each change:

    - `shift`: a millimetre that the hand moves along the neck, the unit of all prices.
    - `leap`: added for a millimetre beyond `leap_from_mm`: for a shift wider than the hand (four
      frets in the middle of the neck) the player has to look at the neck.
    - `finger`: a millimetre that a finger moves relative to the hand; cheaper than a shift, because
      a finger is lighter than an arm.
    - `place_mm`: a finger put down anew, on any string and fret.
    - `blind_mm`: the minimum cost of a change in which no finger stays on a string, so that nothing
      guides the hand: about as much as a shift of two frets.
    - `slide_mm`: a bass that should move by step and goes to another string or octave (see
      `leading.py`); `line_mm`: the same for the line of chords on one root.
    - `hurry_s`: seconds needed to think of a change and to make it (see `hurry`).

    Strain, counted each time a grip is struck:

    - `stretch`: a millimetre of spread between two fingers beyond comfort.
    - `crowd_mm`: each fret by which two neighbouring fingers are closer than one fret a finger.
    - `little_mm`: a use of the little finger, the weakest.
    - `barre_mm`: a finger on two strings; `barre_string_mm`: each further string.
    - `unmuted_mm`: an unwanted string that no finger can mute.
    - `tolerable_mm`: a lowest note one fret outside the window; the price allows it about once in
      some hundreds of chords, if it saves several leaps; `outside_mm`: each further fret.
    - `unsaid_mm`: a tone that the symbol names and the grip leaves out; `MAIN_FACTOR` times
      that for an altered fifth, for the seventh of a dominant, or for that of a grip that sounds
      a flat fifth.
    """

    shift: float = 1.0
    leap: float = 1.0
    leap_from_mm: float = 75.0
    finger: float = 0.15
    place_mm: float = 3.0
    blind_mm: float = 62.0
    slide_mm: float = 250.0
    line_mm: float = 120.0
    hurry_s: float = 0.25
    stretch: float = 0.45
    crowd_mm: float = 0.8
    little_mm: float = 1.2
    barre_mm: float = 1.2
    barre_string_mm: float = 1.2
    unmuted_mm: float = 3.0
    tolerable_mm: float = 405.0
    outside_mm: float = 250.0
    unsaid_mm: float = 30.0

    def __post_init__(self) -> None:
        for one in fields(self):
            check_number(one.name, getattr(self, one.name), 0.0, MOST_EFFORT)

    def hurry(self, seconds: float) -> float:
        """The factor of a change's travel for that many seconds from chord to chord."""
        return 1.0 + self.hurry_s / seconds


MajorTriads = Literal["sixth", "major seventh", "triad"]
MinorTriads = Literal["minor sixth", "minor seventh", "triad"]
DiminishedTriads = Literal["diminished seventh", "triad"]
TonicSevenths = Literal["as written", "sixth", "major seventh"]

#: The values of each of the `Preferences`.
_CHOICES: Final = {
    "major_triads": MajorTriads,
    "minor_triads": MinorTriads,
    "diminished_triads": DiminishedTriads,
    "tonic_sevenths": TonicSevenths,
}

ROOT: Final = Tone(1)
_TRIAD_TOPS: Final = {
    ("major", "sixth"): Tone(6),
    ("major", "major seventh"): Tone(7),
    ("minor", "minor sixth"): Tone(6),
    ("minor", "minor seventh"): Tone(7, -1),
    ("diminished", "diminished seventh"): Tone(7, -2),
}
_COLOURS: Final = (Tone(5), Tone(9), Tone(13))


@frozen
class Preferences:
    """The chords that a player plays for symbols with a choice; the defaults play triads as
    written.

    `major_triads`: a plain major triad is played as a sixth chord, as a major seventh or as
    written; `minor_triads` as a minor sixth, a minor seventh or as written; `diminished_triads` as
    a diminished seventh or as written. `tonic_sevenths`: sixths and major sevenths are played as
    written, or all as sixths (swing era) or all as major sevenths (later). Chords with a written
    bass are always played as written. Common practice, no source.
    """

    major_triads: MajorTriads = "triad"
    minor_triads: MinorTriads = "triad"
    diminished_triads: DiminishedTriads = "diminished seventh"
    tonic_sevenths: TonicSevenths = "as written"

    def __post_init__(self) -> None:
        for name, kind in _CHOICES.items():
            check_one_of(name, getattr(self, name), get_args(kind))


#: Preferences that play every chord as it is written.
AS_WRITTEN: Final = Preferences("triad", "triad", "triad", "as written")


def guide_tones(chord: Chord, preferences: Preferences) -> tuple[Tone | None, Tone | None]:
    """The third (or its replacement) and the seventh (or sixth) of a chord; None if it has none.

    Third and seventh define the quality; in sixth chords the sixth (or an added thirteenth)
    replaces the seventh, in triads with an altered fifth that fifth, in suspended chords the fourth
    replaces the third (common practice, no source).
    """
    tones = {tone.degree: tone for tone in chord.tones}
    third = next((tones[degree] for degree in (3, 4, 2) if degree in tones), None)
    top = next((tones[degree] for degree in (7, 6, 13) if degree in tones), None)
    if chord.kind in ("major-seventh", "major-sixth") and chord.bass is None:
        top = {"sixth": Tone(6), "major seventh": Tone(7)}.get(preferences.tonic_sevenths, top)
    if top is None and chord.bass is None and not chord.changes:
        top = _triad_top(chord.kind, preferences)
    if top is None and 5 in tones and tones[5].alteration:
        top = tones[5]
    return third, top


def _triad_top(kind: str, preferences: Preferences) -> Tone | None:
    choice = {
        "major": preferences.major_triads,
        "minor": preferences.minor_triads,
        "diminished": preferences.diminished_triads,
    }.get(kind, "")
    return _TRIAD_TOPS.get((kind, choice))


def named_tones(chord: Chord) -> tuple[Tone, ...]:
    """The tones that the symbol names besides root and guide tones, the most prominent first.

    They are altered fifths, added and altered degrees, and the highest extension (9 of C9, 13 of
    C13), without the plain fifth and the extensions that the highest one implies.
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
    """The colour tones for a shell: those that the symbol names, else fifth, ninth and thirteenth.

    The thirteenth needs a major third and a seventh; in other chords it makes the quality unclear.
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

    Raises ValueError for any other text. Source: scientific pitch notation with C4 = MIDI 60, the
    numbering of the MIDI Manufacturers Association.
    """
    match = _NAME.fullmatch(name.strip())
    if match is None:
        raise ValueError(f"{name!r} is not a note name with its octave, such as E2 or Bb1")
    letter, sign, octave = match.groups()
    return 12 * (int(octave) + 1) + PitchName(letter).pitch_class + ACCIDENTALS[sign]


#: Strings 6 to 1: E2 A2 D3 G3 B3 E4 (common practice, no source).
STANDARD_TUNING = (40, 45, 50, 55, 59, 64)


#: The numbers of strings and of frets, the scale lengths and the gaps of strings of a neck.
STRINGS: Final = (3, 12)
FRETS: Final = (5, 36)
SCALES_MM: Final = (200.0, 1200.0)
STRING_GAPS_MM: Final = (4.0, 20.0)


@frozen
class Neck:
    """A fretted neck: open strings as MIDI numbers from the lowest up, scale length, last fret.

    `string_gap_mm` is the distance from one string to the next in the middle of the neck (from
    memory: about 7 mm at the nut, 10 at the bridge). `highest_fret` is the last fret that the hand
    reaches in comfort (higher with a cutaway), None for the last of the neck.
    """

    tuning: tuple[int, ...] = STANDARD_TUNING
    scale_mm: float = 647.7
    frets: int = 19
    string_gap_mm: float = 8.5
    highest_fret: int | None = None

    def __post_init__(self) -> None:
        check_type("tuning", self.tuning, tuple)
        check_whole("number of strings", len(self.tuning), *STRINGS)
        for note in self.tuning:
            check_whole("open string", note, 0, 127)
        check_number("scale_mm", self.scale_mm, *SCALES_MM)
        check_whole("frets", self.frets, *FRETS)
        check_number("string_gap_mm", self.string_gap_mm, *STRING_GAPS_MM)
        if self.highest_fret is not None:
            check_whole("highest_fret", self.highest_fret, *FRETS)

    def fret_mm(self, fret: int) -> float:
        """Distance of a fret from the nut: L·(1 − 2^(−f/12)), equal temperament."""
        return self.scale_mm * (1.0 - float(2.0 ** (-fret / 12.0)))

    @property
    def last_fret(self) -> int:
        """The highest fret that grips may use."""
        return self.frets if self.highest_fret is None else min(self.highest_fret, self.frets)


@frozen(hash_once=True)
class Player:
    """A player: the neck, the preferred window of frets for roots, the fretting hand.

    `fingers` are the player's own fingerings of shapes, as (shape, fingers) in the form of
    `STANDARD_FINGERINGS`; they take precedence over the standard ones. `name` is the player's name
    in outputs: that of a preset or of a player file, "" for the default.
    """

    neck: Neck = Neck()
    window: tuple[int, int] = (3, 10)
    hand: Literal["right", "left"] = "right"
    reach: Reach = field(default_factory=Reach)
    preferences: Preferences = field(default_factory=Preferences)
    effort: Effort = field(default_factory=Effort)
    fingers: tuple[tuple[str, str], ...] = ()
    name: str = field(default="", compare=False)

    def __post_init__(self) -> None:
        parts = (Neck, Reach, Preferences, Effort)
        for name, kind in zip(("neck", "reach", "preferences", "effort"), parts, strict=True):
            check_type(name, getattr(self, name), kind)
        check_numbers("window", self.window, 2, (0, FRETS[1]))
        check_whole("last fret of the window", self.window[1], self.window[0], FRETS[1])
        check_one_of("hand", self.hand, ("right", "left"))
        check_text("name", self.name)


#: A shorter scale, 24.75 in, common on smaller instruments.
SHORT_SCALE_MM: Final = 628.65

#: An adult on a 25.5 in scale: all the defaults.
ADULT: Final = Player()

#: A hand nine tenths as large, on a shorter scale. Its index finger does not stretch away from the
#: others below fret 5: 53 mm from the middle finger, 77 mm from the ring finger and 100 mm from the
#: little finger are less than two, three and four frets there, and more at fret 5.
SMALL_HAND: Final = Player(
    neck=Neck(scale_mm=SHORT_SCALE_MM),
    reach=replace(Reach().scaled(0.9), limit_mm=(53.0, 45.0, 43.2, 77.0, 82.8, 100.0)),
    name="small hand",
)

#: A player in the first months: stretches and barres cost double, a bare shell costs no more than
#: one with every tone of the symbol, thinking takes longer, and the window binds more.
BEGINNER: Final = Player(
    effort=replace(
        Effort(),
        stretch=0.9,
        barre_mm=2.4,
        barre_string_mm=2.4,
        unsaid_mm=0.0,
        hurry_s=0.5,
        tolerable_mm=500.0,
    ),
    name="beginner",
)

PRESETS: Final = {"adult": ADULT, "small hand": SMALL_HAND, "beginner": BEGINNER}
