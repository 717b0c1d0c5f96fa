"""The reports of the examples are the frozen ones; `reports/regenerate.py` writes them anew."""

from __future__ import annotations

from pathlib import Path

import pytest
from support.frozen import frozen_texts, report_text

FOLDER = Path(__file__).parent / "reports"
TEXTS = frozen_texts()


def test_every_frozen_report_has_its_tune_and_every_tune_its_report() -> None:
    assert sorted(path.stem for path in FOLDER.glob("*.json")) == sorted(TEXTS)


@pytest.mark.parametrize("name", sorted(TEXTS))
def test_the_report_is_the_frozen_one(name: str) -> None:
    assert report_text(TEXTS[name]) == (FOLDER / f"{name}.json").read_text(encoding="utf-8")
