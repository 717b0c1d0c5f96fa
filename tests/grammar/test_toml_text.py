"""TOML files that are not trusted: refused before they cost time or memory, read otherwise."""

from __future__ import annotations

import pytest
from midneck.converter.hand.player_file import MOST_NOTED, read_player
from midneck.grammar.errors import SheetError
from midneck.grammar.limits import MAX_DIGITS, MAX_TOML_BYTES, MAX_TOML_DEPTH
from midneck.grammar.toml_text import TomlError, load_toml

REFUSED = {
    "a number of many digits": ("a = 1\nb = " + "9" * 5000, "more than 20 digits (at line 2)"),
    "a hexadecimal one": ("a = 0x" + "f" * 5000, "more than 20 digits (at line 1)"),
    "lists in lists": ("a = " + "[" * 500 + "]" * 500, "nested more than 8 deep"),
    "tables in tables": ("a = " + "{b = " * 500 + "1" + "}" * 500, "nested more than 8 deep"),
    "a dotted key": (".".join(["a"] * 40_000) + " = 1", "nested more than 8 deep"),
    "a dotted key in quotes": (".".join(['"a"'] * 20_000) + " = 1", "nested more than 8 deep"),
    "a dotted table": ("[" + " . ".join(["a"] * 500) + "]", "nested more than 8 deep"),
    "a large text": ("#" * (MAX_TOML_BYTES + 1), "larger than 100,000 bytes"),
    "an open list": ("a = [1,", "Invalid value"),
}


@pytest.mark.parametrize(("text", "reason"), REFUSED.values(), ids=REFUSED.keys())
def test_what_would_be_too_much_is_refused_in_words(text: str, reason: str) -> None:
    with pytest.raises(TomlError) as caught:
        load_toml(text)
    assert reason in str(caught.value)
    with pytest.raises(SheetError) as named:
        read_player(text, "anna.toml")
    assert reason.split(" (at")[0] in str(named.value)


def test_what_stands_in_quotes_and_remarks_counts_for_nothing() -> None:
    quoted = '"' + "9" * 50 + "[" * 50 + '\\"" # ' + "[" * 50 + "9" * 50
    assert load_toml(f"a = {quoted}\n")["a"].startswith("999")
    digits = "1" * MAX_DIGITS
    deep = "[" * MAX_TOML_DEPTH + "]" * MAX_TOML_DEPTH
    assert load_toml(f"a = {digits}\nb = {deep}\nc = '''\n{quoted}\n'''")["a"] == int(digits)


def test_of_many_mistakes_the_first_are_noted() -> None:
    for text in (
        "".join(f"key{at} = {at}\n" for at in range(6000)),
        "[fingers]\n" + "".join(f"s{at} = {at}\n" for at in range(6000)),
    ):
        with pytest.raises(SheetError) as caught:
            read_player(text)
        assert len(caught.value.problems) == MOST_NOTED


@pytest.mark.parametrize("text", ["window = [0, 99999]", "[reach]\nsize = nan", "frets = 10000"])
def test_numbers_of_a_player_are_bounded(text: str) -> None:
    with pytest.raises(SheetError) as caught:
        read_player(text)
    assert len(caught.value.problems) == 1
