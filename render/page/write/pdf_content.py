"""The operators that draw a page of a PDF, and the objects that they place.

Takes the items of a page, gives the operators as text: texts that are read in the typefaces of the
file, everything else as shapes. Numbers in pictures are outlines, so that text that is copied or
read aloud holds the chords alone. What stands in many places is a form, an object that is placed by
its name (ISO 32000-1:2008, 8.10).
"""

from __future__ import annotations

from functools import lru_cache
from itertools import chain
from math import ceil, floor
from typing import TYPE_CHECKING

from ....grammar.frozen import frozen
from ..drawing.fonts import typeface
from ..drawing.geometry import item_box
from ..drawing.items import (
    Box,
    Circle,
    Close,
    Document,
    Drawing,
    Ink,
    Line,
    Open,
    Page,
    Path,
    Placed,
    Places,
    Rect,
    Shown,
    Step,
    Text,
)
from ..drawing.outlines import letter_outlines
from ..drawing.scripts import reads_from_right
from .pdf_file import FileObjects, stream
from .pdf_fonts import PdfFonts
from .tags import Element, Tags

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas


@frozen(hash_once=True)
class Form:
    """An object that is placed by its name; `letter` begins the names of its kind."""

    letter: str
    data: bytes


class Contents:
    """Draws the pages of one canvas: its forms are objects of the file, `tags` their tree."""

    def __init__(self, canvas: Canvas, document: Document) -> None:
        self.tags = Tags()
        self._fonts = PdfFonts(canvas, document)
        self._objects = FileObjects(canvas)
        self._forms: dict[Form, str] = {}
        self._drawings: dict[Drawing, tuple[str, Places]] = {}

    def draw(self, page: Page) -> str:
        """The operators of a page, to be drawn on the canvas before the next page is asked for."""
        # A page lists the forms that are asked for while it is drawn.
        self._drawings = {}
        return self._operators(page)

    def _operators(self, page: Page) -> str:
        """The operators of the items in order, each piece of content marked as what it is."""
        height, tags, code = page.height, self.tags, list[str]()
        marked: Element | None = None
        tags.begin_page(height)
        for item in page.parts:
            if isinstance(item, Open):
                tags.open(item.group)
                continue
            if isinstance(item, Close):
                tags.close()
                continue
            assert not isinstance(item, Shown)
            element = tags.place(type(item) is Text)
            if element is not marked:
                code.append(tags.begin(element) if marked is None else f"EMC {tags.begin(element)}")
                marked = element
            if element.drawn is not None:
                element.drawn.append(item)
            if isinstance(item, Placed):
                operators, places = self._drawing(item.drawing)
                code.append(operators % _at(places, item.x, height - item.y))
            elif type(item) is Text and not tags.unread:
                code.append(self._text(item, height))
            elif type(item) is Line:
                ends = item.x1, height - item.y1, item.x2, height - item.y2
                code.append(_line(item.width, item.grey, item.dash) % ends)
            else:
                operators, forms, places = _picture(item)
                named = operators % tuple(map(self._form, forms))
                code.append(named % _at(places, 0.0, height))
        tags.end_page()
        return "\n".join((*code, "EMC") if marked is not None else code)

    def _form(self, form: Form) -> str:
        """The name of a form, which is an object of the file once."""
        name = self._forms.get(form)
        if name is None:
            name = self._forms[form] = f"{form.letter}{len(self._forms)}"
            self._objects.add_form(name, form.data)
        return self._objects.use_form(name)

    def _drawing(self, drawing: Drawing) -> tuple[str, Places]:
        """The operators of a drawing with room for places, and these, from its origin."""
        known = self._drawings.get(drawing)
        if known is None:
            operators, forms, places = _drawing(drawing)
            known = operators % tuple(map(self._form, forms)), places
            self._drawings[drawing] = known
        return known

    def _text(self, item: Text, height: float) -> str:
        """The PDF operators of a text."""
        out = [f"BT {item.grey:g} g"]
        y = f"{height - item.y:.2f}"
        rise = 0.0
        for span in item.spans:
            out.append(f"1 0 0 1 {item.x + span.dx:.2f} {y} Tm")
            if span.rise != rise:
                rise = span.rise
                out.append(f"{rise:.2f} Ts")
            for font, codes in self._fonts.strings(span.face, span.text):
                out.append(f"{font} {span.size:.2f} Tf <{codes}> Tj")
        out.append("0 Ts ET" if rise else "ET")
        if len(item.spans) == 1 or reads_from_right(item.string):
            return " ".join(out)
        # Some readers take a change of size for a new word: ActualText says that it is one text.
        words = (b"\xfe\xff" + item.string.encode("utf-16-be")).hex()
        return f"/Span <</ActualText <{words}>>> BDC {' '.join(out)} EMC"


def _at(places: Places, x: float, y: float) -> tuple[float, ...]:
    """The numbers of places below an origin at (x, y), y upwards."""
    return tuple([number for dx, dy in places for number in (x + dx, y - dy)])


#: Operators with `%s` for each of some forms' names and `%%.2f` for each number of some places.
Picture = tuple[str, tuple[Form, ...], Places]


@lru_cache(maxsize=1024)
def _drawing(drawing: Drawing) -> Picture:
    """The operators of a drawing; what it strokes (the net of a grid) others have too."""
    pictures = [
        _placed(item) if isinstance(item, Path) and item.fill is None else _picture(item)
        for item in drawing.items
    ]
    operators, forms, places = zip(*pictures, strict=True)
    return "\n".join(operators), tuple(chain(*forms)), tuple(chain(*places))


