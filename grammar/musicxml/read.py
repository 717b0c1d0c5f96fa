"""MusicXML lead sheets read into a `Sheet`.

Takes the bytes of a `.musicxml`, `.xml` or `.mxl` file, gives the sheet that its chord symbols
and form make. The file is read directly, with the standard library's expat, and not
through music21: music21 rewrites chord symbols as figures of its own and loses their place in the
file, expands entities that a hostile file declares, and takes half a second to load. It judges
the result in the tests.

Written bars are numbered from 1, a pickup bar is 0. Chords come in concert pitch: a transposing
part is moved to where it sounds. What a sheet cannot hold is said in `Sheet.warnings`, with its
bar.

Source: MusicXML 4.0, W3C Music Notation Community Group Final Report, 2021.
"""

from __future__ import annotations

from dataclasses import replace

from ..errors import SheetError
from ..passages import find_passages
from ..sheet import Sheet
from ..structure import check_structure
from .bars import read_bars
from .choose import chosen_part
from .faults import ScoreError, fault
from .heading import read_header
from .score import Score, read_score
from .sections import read_sections
from .source import looks_like_musicxml, xml_pieces


def read_musicxml(data: bytes, name: str = "") -> Sheet:
    """The sheet in a MusicXML file; `name` is the file's, for messages.

    Raises SheetError when the file is no score, is damaged or hostile, holds no chord symbols, or
    when its form cannot be played.
    """
    try:
        if not looks_like_musicxml(data):
            raise fault("this is not MusicXML: neither a score in XML nor an .mxl archive")
        return _checked(_sheet(read_score(xml_pieces(data))), name)
    except ScoreError as error:
        raise SheetError((error.problem,), name) from error


def _sheet(score: Score) -> Sheet:
    part, warnings = chosen_part(score)
    read = read_bars(part)
    header, head_warnings = read_header(score, part, read.bars)
    sections = read_sections(part, read)
    sheet = Sheet(header, sections, read.bars)
    return replace(sheet, warnings=(*warnings, *head_warnings, *read.warnings))


def _checked(sheet: Sheet, name: str) -> Sheet:
    """The sheet with its repeats settled; raises SheetError when they do not fit together."""
    problems = check_structure(sheet.bars, sheet.sections)
    if problems:
        raise SheetError(problems, name)
    steps, passages, _ = find_passages(sheet.bars, sheet.sections)
    bars = list(sheet.bars)
    for passage in passages:
        for ending in passage.endings:
            index = steps[ending.stop - 1].bar
            if bars[index].repeat_close:
                bars[index] = replace(bars[index], repeat_close=passage.times)
    return replace(sheet, bars=tuple(bars))
