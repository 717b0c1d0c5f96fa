"""Every writer on one sheet, and our own readers on what they write.

`faults_of` takes a sheet that a reader accepted and gives what is wrong with what is written: an
exception that no caller should see, a file that another program could not open, a text or score
that is read as another tune. A refusal in words (`MidneckError`) is no fault.
"""

from __future__ import annotations

import json
import wave
import xml.etree.ElementTree as ET
from collections.abc import Callable
from fractions import Fraction
from io import BytesIO
from zipfile import ZipFile

import mido
from midneck.grammar.errors import MidneckError
from midneck.grammar.foreign_text import harmless
from midneck.grammar.form.unfold import sounding_bars, unfold
from midneck.grammar.musicxml import read_musicxml
from midneck.grammar.sheet import Sheet
from midneck.grammar.text.reader import read_sheet
from midneck.grammar.text.writer import write_sheet
from midneck.render.books import book
from midneck.render.charts import Chart, chart
from midneck.render.drills import drill
from midneck.render.lessons import book_of_lessons, lesson, zip_of_lessons
from midneck.render.page.drawing.style import PageStyle
from midneck.render.sound.schedule import schedule
from PIL import Image

#: The writers of a chart whose files are text; each takes a few milliseconds.
LIGHT = ("text", "words", "json", "musicxml", "tidy", "midi")
#: The pages of the chart.
PAGES = ("svg", "pdf")
#: A score with tablature, the desk's schedule, pictures, and what holds practice sheets.
HEAVY = ("tablature", "schedule", "png", "drill", "book", "lesson")
#: Sound takes a second for each minute of it.
SOUND = ("wav",)

Played = list[tuple[str, Fraction]]


def faults_of(sheet: Sheet, writers: tuple[str, ...] = LIGHT) -> list[str]:
    """The faults of what the writers make of a sheet, each with the name of its writer."""
    faults: list[str] = []
    made: Chart | None = None
    for writer in writers:
        try:
            if writer == "tidy":
                check_tidy(sheet)
                continue
            made = made or chart(sheet)
            CHECKS[writer](made)
        except MidneckError as error:
            if isinstance(error, ReadBackError):
                faults.append(f"{writer}: {error}")
        except Exception as error:
            faults.append(f"{writer}: {type(error).__name__}: {error}"[:300])
    return faults


class ReadBackError(MidneckError):
    """What was written is read as another tune, or not at all."""


def expect(true: bool, said: str) -> None:
    """Raise ReadBackError with what is said unless it is `true`."""
    if not true:
        raise ReadBackError(said)


def check_tidy(sheet: Sheet) -> None:
    """The text of a sheet is read as the tune, and written again as it is."""
    text = write_sheet(sheet)
    try:
        back = read_sheet(text)
    except MidneckError as error:
        raise ReadBackError(str(error)[:300]) from error
    expect(played(back) == played(sheet), "another tune")
    expect(write_sheet(back) == text, "written differently the second time")


def played(sheet: Sheet) -> Played:
    """The chords that sound in a chorus, each with its quarters; one that goes on is one."""
    sounding, chords = sounding_bars(sheet), []
    for at in unfold(sheet).bars:
        bar = sheet.bars[at]
        quarters = Fraction(4, bar.meter.unit)
        within = sheet.bars[sounding[at]].chords
        chords += [(each.symbol, each.beats * quarters) for each in within]
        if not within:
            chords.append(("N.C.", bar.quarters * bar.bar_count))
    return _joined(chords)


def _joined(chords: Played) -> Played:
    joined: Played = []
    for symbol, quarters in chords:
        if joined and joined[-1][0] == symbol == "N.C.":
            quarters += joined.pop()[1]
        joined.append((symbol, quarters))
    return joined


def check_text(made: Chart) -> None:
    """The chart as text has nothing in it that steers a terminal."""
    text = made.files("txt")[0][1].decode()
    expect(text == harmless(text), "harmful characters")


