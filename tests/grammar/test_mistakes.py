"""Every kind of mistake: its examples are found, with the message of the table and a true place."""

from __future__ import annotations

import inspect
import json
import re
from dataclasses import asdict

import pytest
from midneck.grammar import mistakes
from midneck.grammar.errors import SHOWN_PROBLEMS, Problem, SheetError, problem_text
from midneck.grammar.limits import MAX_LINE, MAX_MISTAKES
from midneck.grammar.mistakes import (
    ABC_MISTAKES,
    MISTAKES,
    PROGRESSION_MISTAKES,
)
from midneck.grammar.text.reader import read_sheet

OTHERS = {*PROGRESSION_MISTAKES, *ABC_MISTAKES}
SHEET_KINDS = {label: kind for label, kind in MISTAKES.items() if label not in OTHERS}
EXAMPLES = [(label, text) for label, kind in MISTAKES.items() for text in kind.examples]

#: Kinds of whole files and of sizes, which have tests of their own.
OF_FILES = {"too-large", "too-many-lines", "too-many-bars", "too-many-mistakes", "not-utf-8",
            "binary-file", "other-kind", "too-long", "played-chords", "played-beats",
            "line-too-long", "text-too-long"}  # fmt: skip
#: Kinds that `parse_chord` alone reports: a sheet reads such text as no chord.
OF_CHORDS = {"chord-missing", "chord-silence", "bass-missing"}


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
    without = {label for label, kind in SHEET_KINDS.items() if not kind.examples}
    assert without == OF_FILES | OF_CHORDS


def test_all_mistakes_of_a_sheet_come_at_once_and_in_order() -> None:
    text = "Key: H\nTime: 4/5\nA:\n| C | Hm7 F# |\n| F / |: G |\nZ: again\n| C Fool |\n"
    assert [(problem.line, problem.label) for problem in problems_of(text)] == [
        (1, "bad-key"), (2, "bad-time"), (4, "root-h"), (5, "beat-count"),
        (6, "section-unknown"), (7, "bad-degree"),
    ]  # fmt: skip


def test_two_bad_chords_in_one_bar_are_both_named() -> None:
    assert [problem.column for problem in problems_of("| Xm7 Yb | C |")] == [3, 7]


def test_the_text_of_an_error_names_file_line_column_and_points() -> None:
    with pytest.raises(SheetError) as caught:
        read_sheet("Title: Hush\n| Cm7 | Hm7 |\n", "hush.txt")
    assert str(caught.value) == (
        "hush.txt:2:9: H is written B here, and the German B is Bb 'H'; expected a root from"
        " A to G, as in C, Bb or F#; did you mean Bm7?\n"
        "    | Cm7 | Hm7 |\n"
        "            ^"
    )


def test_the_caret_stands_under_the_text_after_tabs_and_wide_signs() -> None:
    # East Asian Wide signs take two columns (Unicode Standard Annex #11); a tab is kept a tab.
    (problem,) = problems_of("|\tC｜Hm7 |")
    assert problem_text(problem).splitlines()[1:] == ["    |\tC｜Hm7 |", "     \t   ^"]


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


def test_the_first_line_past_the_limit_is_named() -> None:
    """A line of just the most characters may stand."""
    most = "| C | " + " " * (MAX_LINE - 6)
    problems = problems_of(f"{most}\n{most} \n{most}  ")
    assert [(one.label, one.line, one.column) for one in problems] == [
        ("line-too-long", 2, MAX_LINE + 1)
    ]


def test_thousands_of_mistakes_are_counted_not_shown() -> None:
    problems = problems_of("| H |\n" * 900)
    assert len(problems) == 900
    text = str(SheetError(problems, "x"))
    assert text.endswith(f"… and {900 - SHOWN_PROBLEMS} more")
    assert text.count("\n") < 4 * SHOWN_PROBLEMS


def test_problems_are_plain_data() -> None:
    (problem,) = problems_of("| C | H |")
    assert json.loads(json.dumps(asdict(problem))) == {
        "position": {"line": 1, "column": 7}, "text": "H", "source": "| C | H |",
        "message": "H is written B here, and the German B is Bb",
        "expected": "a root from A to G, as in C, Bb or F#", "suggestion": "B", "label": "root-h",
    }  # fmt: skip


def test_reading_stops_after_a_thousand_mistakes() -> None:
    problems = problems_of("A:\n" + "| Gxyz | Hm | C / / / / / |\n" * 3000)
    assert MAX_MISTAKES < len(problems) < MAX_MISTAKES + 10
    assert problems[0].label == "too-many-mistakes"
    assert problems[0].message == (
        "there are more than 1000 mistakes; nothing is read past line 335"
    )


@pytest.mark.parametrize(
    ("bar", "part", "reason", "suggestion"),
    [
        ("| F | C7(b9 | G7 |", "(b9", "the bracket is not closed '(b9'; expected )", "C7(b9)"),
        (
            "| F | C7 (b9, #11 |",
            "(b9, #11",
            "the bracket is not closed '(b9, #11'; expected )",
            "C7 (b9, #11)",
        ),
        ("| F | C7() |", "()", "there is nothing in the brackets", ""),
        ("| F | C7b9) |", ")", "this closes nothing ')'", ""),
        ("| F | Cm7/g |", "g", "not a bass note 'g'; expected a bass note from A to G", "Cm7/G"),
        ("| F | C/Hb |", "Hb", "not a bass note 'Hb'", "C/Bb"),
        ("| F | Gmoj7 |", "oj7", "not part of a chord 'oj7'", "Gmaj7"),
        ("| F | Bbyes |", "yes", "not a quality 'yes'; expected a quality such as m7", ""),
        ("| F | dm7 |", "d", "roots are capitals 'd'", "Dm7"),
        ("| F | Ｃ7(b9 |", "(b9", "the bracket is not closed '(b9'", "C7(b9)"),
    ],
)
def test_the_reason_and_the_caret_of_a_chord_error_reach_the_reader(
    bar: str, part: str, reason: str, suggestion: str
) -> None:
    (problem,) = problems_of(f"Title: Hush\n{bar}\n")
    assert (problem.line, problem.column) == (2, bar.index(part, 6) + 1)
    text = problem_text(problem, "hush.txt")
    assert f"hush.txt:2:{problem.column}: {reason}" in text
    assert problem.suggestion == suggestion
    caret = text.splitlines()[-1][4:]
    if "Ｃ" not in bar:
        assert caret.index("^") == problem.column - 1


def test_a_problem_stays_where_it_is_when_its_text_stands_again_later() -> None:
    assert [one.column for one in problems_of("| Ｈm7 | Hm7 |")] == [3, 9]


def test_no_label_is_in_the_table_twice() -> None:
    labels = re.findall(r'^    "([a-z-]+)": Mistake\(', inspect.getsource(mistakes), re.MULTILINE)
    assert len(labels) > 50
    assert len(labels) == len(set(labels))
