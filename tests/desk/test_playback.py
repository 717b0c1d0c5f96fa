"""The bar that a tab plays, as a stand is told of it."""

from __future__ import annotations

import pytest
from midneck.render.desk.playback import Playback


class Clock:
    """A clock that is set by hand."""

    now = 100.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


def test_a_bar_that_begins_is_told_with_how_long_ago_it_was(clock: Clock) -> None:
    playback = Playback(clock)
    playback.begin("tune.txt", "tab", {"bar": 7, "length": 2.0})
    clock.now += 0.5
    assert playback.place("tune.txt") == {"bar": 7, "length": 2.0, "ago": 0.5}
    assert playback.place("other.txt") is None


def test_a_tab_that_stops_or_goes_silent_plays_nothing(clock: Clock) -> None:
    playback = Playback(clock)
    playback.begin("tune.txt", "tab", {"bar": 7, "length": 2.0})
    playback.stop("another tab")
    assert playback.place("tune.txt") is not None
    clock.now += 6.5
    assert playback.place("tune.txt") is None
    playback.begin("tune.txt", "tab", {"bar": 8, "length": 2.0})
    playback.begin("tune.txt", "tab", {})
    assert playback.place("tune.txt") is None


def test_a_tab_plays_until_it_stops(clock: Clock) -> None:
    playback = Playback(clock)
    assert not playback.plays("tab")
    playback.begin("tune.txt", "tab", {"bar": 7, "length": 2.0})
    assert playback.plays("tab")
    assert not playback.plays("another tab")
    playback.stop("tab")
    assert not playback.plays("tab")


@pytest.mark.parametrize(("ago", "heard"), [(0.0, True), (6.0, True), (6.1, False)])
def test_a_bar_is_heard_for_three_times_its_length(clock: Clock, ago: float, heard: bool) -> None:
    playback = Playback(clock)
    playback.begin("tune.txt", "tab", {"bar": 7, "length": 2.0})
    clock.now += ago
    assert (playback.place("tune.txt") is not None) is heard


@pytest.mark.parametrize(
    ("length", "heard"), [(60.0, True), (60.1, False), (0.1, True), (0, False)]
)
def test_a_bar_lasts_a_minute_at_most(clock: Clock, length: float, heard: bool) -> None:
    playback = Playback(clock)
    playback.begin("tune.txt", "tab", {"bar": 7, "length": length})
    assert (playback.place("tune.txt") is not None) is heard


def test_a_bar_that_is_none_ends_what_its_tab_plays_alone(clock: Clock) -> None:
    playback = Playback(clock)
    for tune, tab in (("a.txt", "one"), ("b.txt", "two")):
        playback.begin(tune, tab, {"bar": 7, "length": 2.0})
    playback.begin("a.txt", "one", {"bar": 8})
    assert playback.place("a.txt") is None
    assert playback.place("b.txt") is not None


@pytest.mark.parametrize(
    "told",
    [None, [], {"bar": "1", "length": 2}, {"bar": 1, "length": float("nan")}, {"bar": True},
     {"bar": 1, "length": -1}, {"bar": 1, "length": 1e9}, {"length": 2}],
)  # fmt: skip
def test_what_is_no_bar_is_not_told(clock: Clock, told: object) -> None:
    playback = Playback(clock)
    playback.begin("tune.txt", "tab", told)
    assert playback.place("tune.txt") is None
