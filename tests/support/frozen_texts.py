"""Texts for a terminal whose every line is frozen, by the names of their files.

Grips, numerals and areas of the charts follow fixed rules (`fixed.py`), so that the texts stay the
same while planner and analysis learn; those of areas and drills are the ones worked out.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from midneck.converter.drill.drill import Practice
from midneck.converter.drill.tune import drill_of
from midneck.render.text import area_summary_text, area_text, chart_in_words, drill_text, text_chart

from support.charts import chart_of
from support.drills import drill
from support.fixed import fixed_chart

#: A tune with everything that stands in a text.
STAIR: Final = """\
Title: Salt Stair
By: Ines Tarbell
Key: Eb
Tempo: 132
Feel: swing

| Bb7 / (pickup) |
A:
"wait for the bell"
|: Ebmaj7 | C7(b9)(push) / / F9 | Fm7 Bb7 | % |1. Gm7 C7 :|2. Eb6 | Ab7(hold) Db9 / Gb13 ||
B:
| Segno Dbmaj7 | N.C. | -3- | Gm7=1.5 C7=2.5 |
| Fm7 | Bb7 To Coda | %% |
A: again
C:
"out quietly"
| Fm7 | Bb7 D.S. al Coda ||
Coda:
| Eb6 | Eb6 (Bb7) ||
"""

#: Two ii-V-I's in different keys, the first of them twice, and a line back to the top.
FOOTBRIDGE: Final = """\
Title: Footbridge

A:
| Dm7 G7 | Cmaj7 | Cm7 F7 | Bbmaj7 |
| Dm7 G7 | Cmaj7 | Dm7b5 G7 | Cm6 ||
"""

#: One ii-V-I and the way back to it.
LANDING: Final = "Title: Landing\nKey: C\n\nA:\n| Dm7 | G7 | Cmaj7 | A7 ||\n"


def _areas(details: bool) -> str:
    chart = chart_of(FOOTBRIDGE)
    text = area_text(chart.sheet, chart.analysis, details=details)
    return text + "\n" + area_summary_text([chart.analysis])


TEXTS: Final[dict[str, Callable[[], str]]] = {
    "chart": lambda: text_chart(fixed_chart(STAIR)),
    "chart_narrow": lambda: text_chart(fixed_chart(STAIR), False, 48, "charleston"),
    "chart_wide": lambda: text_chart(fixed_chart(STAIR), width=160),
    "words": lambda: chart_in_words(fixed_chart(STAIR)),
    "words_of_grips": lambda: chart_in_words(fixed_chart(STAIR), False, "charleston"),
    "areas": lambda: _areas(details=False),
    "areas_all": lambda: _areas(details=True),
    "drill": lambda: drill_text(drill("ii-V-I", practice=Practice(ladder=(80, 100)))),
    "drill_of_a_tune": lambda: drill_text(drill_of(chart_of(LANDING)), 60),
}
