"""The values that the harmonic analysis gives, and a summary of them.

Chord indices point into `Sheet.chords`. Bars in areas are written bar numbers. `summarise` counts
the keys, ii–V–Is and kinds of areas of one or several tunes, the most frequent first, ties in order
of appearance. Enharmonic keys count as one, under the name of the first of them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import Final, Literal

from ...grammar.frozen import frozen
from ...grammar.key import Key
from ...grammar.numeral import Numeral

#: A reading with a smaller margin than this is doubtful: it is about the price of one borrowed
#: chord of one bar, so that another reading of a single chord could change the key.
DOUBTFUL_MARGIN: Final = 1.0


#: The roles of a chord in its key.
Role = Literal["tonic", "predominant", "dominant", "passing", "colour"]


@frozen
class Reading:
    """The reading of one written chord.

    `numeral` is relative to `key`, with the quality of the chord's sound. `resolves_to` is the
    chord that a dominant aims at, None for other chords and for a dominant that is left open.
    `runner_up` is the next best local key and `margin` its extra price in the units of the
    optimisation (a larger margin is a more certain reading).
    """

    key: Key
    numeral: Numeral
    role: Role
    resolves_to: int | None = None
    runner_up: Key | None = None
    margin: float = 0.0

    @property
    def roman(self) -> str:
        """The text of its numeral, as it is printed: V7/ii, ♭VII7."""
        return self.numeral.typeset

    @property
    def doubtful(self) -> bool:
        """Whether another key is nearly as likely."""
        return self.runner_up is not None and self.margin < DOUBTFUL_MARGIN

    @property
    def sentence(self) -> str:
        """Its numeral with its key: `V7 in G major`, `perhaps ii7 in Ab major` where doubtful."""
        return f"{'perhaps ' * self.doubtful}{self.roman} in {self.key}"

    def label(self, names_key: bool) -> str:
        """Its numeral, with the key where that is named, `?` for doubt: `Ab: ii7`, `Ab?: ii7`."""
        doubt = "?" * self.doubtful
        return f"{self.key.short}{doubt}: {self.roman}" if names_key else f"{self.roman}{doubt}"


#: The kinds of areas.
AREA_KINDS: Final = (
    "ii-V-I", "ii-V", "V-I", "turnaround", "dominant chain", "ii-V chain", "tritone substitute",
    "backdoor", "passing diminished", "common-tone diminished", "deceptive", "borrowed iv",
    "line cliche", "thirds cycle", "tag", "pedal", "vamp", "blues",
)  # fmt: skip

#: Whether an area is a passage of the tune or a detail in one.
AreaLevel = Literal["passage", "detail"]


@frozen
class Area:
    """A stretch of chords that work together, such as a ii–V–I.

    `kind` is one of `AREA_KINDS`. `chords` are in played order; `bars` the written bars of the
    first and the last of them (the last is smaller if the area crosses the loop to the top); a vamp
    and a pedal end with the last bar of their last chord. `resolved` tells whether it reaches its
    goal, and `goal` is the chord that its last dominant resolves to, or None; `immediate` tells
    whether that is its last chord or the next one. `level` is "passage" for the areas that
    together tell the tune, "detail" for those inside them.
    """

    kind: str
    key: Key
    chords: tuple[int, ...]
    bars: tuple[int, int]
    resolved: bool
    goal: int | None = None
    immediate: bool = True
    level: AreaLevel = "passage"


@frozen
class Why:
    """What speaks for the key of the tune.

    `opens`: the form opens on its tonic. `closes`: the written bars of the last cadence to it and
    `cadence` its name, as in `ii–V–I`; None and "" for none. `arrivals` counts the cadences to it;
    `share` is the share of the time in it as local key, from 0 to 1.
    """

    opens: bool
    closes: tuple[int, int] | None
    cadence: str
    arrivals: int
    share: float


@frozen
class Analysis:
    """The analysis of a tune: `key`, one reading for each written chord (None for N.C.), the areas.

    `stated` is the key of the sheet's header, or None; where it is stated, `key` is that key.
    `heard` is the key that the chords speak for, `rival` the next best one and `confidence` the
    share of `heard` among all keys, from 0 to 1; `why` is what speaks for `key`. All four are None
    or 0 where there is no chord.
    """

    key: Key
    readings: tuple[Reading | None, ...]
    areas: tuple[Area, ...]
    stated: Key | None = None
    notes: tuple[str, ...] = ()
    heard: Key | None = None
    rival: Key | None = None
    confidence: float = 0.0
    why: Why | None = None

    @property
    def passages(self) -> tuple[Area, ...]:
        """The areas of the level of passages."""
        return tuple(area for area in self.areas if area.level == "passage")

    def names_key(self, chord: int) -> bool:
        """Whether a chord is read in another key than the last one that was read before it."""
        reading = self.readings[chord]
        if reading is None:
            return False
        before = (self.readings[at] for at in range(chord - 1, -1, -1))
        last = next((one for one in before if one is not None), None)
        return last is None or last.key != reading.key


@frozen
class Summary:
    """`keys` counts chords read in each key, `two_five_ones` the ii–V–Is in each, `kinds` passages.

    `tunes` is how many analyses were counted.
    """

    tunes: int
    keys: tuple[tuple[Key, int], ...]
    two_five_ones: tuple[tuple[Key, int], ...]
    kinds: tuple[tuple[str, int], ...]


def summarise(analyses: Iterable[Analysis]) -> Summary:
    """The totals over one or several analyses."""
    tunes, chords, cadences, kinds = 0, _KeyCount(), _KeyCount(), Counter[str]()
    for analysis in analyses:
        tunes += 1
        chords.add(reading.key for reading in analysis.readings if reading is not None)
        cadences.add(area.key for area in analysis.areas if area.kind == "ii-V-I")
        kinds.update(area.kind for area in analysis.passages)
    return Summary(tunes, chords.most(), cadences.most(), tuple(kinds.most_common()))


class _KeyCount:
    """Counts enharmonic keys as one, under the name of the first."""

    def __init__(self) -> None:
        self._counts: Counter[tuple[int, str]] = Counter()
        self._names: dict[tuple[int, str], Key] = {}

    def add(self, keys: Iterable[Key]) -> None:
        for key in keys:
            sound = (key.tonic.pitch_class, key.mode)
            self._names.setdefault(sound, key)
            self._counts[sound] += 1

    def most(self) -> tuple[tuple[Key, int], ...]:
        return tuple((self._names[sound], count) for sound, count in self._counts.most_common())
