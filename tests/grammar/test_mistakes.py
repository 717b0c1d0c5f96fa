"""Every kind of mistake: its examples are found, with the message of the table and a true place."""

from __future__ import annotations

import json
from dataclasses import asdict

import pytest
from midneck.grammar.errors import SHOWN_PROBLEMS, Problem, SheetError, problem_text
from midneck.grammar.mistakes import MAX_MISTAKES, MISTAKES
from midneck.grammar.text.reader import read_sheet

EXAMPLES = [(label, text) for label, kind in MISTAKES.items() for text in kind.examples]

#: Kinds of whole files and of sizes, which have tests of their own.
OF_FILES = {"too-large", "too-many-lines", "too-many-bars", "too-many-mistakes", "not-utf-8",
            "binary-file", "other-kind", "too-long"}  # fmt: skip


def problems_of(text: str) -> tuple[Problem, ...]:
    with pytest.raises(SheetError) as caught:
        read_sheet(text, "tune.txt")
    return caught.value.problems


@pytest.mark.parametrize(("label", "text"), EXAMPLES, ids=[label for label, _ in EXAMPLES])
def test_each_example_makes_its_mistake_and_no_other(label: str, text: str) -> None:
    problems = problems_of(text)
    assert [problem.label for problem in problems] == [label]
    assert problems[0].message.startswith(MISTAKES[label].message.split("{")[0])


@pytest.mark.parametrize(("label", "text"), EXAMPLES, ids=[label for label, _ in EXAMPLES])
def test_each_place_is_in_the_text(label: str, text: str) -> None:
    lines = text.split("\n")
    for problem in problems_of(text):
        if problem.line:
            assert problem.source == lines[problem.line - 1]
            assert 1 <= problem.column <= len(problem.source) + 1


def test_every_kind_has_examples() -> None:
    assert {label for label, kind in MISTAKES.items() if not kind.examples} == OF_FILES


def test_all_mistakes_of_a_sheet_come_at_once_and_in_order() -> None:
    text = "Key: H\nTime: 4/5\nA:\n| C | Hm7 F# |\n| F / |: G |\nZ: again\n| C Fool |\n"
    assert [(problem.line, problem.label) for problem in problems_of(text)] == [
        (1, "bad-key"), (2, "bad-time"), (4, "bad-chord"), (5, "beat-count"),
        (6, "section-unknown"), (7, "bad-chord"),
    ]  # fmt: skip


def test_two_bad_chords_in_one_bar_are_both_named() -> None:
    assert [problem.column for problem in problems_of("| Xm7 Yb | C |")] == [3, 7]


def test_the_text_of_an_error_names_file_line_column_and_points() -> None:
    with pytest.raises(SheetError) as caught:
        read_sheet("Title: Hush\n| Cm7 | Hm7 |\n", "hush.txt")
    assert str(caught.value) == (
        "hush.txt:2:9: not a chord 'Hm7'; expected a chord symbol such as C6, F#m7b5, Bb13;"
        " did you mean Bm7?\n"
        "    | Cm7 | Hm7 |\n"
        "            ^^^"
    )


def test_the_caret_stands_under_the_text_after_tabs_and_wide_signs() -> None:
    # East Asian Wide signs take two columns (Unicode Standard Annex #11); a tab is kept a tab.
    (problem,) = problems_of("|\tC｜Hm7 |")
    assert problem_text(problem).splitlines()[1:] == ["    |\tC｜Hm7 |", "     \t   ^^^"]


def test_a_long_line_is_cut_around_the_caret() -> None:
    text = "| C " * 300 + "| Hm7 " + "| C " * 300
    shown = problem_text(problems_of(text)[0]).splitlines()
    assert len(shown[1]) <= 104
    at = shown[2].index("^")
    assert shown[1][at : at + 3] == "Hm7"


def test_bad_chord_suggestions_and_beats_come_with_a_remedy() -> None:
    (problem,) = problems_of("| Dm7 G7 C6 |")
    assert (problem.message, problem.suggestion) == (
        "3 chords do not share the 4 beats of 4/4 evenly", "Dm7 / G7 C6",
    )  # fmt: skip


def test_a_tempo_out_of_range_is_told_the_range() -> None:
    (problem,) = problems_of("Tempo: 19\n| C |")
    assert problem.expected == "beats a minute from 20 to 400, as in 126"


def test_thousands_of_mistakes_are_counted_not_shown() -> None:
    problems = problems_of("| H |\n" * 900)
    assert len(problems) == 900
    text = str(SheetError(problems, "x"))
    assert text.endswith(f"… and {900 - SHOWN_PROBLEMS} more")
    assert text.count("\n") < 4 * SHOWN_PROBLEMS


def test_problems_are_plain_data() -> None:
    (problem,) = problems_of("| C | H |")
    assert json.loads(json.dumps(asdict(problem))) == {
        "position": {"line": 1, "column": 7},
        "message": "not a chord", "text": "H", "source": "| C | H |",
        "expected": "a chord symbol such as C6, F#m7b5, Bb13", "suggestion": "B",
        "label": "bad-chord",
    }  # fmt: skip


def test_reading_stops_after_a_thousand_mistakes() -> None:
    problems = problems_of("A:\n" + "| Gxyz | Hm | C / / / / / |\n" * 3000)
    assert MAX_MISTAKES < len(problems) < MAX_MISTAKES + 10
    assert problems[0].label == "too-many-mistakes"
    assert problems[0].message == (
        "there are more than 1000 mistakes; nothing is read past line 335"
    )
