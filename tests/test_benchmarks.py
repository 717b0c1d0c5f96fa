"""The benchmarks run and say what they should; how fast the machine is, no test asks."""

from __future__ import annotations

import pytest
from benchmarks.rows import HEAD, TINY, Row, at_least, at_most, in_turns, line
from benchmarks.run import chosen, machine, measured, names


@pytest.mark.benchmark
@pytest.mark.parametrize("name", names())
def test_a_benchmark_gives_rows_of_positive_figures(name: str) -> None:
    rows = measured(name, TINY)
    assert rows
    for row in rows:
        assert row.work
        assert row.unit
        assert row.ours > 0
        assert row.figure > 0
        assert row.theirs is None or row.against
    assert len({(row.work, row.against) for row in rows}) == len(rows)


def test_a_least_ratio_says_how_many_times_faster_we_are() -> None:
    row = Row("reading", 2.0, "ms", "a library", 50.0, at_least(20))
    assert (row.figure, row.met) == (25.0, True)
    assert Row("reading", 5.0, "ms", "a library", 50.0, at_least(20)).met is False


def test_a_greatest_ratio_says_how_many_times_as_long_we_take() -> None:
    row = Row("page", 30.0, "ms", "a library", 20.0, at_most(2))
    assert (row.figure, row.met) == (1.5, True)
    assert Row("page", 41.0, "ms", "a library", 20.0, at_most(2)).met is False


def test_without_a_library_the_figure_itself_counts() -> None:
    assert Row("memory", 151.0, "MB", target=at_most(150)).met is False
    assert Row("memory", 150.0, "MB", target=at_most(150)).met is True
    assert Row("memory", 150.0, "MB").met is None


def test_a_row_is_a_line_of_the_table() -> None:
    rows = [
        Row("reading", 2.0, "ms", "a library", 5000.0, at_least(20)),
        Row("memory", 151.0, "MB", target=at_most(150)),
    ]
    lines = [line(row) for row in rows]
    assert lines == [
        "| reading | 2 ms | a library | 5,000 ms | 2,500 × | ≥ 20 × | yes |",
        "| memory | 151 MB |  |  |  | ≤ 150 | **no** |",
    ]
    assert {text.count("|") for text in (*lines, *HEAD.splitlines())} == {8}


def test_works_are_done_in_turns() -> None:
    done: list[str] = []
    times = in_turns(2, lambda: done.append("ours"), lambda: done.append("theirs"))
    assert done == ["ours", "theirs", "ours", "theirs"]
    assert len(times) == 2


def test_a_benchmark_that_is_not_there_is_refused_with_those_that_are() -> None:
    with pytest.raises(SystemExit, match=r"no benchmark 'speed'; there are: chords, .*start"):
        list(chosen(["speed"]))
    assert list(chosen([])) == names()


def test_the_machine_is_named_with_its_libraries() -> None:
    assert "Python 3." in machine()
    assert "music21" in machine()
