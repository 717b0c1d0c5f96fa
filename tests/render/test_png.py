"""PNG, decoded by Pillow, and whole pages against stored pictures drawn by PDFium.

After a change of the page that is meant run `tests/render/pages/regenerate.py`, then look at them.
"""

from __future__ import annotations

import importlib.util
import io
import random
from dataclasses import replace
from pathlib import Path

import midneck
import numpy as np
import pytest
from midneck.render.commands.main import run
from midneck.render.page import PageStyle, lay_out, write_png
from midneck.render.page.drawing.items import Circle, Line, Rect, Text
from midneck.render.page.drawing.items import Path as Outline
from midneck.render.page.drawing.style import USUAL_DPI
from midneck.render.stamps import MARK
from PIL import Image
from support.charts import LANTERNS, chart_of

FOLDER = Path(__file__).parent / "pages"
#: Side of the tiles in which two pages are compared, and the mean difference that a tile may have,
#: in grey levels out of 255: anything that is missing makes a tile differ by more.
TILE, MEAN = 4, 6.0
DRAWN = (Circle, Line, Outline, Rect, Text)


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


@pytest.mark.parametrize("page", [1, 3])
def test_page_that_is_not_there(page: int) -> None:
    with pytest.raises(IndexError, match=f"has 1 pages, none is page {page}"):
        write_png(lay_out(chart_of(LANTERNS), PageStyle()), page)


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


def test_anything_missing_would_show() -> None:
    """Texts, lines, dots and shapes of a page, taken away one at a time."""
    document = lay_out(chart_of(LANTERNS), PageStyle())
    page = document.pages[0]
    whole = grey(write_png(document, dpi=SCRIPT.DPI))
    drawn = [at for at, item in enumerate(page.items) if isinstance(item, DRAWN)]
    for at in random.Random(1).sample(drawn, 24):
        items = page.items[:at] + page.items[at + 1 :]
        without = replace(document, pages=(replace(page, parts=items),))
        found = difference(whole, grey(write_png(without, dpi=SCRIPT.DPI)))
        assert found > MEAN, page.items[at]


def size(path: Path) -> tuple[int, int]:
    with Image.open(path) as image:
        return image.size


#: A4 and 8.5 × 11 inches at 72 and at 144 dots an inch, rounded up to whole dots (ISO 216, ANSI).
A4, TWICE = (596, 842), (1191, 1684)


def test_chart_and_drill_take_dots_an_inch(tmp_path: Path, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "tune.txt").write_text(LANTERNS, encoding="utf-8")
    assert run(["chart", "tune.txt", "-o", "tune.png", "--dpi", "72"]) == 0
    assert run(["drill", "ii-V-I", "--keys", "C", "--format", "png", "--dpi", "144"]) == 0
    (drill,) = tmp_path.glob("ii-V-I*.png")
    assert (size(tmp_path / "tune.png"), size(drill)) == (A4, TWICE)


def test_grid_is_drawn_as_png_in_proportion_to_the_dots(tmp_path: Path, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    for dpi in ("100", "400"):
        assert run(["grid", "Dm7", "-o", f"{dpi}.png", "--dpi", dpi]) == 0
    small, large = size(Path("100.png")), size(Path("400.png"))
    assert large == pytest.approx([4 * side for side in small], abs=4)


def test_front_door_takes_dots_an_inch(tmp_path: Path) -> None:
    made = midneck.chart("| Dm7 | G7 | C6 | % |\n")
    made.save(tmp_path / "tune.png", dpi=72)
    midneck.drill("ii-V-I", keys="C").save(tmp_path / "drill.png", dpi=144)
    assert (size(tmp_path / "tune.png"), size(tmp_path / "drill.png")) == (A4, TWICE)
    assert made.files("png") == made.files("png", dpi=USUAL_DPI) == made.files("png", dpi=None)


@pytest.mark.parametrize("dpi", [35, 1201, 0, -72])
def test_too_few_and_too_many_dots_are_refused_in_words(dpi: int, capsys) -> None:
    made = midneck.chart("| Dm7 | G7 |\n")
    with pytest.raises(midneck.MidneckError, match=f"dpi is 36 to 1200, not {dpi}"):
        made.files("png", dpi=dpi)
    assert run(["grid", "C7", "-o", "c7.png", "--dpi", str(dpi)]) != 0
    assert "36<=x<=1200" in capsys.readouterr().err


def test_formats_without_pixels_take_no_dots(tmp_path: Path, monkeypatch, capsys) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "tune.txt").write_text(LANTERNS, encoding="utf-8")
    made = midneck.chart("| Dm7 | G7 |\n")
    with pytest.raises(midneck.MidneckError, match=r"dpi is no option of a \.svg file"):
        made.files("svg", dpi=300)
    for command in (["chart", "tune.txt"], ["drill", "ii-V-I"], ["grid", "C7", "-o", "c7.svg"]):
        assert run([*command, "--dpi", "300"]) != 0
        assert "--dpi is for PNG" in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == ["tune.txt"]
