"""Where the beats of a bar fall, and which bars show them."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from midneck.grammar.text.reader import read_sheet
from midneck.render.page.beats import (
    BarTimes,
    chord_times,
    room_of,
    share,
    shows_beats,
    ticks_of,
    times_in,
)

HALF = Fraction(1, 2)


def chords_of(bar: str, meter: str = "4/4"):
    return read_sheet(f"Time: {meter}\n\nA:\n| {bar} ||\n").bars[0].chords


@pytest.mark.parametrize(("bar", "meter", "shown"), [
    ("C", "4/4", False), ("C F", "4/4", False), ("C / F /", "4/4", False),
    ("C / / F", "4/4", True), ("C=3.5 F=0.5", "4/4", True), ("C F G7", "3/4", False),
    ("C F", "3/4", True), ("C F", "6/8", False), ("C / / / F /", "6/8", True),
    ("C / / F /", "5/4", True), ("C / F / /", "5/4", True), ("C", "7/4", False),
])  # fmt: skip
def test_a_bar_that_is_not_split_evenly_shows_its_beats(bar: str, meter: str, shown: bool) -> None:
    assert shows_beats(chords_of(bar, meter)) is shown


def test_a_pickup_always_shows_how_long_it_is() -> None:
    pickup = read_sheet("Time: 4/4\n\nA:\n| C / (pickup) | F ||\n").bars[0]
    assert shows_beats(pickup.chords, pickup.pickup)
    assert [tick.at for tick in ticks_of(pickup.chords)] == [0, 1]


@pytest.mark.parametrize(("bar", "meter", "expected"), [
    ("C / / F", "4/4", [(0, 0), (1, None), (2, None), (3, 1)]),
    ("C=3.5 F=0.5", "4/4", [(0, 0), (1, None), (2, None), (3, None), (3 + HALF, 1)]),
    ("C F", "3/4", [(0, 0), (1, None), (1 + HALF, 1), (2, None)]),
    ("C=1.5 F=2.5", "4/4", [(0, 0), (1, None), (1 + HALF, 1), (2, None), (3, None)]),
])  # fmt: skip
def test_every_beat_and_every_start_has_a_tick_in_order(bar, meter, expected) -> None:
    assert [(tick.at, tick.chord) for tick in ticks_of(chords_of(bar, meter))] == expected


SIZES = st.lists(st.tuples(st.floats(0, 50), st.floats(0.1, 50)), min_size=1, max_size=8)


@given(SIZES, st.floats(1, 500))
def test_a_room_is_shared_in_proportion_but_none_gets_too_little(pairs, more: float) -> None:
    least, ideal = zip(*pairs, strict=True)
    room = sum(least) + more
    widths = share(least, ideal, room)
    assert sum(widths) == pytest.approx(room)
    grown = [width / each for width, low, each in zip(widths, least, ideal, strict=True)
             if width > low + 1e-6]  # fmt: skip
    assert all(width >= low - 1e-9 for width, low in zip(widths, least, strict=True))
    # Those above their least have one proportion; those at it would get no more by it.
    assert grown
    assert grown == pytest.approx([grown[0]] * len(grown))
    assert all(low >= grown[0] * each - 1e-6 for width, low, each
               in zip(widths, least, ideal, strict=True) if width <= low + 1e-9)  # fmt: skip


def test_too_little_room_is_shared_all_the_same() -> None:
    assert share([30, 10], [1, 1], 20) == pytest.approx([15, 5])
    assert share([], [], 20) == []


def test_times_run_from_chord_to_chord_and_within_one_by_beats() -> None:
    chords = [chord_times(chord.start, chord.beats) for chord in chords_of("C / / F")]
    times = times_in(chords, [60.0, 40.0], 100.0, [5.0] * 4)
    xs = (100.0, 120.0, 140.0, 160.0, 200.0)
    assert times == BarTimes(tuple(map(Fraction, range(5))), xs, (100.0, 160.0))
    assert times.x(Fraction(7, 2)) == 180.0
    assert [times.x(Fraction(at)) for at in (-1, 4, 9)] == [100.0, 200.0, 200.0]
    assert times.moved(5.0).x(Fraction(3)) == 165.0


def test_room_grows_less_than_duration() -> None:
    # 2 ** 0.6 = 1.5157.
    assert room_of(Fraction(4)) / room_of(Fraction(2)) == pytest.approx(1.5157, abs=1e-4)


def test_a_tick_between_beats_tells_its_part_unless_it_is_a_half() -> None:
    labels = [(tick.at, tick.label) for tick in ticks_of(chords_of("C=4/3 F=4/3 G7=4/3"))]
    third = Fraction(1, 3)
    expected = [(0, ""), (1, ""), (1 + third, "1/3"), (2, ""), (2 + 2 * third, "2/3"), (3, "")]
    assert labels == expected
    assert {tick.label for tick in ticks_of(chords_of("C=1.5 F=2.5"))} == {""}
