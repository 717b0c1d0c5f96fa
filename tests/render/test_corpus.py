"""Every input that once broke a reader or a writer goes through all of them and back.

The inputs are the files of `tests/corpus`; `tests/fuzz_writers.py` puts new ones there. Those whose
names begin with `refused` must be refused, in words. PDF and SVG are written for those named
`pages`, the light formats for all.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace
from pathlib import Path

import pytest
from midneck.grammar.errors import SheetError
from midneck.grammar.foreign_text import harmless
from midneck.grammar.text.reader import read_sheet
from midneck.render.charts import chart
from midneck.render.sources import Source, load
from support.writers import LIGHT, faults_of

INPUTS = sorted(Path(__file__).parents[1].glob("corpus/*.*"))
REFUSED = [path for path in INPUTS if path.name.startswith("refused")]


def test_the_corpus_holds_both() -> None:
    assert len(INPUTS) > len(REFUSED) > 0


@pytest.mark.parametrize("path", REFUSED, ids=lambda path: path.name)
def test_it_is_refused_in_words(path: Path) -> None:
    with pytest.raises(SheetError) as caught:
        load(Source(path.read_bytes(), path.name))
    said = str(caught.value)
    assert said.startswith(f"{path.name}:")
    assert said == harmless(said)


@pytest.mark.parametrize(
    "path", [path for path in INPUTS if path not in REFUSED], ids=lambda path: path.name
)
def test_it_is_written_in_every_format_and_read_again(path: Path) -> None:
    sheet = load(Source(path.read_bytes(), path.name))
    pages = ("svg", "pdf") if "pages" in path.stem else ()
    assert faults_of(sheet, LIGHT + pages) == []


def test_texts_of_a_caller_are_written_without_what_a_format_cannot_hold() -> None:
    hostile = "a\x1b\x00b\ud800c\u202ed\ufffe"
    sheet = read_sheet("Title: x\nA:\n| C | F |\n")
    header = replace(sheet.header, title=hostile, by=hostile, feel=hostile)
    section = replace(sheet.sections[0], label=hostile, text=(hostile,))
    hurt = replace(sheet, header=header, sections=(section,))
    assert faults_of(hurt, (*LIGHT, "svg", "pdf")) == []
    root = ET.fromstring(chart(hurt).files("svg")[0][1])
    assert root.findtext("{http://www.w3.org/2000/svg}title") == "a  b c d "
