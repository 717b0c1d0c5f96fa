"""What stands where on whole pages, item by item; `pages/regenerate.py` writes them anew."""

from __future__ import annotations

from pathlib import Path

import pytest
from support.frozen_pages import PAGES

FOLDER = Path(__file__).parent / "pages"


def test_every_frozen_page_has_its_maker_and_every_maker_its_page() -> None:
    assert sorted(path.stem for path in FOLDER.glob("*.txt")) == sorted(PAGES)


@pytest.mark.parametrize("name", sorted(PAGES))
def test_a_page_has_the_frozen_items_and_no_others(name: str) -> None:
    frozen = (FOLDER / f"{name}.txt").read_text(encoding="utf-8")
    assert PAGES[name]().splitlines() == frozen.splitlines()
