"""All outputs say the same of a tune, in the same words."""

from __future__ import annotations

from pathlib import Path

import pytest
from midneck.converter.prose.facts import heading_key, summary_lines
from midneck.render.commands.main import run
from midneck.render.page import PageStyle, lay_out
from midneck.render.text import area_text, chart_in_words, text_chart
from support.charts import chart_of
from support.pages import texts

TURN = "A:\n| Gm7 | C7 | F6 | D7b9 | Gm7 | C7 | F6 | F6 ||\n"
HEADINGS = {
    "": "F major",
    "Key: F\n": "F major",
    "Key: C\n": "C major (the chords say F major)",
    "Key: Db\n": "Db major (the chords say F major)",
}


@pytest.mark.parametrize("stated", HEADINGS)
def test_every_heading_says_the_same_key(
    stated: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The stated key comes first, with a remark where the chords say otherwise."""
    chart, expected = chart_of(f"Title: Turn\n{stated}\n{TURN}"), HEADINGS[stated]
    assert heading_key(chart.analysis) == expected
    assert text_chart(chart).splitlines()[1] == f"{expected}, 4/4"
    assert chart_in_words(chart).splitlines()[1] == f"{expected}, 4/4"
    assert summary_lines(chart)[1] == f"  key     {expected}"
    assert area_text(chart.sheet, chart.analysis).splitlines()[0] == f"Turn, {expected}"
    printed = texts(lay_out(chart, PageStyle()).pages[0])
    assert f"{expected.replace('Db', 'D♭')}  ·  4/4" in printed
    tune = tmp_path / "turn.txt"
    tune.write_text(f"Title: Turn\n{stated}\n{TURN}")
    for command in (["chart", "--text"], ["chart", "--words"], ["areas"]):
        assert run([*command, str(tune)]) == 0
        assert expected in capsys.readouterr().out.partition("\n\n")[0], command


def test_every_heading_says_cut_time() -> None:
    chart = chart_of(f"Title: Turn\nTime: C|\n\n{TURN}")
    assert text_chart(chart).splitlines()[1] == "F major, cut time"
    assert "F major  ·  cut time" in texts(lay_out(chart, PageStyle()).pages[0])
