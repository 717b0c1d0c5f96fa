"""Signs drawn by hand: where they stand, how large they are, how they are symmetric."""

from __future__ import annotations

from collections.abc import Callable
from itertools import chain

import numpy as np
import pytest
from midneck.grammar.chord_parser import parse_chord
from midneck.render.page.drawing.geometry import item_box, union
from midneck.render.page.drawing.items import Box, Circle, Item, Line, Path, Rect, Text
from midneck.render.page.drawing.signs import coda, early, fermata, rest_mark, segno, set_symbol

Sign = Callable[[float, float, float], list[Item]]
Point = tuple[float, float]


def steps(item: Item) -> list[Point]:
    """The points of an item: of its curves and lines, its centre, its corners."""
    if isinstance(item, Path):
        found = [tuple(map(float, step[1:])) for step in item.placed]
        return [(step[at], step[at + 1]) for step in found for at in range(0, len(step), 2)]
    if isinstance(item, Line):
        return [(item.x1, item.y1), (item.x2, item.y2)]
    if isinstance(item, Circle):
        return [(item.x, item.y)]
    if isinstance(item, Rect):
        right, foot = item.x + item.w, item.y + item.h
        return [(item.x, item.y), (right, item.y), (item.x, foot), (right, foot)]
    return []


def points(items: list[Item]) -> list[Point]:
    return [(round(x, 3), round(y, 3)) for x, y in chain.from_iterable(map(steps, items))]


def box(items: list[Item]) -> Box:
    found = union([each for each in map(item_box, items) if each is not None])
    assert found is not None
    return found


@pytest.mark.parametrize("sign", [segno, coda, fermata, early])
def test_a_sign_moves_with_its_place_and_grows_with_its_size(sign: Sign) -> None:
    there = [(x / 8 - 5, y / 8 + 3) for x, y in points(sign(40.0, -24.0, 8.0))]
    assert np.allclose(there, points(sign(0.0, 0.0, 1.0)), atol=2e-3)


@pytest.mark.parametrize(
    ("sign", "turns"),
    [(segno, [(-1, -1)]), (coda, [(-1, 1), (1, -1)]), (fermata, [(-1, 1)]), (early, [(1, -1)])],
)
def test_signs_are_symmetric(sign: Sign, turns: list[tuple[int, int]]) -> None:
    """The segno turned by half a circle, coda and fermata mirrored: as engravers draw them."""
    found = points(sign(0.0, 0.0, 100.0))
    for across, down in turns:
        turned = {(across * x + 0.0, down * y + 0.0) for x, y in found}
        assert {(round(x), round(y)) for x, y in turned} == {
            (round(x + 0.0), round(y + 0.0)) for x, y in found
        }


def test_signs_are_as_large_as_they_say() -> None:
    """Segno and coda 100 points high around their place, a fermata 100 wide on its line.

    The boxes of curves hold their control points and the thickness of lines, so they are larger.
    """
    for sign in (segno, coda):
        left, top, right, foot = box(sign(0.0, 0.0, 100.0))
        assert foot - top == pytest.approx(110.0, abs=10.0)
        assert right - left == pytest.approx(75.0, abs=20.0)
        assert (left + right, top + foot) == pytest.approx((0.0, 0.0), abs=0.5)
    left, top, right, foot = box(fermata(0.0, 0.0, 100.0))
    assert (left, right) == pytest.approx((-50.0, 50.0), abs=7.0)
    assert foot == pytest.approx(0.0, abs=7.0)
    assert -90.0 < top < -50.0
    left, top, right, foot = box(early(0.0, 0.0, 100.0))
    assert (left, right) == pytest.approx((0.0, 100.0), abs=6.0)
    assert (top, foot) == pytest.approx((-26.0, 26.0), abs=1.0)


def test_a_rest_of_several_bars_lies_between_its_posts_under_its_number() -> None:
    bar, one, two, number = rest_mark(12, 30.0, 90.0, 50.0, 10.0)
    assert isinstance(bar, Rect)
    assert (bar.x, bar.w) == (30.0, 60.0)
    assert bar.y + 0.5 * bar.h == pytest.approx(50.0)
    for post, x in ((one, 30.0), (two, 90.0)):
        assert isinstance(post, Line)
        assert (post.x1, post.x2) == (x, x)
        assert 0.5 * (post.y1 + post.y2) == pytest.approx(50.0)
        assert abs(post.y2 - post.y1) > bar.h
    assert isinstance(number, Text)
    assert number.string == "12"
    left, _, right, foot = box([number])
    assert 0.5 * (left + right) == pytest.approx(60.0, abs=0.5)
    assert foot <= min(one.y1, one.y2)  # type: ignore[union-attr]


def test_an_outline_stands_at_its_place() -> None:
    steps = (("M", 1.0, 2.0), ("L", 3.0, 4.0))
    assert Path(steps).placed == steps
    for x, y in ((0.0, 1.0), (1.0, 0.0), (2.0, 3.0)):
        moved = (("M", 1.0 + x, 2.0 + y), ("L", 3.0 + x, 4.0 + y))
        assert Path(steps, x=x, y=y).placed == moved


@pytest.mark.parametrize(
    ("typed", "drawn"),
    [
        ("C7(b9)", "C7♭9"), ("C7(b9,#11)", "C7(♭9♯11)"), ("C7(b9,#9,#11)", "C7(♭9♯9♯11)"),
        ("C7(b9,#11,b13)", "C7(♭9♯11♭13)"), ("C9(add13,no5)", "C9(13,no5)"),
        ("C7(no5,b9,#9,b13)", "C7(♭9♯9♭13,no5)"), ("Cmaj7(#11,add13,no5)", "C△7(♯11,13,no5)"),
    ],
)  # fmt: skip
def test_alterations_stand_apart_by_their_signs_or_by_a_comma(typed: str, drawn: str) -> None:
    symbol = set_symbol(parse_chord(typed), 10.0, "signs")
    item = symbol.at(0.0, 0.0)
    assert isinstance(item, Text)
    assert item.string == drawn
