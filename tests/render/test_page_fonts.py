"""Widths, cut-down fonts and our own signs, judged by fontTools and ReportLab."""

from __future__ import annotations

import io

import pytest
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont
from midneck.render.page.drawing.fonts import (
    BOLD,
    BOLD_MARKS,
    CAP_HEIGHT,
    LATIN,
    MARKS,
    REGULAR,
    TYPEFACES,
    latin_font,
    measure,
    shortened,
    spans,
    text_width,
    typeface,
)
from midneck.render.page.drawing.typefaces import SIGNS, read_typeface, subset
from reportlab.pdfbase import ttfonts

TEXTS = ("Night Ferry", "Gm7", "maj7(add11)", "Ærøskøbing Český Łódź", "1234567890 – ½ ×")


@pytest.mark.parametrize("name", [REGULAR, BOLD])
@pytest.mark.parametrize("text", TEXTS)
def test_widths_agree_with_reportlab(name: str, text: str) -> None:
    judge = ttfonts.TTFont(f"judge-{name}", io.BytesIO(typeface(name).data))
    assert text_width(text, name, 10) == pytest.approx(judge.stringWidth(text, 10), abs=0.02)


@pytest.mark.parametrize("name", [REGULAR, BOLD])
def test_cut_down_font_draws_the_same_letters(name: str) -> None:
    with (
        TTFont(io.BytesIO(typeface(name).data)) as whole,
        TTFont(io.BytesIO(latin_font(name))) as cut,
    ):
        theirs, ours = whole.getBestCmap(), cut.getBestCmap()
        assert set(ours) == {ord(char) for char in LATIN if ord(char) in theirs}
        before, after = whole.getGlyphSet(), cut.getGlyphSet()
        for code, glyph in ours.items():
            pens = BoundsPen(after), BoundsPen(before)
            after[glyph].draw(pens[0])
            before[theirs[code]].draw(pens[1])
            assert pens[0].bounds == pens[1].bounds, chr(code)
            assert cut["hmtx"][glyph][0] == whole["hmtx"][theirs[code]][0]


def test_cap_height_is_the_font_s() -> None:
    for name in (REGULAR, BOLD):
        with TTFont(io.BytesIO(typeface(name).data)) as font:
            assert font["OS/2"].sCapHeight / 1000 == pytest.approx(CAP_HEIGHT, abs=0.005)


def test_signs_are_a_font_of_their_own() -> None:
    with TTFont(io.BytesIO(latin_font(MARKS)), checkChecksums=2) as font:
        assert {chr(code) for code in font.getBestCmap()} == set(SIGNS)
        glyphs = font.getGlyphSet()
        for code, glyph in font.getBestCmap().items():
            pen = BoundsPen(glyphs)
            glyphs[glyph].draw(pen)
            left, bottom, right, top = pen.bounds
            # Inside the advance, as high as a capital or a little higher.
            assert 0 <= left < right <= SIGNS[chr(code)][0]
            assert -100 < bottom < top < 800


def test_faces_lack_no_sign_that_we_set() -> None:
    for char in "♭♯△":
        assert typeface(REGULAR).glyph(char) == 0
        assert typeface(MARKS).glyph(char) != 0
    for char in "ø°+–−×·…":
        assert typeface(REGULAR).glyph(char) != 0


def test_spans_change_face_for_signs() -> None:
    pieces = spans("B♭7", BOLD, 10, dx=5, rise=2)
    assert [(span.text, span.face) for span in pieces] == [
        ("B", BOLD),
        ("♭", BOLD_MARKS),
        ("7", BOLD),
    ]
    # The bold flat is 440 of 1000 units wide.
    assert pieces[2].dx == pytest.approx(pieces[1].dx + 4.4)
    assert pieces[1].dx == pytest.approx(5 + text_width("B", BOLD, 10))
    assert pieces[2].dx + pieces[2].width == pytest.approx(5 + measure("B♭7", BOLD, 10))


def test_subset_of_a_composite_letter_brings_its_parts() -> None:
    cut = read_typeface(subset(typeface(BOLD), "é"))
    assert cut.glyph("é") != 0
    assert cut.glyph("e") == 0
    assert cut.bounds(cut.glyph("é")) == typeface(BOLD).bounds(typeface(BOLD).glyph("é"))


def test_font_without_a_unicode_cmap() -> None:
    broken = bytearray(latin_font(MARKS))
    with TTFont(io.BytesIO(bytes(broken))) as font:
        at = font.reader.tables["cmap"].offset
    broken[at + 4 : at + 8] = b"\0\1\0\0"
    with pytest.raises(ValueError, match="no format 4 cmap for Unicode"):
        read_typeface(bytes(broken))


def test_all_faces_parse() -> None:
    assert [typeface(name).units for name in TYPEFACES] == [1000] * 4


@pytest.mark.parametrize(
    "text", ["Night Ferry and the long way home", "a  …b" * 40, "W", "é△7 " * 99]
)
def test_a_shortened_text_is_the_longest_that_fits(text: str) -> None:
    for width in (60.0, 173.3, 400.0):
        short = text
        while measure(short, BOLD, 10.0) > width:
            short = short[:-2].rstrip(" …") + "…"
        assert shortened(text, BOLD, 10.0, width) == short


def test_a_cut_typeface_holds_western_latin_and_its_punctuation() -> None:
    """Basic Latin and Latin-1 Supplement of Unicode, from blank to tilde and from U+00A0 to ÿ."""
    blocks = (*range(ord(" "), ord("~") + 1), *range(0xA0, ord("ÿ") + 1))
    assert {*LATIN} == {*map(chr, blocks), *"ŒœŠšŽž–—‘’“”•…→−"}
