"""The planner's costs of grips and changes against a second working of them.

`support.hand_effort` works from strings, frets and fingers; its head says what it takes from the
product. A price that one of the two reads wrongly, or not at all, fails here.
"""

from __future__ import annotations

from dataclasses import fields, replace
from itertools import pairwise

import pytest
from midneck.converter.hand.costs import (
    PARTS,
    Candidates,
    candidates,
    lead_matrix,
)
from midneck.converter.hand.grip import Grip, Voicing
from midneck.converter.hand.leading import leads_between
from midneck.converter.hand.plan import PlanOptions, Style
from midneck.converter.hand.planner import plan_hand, task_of
from midneck.converter.hand.player import BEGINNER, SMALL_HAND, Effort, Player
from midneck.converter.hand.travel import travel_tables
from support.hand_effort import (
    hand_fret,
    is_muted,
    strain,
    strain_parts,
    touches,
    travel,
    unled,
    x_mm,
)
from support.hand_sheets import chord, sheet, straight

#: The planner leaves no string unmuted by its own choice: the last chord is pinned to open strings.
PINNED, OPEN_STRINGS = "Em7", (0, None, 0, 0, None, None)
#: A ii-V-I, a line on one root, a slide of the bass, altered chords, a chord without its fifth.
SYMBOLS = ["Dm7", "G7b9", "C", "Cmaj7", "C7", "B7", "Em7b5", "A7#11", "D9/F#", "G+7", PINNED]
PLAYERS = (Player(), SMALL_HAND, BEGINNER)
STYLES: tuple[Style, ...] = ("shell", "four-note")
PRICES = [one.name for one in fields(Effort) if one.name != "hurry_s"]