def _picture(item: Ink) -> Picture:
    """The operators of what is not read: shapes, and texts as pictures of their letters."""
    if isinstance(item, Text):
        return _letters_of(item)
    if isinstance(item, (Circle, Path)) and (item.x or item.y):
        return _placed(item)
    operators, places = _outline(item)
    return operators.replace("%", "%%"), (), places


def _placed(item: Circle | Path) -> Picture:
    """The operators of a circle or an outline as a form at its place."""
    return "q 1 0 0 1 %%.2f %%.2f cm /%s Do Q", (_stamp(item),), ((item.x, item.y),)


def _letters_of(item: Text) -> Picture:
    """The operators of a text that is drawn as a picture of its letters."""
    operators, forms, places = [], [], []
    for span in item.spans:
        scale = span.size / typeface(span.face).units
        operators.append(f"q {item.grey:g} g {scale:.5f} 0 0 {scale:.5f} %%.2f %%.2f cm /%s Do Q")
        forms.append(_letters(span.face, span.text))
        places.append((item.x + span.dx, item.y - span.rise))
    return " ".join(operators), tuple(forms), tuple(places)


@lru_cache(maxsize=512)
def _letters(name: str, text: str) -> Form:
    """The outlines of a text, 1 font unit to 1 unit.

    They are drawn and not read: who extracts text does not find them.
    """
    steps = " ".join(_letter_step(step) for step in letter_outlines(text, name))
    em = typeface(name).units
    return _form("L", f"{steps} f", (-em, -em, (len(text) + 1) * em, 2 * em))


def _letter_step(step: Step) -> str:
    """A step of an outline in whole font units, y upwards: a thousandth of an em is not seen."""
    numbers = (f"{float(n) * (-1) ** place:.0f}" for place, n in enumerate(step[1:]))
    return " ".join((*numbers, {"M": "m", "L": "l", "C": "c", "Z": "h"}[str(step[0])]))


@lru_cache(maxsize=512)
def _round(radius: float, fill: float | None, stroke: float | None, width: float) -> Form:
    """A circle round the origin."""
    reach = radius + width
    item = Circle(0.0, 0.0, radius, fill, stroke, width)
    return _form("S", _shape_at_origin(item), (-reach, -reach, reach, reach))


@lru_cache(maxsize=512)
def _shape(
    steps: tuple[Step, ...],
    fill: float | None,
    stroke: float | None,
    width: float,
    dash: tuple[float, ...],
) -> Form:
    """An outline at the origin."""
    item = Path(steps, fill, stroke, width, dash)
    box = item_box(item)
    assert box is not None
    edges = (box[0] - 1, -box[3] - 1, box[2] + 1, -box[1] + 1)
    return _form("S", _shape_at_origin(item), edges)


def _stamp(item: Circle | Path) -> Form:
    """A circle or an outline at the origin."""
    if isinstance(item, Circle):
        return _round(item.radius, item.fill, item.stroke, item.width)
    return _shape(item.steps, item.fill, item.stroke, item.width, item.dash)


def _form(letter: str, operators: str, box: Box) -> Form:
    """A form that draws some operators in a box (left, bottom, right, top)."""
    edges = floor(box[0]), floor(box[1]), ceil(box[2]), ceil(box[3])
    entries = b"/Type/XObject/Subtype/Form/BBox[%d %d %d %d]/Resources<<>>" % edges
    return Form(letter, stream(operators.encode(), entries))


#: Control points of a quarter circle of radius 1: 4/3·(√2 − 1).
_ROUND = 0.5522847498
_STEPS = {
    "M": "%.2f %.2f m",
    "L": "%.2f %.2f l",
    "C": "%.2f %.2f %.2f %.2f %.2f %.2f c",
    "Z": "h",
}
_CIRCLE = " ".join(_STEPS[step] for step in "MCCCCZ")


def _shape_at_origin(item: Circle | Path) -> str:
    """The operators of a shape round the origin, y upwards."""
    operators, places = _outline(item)
    return operators % _at(places, 0.0, 0.0)


def _outline(item: Ink) -> tuple[str, Places]:
    """The operators of a shape with room for its places, and these."""
    if type(item) is Line:
        places = (item.x1, item.y1), (item.x2, item.y2)
        return _line(item.width, item.grey, item.dash), places
    if type(item) is Rect:
        area = f"%.2f %.2f {item.w:.2f} {item.h:.2f} re"
        return _painted(item.fill, item.stroke, item.width, area), ((item.x, item.y + item.h),)
    if type(item) is Circle:
        return _painted(item.fill, item.stroke, item.width, _CIRCLE), _circle(item)
    assert type(item) is Path
    area = " ".join([_STEPS[str(step[0])] for step in item.steps])
    drawn = _painted(item.fill, item.stroke, item.width, area)
    return f"{_dash(item.dash)}{drawn}{_undash(item.dash)}", item.corners


@lru_cache(maxsize=256)
def _line(width: float, grey: float, dash: tuple[float, ...]) -> str:
    """The operators of a straight line."""
    drawn = f"{width:.2f} w {_dash(dash)}{grey:g} G %.2f %.2f m %.2f %.2f l S"
    return f"{drawn}{_undash(dash)}"


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


def _circle(item: Circle) -> Places:
    """The points of the four curves of a circle, from its right end on upwards."""
    x, y, r = item.x, item.y, item.radius
    k = r * _ROUND
    return (
        (x + r, y),
        (x + r, y - k), (x + k, y - r), (x, y - r),
        (x - k, y - r), (x - r, y - k), (x - r, y),
        (x - r, y + k), (x - k, y + r), (x, y + r),
        (x + k, y + r), (x + r, y + k), (x + r, y),
    )  # fmt: skip
