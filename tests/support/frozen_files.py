"""What stands in the files that are written, whole: scores, MIDI, drawings, the operators of a PDF.

Grips and readings follow fixed rules (`fixed.py`), so that the files stay the same while planner
and analysis learn.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterator
from typing import Any, Final

import mido
from fontTools.ttLib import TTFont
from midneck.converter.practice.perform import perform
from midneck.converter.practice.performance import Settings
from midneck.grammar.musicxml.reader import read_musicxml
from midneck.grammar.text.writer import write_sheet
from midneck.render.book.book import BookOptions
from midneck.render.book.layout import lay_out_book
from midneck.render.book.part import book_part
from midneck.render.midi import write_midi
from midneck.render.musicxml.write import write_musicxml
from midneck.render.page import PageStyle, lay_out, write_pdf, write_svg
from midneck.render.page.drawing.fonts import REGULAR, typeface
from midneck.render.page.drawing.typefaces import signs_font, subset
from midneck.render.sound.audio import wav_bytes
from midneck.render.sound.schedule import schedule
from midneck.render.sound.strings import mix
from pypdf import PdfReader
from pypdf.generic import ArrayObject, DictionaryObject

from support.charts import chart_of
from support.fixed import fixed_chart
from support.frozen_sheets import FORD, SIGNS, STAIR


def _score(text: str, tab: bool) -> str:
    """A score without the lines that only close an element."""
    lines = write_musicxml(fixed_chart(text), tab).decode().splitlines()
    return "".join(f"{line}\n" for line in lines if not line.lstrip().startswith("</"))


def _open_score(text: str) -> str:
    """A score with grips that are fixed, of open strings too."""
    return write_musicxml(chart_of(text)).decode()


def _read_again(text: str) -> str:
    sheet = read_musicxml(write_musicxml(fixed_chart(text)))
    return write_sheet(sheet) + "".join(f"# {warning}\n" for warning in sheet.warnings)


def _midi(text: str, apart: bool = False, **settings: object) -> str:
    chart = fixed_chart(text)
    performance = perform(chart.timeline, chart.plan, Settings(**settings))  # type: ignore[arg-type]
    file = mido.MidiFile(file=io.BytesIO(write_midi(performance, apart, "made by tests")))
    lines = [f"{file.type} {file.ticks_per_beat}"]
    for track in file.tracks:
        now = 0
        for message in track:
            now += message.time
            lines.append(f"{now:6} {message.copy(time=0)}".removesuffix(" time=0"))
    return "".join(f"{line}\n" for line in lines)


def _schedule(text: str) -> str:
    found = schedule(fixed_chart(text), 90)
    lines = "\n".join(map(repr, (found.tempo, found.length, *found.bars, *found.strokes))) + "\n"
    return re.sub(r"\d+\.\d+", lambda number: f"{float(number[0]):.6f}", lines)


def _svg(text: str) -> str:
    document = lay_out(fixed_chart(text), PageStyle("a5", neck_map="page"))
    return write_svg(document, 0, fonts=False).replace("><", ">\n<") + "\n"


def _pdf(text: str) -> str:
    """The operators of the pages of a PDF, then those of the forms that they place."""
    document = lay_out(fixed_chart(text), PageStyle("a5", neck_map="page"))
    reader = PdfReader(io.BytesIO(write_pdf(document)))
    told = reader.metadata or {}
    lines = [f"{name} {told.get(name)}" for name in ("/Title", "/Author", "/Creator", "/Keywords")]
    lines += [str(reader.trailer["/Root"].get(name)) for name in ("/Lang", "/PageMode")]
    lines += [f"{page.mediabox} {page.get('/StructParents')}" for page in reader.pages]
    lines += _tags(reader.trailer["/Root"]["/StructTreeRoot"])
    streams = [page.get_contents() for page in reader.pages]
    forms = reader.pages[0]["/Resources"]["/XObject"]
    for name in sorted(forms):
        lines.append(f"{name} {forms[name]['/BBox']}")
        streams.append(forms[name])
    lines += [stream.get_data().decode("latin-1") for stream in streams if stream]
    return "\n".join(lines) + "\n"


def _bound_pdf(*sheets: str) -> str:
    """The labels of the pages of a bound PDF, its outline, and where its links lead."""
    style = PageStyle("a5", grids="none", binding="book")
    parts = [book_part(fixed_chart(text), style, False) for text in sheets]
    reader = PdfReader(io.BytesIO(write_pdf(lay_out_book(parts, BookOptions("Bound"), style))))
    pages = [page.indirect_reference for page in reader.pages]
    lines = [" ".join(reader.page_labels), *_outline(reader, reader.outline)]
    for number, page in enumerate(reader.pages):
        for each in page.get("/Annots", []):
            link = each.get_object()
            target = pages.index(list.__getitem__(link["/Dest"].get_object(), 0))
            lines.append(f"{number} {link['/Rect']} to {target}, border {link.get('/Border')}")
    return "\n".join(lines) + "\n"


def _outline(reader: PdfReader, entries: list[Any], depth: int = 0) -> Iterator[str]:
    for entry in entries:
        if isinstance(entry, list):
            yield from _outline(reader, entry, depth + 1)
        else:
            page = reader.get_destination_page_number(entry)
            yield f"{'  ' * depth}{entry.title}: {page} {entry.get('/Top')}"


def _tags(element: Any, depth: int = 0) -> Iterator[str]:
    """The tree of tags: the kind of each, what stands for it, and the numbers of its marks."""
    element = element.get_object()
    if isinstance(element, ArrayObject):
        for child in element:
            yield from _tags(child, depth)
    elif isinstance(element, DictionaryObject):
        names = ("/S", "/Alt", "/ActualText", "/T", "/MCID", "/ID")
        facts = [str(element[name]) for name in names if name in element]
        yield f"{'  ' * depth}{' '.join(facts)}"
        yield from _tags(element["/K"], depth + 1) if "/K" in element else ()
    else:
        yield f"{'  ' * depth}{element}"


def _sound(text: str) -> str:
    """The greatest value and the power of each tenth of a second of a mix, to a thousandth."""
    chart = fixed_chart(text)
    samples = mix(perform(chart.timeline, chart.plan, Settings(click="all", count_in=1)))
    tenths = [samples[at : at + 4410].astype(float) for at in range(0, len(samples), 4410)]
    lines = [f"{abs(each).max():.3f} {(each**2).mean() ** 0.5:.3f}" for each in tenths]
    head = wav_bytes(samples, "made by tests")[:44]
    return f"{len(samples)} {head!r}\n" + "".join(f"{line}\n" for line in lines)


def _fonts() -> str:
    """The tables of the fonts of signs, and of a subset with composed letters."""
    wanted = "Åé♭ AB"
    data = {
        "signs": signs_font(),
        "signs, bold": signs_font(bold=True),
        "subset": subset(typeface(REGULAR), wanted),
    }
    return "".join(f"{name}\n{_font(each)}" for name, each in data.items())


def _font(data: bytes) -> str:
    font = TTFont(io.BytesIO(data))
    lines = [f"glyphs {font.getGlyphOrder()}", f"cmap {font.getBestCmap()}"]
    for table in ("head", "hhea", "maxp", "OS/2", "post"):
        fields = {name: value for name, value in vars(font[table]).items() if name != "panose"}
        lines.append(f"{table} {[(name, str(fields[name])) for name in sorted(fields)]}")
    lines += [f"name {record.nameID} {record.toUnicode()}" for record in font["name"].names]
    for name in font.getGlyphOrder():
        points, ends, flags = font["glyf"][name].getCoordinates(font["glyf"])
        lines.append(f"{name} {font['hmtx'][name]} {list(points)} {list(ends)} {list(flags)}")
    return "".join(f"  {line}\n" for line in lines)


FILES: Final[dict[str, Callable[[], str]]] = {
    "score": lambda: _score(STAIR, False),
    "score_rests": lambda: _score("Title: Rests\n\n| / / C7 / |\n| F6 | N.C. | -2- |\n", False),
    "score_open": lambda: _open_score("Title: Open\n\n| Em7<0 x 0 0 x x> | A7<5 x 5 6 x x> |\n"),
    "score_tab": lambda: _score(FORD, True),
    "score_read_again": lambda: _read_again(STAIR) + _read_again(SIGNS),
    "midi": lambda: _midi(FORD, count_in=2, choruses=2),
    "midi_ladder": lambda: _midi(
        SIGNS, True, ladder=(80, 100), bars=(1, 7), click="all", strum_ms=20
    ),
    "schedule": lambda: _schedule(FORD),
    "pdf_bound": lambda: _bound_pdf(FORD, STAIR),
    "sound": lambda: _sound("Title: Slow\nTempo: 200\n\n| Dm7 G7 | Cmaj7(push) |\n"),
    "svg": lambda: _svg(FORD),
    "fonts": _fonts,
    "pdf": lambda: _pdf(FORD),
}
