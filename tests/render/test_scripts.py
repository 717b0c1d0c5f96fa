"""Scripts that are read from right to left, that need a typeface of their own, or cannot be set."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree

import midneck
import pypdf
import pypdfium2
import pytest
from midneck.render.commands.main import run
from midneck.render.page import Document, write_pdf, write_svg
from midneck.render.page.drawing import scripts
from midneck.render.page.drawing.fonts import BOLD, REGULAR, runs, spans, typeface
from midneck.render.page.drawing.items import Page, Text
from midneck.render.page.drawing.scripts import JAPANESE, ScriptError, on_paper

TUNE = "Title: {}\nBy: {}\nKey: C\n\n| Dm7 | G7 | C6 | % |\n"
CACHED = (on_paper, scripts.japanese_data, scripts._right_to_left_tools, runs)


@pytest.fixture
def bare(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """As if the packages of the extras were not installed."""
    for cached in CACHED:
        cached.cache_clear()
    monkeypatch.setattr(scripts, "find_spec", lambda name: None)
    yield
    for cached in CACHED:
        cached.cache_clear()


@pytest.mark.parametrize(("logical", "visual"), [
    ("Plain (words) 12", "Plain (words) 12"),
    ("Øre, Паром, Ωδή", "Øre, Паром, Ωδή"),
    # Unicode Standard Annex 9: in a paragraph from right to left words in Latin letters and numbers
    # keep their own order, brackets are mirrored.
    ("שלום", "םולש"),
    ("שיר (Take 2)", "(Take 2) ריש"),
    ("Take 2: שיר", "Take 2: ריש"),
    ("שיר 12", "12 ריש"),
    ("Duke – שיר (1953) [solo]", "Duke – (1953) ריש [solo]"),
    ("שיר (א) (ב) [solo]", "[solo] (ב) (א) ריש"),
    ("Song (שיר) «x»", "Song (ריש) «x»"),
])  # fmt: skip
def test_letters_stand_in_their_order_on_paper(logical: str, visual: str) -> None:
    assert on_paper(logical) == visual


def test_letters_with_signs_of_their_own_are_composed_before_they_are_ordered() -> None:
    assert on_paper("Cafe\u0301 שיר") == on_paper("Café שיר") == "Café ריש"


def test_arabic_letters_join() -> None:
    # The Unicode Standard, table Arabic Presentation Forms-B: initial seen FEB3, final lam-alef
    # FEFC; meem alone is the letter itself.
    assert on_paper("سلام") == "\u0645\ufefc\ufeb3"
    assert all(typeface(BOLD).glyph(char) for char in on_paper("سلام يا قمر"))


def test_what_steers_order_is_not_drawn() -> None:
    assert on_paper("א\u200fב\u200d") == "בא"


def test_composed_letters_are_taken_for_letters_with_signs() -> None:
    assert on_paper("Cafe\u0301") == "Café"


@pytest.mark.parametrize(("text", "said"), [
    ("שָׁלוֹם", "hebrew point qamats"), ("x\u0302", "combining circumflex accent"),
    ("हिन्दी", "devanagari vowel sign i"),
])  # fmt: skip
def test_signs_over_and_under_letters_are_refused(text: str, said: str) -> None:
    with pytest.raises(ScriptError, match=said):
        spans(text, BOLD, 20)


@pytest.mark.parametrize("char", ["🎸", "한", "Ա", "\u4dc0"])
def test_characters_of_no_typeface_are_named(char: str) -> None:
    with pytest.raises(ScriptError, match=rf"no typeface here has {char} \(U\+{ord(char):04X}\)"):
        spans(f"Song {char}", REGULAR, 20)


def test_japanese_is_set_in_its_own_typeface_between_the_others() -> None:
    found = [(span.text, span.face) for span in spans("青木 B♭ ミナ", BOLD, 20)]
    assert found == [
        ("青木", JAPANESE), (" B", BOLD), ("♭", "MidneckSigns-Bold"), (" ", BOLD),
        ("ミナ", JAPANESE),
    ]  # fmt: skip
    # Kanji and kana of IPAexGothic are as wide as the em.
    assert spans("青木", BOLD, 20)[0].width == pytest.approx(40)


def page_of(words: str) -> Document:
    return Document((Page(300, 60, (Text(20, 40, tuple(spans(words, BOLD, 20))),)),), words)


@pytest.mark.parametrize("words", ["青木 ミナ", "אור בחלון", "Паромщик Ωδή"])
def test_text_is_embedded_and_extracts_as_it_was_written(words: str) -> None:
    data = write_pdf(page_of(words))
    assert data == write_pdf(page_of(words))
    reader = pypdf.PdfReader(io.BytesIO(data))
    assert reader.metadata is not None
    assert reader.metadata.title == words
    assert reader.pages[0].extract_text().strip() == words
    text = pypdfium2.PdfDocument(data)[0].get_textpage().get_text_range()
    assert text.strip() == words
    assert len(data) < 60_000


def test_letters_have_ink_and_no_two_the_same() -> None:
    for words in ("青木ミナ", "אורבחל"):
        seen = set()
        for char in words:
            data = write_pdf(page_of(char))
            image = pypdfium2.PdfDocument(data)[0].render(scale=3, grayscale=True).to_numpy()
            assert (image < 128).sum() > 40
            seen.add(image.tobytes())
        assert len(seen) == len(words)


def test_svg_keeps_the_order_on_paper() -> None:
    root = ElementTree.fromstring(write_svg(page_of("שיר (1)")))
    (text,) = root.iter("{http://www.w3.org/2000/svg}text")
    assert "".join(text.itertext()) == on_paper("שיר (1)")
    assert "bidi-override" in (text.get("style") or "")
    assert "bidi-override" not in write_svg(page_of("Song (1)"))


@pytest.mark.usefixtures("bare")
@pytest.mark.parametrize(("title", "by", "said"), [
    ("אור", "Anna", r"“אור” is read from right to left: pip install 'midneck\[rtl\]'"),
    ("Song", "青木 ミナ", r"no typeface for 青木ミナ; pip install 'midneck\[japanese\]'"),
])  # fmt: skip
def test_what_is_not_installed_is_named(title: str, by: str, said: str) -> None:
    made = midneck.chart(TUNE.format(title, by))
    with pytest.raises(midneck.MidneckError, match=said):
        made.files("pdf")
    assert title in made.files("txt")[0][1].decode()


def test_command_refuses_in_words_and_goes_on_with_the_next(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("bad.txt").write_text(TUNE.format("Song 🎸", "Anna"), encoding="utf-8")
    Path("good.txt").write_text(TUNE.format("אור", "青木 ミナ"), encoding="utf-8")
    assert run(["chart", "bad.txt", "good.txt", "-o", "out/", "-q"]) != 0
    assert "bad.txt: “Song 🎸” cannot be printed" in capsys.readouterr().err
    assert [path.name for path in Path("out").iterdir()] == ["good.pdf"]
    assert run(["chart", "bad.txt", "-q"]) != 0
    assert not Path("bad.pdf").exists()
