"""Reports whose every value is frozen: the texts of the tunes, and a report as text."""

from __future__ import annotations

import json

from midneck.render.report import report

from support.charts import FERRYMAN, LANTERNS, chart_of, example_texts
from support.tunes import tune_text

#: Seeds of the generated tunes among them: ABAC, a blues, a minor and a major tune with repeats.
SEEDS = (0, 1, 2, 7)


def frozen_texts() -> dict[str, str]:
    """The sheets by the names of their frozen reports."""
    own = {"ferryman": FERRYMAN, "lanterns": LANTERNS}
    return example_texts() | own | {f"study_{seed}": tune_text(seed) for seed in SEEDS}


def report_text(sheet_text: str) -> str:
    """The report of a tune as JSON, a value a line so that differences can be read."""
    return json.dumps(report(chart_of(sheet_text)), ensure_ascii=False, indent=1) + "\n"
