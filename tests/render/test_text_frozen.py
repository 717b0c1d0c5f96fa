"""Whole texts, printouts and files, line by line; `texts/regenerate.py` writes them anew."""

from __future__ import annotations

from pathlib import Path

import pytest
from support.frozen_texts import TEXTS

FOLDER = Path(__file__).parent / "texts"


def test_every_frozen_text_has_its_maker_and_every_maker_its_text() -> None:
    assert sorted(path.stem for path in FOLDER.glob("*.txt")) == sorted(TEXTS)


@pytest.mark.parametrize("name", sorted(TEXTS))
def test_a_text_is_the_frozen_one_in_every_line(name: str) -> None:
    frozen = (FOLDER / f"{name}.txt").read_text(encoding="utf-8")
    assert TEXTS[name]().splitlines(keepends=True) == frozen.splitlines(keepends=True)
