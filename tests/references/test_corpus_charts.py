"""Real lead sheets all the way: read, analysed, planned, drawn, and written as text.

Source: the MusicXML lead sheets in music21's corpus (`leadSheet/`).
"""

from __future__ import annotations

import io
from pathlib import Path

import music21
import pypdf
import pytest
from midneck.converter.make import make_chart
from midneck.grammar.musicxml import read_musicxml
from midneck.grammar.text.reader import read_sheet
from midneck.grammar.text.writer import write_sheet
from midneck.render.commands.main import run
from midneck.render.page import PageStyle, lay_out, write_pdf

pytestmark = pytest.mark.slow

FOLDER = Path(music21.__file__).parent / "corpus" / "leadSheet"
SCORES = sorted(path for path in FOLDER.iterdir() if path.suffix in (".mxl", ".xml", ".musicxml"))


def test_there_are_lead_sheets() -> None:
    assert len(SCORES) >= 2


@pytest.mark.parametrize("path", SCORES, ids=lambda path: path.stem)
def test_it_becomes_a_chart(path: Path) -> None:
    sheet = read_musicxml(path.read_bytes(), path.name)
    chart = make_chart(sheet)
    sounding = [written for written in sheet.chords if written.chord is not None]
    assert len(sounding) > 10
    assert sum(grip is not None for grip in chart.plan.grips) == len(sounding)
    pages = pypdf.PdfReader(io.BytesIO(write_pdf(lay_out(chart, PageStyle())))).pages
    assert sheet.header.title in pages[0].extract_text()


@pytest.mark.parametrize("path", SCORES, ids=lambda path: path.stem)
def test_its_areas_are_told(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What the chords say agrees with music21's profiles of the melody and chords together."""
    assert run(["areas", str(path)]) == 0
    told = capsys.readouterr().out
    heard = music21.converter.parse(path).analyze("key")
    name = heard.tonic.name.replace("-", "b")
    head = told.splitlines()[0]
    assert head.endswith((f", {name} {heard.mode}", f"(the chords say {name} {heard.mode})"))
    assert max(map(len, told.splitlines())) <= 80
    assert "Keys this tune visits" in told


@pytest.mark.parametrize("path", SCORES, ids=lambda path: path.stem)
def test_its_text_reads_back(path: Path) -> None:
    sheet = read_musicxml(path.read_bytes(), path.name)
    again = read_sheet(write_sheet(sheet))
    assert [(str(one.chord), one.start, one.beats) for one in again.chords] == [
        (str(one.chord), one.start, one.beats) for one in sheet.chords
    ]
    assert write_sheet(again) == write_sheet(sheet)
