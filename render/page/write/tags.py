"""The structure tree of a PDF: what its content is, in the order of reading.

Follows ISO 32000-1:2008, 14.6 to 14.9, and the clauses of ISO 14289-1:2014 (PDF/UA-1) that a
program can judge: every piece of content is an element's or an artifact, every figure has words
that stand for it, headings begin at level 1 and skip none. Takes the groups of items as they open
and close, gives the operators that mark content, and the objects of the tree.

    Document → H1, P; Sect → H2, P, Bar → Figure (chords, signs), P

`Bar` is a type of our own, which stands for `Div`.
"""

from __future__ import annotations

from dataclasses import field
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from ....grammar.foreign_text import harmless, xml_text
from ....grammar.frozen import mutable
from ..drawing.geometry import box_of, union
from ..drawing.items import Box, Document, Group, Item
from .pdf_file import FileObjects

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas


@mutable
class Element:
    """An element of the tree while it grows.

    `content` holds its pieces of content, each as page and marked-content identifier (MCID);
    `drawn` the items of a figure on the page that is being drawn, None for other elements; `box`
    is what those of earlier pages take.
    """

    role: str
    parent: Element | None = None
    alternative: str = ""
    title: str = ""
    bar: int | None = None
    kids: list[Element | tuple[int, int]] = field(default_factory=list)
    drawn: list[Item] | None = None
    box: Box | None = None
    attached: bool = False

    def attach(self) -> None:
        """Take the place in the tree that follows what has one already."""
        if not self.attached and self.parent is not None:
            self.parent.attach()
            self.parent.kids.append(self)
        self.attached = True


#: Content that is no part of the document: pictures that only repeat, and what every page repeats.
ARTIFACT: Final = Element("Artifact")
PAGINATION: Final = Element("Artifact")
#: Whose content the texts and the shapes of a group are.
Places = tuple[Element, Element]
#: The groups whose letters are parts of a picture.
_UNREAD: Final = ("drawing", "decoration")
_ROLES: Final = {"title": "H1", "heading": "H2", "text": "P", "legend": "P"}


class Tags:
    """Builds the tree of one document while its pages are drawn."""

    def __init__(self) -> None:
        self.root = Element("Document", attached=True)
        self.pages: list[list[Element]] = []
        self.heights: list[float] = []
        self._section = self.root
        self._bar = self.root
        self._stack: list[tuple[Group, Places]] = []
        #: Whether letters are drawn as pictures and not as text.
        self.unread = False

    def begin_page(self, height: float) -> None:
        """What is drawn from now on stands on a new page of a height."""
        self.pages.append([])
        self.heights.append(height)

    def end_page(self) -> None:
        """All of a page is drawn: keep the boxes of its figures instead of their items."""
        for element in dict.fromkeys(self.pages[-1]):
            if element.drawn:
                boxes = element.box, box_of(element.drawn)
                element.box = union(box for box in boxes if box is not None)
                element.drawn = []

    def open(self, group: Group) -> None:
        """The items of a group begin."""
        self._stack.append((group, self._places(group)))
        self.unread = group.kind in _UNREAD

    def close(self) -> None:
        """The items of the innermost group end."""
        self._stack.pop()
        self.unread = bool(self._stack) and self._stack[-1][0].kind in _UNREAD

    def place(self, is_text: bool) -> Element:
        """Whose content the next item is; text in no group is a paragraph by itself."""
        if self._stack:
            return self._stack[-1][1][0 if is_text else 1]
        return Element("P", self.root) if is_text else ARTIFACT

    def begin(self, element: Element) -> str:
        """The operator that begins content of an element."""
        if element is ARTIFACT:
            return "/Artifact BMC"
        if element is PAGINATION:
            return "/Artifact <</Type /Pagination>> BDC"
        element.attach()
        page = self.pages[-1]
        element.kids.append((len(self.pages) - 1, len(page)))
        page.append(element)
        return f"/{element.role} <</MCID {len(page) - 1}>> BDC"

    def _places(self, group: Group) -> Places:
        kind = group.kind
        if kind in ("drawing", "line"):
            return self._stack[-1][1] if self._stack else (ARTIFACT, ARTIFACT)
        if kind == "decoration":
            return ARTIFACT, ARTIFACT
        if kind == "furniture":
            return PAGINATION, PAGINATION
        if kind == "section":
            self._section = Element("Sect", self.root)
            return self._section, ARTIFACT
        if kind == "bar":
            return self._open_bar(group)
        if kind == "chord":
            in_bar = any(around.kind == "bar" for around, _ in self._stack)
            inside = self._bar if in_bar else self._section
            figure = Element("Figure", inside, group.alternative, drawn=[])
            return figure, figure
        if kind == "heading" and self._section.attached:
            self._section = Element("Sect", self.root)
        inside = self.root if kind in ("title", "legend") else self._section
        return Element(_ROLES[kind], inside), ARTIFACT

    def _open_bar(self, group: Group) -> Places:
        """A bar, or what follows of one that was cut; its signs are a figure with words."""
        bar = self._bar
        if bar.bar != group.bar or bar.parent is not self._section:
            self._bar = bar = Element("Bar", self._section, title=f"Bar {group.bar}", bar=group.bar)
        if group.alternative:
            signs = Element("Figure", bar, group.alternative, drawn=[])
            return signs, signs
        return Element("P", bar), ARTIFACT