def check_words(made: Chart) -> None:
    """Neither has the chart in sentences."""
    from midneck.render.text import chart_in_words

    text = chart_in_words(made.comping)
    expect(text == harmless(text) and bool(made.explain()), "harmful characters")


def check_json(made: Chart) -> None:
    """The report is one line of JSON."""
    data = made.files("json")[0][1].decode()
    expect(data == harmless(data) and data.count("\n") == 1, "not one line")
    expect(len(json.loads(data)["chords"]) == len(made.sheet.chords), "chords are missing")


def check_musicxml(made: Chart, tab: bool = False) -> None:
    """The score is read as the tune."""
    data = made.files("musicxml", tab=tab)[0][1]
    try:
        back = read_musicxml(data)
    except MidneckError as error:
        raise ReadBackError(str(error)[:300]) from error
    expect(played(back) == played(made.sheet), "another tune")


def check_tablature(made: Chart) -> None:
    """So is the score with tablature."""
    check_musicxml(made, tab=True)


def check_midi(made: Chart) -> None:
    """The MIDI file is read by mido."""
    mido.MidiFile(file=BytesIO(made.files("mid", rhythm=None)[0][1]))


def check_schedule(made: Chart) -> None:
    """Every stroke of the desk's player has a place in time."""
    bars = schedule(made.comping).bars
    expect(bool(bars), "no bars")


def check_book(made: Chart) -> None:
    """A book of the tune and its practice sheets is opened by PDFium."""
    check_pages(book([made], drills=True).files("pdf")[0][1])


def check_svg(made: Chart) -> None:
    """Each page is XML."""
    for _, data in made.files("svg"):
        ET.fromstring(data)


def check_pdf(made: Chart) -> None:
    """The pages are opened by PDFium."""
    check_pages(made.files("pdf")[0][1])


def check_pages(data: bytes) -> None:
    """PDFium finds pages in a PDF."""
    import pypdfium2

    with pypdfium2.PdfDocument(data) as document:
        expect(len(document) > 0, "no pages")


def check_png(made: Chart) -> None:
    """The first page is a picture that Pillow decodes."""
    with Image.open(BytesIO(made.files("png", dpi=72)[0][1])) as picture:
        picture.load()


def check_drill(made: Chart) -> None:
    """The practice sheet of the tune is text, pages of XML, a report, and MIDI unless too long."""
    practice = drill(made)
    text = practice.files("txt")[0][1].decode()
    expect(text == harmless(text), "harmful characters")
    json.loads(practice.files("json")[0][1])
    for _, data in practice.files("svg"):
        ET.fromstring(data)
    for _, data in practice.files("mid"):
        mido.MidiFile(file=BytesIO(data))


def check_lesson(made: Chart) -> None:
    """The lesson of the tune is a zip of its PDF files, and one PDF; none has sound."""
    data = zip_of_lessons([lesson(made)], PageStyle(), "none")
    with ZipFile(BytesIO(data)) as files:
        for name in files.namelist():
            check_pages(files.read(name))
    check_pages(book_of_lessons([lesson(made)], PageStyle()))


def check_wav(made: Chart) -> None:
    """A tune of up to two minutes has sound that is neither broken nor silent."""
    if schedule(made.comping).length > 120:
        return
    with wave.open(BytesIO(made.files("wav")[0][1])) as file:
        expect(any(file.readframes(file.getnframes())), "silence")


CHECKS: dict[str, Callable[[Chart], None]] = {
    "text": check_text,
    "words": check_words,
    "json": check_json,
    "musicxml": check_musicxml,
    "midi": check_midi,
    "schedule": check_schedule,
    "svg": check_svg,
    "book": check_book,
    "pdf": check_pdf,
    "drill": check_drill,
    "tablature": check_tablature,
    "png": check_png,
    "lesson": check_lesson,
    "wav": check_wav,
}
