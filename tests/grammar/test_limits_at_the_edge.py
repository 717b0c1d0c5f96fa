"""What lies exactly at a limit is read, and what lies one beyond it is refused by that limit.

The numbers stand here as they are promised (`midneck format`, messages), not as names, so that a
limit that moves shows.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from midneck.grammar.abc import read_abc
from midneck.grammar.errors import MidneckError, SheetError
from midneck.grammar.musicxml.reader import read_musicxml
from midneck.grammar.text.progression import read_progression
from midneck.grammar.text.reader import read_sheet
from midneck.grammar.toml_text import load_toml
from support.sheets import read_text


def abc(body: str, *fields: str) -> str:
    """A tune in ABC."""
    return "\n".join(["X:1", *fields, "L:1/4", "K:C", body])


def score(attributes: str, notes: str) -> bytes:
    """A score of one measure in MusicXML, four divisions to a quarter."""
    return (
        '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name/></score-part>'
        '</part-list><part id="P1"><measure number="1"><attributes><divisions>4</divisions>'
        f"{attributes}</attributes><harmony><root><root-step>C</root-step></root><kind>major</kind></harmony>"
        f"{notes}</measure></part></score-partwise>"
    ).encode()


def nested(depth: int) -> bytes:
    """A score with elements so deep in each other."""
    inner = depth - 4
    return score("", "<note>" + "<x>" * inner + "</x>" * inner + "<duration>16</duration></note>")


def meter(beats: int) -> str:
    return f"<time><beats>{beats}</beats><beat-type>4</beat-type></time>"


NOTE = "<note><rest/><duration>16</duration></note>"
#: What is counted → the greatest number, what is made of so many, its reader, its label or words.
EDGES: dict[str, tuple[int, Callable[[int], Any], Callable[[Any], object], str]] = {
    "characters of a symbol": (80, lambda n: f"| C{'7' * (n - 1)} |", read_sheet, "chord-too-long"),
    "characters of a title": (
        4_000, lambda n: f"Title: {'x' * n}\n| C |", read_sheet, "text-too-long",
    ),
    "characters of two composers": (
        4_000, lambda n: f"By: {'x' * (n - 3)}\nComposer: y\n| C |", read_sheet, "text-too-long",
    ),
    "characters of a remark": (
        4_000, lambda n: f"| C |\n#{'x' * (n - 1)}", read_sheet, "text-too-long",
    ),
    "characters of a text": (
        4_000, lambda n: f'| C |\n"{"x" * n}"', read_sheet, "text-too-long",
    ),
    "times of a repeat": (100, lambda n: f"|: C :|{n}x\n", read_sheet, "repeat-count"),
    "bars of a rest": (999, lambda n: f"| C | -{n}- |", read_sheet, "bad-rest"),
    "beats of a meter": (512, lambda n: f"Time: {n}/64\n| C |", read_sheet, "bad-time"),
    "lines": (20_000, lambda n: "| C |" + "\n" * (n - 1), read_sheet, "too-many-lines"),
    "characters of a line": (
        100_000, lambda n: f"| C |{' ' * (n - 5)}", read_sheet, "line-too-long",
    ),
    "bytes of a text": (
        4_000_000, lambda n: b"| C |\n" + (b"#" + b"x" * 998 + b"\n") * (n // 1_000 - 1)
        + b"#" * (n % 1_000 + 994), read_text, "too-large",
    ),
    "written bars": (
        20_000, lambda n: "| C " + "| -999- " * 20 + f"| -{n - 19_981}- |", read_sheet,
        "too-many-bars",
    ),
    "played bars": (
        50_000, lambda n: f"A:\n| C | -999- |\nB:\n| C | C | -{n - 49_002}- |\n"
        + "A: again\n" * 48, read_sheet, "too-long",
    ),
    "beats": (
        200_000, lambda n: f"Time: 500/64\n| C | -398- |\nTime: {n - 199_500}/64\n| C |",
        read_sheet, "played-beats",
    ),
    "characters of a progression": (
        1_000, lambda n: "ii7" + " " * (n - 3), read_progression, "progression-too-long",
    ),
    "chords of a progression": (
        64, lambda n: "| " + " ".join(["ii7"] * 4 + ["|"]) * (n // 4) + " ii7 |" * (n % 4),
        read_progression, "progression-too-many",
    ),
    "bars of a progression": (
        64, lambda n: "| ii7 " + "| % " * (n - 1) + "|", read_progression, "progression-too-many",
    ),
    "quarters of an ABC bar": (
        128, lambda n: abc(f'"C"c{n}|]', "M:none"), read_abc, "abc-long-bar",
    ),
    "bars of an ABC rest": (999, lambda n: abc(f'"C"c4|Z{n}|]', "M:4/4"), read_abc, "bad-rest"),
    "lines of ABC": (
        20_000, lambda n: abc('"C"c4|]', "M:4/4") + "\n" * (n - 5), read_abc, "too-many-lines",
    ),
    "characters of an ABC line": (
        100_000, lambda n: abc(f'"C"c4|]{" " * (n - 7)}', "M:4/4"), read_abc, "line-too-long",
    ),
    "characters of an ABC title": (
        4_000, lambda n: abc('"C"c4|]', f"T:{'x' * n}", "M:4/4"), read_abc, "text-too-long",
    ),
    "depth of a score": (64, nested, read_musicxml, "nested deeper"),
    "beats of a score's meter": (
        512, lambda n: score(meter(n), NOTE), read_musicxml, "a time signature has 1 to 512 beats",
    ),
    "quarters of a measure": (
        2_048, lambda n: score("", f"<note><rest/><duration>{4 * n}</duration></note>"),
        read_musicxml, "longer",
    ),
    "times of a score's repeat": (
        100, lambda n: score(
            "", f'{NOTE}<barline><repeat direction="backward" times="{n}"/></barline>'
        ), read_musicxml, "a repeat is played 1 to 100 times",
    ),
    "depth of a table": (8, lambda n: f"a = {'[' * n}{']' * n}", load_toml, "nested more than 8"),
    "depth of names": (
        8, lambda n: f"[{'.'.join('abcdefghij'[: n + 1])}]", load_toml, "nested more than 8",
    ),
    "digits of a number": (20, lambda n: f"a = 0.{'9' * n}", load_toml, "more than 20 digits"),
    "bytes of a table": (100_000, lambda n: "#" * n, load_toml, "larger than 100,000 bytes"),
}  # fmt: skip


def refusals(read: Callable[[Any], object], given: Any) -> list[str]:
    """The labels and words that something is refused with, none where it is read."""
    try:
        read(given)
    except SheetError as error:
        return [*(problem.label for problem in error.problems), str(error)]
    except MidneckError as error:
        return [str(error)]
    return []


@pytest.mark.parametrize("what", EDGES)
def test_a_limit_is_where_it_is_promised(what: str) -> None:
    most, make, read, said = EDGES[what]
    at, beyond = (refusals(read, make(count)) for count in (most, most + 1))
    assert not any(said in text for text in at), at
    assert any(said in text for text in beyond), beyond


def test_what_a_score_keeps_is_counted_anew_in_each_measure() -> None:
    """Three measures of 9,000 elements each, where one may have 20,000."""
    note = "<note><rest/><duration>1</duration></note>" * 3_000
    one = score("", note).decode().replace("<divisions>4<", "<divisions>1000<")
    measure = one[one.index("<measure") : one.index("</part>")]
    sheet = read_musicxml(one.replace(measure, measure * 3).encode())
    assert len(sheet.bars) == 3