def choices(player: Player, style: Style) -> list[Candidates]:
    """The grips of each chord: of many, some from the cheapest to the dearest."""
    found = []
    for symbol in SYMBOLS[:-1]:
        written = chord(symbol)
        assert written is not None
        all_grips = candidates(written, player, style)
        count = len(all_grips.grips)
        found.append(all_grips.only(range(0, count, max(1, count // 12))))
    pinned = sheet(PINNED, {0: OPEN_STRINGS})
    return [*found, *task_of(straight(pinned), player, PlanOptions()).choices]


def planned_changes(found: list[Candidates]) -> list[list[list[float]]]:
    """What the planner says of each change from a chord to the next."""
    tables = []
    for (symbol, start), (after, goal) in pairwise(zip(SYMBOLS, found, strict=True)):
        table = next(travel_tables([(start.placement, goal.placement)], start.player))
        for lead in leads_between(chord(symbol), chord(after)):
            table += lead_matrix(start, goal, lead)
        tables.append(table.tolist())
    return tables


def own_changes(found: list[Candidates], player: Player) -> list[list[list[float]]]:
    """The same from the second working."""
    tables = []
    for (symbol, start), (after, goal) in pairwise(zip(SYMBOLS, found, strict=True)):
        chords = chord(symbol), chord(after)
        tables.append(
            [
                [travel(a, b, player) + unled((a, b), chords, player) for b in goal.grips]
                for a in start.grips
            ]
        )
    return tables


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("player", PLAYERS, ids=["adult", "small hand", "beginner"])
def test_both_workings_agree_on_every_part_of_strain(player: Player, style: Style) -> None:
    for choice in choices(player, style):
        for grip, row in zip(choice.grips, choice.parts.tolist(), strict=True):
            assert dict(zip(PARTS, row, strict=True)) == pytest.approx(strain_parts(grip, player))


@pytest.mark.parametrize("player", PLAYERS, ids=["adult", "small hand", "beginner"])
def test_both_workings_agree_on_every_change(player: Player) -> None:
    found = choices(player, "shell")
    for planned, own in zip(planned_changes(found), own_changes(found, player), strict=True):
        for row, other in zip(planned, own, strict=True):
            assert row == pytest.approx(other)


def totals(style: Style, used: Player, told: Player) -> tuple[list[float], list[float]]:
    """Strains and changes: the planner's for the player `used`, our own for the player `told`."""
    found = choices(used, style)
    planned = [value for choice in found for value in choice.parts.sum(axis=1).tolist()]
    own = [strain(grip, told) for choice in found for grip in choice.grips]
    planned += [value for table in planned_changes(found) for row in table for value in row]
    own += [value for table in own_changes(found, told) for row in table for value in row]
    return planned, own


@pytest.mark.parametrize("price", PRICES)
def test_one_changed_price_parts_the_two_workings(price: str) -> None:
    """They agree where both know of the change, and on no price where one of them does not."""
    effort = Effort()
    other = replace(Player(), effort=replace(effort, **{price: getattr(effort, price) * 1.25}))
    style: Style = "four-note" if price in ("barre_string_mm", "unsaid_mm") else "shell"
    planned, own = totals(style, other, other)
    assert planned == pytest.approx(own)
    planned, own = totals(style, other, Player())
    assert planned != pytest.approx(own)


@pytest.mark.parametrize(("hurry_s", "tempo"), [(0.25, 60), (0.25, 240), (2.0, 120)])
def test_hurry_counts_by_the_time_for_the_change(hurry_s: float, tempo: int) -> None:
    """A bar of four beats lasts 240 / tempo seconds; there and back is two changes."""
    player = replace(Player(), effort=replace(Effort(), hurry_s=hurry_s))
    written = sheet("Dm7 G7", tempo=tempo)
    plan = plan_hand(straight(written), player)
    one, other = (grip for grip in plan.grips if grip is not None)
    there_and_back = travel(one, other, player) + travel(other, one, player)
    hurry = 1 + hurry_s * tempo / 240
    expected = strain(one, player) + strain(other, player) + there_and_back * hurry
    assert plan.effort_mm == pytest.approx(expected, abs=0.01)


def grip(frets: str, fingers: str) -> Grip:
    """A grip of frets and fingers alone: no hand position, barre or mute is told."""
    rows = [
        tuple(None if word == "x" else int(word) for word in text.split())
        for text in (frets, fingers)
    ]
    return Grip(Voicing(()), rows[0], rows[1], position=0)


def test_the_octave_is_half_the_string_and_the_fifth_a_third_within_two_cents() -> None:
    scale_mm = Player().neck.scale_mm
    assert x_mm(0, Player()) == 0
    assert x_mm(12, Player()) == pytest.approx(scale_mm / 2)
    assert x_mm(7, Player()) == pytest.approx(scale_mm / 3, abs=1.0)  # the pure fifth: 3 : 2


@pytest.mark.parametrize(
    ("frets", "fingers", "at"),
    [
        ("3 x 3 3 x x", "2 x 3 4 x x", 2),
        ("x 3 2 3 x x", "x 2 1 3 x x", 2),
        ("x 8 7 8 x x", "x 3 2 4 x x", 6),
        ("0 x 0 0 x x", "x x x x x x", 1),
    ],
)
def test_the_hand_lies_where_its_lowest_finger_says(frets: str, fingers: str, at: int) -> None:
    assert hand_fret(touches(grip(frets, fingers))) == at


@pytest.mark.parametrize(
    ("frets", "fingers", "string", "muted"),
    [
        ("3 x 3 4 x x", "1 x 2 3 x x", 1, True),  # the finger on string 6 leans on string 5
        ("3 x 3 4 x x", "1 x 2 3 x x", 5, True),  # the index lies flat
        ("x 4 3 x 3 x", "x 2 1 x 1 x", 3, True),
        ("0 x 2 1 x x", "x x 2 1 x x", 1, False),  # the index stands on a higher string
        ("0 x 2 x 0 x", "x x 1 x x x", 5, True),
        ("0 x x 2 0 x", "x x x 2 x x", 2, False),  # the open string above has to sound
    ],
)
def test_a_silent_string_is_muted_by_flesh_that_touches_it(
    frets: str, fingers: str, string: int, muted: bool
) -> None:
    assert is_muted(grip(frets, fingers), string) is muted
