"""Whole tunes written as MusicXML: valid by the W3C's schema, and the same sheet when read back.

Source: the W3C's XML Schema of MusicXML 4.0, from the copy that the library `musicxml` carries.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from midneck.grammar.form.repeats import section_bars
from midneck.grammar.musicxml import read_musicxml
from midneck.grammar.sheet import Sheet
from midneck.render.musicxml import write_musicxml
from support.charts import FERRYMAN, LANTERNS, chart_of, example_texts
from support.musicxml_charts import music_of
from support.musicxml_schema import schema_errors
from support.tunes import tune_text

pytestmark = pytest.mark.slow

TEXTS = example_texts() | {"ferryman": FERRYMAN, "lanterns": LANTERNS}
#: Once round all keys.
INVENTED = range(39)


def check(text: str, tab: bool) -> None:
    chart = chart_of(text)
    data = write_musicxml(chart, tab)
    assert schema_errors(data) == []
    assert music_of(read_musicxml(data)) == music_of(written_out(chart.sheet))


def written_out(sheet: Sheet) -> Sheet:
    """The sheet with the sections that are only named written out, as MusicXML has them."""
    bars, sections = [], []
    for index, section in enumerate(sheet.sections):
        own = section_bars(sheet.sections, index)
        sections.append(replace(section, first=len(bars), count=len(own), recalls=None))
        bars += [sheet.bars[at] for at in own]
    numbers = iter(range(1, len(bars) + 1))
    numbered = [replace(bar, number=0 if bar.pickup else next(numbers)) for bar in bars]
    return replace(sheet, bars=tuple(numbered), sections=tuple(sections))


@pytest.mark.parametrize("tab", [False, True])
@pytest.mark.parametrize("name", sorted(TEXTS))
def test_it_is_valid_and_comes_back(name: str, tab: bool) -> None:
    check(TEXTS[name], tab)


@pytest.mark.parametrize("seed", INVENTED)
def test_an_invented_tune_is_valid_and_comes_back(seed: int) -> None:
    check(tune_text(seed), tab=seed % 4 == 0)
