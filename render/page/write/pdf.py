"""Write a document as PDF.

Takes a `Document`, gives the bytes of a tagged PDF 1.7 file: the same document gives the same
bytes. Fonts are embedded and cut down to what is used. Latin text uses typefaces cut down to Latin,
which are quick to parse, other scripts ones that hold their characters too. Numbers in pictures are
outlines, so that text that is copied or read aloud holds the chords alone. ReportLab is imported on
first use, for it is slow to import.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from functools import cache, lru_cache
from io import BytesIO
from math import ceil, floor
from threading import Lock
from typing import TYPE_CHECKING, Any
from zlib import compress

from ....grammar.foreign_text import harmless
from ...stamps import MARK
from ..drawing.fonts import LATIN, REGULAR, cut_font, latin_font, typeface
from ..drawing.geometry import item_box
from ..drawing.items import (
    Circle,
    Close,
    Document,
    Item,
    Line,
    Open,
    OutlineEntry,
    Page,
    Path,
    Rect,
    Step,
    Text,
)
from ..drawing.outlines import letter_outlines
from ..drawing.scripts import reads_from_right
from ..drawing.typefaces import SIGNS
from .pdf_file import FileObjects, write_file
from .tags import Element, Tags, write_tags

if TYPE_CHECKING:
    from reportlab.pdfbase.ttfonts import TTFont
    from reportlab.pdfgen.canvas import Canvas


#: ReportLab has switches and fonts that all threads share, so that one document is written at once.
_REPORTLAB = Lock()


@cache
def register_first_font() -> None:
    """Register the typeface that a new canvas begins with."""
    from reportlab.pdfbase.pdfmetrics import registerFont

    registerFont(_font(REGULAR))


@lru_cache(maxsize=64)
def _font(name: str, more: str = "") -> TTFont:
    """A typeface as a font, cut down to Latin and `more` characters.

    Nobody reads the codes of its characters, so only those that are used are embedded.
    """
    from reportlab.pdfbase.ttfonts import TTFont

    data = cut_font(name, LATIN + more) if more else latin_font(name)
    return TTFont(name, BytesIO(data), asciiReadable=False)


class Encoder:
    """Turns spans into PDF strings, each in the name and code of the font subset that has it."""

    def __init__(self, canvas: Canvas, document: Document) -> None:
        # A canvas has no public way to its document, and subsets are kept by document.
        self._target: Any = canvas._doc
        self._canvas: Any = canvas
        self._forms: dict[tuple[Any, ...], str] = {}
        self._more = _beyond_latin(document)
        self._known: dict[tuple[str, str], list[tuple[str, str]]] = {}

    def strings(self, name: str, text: str) -> list[tuple[str, str]]:
        """(font's name in the file, the text's codes in hexadecimal), in order."""
        key = (name, text)
        if key not in self._known:
            font: Any = _font(name, self._more.get(name, ""))
            self._known[key] = [
                (font.getSubsetInternalName(subset, self._target), codes.hex())
                for subset, codes in font.splitString(text, self._target)
            ]
        return self._known[key]

    def form(self, name: str, text: str) -> str:
        """The resource's name of the outlines of a text, 1 font unit to 1 unit (ISO 32000-1, 8.10).

        They are drawn and not read: who extracts text does not find them.
        """
        return self._form("L", (name, text), _letters)

    def stamp(self, item: Circle | Path) -> str:
        """The resource's name of a circle or an outline at the origin, drawn in many places."""
        if isinstance(item, Circle):
            return self._form("S", (item.radius, item.fill, item.stroke, item.width), _round)
        return self._form("S", (item.steps, item.fill, item.stroke, item.width, item.dash), _shape)

    def _form(self, kind: str, key: tuple[Any, ...], made: Callable[..., bytes]) -> str:
        """The resource's name of what `made` gives for a key, an object of the file once."""
        name = self._forms.get(key)
        if name is None:
            name = f"{kind}{len(self._forms)}"
            # A page lists its resources under the name that ReportLab makes of this one.
            FileObjects(self._canvas).add(f"FormXob.{name}", made(*key))
            self._forms[key] = name
        used = self._canvas._formsinuse
        if name not in used:
            used.append(name)
        return f"FormXob.{name}"


@lru_cache(maxsize=512)
def _letters(name: str, text: str) -> bytes:
    """A form XObject with the outlines of a text."""
    steps = " ".join(_letter_step(step) for step in letter_outlines(text, name))
    em = typeface(name).units
    return _form_object(f"{steps} f", (-em, -em, (len(text) + 1) * em, 2 * em))


def _form_object(operators: str, box: tuple[float, float, float, float]) -> bytes:
    """A form XObject that draws some operators in a box (left, bottom, right, top)."""
    code = compress(operators.encode())
    return (
        b"<</Type/XObject/Subtype/Form/BBox[%.0f %.0f %.0f %.0f]/Resources<<>>/Filter/FlateDecode"
        b"/Length %d>>\nstream\n%s\nendstream"
        % (floor(box[0]), floor(box[1]), ceil(box[2]), ceil(box[3]), len(code), code)
    )


