"""Values made by hand are checked by their constructors: the error names what cannot be."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from math import inf, nan
from typing import Any

import midneck
import pytest
from midneck.converter.hand.plan import PlanOptions
from midneck.converter.hand.player import Effort, Neck, Player, Preferences, Reach
from midneck.converter.hand.player_file import read_player
from midneck.grammar.abc import read_abc
from midneck.grammar.chord import Chord
from midneck.grammar.chord_parser import parse_chord
from midneck.grammar.errors import InvalidValueError, MidneckError
from midneck.grammar.form.unfold import unfold
from midneck.grammar.key import Key, parse_key
from midneck.grammar.musicxml import read_musicxml
from midneck.grammar.pitch import PitchName, parse_pitch_name
from midneck.grammar.sheet import Header, Meter, SheetChord, parse_meter
from midneck.grammar.text.progression import read_progression
from midneck.grammar.text.reader import read_sheet

C = PitchName("C")
SHEET = read_sheet("A:\n| Dm7 | G7 |\nB:\n| C6 |\nA: again\n")
CHORD = SHEET.chords[0]
A, B, AGAIN = SHEET.sections


def chord(**changes: Any) -> SheetChord:
    return replace(CHORD, **changes)


#: What is made → what its error says.
REFUSED: dict[str, tuple[Callable[[], object], str]] = {
    "no beats": (lambda: Meter(0, 0), "beats of a meter is from 1 to 512, not 0"),
    "no unit": (lambda: Meter(4, 0), "unit of a meter cannot be 0; there are: 1, 2, 4"),
    "a third": (lambda: Meter(4, 3), "unit of a meter cannot be 3"),
    "many beats": (lambda: Meter(10**5000, 4), "not a number of many digits"),
    "a tempo below": (lambda: Header(tempo=-1), "tempo is from 20 to 400, not -1"),
    "a chord without beats": (lambda: chord(beats=Fraction(0)), "the chord 'Dm7' lasts more than"),
    "a chord before the bar": (lambda: chord(start=Fraction(-1)), "begins at 0 or later"),
    "a section of no bars": (lambda: replace(A, count=-1), "section 'A' has -1 bars"),
    "a section in itself": (
        lambda: unfold(replace(SHEET, sections=(A, B, replace(AGAIN, recalls=2)))),
        "section 2 recalls section 2, which is not written before it",
    ),
    "a section not there": (
        lambda: unfold(replace(SHEET, sections=(A, B, replace(AGAIN, recalls=7)))),
        "section 2 recalls section 7",
    ),
    "a section of recalls": (
        lambda: unfold(replace(SHEET, sections=(A, B, AGAIN, replace(AGAIN, recalls=2)))),
        "section 3 recalls section 2",
    ),
    "bars without section": (
        lambda: unfold(replace(SHEET, sections=(A,))),
        "the sections hold 2 bars, the sheet 3",
    ),
    "a mode": (lambda: Key(C, "nope"), "mode cannot be 'nope'; there are: "),  # type: ignore[arg-type]
    "a letter": (lambda: PitchName("H"), "one of A to G, not 'H'"),
    "a kind": (lambda: Chord(C, "nope"), "'nope' is not one of the kinds"),
    "a style": (lambda: PlanOptions(style="nope"), "style cannot be 'nope'; there are: shell"),  # type: ignore[arg-type]
    "a tempo of a plan": (lambda: PlanOptions(tempo=-1), "tempo is from 20 to 400, not -1"),
    "a string": (lambda: PlanOptions(first_root_string=0), "first_root_string is from 1 to 12"),
    "a hand": (lambda: Player(hand="middle"), "hand cannot be 'middle'; there are: right, left"),  # type: ignore[arg-type]
    "a window upside down": (lambda: Player(window=(9, 3)), "from 9 to 36, not 3"),
    "a wide window": (lambda: Player(window=(3, 10**9)), "window is from 0 to 36"),
    "effort below zero": (lambda: Effort(stretch=-1.0), "stretch is from 0 to 10000, not -1.0"),
    "effort that is no number": (lambda: Effort(shift=nan), "shift is from 0 to 10000, not nan"),
    "endless effort": (lambda: Effort(place_mm=inf), "place_mm is from 0 to 10000, not inf"),
    "a long neck": (lambda: Neck(frets=100_000), "frets is from 5 to 36, not 100000"),
    "a neck of no length": (lambda: Neck(scale_mm=nan), "scale_mm is from 200 to 1200, not nan"),
    "no such string": (lambda: Neck(tuning=(40, 45, 128)), "open string is from 0 to 127, not 128"),
    "one string": (lambda: Neck(tuning=(40,)), "number of strings is from 3 to 12, not 1"),
    "five reaches": (lambda: Reach(comfort_mm=(1.0,) * 5), "comfort_mm is 6 numbers, not 5"),
    "a taste": (lambda: Preferences(major_triads="nope"), "major_triads cannot be 'nope'"),  # type: ignore[arg-type]
}


@pytest.mark.parametrize(("make", "said"), REFUSED.values(), ids=REFUSED.keys())
def test_a_value_that_cannot_be_is_named(make: Callable[[], object], said: str) -> None:
    with pytest.raises(InvalidValueError) as caught:
        make()
    assert said in str(caught.value)
    assert isinstance(caught.value, (MidneckError, ValueError))


@pytest.mark.parametrize(
    "make",
    [
        lambda: Meter(4.0, 4),  # type: ignore[arg-type]
        lambda: Meter(True, 4),
        lambda: Header(title=None),  # type: ignore[arg-type]
        lambda: Header(tempo=120.5),  # type: ignore[arg-type]
        lambda: Key("C"),  # type: ignore[arg-type]
        lambda: Chord("C", "major"),  # type: ignore[arg-type]
        lambda: PlanOptions(smooth="yes"),  # type: ignore[arg-type]
        lambda: Player(neck=None),  # type: ignore[arg-type]
        lambda: Effort(shift="1"),  # type: ignore[arg-type]
    ],
)
def test_a_value_of_another_type_is_a_plain_type_error(make: Callable[[], object]) -> None:
    with pytest.raises(TypeError, match=r" is .*, not "):
        make()


@pytest.mark.parametrize("given", [None, b"| C |", 5], ids=repr)
@pytest.mark.parametrize(
    "read",
    [
        read_sheet, read_abc, read_progression, read_player, parse_chord, parse_key, parse_meter,
        parse_pitch_name, midneck.read, midneck.chart, midneck.drill, midneck.lesson,
    ],
)  # fmt: skip
def test_what_is_no_text_is_a_plain_type_error(read: Callable[[Any], object], given: Any) -> None:
    with pytest.raises(TypeError, match=f" is .*, not {type(given).__name__}"):
        read(given)


def test_a_score_is_bytes() -> None:
    with pytest.raises(TypeError, match="a score is bytes, not str"):
        read_musicxml("<score-partwise/>")  # type: ignore[arg-type]
