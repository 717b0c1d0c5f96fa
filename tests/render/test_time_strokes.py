"""A tune performed as timed strokes, in exact fractions of a beat.

Source: that 2:1 swing puts the Charleston's second stroke at 1 2/3 beats is computed; the rhythms
are common practice, no source.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from midneck.converter.practice.performance import SettingsError
from midneck.converter.practice.rhythm import (
    PATTERNS,
    ChordSpan,
    RhythmError,
    apply_pattern,
    find_pattern,
)
from midneck.converter.timeline import playings, timeline_of
from midneck.grammar.sheet import Meter
from midneck.grammar.text.reader import read_sheet
from support.performances import onsets, played
from support.sheets import sheet_texts


def test_four_to_the_bar_strikes_every_beat() -> None:
    assert onsets(played(rhythm="four-to-the-bar")) == [Fraction(n) for n in range(16)]


@pytest.mark.parametrize(("swing", "second"), [(1, Fraction(3, 2)), (2, Fraction(5, 3))])
def test_the_charleston_falls_where_it_should(swing: int, second: Fraction) -> None:
    found = onsets(played(rhythm="charleston", swing=Fraction(swing)))
    assert found[:4] == [0, second, 4, 4 + second]


@pytest.mark.parametrize("meter", ["6/8", "12/8"])
def test_the_charleston_in_threes_takes_the_third_eighth(meter: str) -> None:
    """Pulse two and its third eighth: 3/2 + 2/2 quarters."""
    text = f"Time: {meter}\n\nA:\n| Dm7 | G7 | C6 | % ||\n"
    assert onsets(played(text, rhythm="charleston"))[:2] == [0, Fraction(5, 2)]


@pytest.mark.parametrize(
    ("first", "later", "seconds"), [("4/4", "6/8", [2.0, 1.5]), ("6/8", "4/4", [1.0, 4 / 3])]
)
def test_a_quarter_lasts_as_long_whatever_the_meter(
    first: str, later: str, seconds: list[float]
) -> None:
    """At 120, quarters or dotted quarters as the tune begins; the hand reckons with the same."""
    text = f"Tempo: 120\nTime: {first}\n\nA:\n| Dm7 ||\n\nTime: {later}\nB:\n| G7 ||\n"
    sheet = read_sheet(text)
    hurry = [one.seconds for one in playings(timeline_of(sheet))]
    performance = played(text)
    middle = next(stroke.at for stroke in performance.strokes if stroke.chord == 1)
    bar, whole = performance.seconds(middle), performance.seconds(performance.length)
    assert hurry == pytest.approx(seconds)
    assert [bar, whole - bar] == pytest.approx(seconds)
    assert played(text, bars=(2, 2)).tempi == performance.tempi


def test_silence_is_not_played() -> None:
    performance = played("A:\n| Dm7 | N.C. | C6 | % ||\n", rhythm="four-to-the-bar")
    assert [at for at in onsets(performance) if 4 <= at < 8] == []


def test_a_push_comes_an_eighth_early() -> None:
    text = "Feel: even eighths\n\nA:\n| Dm7 | G7(push) | C6 | % ||\n"
    early = onsets(played(text, rhythm="four-to-the-bar", swing=Fraction(1)))
    assert Fraction(7, 2) in early
    assert Fraction(4) not in early


def test_repeats_and_choruses_last_as_long_as_the_form() -> None:
    text = "A:\n|: Dm7 |1. G7 :|2. C6 ||\n"
    assert played(text).length == 16
    assert played(text, choruses=3).length == 48


@pytest.mark.parametrize(("beats", "strokes"), [(13, 13), (16, 16), (21, 7)])
def test_a_meter_of_any_length_has_its_rhythm(beats: int, strokes: int) -> None:
    """Scores have bars of any length; 21 eighths are seven dotted quarters."""
    text = f"Time: {beats}/8\n\nA:\n| Dm7 | G7 ||\n"
    assert len(onsets(played(text))) == 2 * strokes
    with pytest.raises(RhythmError, match=r"there are four-to-the-bar, half-notes$"):
        played(text, rhythm="bossa")


@pytest.mark.parametrize(("pickup", "meter"), [("G7", "1/4"), ("G7=1.5", "3/8"),
                                               ("G7=4/3", "21/64")])  # fmt: skip
def test_a_pickup_without_a_count_in_is_a_short_bar(pickup: str, meter: str) -> None:
    """4/3 of a quarter are 21.3 64ths: no time signature counts thirds."""
    performance = played(f"A:\n| {pickup} (pickup) |\n| C6 | % ||\n")
    assert [str(each) for _, each in performance.meters] == [meter, "4/4"]


@pytest.mark.slow
@given(
    text=sheet_texts(),
    rhythm=st.sampled_from([None, *(pattern.name for pattern in PATTERNS)]),
    choruses=st.integers(1, 3),
    count_in=st.integers(0, 1),
)
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_no_stroke_of_the_guitar_runs_into_the_next(
    text: str, rhythm: str | None, choruses: int, count_in: int
) -> None:
    try:
        performance = played(text, rhythm=rhythm, choruses=choruses, count_in=count_in)
    except (RhythmError, SettingsError):
        return
    strokes = [stroke for stroke in performance.strokes if stroke.part == "guitar"]
    for stroke, after in pairwise(strokes):
        assert stroke.at < stroke.at + stroke.length <= after.at
    assert all(0 <= stroke.at < performance.length for stroke in performance.strokes)


def strokes(name: str, *spans: ChordSpan) -> list[tuple[int, Fraction, Fraction]]:
    """The strokes of a bar of 4/4: the chord, the start, the length in quarters."""
    meter = Meter(4, 4)
    found = apply_pattern(find_pattern(name, meter), meter, 0, spans)
    return [(stroke.slot, stroke.at, stroke.length) for stroke in found]


def span(slot: int, start: object, end: object, **said: bool) -> ChordSpan:
    return ChordSpan(slot, Fraction(start), Fraction(end), **said)  # type: ignore[arg-type]


HALF = Fraction(1, 2)


@pytest.mark.parametrize(
    ("after", "expected"),
    [
        # The Charleston strikes on the "and" of 2, half a beat before beat 3.
        (span(1, 2, 4), [(0, 0, Fraction(3, 2)), (1, 3 * HALF, HALF)]),
        # A chord that begins later is struck where it begins, silence and a tie never.
        (span(1, "5/2", 4), [(0, 0, 3 * HALF), (0, 3 * HALF, HALF), (1, 5 * HALF, HALF)]),
        (span(1, 2, 4, silent=True), [(0, 0, 3 * HALF), (0, 3 * HALF, HALF)]),
        (span(1, 2, 4, new=False), [(0, 0, 3 * HALF), (0, 3 * HALF, HALF)]),
        # A hold is one stroke, an early one comes an eighth before.
        (span(1, 2, 4, hold=True), [(0, 0, 3 * HALF), (1, 2, 2)]),
        (span(1, 3, 4, push=True), [(0, 0, 3 * HALF), (0, 3 * HALF, HALF), (1, 5 * HALF, 1)]),
    ],
)  # fmt: skip
def test_a_stroke_before_a_chord_anticipates_it(
    after: ChordSpan, expected: list[tuple[int, Fraction, Fraction]]
) -> None:
    """Worked out from the two strokes 0 to 1.5 and 1.5 to 2 of the pattern."""
    assert strokes("charleston", span(0, 0, after.start), after) == expected


def test_strokes_shortly_after_an_added_one_are_left_out() -> None:
    """Less than a pulse later; the next one stays."""
    four = strokes("four-to-the-bar", span(0, 0, "3/2"), span(1, "3/2", 4))
    assert [(slot, at) for slot, at, _ in four] == [(0, 0), (0, 1), (1, 3 * HALF), (1, 3)]
    late = strokes("charleston", span(0, 0, HALF), span(1, HALF, 4))
    assert [(slot, at) for slot, at, _ in late] == [(0, 0), (1, HALF), (1, 3 * HALF)]