@lru_cache(maxsize=512)
def _round(radius: float, fill: float | None, stroke: float | None, width: float) -> bytes:
    """A form XObject of a circle round the origin."""
    reach = radius + width
    item = Circle(0.0, 0.0, radius, fill, stroke, width)
    return _form_object(shape(item, 0.0), (-reach, -reach, reach, reach))


@lru_cache(maxsize=512)
def _shape(
    steps: tuple[Step, ...],
    fill: float | None,
    stroke: float | None,
    width: float,
    dash: tuple[float, ...],
) -> bytes:
    """A form XObject of an outline at the origin."""
    item = Path(steps, fill, stroke, width, dash)
    box = item_box(item)
    assert box is not None
    return _form_object(shape(item, 0.0), (box[0] - 1, -box[3] - 1, box[2] + 1, -box[1] + 1))


def _letter_step(step: Step) -> str:
    """A step of an outline in whole font units, y upwards: a thousandth of an em is not seen."""
    numbers = (f"{float(n) * (-1) ** place:.0f}" for place, n in enumerate(step[1:]))
    return " ".join((*numbers, {"M": "m", "L": "l", "C": "c", "Z": "h"}[str(step[0])]))


def _beyond_latin(document: Document) -> dict[str, str]:
    """The characters of other scripts in a document, by the typeface that sets them.

    A document takes each typeface from one font: a file cannot tell two subsets of one name apart.
    """
    letters = document.letters
    return dict(letters_beyond_latin(document.pages) if letters is None else letters)


def letters_beyond_latin(pages: Iterable[Page]) -> tuple[tuple[str, str], ...]:
    """Each typeface that sets texts in other scripts, with the characters of these texts."""
    latin = frozenset((*LATIN, *SIGNS))
    found: dict[str, set[str]] = {}
    for page in pages:
        for item in page.items:
            if isinstance(item, Text):
                for span in item.spans:
                    if not latin.issuperset(span.text):
                        found.setdefault(span.face, set()).update(span.text)
    return tuple((face, "".join(sorted(chars))) for face, chars in sorted(found.items()))


def write_pdf(document: Document) -> bytes:
    """The document as the bytes of a PDF file: title, author, language, outline, embedded fonts."""
    with _REPORTLAB, _binary():
        register_first_font()
        return _written(document)


def _written(document: Document) -> bytes:
    from reportlab.pdfgen.canvas import Canvas

    canvas = Canvas(
        BytesIO(),
        invariant=1,
        pdfVersion=(1, 7),
        pageCompression=1,
        lang=document.language,
        initialFontName=REGULAR,
    )
    canvas.setTitle(harmless(document.title))
    canvas.setAuthor(harmless(document.author))
    canvas.setCreator(MARK)
    if document.stamp:
        canvas.setKeywords(document.stamp)
    encoder, tags = Encoder(canvas, document), Tags()
    entries: dict[int, list[tuple[str, OutlineEntry]]] = {}
    for index, entry in enumerate(document.outline):
        entries.setdefault(entry.page, []).append((f"o{index}", entry))
    if entries:
        canvas.showOutline()
    for number, page in enumerate(document.pages):
        canvas.setPageSize((page.width, page.height))
        for key, entry in entries.get(number, ()):
            canvas.bookmarkHorizontal(key, 0, page.height - entry.y)
            canvas.addOutlineEntry(harmless(entry.title), key, entry.level, entry.level > 0)
        _add_links(canvas, page, number)
        canvas.addLiteral(_drawn(page, encoder, tags))
        canvas.showPage()
    write_tags(tags, canvas, document)
    if document.front:
        canvas.addPageLabel(0, style="ROMAN_LOWER", start=1)
        canvas.addPageLabel(document.front, style="ARABIC", start=1)
    return write_file(canvas)


def _add_links(canvas: Canvas, page: Page, number: int) -> None:
    """The links of a page, and a place that links to this page lead to."""
    canvas.bookmarkPage(f"p{number}")
    for link in page.links:
        left, top, right, bottom = link.box
        box = (left, page.height - bottom, right, page.height - top)
        canvas.linkRect("", f"p{link.page}", box, relative=0, thickness=0)


@contextmanager
def _binary() -> Iterator[None]:
    """Binary streams: ASCII85 takes ReportLab longer than all the rest, and adds bytes."""
    from reportlab import rl_config

    before, rl_config.useA85 = rl_config.useA85, 0
    try:
        yield
    finally:
        rl_config.useA85 = before


