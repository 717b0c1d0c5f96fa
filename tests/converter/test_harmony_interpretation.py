"""What each dominant resolves to and how its ii is named, in all twelve keys.

The expected readings are common practice, no source, where none stands beside them.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from types import FrameType

import pytest
from midneck.converter.harmony.analyse import analyse
from midneck.converter.harmony.analysis import Analysis
from midneck.converter.harmony.chord_class import ChordClass, Sound
from midneck.converter.harmony.events import Event
from midneck.converter.harmony.interpretation import interpret
from midneck.converter.harmony.preparation import prepared
from midneck.converter.timeline import timeline_of
from support.harmony import INTERVALS, analysed, moved, sheet_of

#: Bars in C or C minor → chord index → its numeral, and the index of its goal (None: left open).
READINGS: dict[str, dict[int, tuple[str, int | None]]] = {
    # V7 before iii resolves to it: iii stands for I, also after a suspension.
    "C6 A7 | Dm7 G7 | Em7 A7 | Dm7 G7 | C6 | % | Dm7 G7 | C6": {3: ("V7", 4), 7: ("V7", 8)},
    "Dm7 | G7sus4 G7 | Em7 | A7 | Dm7 | G7 | C6 | %": {1: ("V7sus4", 2), 2: ("V7", 3)},
    # No arc crosses the tonic.
    "Cmaj7 | Bbm7 Eb7 | Cmaj7 | Ebm7 Ab7 | Dm7 | G7 | C6 | %": {2: ("V7/♭VI", None)},
    # A cadential six-four chord is no arrival.
    "C6 | % | D7 | C/G | G7 | % | C6 | %": {1: ("V7/V", 3)},
    # The ii follows its own V.
    "Cmaj7 | % | F#m7 B7 | Fm7 Bb7 | Em7 | A7 | Dm7 G7 | C6": {
        1: ("ii7/iii", None), 3: ("iv7", None),
    },
    # The chord that follows on the target decides between small and capital.
    "Cmaj7 | B7 | Emaj7 | % | Dm7 | G7 | C6 | %": {1: ("V7/III", 2)},
    "Cmaj7 | B7 | Em7 | % | Dm7 | G7 | C6 | %": {1: ("V7/iii", 2)},
    "C6 | % | C7 | Fm6 | C6 | % | Dm7 G7 | C6": {1: ("V7/iv", 2)},
    "C6 | A7 | D7 | G7 | C6 | % | Dm7 G7 | C6": {1: ("V7/ii", 2), 2: ("V7/V", 3)},
    # An applied ii–V that moves on deceptively.
    "Fmaj7 | % | Cm7 | F7 | Gm7 | C7 | F6 | %": {1: ("ii7/IV", None), 2: ("V7/IV", 3)},
    # An applied dominant up a semitone, as V to bVI (Nettles & Graf 1997).
    "Cmaj7 | E7 | Fmaj7 | Fm6 | C6 | % | Dm7 G7 | C6": {1: ("V7/vi", 2)},
    # The related ii of a tritone substitute; the ii of the V that it replaces.
    "Cmaj7 | % | Ebm7 | Ab7 | G7 | % | C6 | %": {1: ("♭iii7", None), 2: ("subV7/V", 3)},
    "C6 | % | Em7b5 | Eb7 | Dm7 | G7 | C6 | %": {1: ("iiø7/ii", None), 2: ("subV7/ii", 3)},
    # The i of a minor key before IV7 is no ii.
    "Cm6 | Dm7b5 G7 | Cm7 | F7 | Ab7 | G7 | Cm6 | %": {4: ("IV7", None)},
}  # fmt: skip


@pytest.mark.parametrize("bars", READINGS)
def test_dominants_and_their_iis_in_all_keys(bars: str) -> None:
    sheet = sheet_of(bars)
    for interval in INTERVALS:
        found = told(analysed(moved(sheet, interval)))
        assert {at: found[at] for at in READINGS[bars]} == READINGS[bars], interval


def told(analysis: Analysis) -> list[tuple[str, int | None]]:
    assert None not in analysis.readings
    return [(r.roman, r.resolves_to) for r in analysis.readings if r is not None]


def test_dominants_on_one_root_share_the_goal_of_the_last() -> None:
    readings = told(analysed(sheet_of("C6 | D7 | D7/F# | D7/A | G7 | % | C6 | %")))
    assert readings[1:4] == [("V7/V", 4)] * 3


@pytest.mark.parametrize(
    "roots",
    [
        ((7, Sound.DOMINANT, 7), (7, Sound.DOMINANT, 11)),
        ((7, Sound.SUSPENDED, 7), (7, Sound.SUSPENDED, 2)),
        ((7, Sound.SUSPENDED, 7), (7, Sound.DOMINANT, 7)),
    ],
)
def test_the_work_grows_with_the_length_also_where_one_root_never_ends(
    roots: tuple[tuple[int, Sound, int], ...],
) -> None:
    work = {rounds: calls(interpreted(repeated(roots, rounds))) for rounds in (100, 200)}
    assert work[200] <= 2.1 * work[100]


def repeated(roots: tuple[tuple[int, Sound, int], ...], rounds: int) -> list[Event]:
    return [
        Event(ChordClass(*sound), (at,), float(at), 1.0, 0)
        for at, sound in enumerate(roots * rounds)
    ]


@pytest.mark.parametrize("pair", ["G7 | G7sus4", "Cmaj7 | C6/E", "Dm7 | G7 | Cmaj7 | A7"])
def test_the_work_of_the_whole_analysis_grows_with_the_length(pair: str) -> None:
    sheets = [sheet_of(" | ".join([pair] * rounds)) for rounds in (60, 120)]
    timelines = [timeline_of(sheet) for sheet in sheets]
    analyse(timelines[0])
    short, long = (calls(lambda timeline=timeline: analyse(timeline)) for timeline in timelines)
    assert long <= 2.2 * short


def interpreted(events: list[Event]) -> Callable[[], object]:
    heads = prepared(events)
    return lambda: interpret(events, heads, [0] * len(events))


def calls(work: Callable[[], object]) -> int:
    """How many functions are called."""
    count = 0

    def counted(frame: FrameType, event: str, arg: object) -> None:
        nonlocal count
        count += event == "call"

    sys.setprofile(counted)
    try:
        work()
    finally:
        sys.setprofile(None)
    return count
