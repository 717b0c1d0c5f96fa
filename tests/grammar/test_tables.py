"""The tables that the parsers are made from: there for each grammar, and the same as lark's own."""

from __future__ import annotations

import lark
import pytest
from lark import Lark, Transformer
from midneck.grammar.tables import digest, parser_of, tables_path
from support.abc_tunes import abc_tune
from support.chord_forms import chord_forms
from support.grammars import BUILDERS, GRAMMARS
from support.tunes import tune_text

PROGRESSIONS = [
    "ii7 V7 | I6", "minor: iiø7–V7b9–i6", "subV7/ii – V7/V | % | bVII7 //", "Dm7 G7/B | C? &",
]  # fmt: skip
SIGNS = [
    "|1. C6 | (push) G7<x x 3 4 3 x> :|2-3. N.C. | D.S. al Coda | -- 4 -- |",
    "(pickup) / | % | %% | Fine :|3x segno to coda | <1 2 | ??? @ 𝄆 D.C. al Fine 𝄇",
]


TEXTS = {
    "line": [*SIGNS, *(line for seed in range(12) for line in tune_text(seed).splitlines())],
    "progression": PROGRESSIONS,
    "chord": [f"{root}{form}" for form, _ in chord_forms() for root in ("C", "F#", "Bb")],
    "music": [line for seed in range(12) for line in abc_tune(seed).text.splitlines()],
}


@pytest.mark.parametrize("starts", [["chord"], ["line", "progression"], ["music"]])
def test_every_rule_of_a_grammar_has_its_method(starts: list[str]) -> None:
    rules = Lark(GRAMMARS[starts[0]], start=starts, parser="lalr").rules
    names = {str(rule.alias or rule.origin.name) for rule in rules}
    names = {name for name in names if not name.startswith("_")}
    methods = {name for name in vars(type(BUILDERS[starts[0]])) if not name.startswith("_")}
    assert names == methods
    assert len(names) >= 10


@pytest.mark.parametrize("start", GRAMMARS)
def test_the_file_holds_the_tables_of_the_grammar_as_it_is(start: str) -> None:
    stored = tables_path(start).read_bytes().partition(b"\n")[0]
    made_from = digest(GRAMMARS[start], start, BUILDERS[start])
    assert stored == made_from, "run tests/grammar/regenerate_tables.py"


@pytest.mark.parametrize("start", GRAMMARS)
def test_a_parser_from_tables_reads_as_the_one_that_lark_works_out(start: str) -> None:
    built = Lark(GRAMMARS[start], start=start, parser="lalr", transformer=BUILDERS[start])
    loaded = parser_of(GRAMMARS[start], start, BUILDERS[start])
    for text in TEXTS[start]:
        assert _read(loaded, text) == _read(built, text), text


def _read(parser: Lark, text: str) -> object:
    """What a parser gives for a text, or where it stops."""
    try:
        return parser.parse(text)
    except lark.UnexpectedInput as error:
        return type(error), error.pos_in_stream


def test_a_grammar_without_tables_is_worked_out() -> None:
    class Letters(Transformer[str, int]):
        def start(self, letters: list[str]) -> int:
            return len(letters)

    parser = parser_of("start: LETTER+\nLETTER: /[a-z]/", "start", Letters())
    assert parser.parse("abc") == 3


def test_stored_tables_are_loaded_and_those_of_another_lark_are_not(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    loaded = parser_of(GRAMMARS["line"], "line", BUILDERS["line"])
    assert loaded.source_path == "<deserialized>"
    monkeypatch.setattr(lark, "__version__", "0.0")
    computed = parser_of(GRAMMARS["line"], "line", BUILDERS["line"])
    assert computed.source_path == "<string>"


def test_tables_of_another_transformer_are_not_loaded() -> None:
    class Own(type(BUILDERS["line"])):  # type: ignore[misc]
        pass

    assert parser_of(GRAMMARS["line"], "line", Own()).source_path == "<string>"