def _drawn(page: Page, encoder: Encoder, tags: Tags) -> str:
    """The operators of a page's items in order, each piece of content marked as what it is."""
    height, code = page.height, list[str]()
    marked: Element | None = None
    tags.begin_page(height)
    for item in page.items:
        if type(item) is Open:
            tags.open(item.group)
            continue
        if type(item) is Close:
            tags.close()
            continue
        element = tags.place(type(item) is Text)
        if element is not marked:
            code.append(tags.begin(element) if marked is None else f"EMC {tags.begin(element)}")
            marked = element
        if element.drawn is not None:
            element.drawn.append(item)
        if type(item) is Text:
            code.append((_picture if tags.unread else _text)(encoder, item, height))
        elif (type(item) is Circle or type(item) is Path) and (item.x or item.y):
            place = f"{item.x:.2f} {height - item.y:.2f}"
            code.append(f"q 1 0 0 1 {place} cm /{encoder.stamp(item)} Do Q")
        else:
            code.append(shape(item, height))
    tags.end_page()
    return "\n".join((*code, "EMC") if marked is not None else code)


def _picture(encoder: Encoder, item: Text, height: float) -> str:
    """The PDF operators of a text that is drawn as a picture of its letters."""
    out = []
    for span in item.spans:
        scale = span.size / typeface(span.face).units
        x, y = item.x + span.dx, height - item.y + span.rise
        form = encoder.form(span.face, span.text)
        place = f"{scale:.5f} 0 0 {scale:.5f} {x:.2f} {y:.2f}"
        out.append(f"q {item.grey:g} g {place} cm /{form} Do Q")
    return " ".join(out)


def _text(encoder: Encoder, item: Text, height: float) -> str:
    """The PDF operators of a text."""
    out = [f"BT {item.grey:g} g"]
    y = f"{height - item.y:.2f}"
    rise = 0.0
    for span in item.spans:
        out.append(f"1 0 0 1 {item.x + span.dx:.2f} {y} Tm")
        if span.rise != rise:
            rise = span.rise
            out.append(f"{rise:.2f} Ts")
        for font, codes in encoder.strings(span.face, span.text):
            out.append(f"{font} {span.size:.2f} Tf <{codes}> Tj")
    out.append("0 Ts ET" if rise else "ET")
    if len(item.spans) == 1 or reads_from_right(item.string):
        return " ".join(out)
    # Some readers take a change of size for a new word: ActualText says that it is one text.
    words = (b"\xfe\xff" + item.string.encode("utf-16-be")).hex()
    return f"/Span <</ActualText <{words}>>> BDC {' '.join(out)} EMC"


#: Control points of a quarter circle of radius 1: 4/3·(√2 − 1).
_ROUND = 0.5522847498
_OPERATORS = {"M": "m", "L": "l"}


def shape(item: Item, height: float) -> str:
    """The PDF operators of a line, circle, rectangle or path."""
    if type(item) is Line:
        start = f"{item.x1:.2f} {height - item.y1:.2f} m {item.x2:.2f} {height - item.y2:.2f} l S"
        return f"{item.width:.2f} w {_dash(item.dash)}{item.grey:g} G {start}{_undash(item.dash)}"
    if type(item) is Rect:
        area = f"{item.x:.2f} {height - item.y - item.h:.2f} {item.w:.2f} {item.h:.2f} re"
        return _painted(item.fill, item.stroke, item.width, area)
    if type(item) is Circle:
        return _painted(item.fill, item.stroke, item.width, _circle(item, height))
    assert type(item) is Path
    area = " ".join(_step(step, height) for step in item.placed)
    drawn = _painted(item.fill, item.stroke, item.width, area)
    return f"{_dash(item.dash)}{drawn}{_undash(item.dash)}"


def _dash(dash: tuple[float, ...]) -> str:
    return f"[{' '.join(f'{n:.2f}' for n in dash)}] 0 d " if dash else ""


def _undash(dash: tuple[float, ...]) -> str:
    return " [] 0 d" if dash else ""


def _painted(fill: float | None, stroke: float | None, width: float, area: str) -> str:
    if stroke is None:
        return f"{fill or 0:g} g {area} f"
    if fill is None:
        return f"{width:.2f} w {stroke:g} G {area} S"
    return f"{width:.2f} w {stroke:g} G {fill:g} g {area} B"


def _step(step: Any, height: float) -> str:
    if step[0] == "Z":
        return "h"
    if step[0] == "C":
        _, x1, y1, x2, y2, x, y = step
        control = f"{x1:.2f} {height - y1:.2f} {x2:.2f} {height - y2:.2f}"
        return f"{control} {x:.2f} {height - y:.2f} c"
    operator, x, y = step
    return f"{x:.2f} {height - y:.2f} {_OPERATORS[operator]}"


def _circle(item: Circle, height: float) -> str:
    x, y, r = item.x, height - item.y, item.radius
    k = r * _ROUND
    return (
        f"{x + r:.2f} {y:.2f} m "
        f"{x + r:.2f} {y + k:.2f} {x + k:.2f} {y + r:.2f} {x:.2f} {y + r:.2f} c "
        f"{x - k:.2f} {y + r:.2f} {x - r:.2f} {y + k:.2f} {x - r:.2f} {y:.2f} c "
        f"{x - r:.2f} {y - k:.2f} {x - k:.2f} {y - r:.2f} {x:.2f} {y - r:.2f} c "
        f"{x + k:.2f} {y - r:.2f} {x + r:.2f} {y - k:.2f} {x + r:.2f} {y:.2f} c h"
    )
