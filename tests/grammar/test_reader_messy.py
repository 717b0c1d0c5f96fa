"""A sheet of forty bars as people type: it reads, with exactly the complaints that it deserves."""

from __future__ import annotations

import pytest
from midneck.grammar.errors import SheetError
from midneck.grammar.form.unfold import unfold
from midneck.grammar.text.reader import read_sheet
from midneck.grammar.text.writer import write_sheet

MESSY = "\ufeff" + "\r\n".join(
    [
        "TITLE:   The Lamp  and the Ferry",
        "composer: Ida Quennell",
        "key:\tBb",
        "time: 4/4   ",
        "tempo : 138 bpm",
        "",
        "[Intro]",
        "| B♭6\tG‑7 | C-7  F7 |  Dm7  G7b9|Cm7 F7sus4 |",
        "A:",
        "“two feel, brushes”",
        "|:BbΔ | G7(♭9) |Cm7 |F13",
        "Dm7 / / G7 | C-7 /  F7 / |1.Bb6 G-7 | Cmi7  F7 :|",
        "|2. Bb6   | % ||",
        "# the middle",
        "Bridge: | Fm7|Bb7 | E♭maj7 | ％ |",
        "|A-7b5 D7(#9) | Gm7 | C7 /// | / F7 / / |",
        "A : again",
        "Out:",
        "|: Dø7 | G+7 | Cm7 | F7alt :|3x",
        "| Bb6 | Gb7 | C°7 B7 | N.C. | %% |",
        "| BbMaj7(hold) ||",
    ]
)


def test_it_reads_without_a_remark() -> None:
    sheet = read_sheet(MESSY)
    assert len(sheet.bars) == 4 + 12 - 2 + 8 + 4 + 7
    assert sheet.warnings == ()
    assert (sheet.header.title, sheet.header.by) == ("The Lamp and the Ferry", "Ida Quennell")
    assert len(unfold(sheet).bars) == 4 + 16 + 8 + 16 + 12 + 7
    assert write_sheet(read_sheet(write_sheet(sheet))) == write_sheet(sheet)


@pytest.mark.parametrize(
    ("right", "wrong", "place", "said"),
    [
        ("G7(♭9)", "Hb9", (11, 9), "H is written B here.* 'H'"),
        ("Dm7 / / G7", "Dm7 / G7", (12, 1), "3 beats in a bar of 4/4"),
        (":|\r\n|2.", "|\r\n|2.", (13, 1), "not closed"),
        ("A : again", "C : again", (17, 1), "no earlier section of that name"),
        ("time: 4/4", "time: 4-4", (4, 7), "not a meter '4-4'"),
        (":|3x", ":|", None, ""),
        ("|: Dø7", "| Dø7", None, ""),
    ],
)  # fmt: skip
def test_each_slip_is_named_where_it_is(
    right: str, wrong: str, place: tuple[int, int] | None, said: str
) -> None:
    assert right in MESSY
    text = MESSY.replace(right, wrong)
    if place is None:
        assert read_sheet(text).bars
        return
    with pytest.raises(SheetError, match=said) as caught:
        read_sheet(text)
    assert [(problem.line, problem.column) for problem in caught.value.problems] == [place]
