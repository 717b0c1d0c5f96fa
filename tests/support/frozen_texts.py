"""Texts for a terminal whose every line is frozen, by the names of their files.

Grips, numerals and areas of the charts follow fixed rules (`fixed.py`), so that the texts stay the
same while planner and analysis learn; those of areas and drills are the ones worked out.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Final

from midneck.converter.drill.drill import Practice
from midneck.converter.drill.tune import drill_of
from midneck.render.text import area_summary_text, area_text, chart_in_words, drill_text, text_chart

from support.charts import chart_of
from support.drills import drill
from support.fixed import fixed_chart
from support.frozen_files import FILES
from support.frozen_hand import grips_text, plans_text
from support.frozen_harmony import harmony_text
from support.frozen_mistakes import fixes_text, limits_text, mistakes_of, more_mistakes
from support.frozen_printouts import PRINTOUTS, printout
from support.frozen_readers import files_text, scores_text, sheets_text, tunes_text
from support.frozen_sheets import FOOTBRIDGE, LANDING, STAIR


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
    "hand_grips": grips_text,
    "hand_plans": plans_text,
    "harmony": harmony_text,
    **FILES,
    "mistakes_of_sheets": lambda: mistakes_of("examples"),
    "limits": limits_text,
    "mistakes_fixed": fixes_text,
    "mistakes_more": more_mistakes,
    "mistakes_of_progressions": lambda: mistakes_of("progressions"),
    "mistakes_of_tunes": lambda: mistakes_of("tunes"),
    "read_files": files_text,
    "read_scores": scores_text,
    "read_sheets": sheets_text,
    "read_tunes": tunes_text,
    **{f"printout_{name}": partial(printout, name) for name in PRINTOUTS},
}
