"""An intro, a coda and optional chords in what is played, told and printed."""

from __future__ import annotations

from pathlib import Path

import pytest
from midneck.converter.make import make_chart
from midneck.converter.prose.hand import explanation_lines
from midneck.grammar.text.reader import read_sheet
from midneck.render.commands.main import run
from midneck.render.page.drawing.items import Text
from midneck.render.page.drawing.style import PageStyle
from midneck.render.page.layout import lay_out
from midneck.render.text import chart_in_words, text_chart
from support.performances import played

Output = pytest.CaptureFixture[str]

TUNE = """\
Title: Signal Box
Tempo: 120

Intro:
| Dm7 | G7 |
A:
| Cmaj7 | A7 | C6 (G7) |
Tag:
| Fm6 | C6 |
"""


def roots(choruses: int) -> list[str]:
    """The chords that the bass begins on, one for each chord that sounds, in order."""
    performance = played(TUNE, choruses=choruses, without=frozenset({"guitar", "click"}))
    names = {0: "C", 2: "D", 4: "E", 5: "F", 7: "G", 9: "A"}
    slots: list[tuple[int, str]] = []
    for stroke in performance.strokes:
        if stroke.part == "bass" and stroke.chord is not None:
            name = names[stroke.notes[0].midi % 12]
            if not slots or slots[-1][0] != stroke.chord:
                slots.append((stroke.chord, name))
    return [name for _, name in slots]


def test_one_chorus_has_the_intro_and_the_tag_and_no_turnaround() -> None:
    assert "".join(roots(1)) == "DGCACFC"


def test_of_three_choruses_only_the_last_leaves_out_the_turnaround() -> None:
    assert "".join(roots(3)) == "DG" + "CACG" + "CACG" + "CAC" + "FC"


def test_choruses_follow_each_other_without_a_gap() -> None:
    # Two bars of intro, three a chorus, two of tag; four quarters each.
    for choruses in (1, 3):
        assert played(TUNE, choruses=choruses).length == 4 * (2 + 3 * choruses + 2)


def test_a_short_first_bar_that_is_no_pickup_cuts_nothing_off() -> None:
    tune = "Tempo: 120\nTime: 3/4\n\nA:\n| C6 |\nTime: 4/4\n| F6 |\n"
    for choruses in (1, 2):
        assert played(tune, choruses=choruses).length == choruses * (3 + 4)


def test_the_order_says_what_goes_round(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Output
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("box.txt").write_text(TUNE, encoding="utf-8")
    assert run(["order", "box.txt"]) == 0
    assert capsys.readouterr().out.splitlines()[-2:] == [
        "7 bars in all",
        "Once: bars 1–2. Round: bars 3–5. After the last chorus: bars 6–7. The last chorus leaves "
        "out the chords in brackets at its end.",
    ]


def test_the_explanation_says_it_too_and_has_the_way_back_to_the_chorus() -> None:
    lines = explanation_lines(make_chart(read_sheet(TUNE)))
    assert any(line.startswith("Once: bars 1–2.") for line in lines)
    told = "\n".join(lines[lines.index("Change by change:") :])
    assert "G7 to Cmaj7" in told
    assert "C6 to Fm6" in told
    assert "C6 to Dm7" not in told


def test_brackets_stand_round_optional_chords() -> None:
    chart = make_chart(read_sheet("Title: Box\n| C6 (Dm7 G7) / |\n"))
    assert "(Dm7" in text_chart(chart)
    assert "G7)" in text_chart(chart)
    assert chart_in_words(chart, True).count("optional") == 2
    (page,) = lay_out(chart, PageStyle()).pages
    texts = [
        "".join(span.text for span in one.spans) for one in page.items if isinstance(one, Text)
    ]
    assert {"C6", "(D–7", "G7)"} <= set(texts)
