"""Player files, book files and the desk's requests of any content: a value, or a refusal in words.

The content is generated: keys of the format with values of every kind of TOML, parameters of an
address with values that exist and others, pins at places that may not be there.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import fields
from typing import TypeVar
from urllib.parse import parse_qsl

import pytest
from hypothesis import given
from hypothesis import strategies as st
from midneck.converter.hand.player_file import read_player
from midneck.grammar.errors import MidneckError, SourcePosition
from midneck.grammar.foreign_text import harmless
from midneck.grammar.text.reader import read_sheet
from midneck.render.book.book import BookOptions
from midneck.render.book.book_file import read_book_file
from midneck.render.charts import chart
from midneck.render.desk.choices import ALLOWED, Choices, from_query
from midneck.render.desk.practice import DrillWish, drill_sheet
from midneck.render.desk.text_places import with_pin
from support.examples import share

T = TypeVar("T")

#: Values of every kind that TOML 1.0 has, fitting and not.
VALUES = (
    "1", "0", "-1", "3.5", "nan", "-inf", "1e400", "9" * 30, "9" * 5000, "true", '""', '"left"',
    '"small hand"', '"major seventh"', '"\\u001b]0;x\\u0007"', '"\\u202e"', '"E2"', '"x 3 2 3 x x"',
    "[]", "[3, 10]", "[10, 3]", '["E2", "A2", "D3", "G3", "B3", "E4"]', '["E2"]', "[[1], [2]]",
    "[36, 32, 32, 64, 62, 80]", "[72, 50, 48, 100, 92, 1e9]", "{}", "{a = 1}", "1979-05-27",
    "07:32:00", "0x1F", "0b1", "[" * 60 + "]" * 60, '"""\nlines\n"""', "'a.txt'", '["a.txt"]',
    '["a.txt", 1]', '"title"',
)  # fmt: skip
PLAYER_KEYS = (
    "name", "preset", "hand", "window", "tuning", "scale_mm", "frets", "highest_fret",
    "string_gap_mm", "reach", "taste", "fingers", "effort", "unknown", '"\\u001b"', "a.b.c",
    "reach.size", "reach.comfort_mm", "reach.limit_mm", "taste.major_triads", "effort.stretch",
    "fingers.x", '"0 x 0 0"',
)  # fmt: skip
BOOK_KEYS = ("tunes", *(field.name for field in fields(BookOptions)), "unknown", '"\\u001b"')


def settings_text(chance: random.Random, keys: tuple[str, ...]) -> str:
    """Some of the keys with any values, now and then a line that is no TOML."""
    lines = [
        f"{chance.choice(keys)} = {chance.choice(VALUES)}" for _ in range(chance.randint(0, 4))
    ]
    if chance.random() < 0.2:
        lines.insert(
            0, chance.choice(("[reach]", "[[taste]]", "[", "= 1", "a", "\x1b", "a = \x00"))
        )
    return "\n".join(lines) + "\n"


def outcome(work: Callable[[], T]) -> tuple[T | None, str]:
    """What the work gives, or what is said when it is refused; any other error passes."""
    try:
        return work(), ""
    except MidneckError as error:
        return None, str(error)


@given(st.integers(0, 10**9))
def test_any_player_file_is_a_player_or_refused(seed: int) -> None:
    text = settings_text(random.Random(seed), PLAYER_KEYS)
    player, said = outcome(lambda: read_player(text, "p.toml"))
    if player is None:
        assert said.startswith("p.toml")
        assert said == harmless(said)
    else:
        grips, said = outcome(lambda: chart("| Dm7 |\n", player=player).plan.grips)
        assert grips or said


@given(st.integers(0, 10**9))
@share(0.5)
def test_any_book_file_is_a_book_or_refused(
    tmp_path_factory: pytest.TempPathFactory, seed: int
) -> None:
    path = tmp_path_factory.getbasetemp() / "any-book.toml"
    path.write_text(settings_text(random.Random(seed), BOOK_KEYS), encoding="utf-8")
    book, said = outcome(lambda: read_book_file(path))
    assert str(path) in said if book is None else book.tunes


WORDS = st.sampled_from(
    [
        "",
        "1",
        "0",
        "left",
        "Eb",
        "h",
        "H",
        "major",
        "Bb",
        "\x1b",
        "<b>",
        "a5",
        "four-note",
        "x" * 99,
    ]
    + [value for values in ALLOWED.values() for value in values]
)


@given(st.dictionaries(st.sampled_from([*(field.name for field in fields(Choices)), "x"]), WORDS))
def test_choices_of_any_address_can_be_used_and_come_back(query: dict[str, str]) -> None:
    choices = from_query(query)
    assert choices.key_choice() is not None
    assert choices.plan_options() is not None
    assert choices.chosen_player() is not None
    assert choices.page_style() is not None
    assert from_query(dict(parse_qsl(choices.to_query()))) == choices


LINES = st.lists(
    st.sampled_from(
        ["| C | F7<x 3 2 3 x x> |", "A:", "", "| C<| C |", "C\x1b<\u202e>", "| C < > |"]
    ),
    max_size=4,
)
GRIP = chart("| C | F7 |\n").plan.grips[0]


@given(LINES, st.integers(-2, 6), st.integers(-2, 30), st.sampled_from(["C", "F7", "", "<", "H"]),
       st.booleans())  # fmt: skip
def test_a_pin_changes_the_brackets_behind_its_chord_alone(
    lines: list[str], line: int, column: int, typed: str, fixed: bool
) -> None:
    text = "\n".join(lines)
    changed = with_pin(text, SourcePosition(line, column), typed, GRIP if fixed else None)
    after = changed.split("\n")
    assert len(after) == len(text.split("\n"))
    others = [at for at in range(len(after)) if at != line - 1]
    assert [after[at] for at in others] == [text.split("\n")[at] for at in others]


@given(
    st.fixed_dictionaries(
        {},
        optional={
            "progression": st.sampled_from(["ii-V-I", "", "H", "I\nIV", "\x1b", "ii7 V7 I" * 99]),
            "key": st.sampled_from(["", "Eb", "H", "\x1b"]),
            "keys": st.sampled_from(["", "C,F", "C F", ",", "H"]),
            "cycle": st.sampled_from(["", "fourths", "x"]),
            "strings": st.sampled_from(["6", "5", "0", "6,5", "x", ""]),
            "repetitions": st.sampled_from([0, -1, 4, 10**9]),
            "bars_per_chord": st.sampled_from(["1", "2", "0", "1/2", "1/0", "x", "9" * 50]),
            "tempo": st.sampled_from([None, 0, 120, 10**9]),
            "rhythm": st.sampled_from(["", "four", "x"]),
        },
    )
)
@share(0.05)
def test_any_wish_for_a_drill_is_a_sheet_or_refused(wish: dict[str, object]) -> None:
    tune = chart(read_sheet("Key: C\n| Dm7 | G7 | Cmaj7 |\n")).comping
    sheet, said = outcome(lambda: drill_sheet(DrillWish(**wish), Choices(), tune))
    assert said if sheet is None else sheet.pages
