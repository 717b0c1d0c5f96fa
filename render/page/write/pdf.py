"""Write a document as PDF.

Takes a `Document`, gives the bytes of a tagged PDF 1.7 file (ISO 32000-1:2008): the same document
gives the same bytes. Fonts are embedded and cut down to what is used.
"""

from __future__ import annotations

from dataclasses import field

from ....grammar.foreign_text import xml_text
from ....grammar.frozen import mutable
from ...stamps import MARK
from ..drawing.items import Document, OutlineEntry, Page
from .pdf_content import Contents
from .pdf_file import PdfFile, number, references, stream, string
from .tags import write_tags


def write_pdf(document: Document) -> bytes:
    """The document as the bytes of a PDF file: title, author, language, outline, embedded fonts."""
    file = PdfFile()
    contents, tree = Contents(file), file.reserve()
    pages = [file.reserve() for _ in range(len(document.pages))]
    for place, page in enumerate(document.pages):
        file.fill(pages[place], _page(file, contents, page, (tree, place), pages))
    file.fill(tree, b"<</Type/Pages/Count %d/Kids[%s]>>" % (len(pages), references(pages)))
    contents.fonts.write()
    entries = [
        b"/Pages %d 0 R/Lang%s" % (tree, string(document.language)),
        b"/StructTreeRoot %d 0 R" % write_tags(contents.tags, file, pages),
        b"/MarkInfo<</Marked true>>/ViewerPreferences<</DisplayDocTitle true>>",
        b"/Metadata %d 0 R" % file.add(_metadata(document)),
        _outline(file, document.outline, pages, contents.tags.heights),
        _labels(document.front),
    ]
    root = file.add(b"<</Type/Catalog%s>>" % b"".join(entries))
    return file.written(root, file.add(_facts(document)))


def _page(
    file: PdfFile, contents: Contents, page: Page, place: tuple[int, int], pages: list[int]
) -> bytes:
    """A page; `place`: the number of the tree of pages, and the page's own, counted from 0."""
    operators, forms = contents.draw(page)
    listed = b"".join(b"/%s %d 0 R" % (name.encode(), form) for name, form in forms.items())
    return (
        b"<</Type/Page/Parent %d 0 R/MediaBox[0 0 %s %s]/Contents %d 0 R"
        b"/Resources<</Font %d 0 R/XObject<<%s>>>>/StructParents %d/Tabs/S%s>>"
    ) % (
        place[0], number(page.width), number(page.height), file.add(stream(operators)),
        contents.fonts.number, listed, place[1], _links(file, page, pages),
    )  # fmt: skip


def _links(file: PdfFile, page: Page, pages: list[int]) -> bytes:
    """The links of a page to others (12.5.6.5); nothing where there are none."""
    annotations = []
    for link in page.links:
        left, top, right, bottom = link.box
        edges = (left, page.height - bottom, right, page.height - top)
        box = b" ".join(map(number, edges))
        annotations.append(
            b"<</Type/Annot/Subtype/Link/Rect[%s]/Border[0 0 0]/Dest[%d 0 R/Fit]>>"
            % (box, pages[link.page])
        )
    if not annotations:
        return b""
    return b"/Annots[%s]" % references([file.add(data) for data in annotations])


@mutable
class _Node:
    """An entry of the outline in the file, and those below it."""

    number: int
    entry: OutlineEntry
    kids: list[_Node] = field(default_factory=list)

    @property
    def shown(self) -> int:
        """How many entries below it are shown when all that is open is shown."""
        return sum(1 + (kid.shown if kid.is_open else 0) for kid in self.kids)

    @property
    def is_open(self) -> bool:
        """Whether the entries below it are shown at first: those below the top level are not."""
        return self.entry.level == 0


def _outline(
    file: PdfFile, entries: tuple[OutlineEntry, ...], pages: list[int], heights: list[float]
) -> bytes:
    """What the catalogue says of the outline (12.3.3), which is put into the file."""
    if not entries:
        return b""
    root = _Node(file.reserve(), OutlineEntry("", 0, 0.0, -1))
    above = [root]
    for entry in entries:
        while above[-1].entry.level >= entry.level:
            above.pop()
        above[-1].kids.append(_Node(file.reserve(), entry))
        above.append(above[-1].kids[-1])
    ends = root.kids[0].number, root.kids[-1].number
    top = b"<</Type/Outlines/First %d 0 R/Last %d 0 R/Count %d>>" % (*ends, root.shown)
    file.fill(root.number, top)
    _fill_outline(file, root, pages, heights)
    return b"/Outlines %d 0 R/PageMode/UseOutlines" % root.number


def _fill_outline(file: PdfFile, parent: _Node, pages: list[int], heights: list[float]) -> None:
    """Give all entries below one their bytes."""
    kids = parent.kids
    for place, kid in enumerate(kids):
        page, y = kid.entry.page, heights[kid.entry.page] - kid.entry.y
        parts = [
            b"/Title%s/Parent %d 0 R" % (string(kid.entry.title), parent.number),
            b"/Dest[%d 0 R/XYZ 0 %s 0]" % (pages[page], number(y)),
        ]
        if place:
            parts.append(b"/Prev %d 0 R" % kids[place - 1].number)
        if place + 1 < len(kids):
            parts.append(b"/Next %d 0 R" % kids[place + 1].number)
        if kid.kids:
            ends = kid.kids[0].number, kid.kids[-1].number
            count = kid.shown if kid.is_open else -kid.shown
            parts.append(b"/First %d 0 R/Last %d 0 R/Count %d" % (*ends, count))
        file.fill(kid.number, b"<<%s>>" % b"".join(parts))
        _fill_outline(file, kid, pages, heights)


def _labels(front: int) -> bytes:
    """What the catalogue says of the numbers of pages (12.4.2): small Roman ones at first."""
    if not front:
        return b""
    return b"/PageLabels<</Nums[0<</S/r/St 1>>%d<</S/D/St 1>>]>>" % front


def _facts(document: Document) -> bytes:
    """What the file says about itself (14.3.3)."""
    facts = {
        b"Title": document.title,
        b"Author": document.author,
        b"Creator": MARK,
        b"Keywords": document.stamp,
    }
    return b"<<%s>>" % b"".join(b"/%s%s" % (key, string(text)) for key, text in facts.items())


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