class Home(NamedTuple):
    """A page in the file: the number of its object, its height in points."""

    number: int
    height: float


def _string(text: str) -> bytes:
    """A text as a PDF string: ASCII as it is, any other in UTF-16 (ISO 32000-1, 7.9.2.2)."""
    text = harmless(text)
    data = text.encode() if text.isascii() else b"\xfe\xff" + text.encode("utf-16-be")
    for sign in (b"\\", b"(", b")"):
        data = data.replace(sign, b"\\" + sign)
    return b"(" + data.replace(b"\r", b"\\r") + b")"


def write_tags(tags: Tags, canvas: Canvas, document: Document) -> None:
    """Put the tree into the file of a canvas whose pages are all shown.

    ReportLab writes no tags: its catalogue and pages take the entries, the objects are our own.
    """
    objects = FileObjects(canvas)
    homes = [
        Home(objects.number_of(f"Page{number}"), height)
        for number, height in enumerate(tags.heights, 1)
    ]
    numbers: dict[Element, int] = {}
    order: list[Element] = []
    _number(tags.root, objects, numbers, order)
    root = objects.reserve("StructTree")
    for element in order:
        parent = root if element.parent is None else numbers[element.parent]
        objects.fill(numbers[element], _element(element, parent, numbers, homes))
    parents = b"".join(
        b"%d [%s]" % (page, b" ".join(b"%d 0 R" % numbers[one] for one in elements))
        for page, elements in enumerate(tags.pages)
    )
    objects.fill(
        root,
        b"<</Type/StructTreeRoot/K %d 0 R/RoleMap<</Bar/Div>>/ParentTree<</Nums[%s]>>"
        b"/ParentTreeNextKey %d>>" % (numbers[tags.root], parents, len(homes)),
    )
    catalogue: Any = objects.document.Catalog
    catalogue.StructTreeRoot = objects.reference("StructTree")
    catalogue.MarkInfo = objects.add("MarkInfo", b"<</Marked true>>")
    catalogue.Metadata = objects.add("Metadata", _metadata(document))
    canvas.setViewerPreference("DisplayDocTitle", "true")
    for number in range(len(homes)):
        page = objects.document.idToObject[f"Page{number + 1}"]
        # A page writes the entries that it knows by name.
        page.__NoDefault__ = [*page.__NoDefault__, "StructParents", "Tabs"]
        page.StructParents, page.Tabs = number, "/S"


def _number(
    element: Element, objects: FileObjects, numbers: dict[Element, int], order: list[Element]
) -> None:
    """Give an element and those below it their numbers, in the order of reading."""
    numbers[element] = objects.reserve(f"Tag{len(order)}")
    order.append(element)
    for kid in element.kids:
        if isinstance(kid, Element):
            _number(kid, objects, numbers, order)


def _element(
    element: Element, parent: int, numbers: dict[Element, int], homes: list[Home]
) -> bytes:
    """The bytes of an element whose parent's object has a number."""
    own = [kid for kid in element.kids if not isinstance(kid, Element)]
    home = own[0][0] if own else 0
    kids = b" ".join(
        b"%d 0 R" % numbers[kid] if isinstance(kid, Element)
        else b"%d" % kid[1] if kid[0] == home
        else b"<</Type/MCR/Pg %d 0 R/MCID %d>>" % (homes[kid[0]].number, kid[1])
        for kid in element.kids
    )  # fmt: skip
    parts = [b"<</S/%s/P %d 0 R/K[%s]" % (element.role.encode(), parent, kids)]
    if own:
        parts.append(b"/Pg %d 0 R" % homes[home].number)
    if element.title:
        parts.append(b"/T" + _string(element.title))
    if element.alternative:
        parts.append(b"/Alt" + _string(element.alternative))
    if element.box is not None:
        # ISO 32000-1, 14.8.5.4.3: a figure says where it stands.
        left, top, right, bottom = element.box
        edges = (left, homes[home].height - bottom, right, homes[home].height - top)
        parts.append(b"/A<</O/Layout/BBox[%.2f %.2f %.2f %.2f]>>" % edges)
    return b"".join((*parts, b">>"))


def _metadata(document: Document) -> bytes:
    """An XMP packet (ISO 16684-1) with title, author and language."""
    title, author = xml_text(document.title), xml_text(document.author)
    by = f"<dc:creator><rdf:Seq><rdf:li>{author}</rdf:li></rdf:Seq></dc:creator>"
    packet = (
        '<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>'
        '<x:xmpmeta xmlns:x="adobe:ns:meta/">'
        '<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
        '<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/">'
        f'<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title>'
        f"{by if author else ''}"
        f"<dc:language><rdf:Bag><rdf:li>{xml_text(document.language)}</rdf:li></rdf:Bag>"
        "</dc:language></rdf:Description></rdf:RDF></x:xmpmeta>"
        '<?xpacket end="r"?>'
    ).encode()
    return b"<</Type/Metadata/Subtype/XML/Length %d>>\nstream\n%s\nendstream" % (
        len(packet), packet,
    )  # fmt: skip
