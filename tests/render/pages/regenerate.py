"""Draw the stored pictures and write the frozen items of pages anew, after a meant change.

    python tests/render/pages/regenerate.py

Look at the pictures, and read the difference of the items, before you commit them.
"""

from __future__ import annotations

import sys
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parents[1]))

from midneck.converter.hand.player import Player  # noqa: E402
from midneck.render.page import (  # noqa: E402
    PageStyle,
    lay_out,
    write_png,
)
from support.charts import FERRYMAN, LANTERNS  # noqa: E402
from support.fixed import fixed_chart  # noqa: E402
from support.frozen_pages import PAGES  # noqa: E402

#: Dots an inch of the references: small, yet a missing grid or symbol shows.
DPI = 36.0
PICTURES = {
    "lanterns": (LANTERNS, PageStyle(), Player(), 0),
    "lanterns_second": (LANTERNS, PageStyle(second_page=True), Player(), 1),
    "ferryman": (FERRYMAN, PageStyle(paper="letter", symbols="letters"), Player(), 0),
    "ferryman_neck": (FERRYMAN, PageStyle(landscape=True, neck_map="page"), Player(), -1),
    "ferryman_large": (FERRYMAN, PageStyle(large=True), Player(hand="left"), 0),
}


def picture(name: str) -> bytes:
    """One of the reference pictures, drawn now."""
    text, style, player, page = PICTURES[name]
    document = lay_out(fixed_chart(text, player), style)
    return write_png(document, page % len(document.pages), DPI)


if __name__ == "__main__":
    for each in PICTURES:
        (HERE / f"{each}.png").write_bytes(picture(each))
        print(each)
    for each, text in PAGES.items():
        (HERE / f"{each}.txt").write_text(text(), encoding="utf-8")
