"""PNG, decoded by Pillow, and whole pages against stored pictures drawn by PDFium.

After a change of the page that is meant run `tests/render/pages/regenerate.py`, then look at them.
"""

from __future__ import annotations

import importlib.util
import io
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from midneck.render.output import MARK
from midneck.render.page import PageStyle, lay_out
from midneck.render.page.write.png import write_png
from PIL import Image
from support.charts import LANTERNS, chart_of

FOLDER = Path(__file__).parent / "pages"
#: Side of the tiles in which two pages are compared, and the mean difference that a tile may have,
#: in grey levels out of 255: a missing symbol makes its tile differ by more than twice as much.
TILE, MEAN = 12, 10.0


def _script():
    spec = importlib.util.spec_from_file_location("regenerate_pages", FOLDER / "regenerate.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


SCRIPT = _script()


def grey(data: bytes) -> np.ndarray:
    with Image.open(io.BytesIO(data)) as image:
        assert image.mode == "L"
        return np.asarray(image, dtype=float)


def test_size_follows_the_resolution() -> None:
    document = lay_out(chart_of(LANTERNS), PageStyle(paper="letter"))
    data = write_png(document, dpi=50)
    with Image.open(io.BytesIO(data)) as image:
        # 8.5 × 11 inches at 50 dots an inch.
        assert image.size == (425, 550)
        assert image.info["dpi"] == pytest.approx((50, 50), abs=0.02)
    assert write_png(document, dpi=50) == data


def test_the_program_and_the_stamp_stand_in_text_chunks() -> None:
    document = lay_out(chart_of(LANTERNS), PageStyle())
    for stamp, expected in (("", {}), ("midneck-sha256:00ff", {"Comment": "midneck-sha256:00ff"})):
        data = write_png(replace(document, stamp=stamp), dpi=30)
        with Image.open(io.BytesIO(data)) as image:
            assert image.text == {"Software": MARK, **expected}
        # Plain tEXt, so that a stamp is found without unpacking the file.
        assert stamp.encode() in data


def test_page_that_is_not_there() -> None:
    with pytest.raises(IndexError, match="has 1 pages, none is page 3"):
        write_png(lay_out(chart_of(LANTERNS), PageStyle()), 3)


def difference(one: np.ndarray, other: np.ndarray) -> float:
    """The mean difference of the tile that differs most."""
    assert one.shape == other.shape
    rows, columns = (size // TILE for size in one.shape)
    apart = np.abs(one - other)[: rows * TILE, : columns * TILE]
    return float(apart.reshape(rows, TILE, columns, TILE).mean(axis=(1, 3)).max())


@pytest.mark.parametrize("name", sorted(SCRIPT.PICTURES))
def test_pages_look_as_stored(name: str) -> None:
    stored = grey((FOLDER / f"{name}.png").read_bytes())
    drawn = grey(SCRIPT.picture(name))
    assert difference(drawn, stored) < MEAN


def test_a_missing_symbol_would_show() -> None:
    document = lay_out(chart_of(LANTERNS), PageStyle())
    page = document.pages[0]
    place = next(i for i, item in enumerate(page.items) if getattr(item, "string", "") == "D7♭9")
    cut = type(page)(page.width, page.height, page.items[:place] + page.items[place + 1 :])
    without = type(document)((cut,), document.title)
    whole = grey(write_png(document, dpi=SCRIPT.DPI))
    assert difference(whole, grey(write_png(without, dpi=SCRIPT.DPI))) > 2 * MEAN
