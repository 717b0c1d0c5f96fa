"""The whole sentence of each kind of area, for each way in which it ends."""

from __future__ import annotations

from typing import Any

import pytest
from midneck.converter.harmony.analysis import AREA_KINDS, Area
from midneck.converter.prose.areas import area_sentence
from midneck.grammar.key import parse_key
from midneck.grammar.text.reader import read_sheet

#: Not a tune: chords whose names tell which of them a sentence speaks of.
SHEET = read_sheet("| Dm7 | Em7 | G7 | C6 | Em7 |\n")
KEY = parse_key("C")
#: The chords of an area and how it ends.
ENDS: dict[str, dict[str, Any]] = {
    "reached": {"chords": (0, 1, 2, 3), "resolved": True, "goal": 3},
    "next": {"chords": (0, 1, 2), "resolved": True, "goal": 3},
    "later": {"chords": (0, 1, 2), "resolved": True, "goal": 3, "immediate": False},
    "open": {"chords": (0, 1, 2), "resolved": False},
    "instead": {"chords": (0, 1, 2), "resolved": True, "goal": 4},
}
#: Sentences by the ends that they are for; "" for all others.
SAID: dict[str, dict[str, str]] = {
    "ii-V-I": {"reached": "A ii–V–I in C major: Dm7 gets ready, G7 pulls, C6 is home."},
    "ii-V": {
        "next": "A ii–V of C major: G7 falls to C6, which leads straight on.",
        "later": "A ii–V of C major: G7 asks for C6, which comes later.",
        "open": "A ii–V of C major left open: G7 asks for a tonic that does not come.",
        "instead": "A ii–V of C major: G7 moves to Em7, which stands for the tonic.",
    },
    "V-I": {"reached": "Dm7 is the V of C major and falls home to C6."},
    "turnaround": {
        "reached": "A turnaround in C major: Em7 G7 lead from Dm7 round to C6.",
        "next": "A turnaround in C major: Em7 G7 lead from Dm7 round to C6.",
        "later": "A turnaround in C major: through the VI to the ii–V; C6 itself comes later.",
        "open": "A turnaround in C major that does not arrive.",
        "instead": (
            "A turnaround in C major: Em7 G7 lead from Dm7 to Em7, which stands for the tonic."
        ),
    },
    "dominant chain": {
        "open": "Dominants in a row, each the V of the next; the last, G7, is left open.",
        "": "Dominants in a row, each the V of the next, down to G7.",
    },
    "ii-V chain": {
        "open": (
            "ii–Vs in a row, each handing on to the next; the last, of C major, is left open."
        ),
        "": "ii–Vs in a row, each handing on to the next; the last is in C major.",
    },
    "tritone substitute": {
        "reached": "G7 stands in for the V of C6, a tritone away, and slides down into it."
    },
    "backdoor": {
        "reached": "G7 comes home to C major by the back door, from a tone below the tonic.",
        "instead": "Em7 comes by the back door to G7, which stands for the tonic of C major.",
    },
    "passing diminished": {
        "reached": "G7 leads by a semitone into C6; play it as a chord in passing."
    },
    "common-tone diminished": {
        "reached": "Dm7 holds the root of C6 and only colours it: nothing has moved."
    },
    "deceptive": {"open": "Em7 asks for the tonic of C major but G7 comes instead."},
    "borrowed iv": {"": "Dm7 is the iv, borrowed from the minor key on the same tonic as C major."},
    "line cliche": {
        "reached": "A line cliché: Dm7 stays while a line in it moves by semitones, as far as C6."
    },
    "thirds cycle": {
        "reached": (
            "Tonics in a cycle of thirds, from Dm7 to C6, each the same third from the last."
        )
    },
    "tag": {
        "reached": "A tag: the iii–VI and the ii–V come round again before C6 closes in C major."
    },
    "pedal": {"": "The bass stays on one note while the chords above it move, in C major."},
    "vamp": {"": "The harmony stands still here: a vamp in C major."},
    "blues": {"": "Blues in C major: the sevenths on I and IV are at rest and ask for nothing."},
}


def test_every_kind_has_its_sentences() -> None:
    assert SAID.keys() == {*AREA_KINDS}


@pytest.mark.parametrize("kind", SAID)
def test_an_area_says_how_it_ends(kind: str) -> None:
    for end, parts in ENDS.items():
        expected = SAID[kind].get(end, "" if end == "reached" else SAID[kind].get("", ""))
        if expected:
            area = Area(kind, KEY, bars=(1, 4), **parts)
            assert area_sentence(SHEET, area) == expected, end
