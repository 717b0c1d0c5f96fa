"""Drills, lessons and books of the desk without a browser: the bytes of the front door's."""

from __future__ import annotations

import io
import zipfile

import midneck
import pytest
from midneck.converter.prose.spoken import spoken_chord
from midneck.grammar.errors import MidneckError
from midneck.render.desk.choices import Choices
from midneck.render.desk.practice import (
    BookWish,
    DrillWish,
    TuneText,
    book_document,
    book_files,
    drill_files,
    drill_sheet,
    exercise_schedule,
    lesson_zip,
    lessons_of,
)

TEXT = "Title: Short\nKey: F\nTempo: 100\n\n| Gm7 | C7 | Fmaj7 | % |\n"
OTHER = "Title: A Blues\nKey: Bb\n\n| Bb7 | Eb7 | Bb7 | % |\n"
LEFT = Choices(player="small-hand", hand="left", paper="letter")
TUNES = [TuneText("short.txt", TEXT.encode()), TuneText("blues.txt", OTHER.encode())]


def small_left() -> midneck.Chart:
    return midneck.chart(TEXT, player="small-hand", hand="left")


def test_a_progression_is_the_front_doors() -> None:
    wish = DrillWish("ii-V-I", keys="C F", tempo=90, rhythm="charleston", key="")
    sheet = drill_sheet(wish, LEFT, None)
    same = midneck.drill(
        "ii-V-I", player="small-hand", hand="left", keys="C F", tempo=90, rhythm="charleston"
    )
    assert drill_files(sheet, LEFT, "pdf") == [
        ("ii-V-I_left_small-hand_keys-C-F.pdf", same.files("pdf", paper="letter")[0][1])
    ]
    assert drill_files(sheet, LEFT, "mid")[0][1] == same.files("mid")[0][1]


def test_a_tunes_own_drill_is_the_front_doors() -> None:
    chart = small_left()
    sheet = drill_sheet(DrillWish(key="Eb"), LEFT, chart.comping, "short.txt")
    name, data = drill_files(sheet, LEFT, "pdf")[0]
    assert name == "short-drill_left_small-hand.pdf"
    assert data == midneck.drill(chart).files("pdf", paper="letter")[0][1]


def test_the_chords_of_each_exercise_are_found_on_its_pages() -> None:
    sheet = drill_sheet(DrillWish(), Choices(), small_left().comping, "short.txt")
    drawn = "".join(sheet.pages)
    for number, exercise in enumerate(sheet.drill.exercises):
        for chord, place in enumerate(sheet.place_of(number)):
            written = exercise.chart.sheet.chords[chord]
            part = drawn.split(f'data-chord="{chord}"')[place + 1]
            title = part.partition("<title>")[2].partition("</title>")[0]
            assert spoken_chord(written.chord) in title.split(", ")


def test_an_exercise_is_heard_at_the_tempo_of_the_wish() -> None:
    sheet = drill_sheet(DrillWish("ii-V-I", keys="C", tempo=120), Choices(), None)
    heard = exercise_schedule(sheet.drill, sheet.drill.exercises[0])
    assert heard.tempo == 120
    assert heard.length == 4 * 4 * 60 / 120


def test_a_key_that_a_tune_cannot_have_names_the_tune() -> None:
    with pytest.raises(MidneckError, match=r"^short\.txt: the tune is in F major, a major key"):
        lessons_of(Choices(key="Fm"), TUNES)


def test_a_drill_that_cannot_be_made_says_why() -> None:
    with pytest.raises(MidneckError, match="is named twice"):
        drill_sheet(DrillWish("ii-V-I", keys="C C"), Choices(), None)
    with pytest.raises(MidneckError, match="choose a progression"):
        drill_sheet(DrillWish(), Choices(), None)


def test_a_book_is_the_front_doors() -> None:
    wish = BookWish("Two tunes", "A. Teacher")
    choices = Choices(player="small-hand", hand="left", paper="letter", key="Eb")
    charts = [midneck.chart(each.data.decode(), player="small-hand", hand="left") for each in TUNES]
    same = midneck.book(charts, title="Two tunes", by="A. Teacher", order="title")
    assert book_files(wish, book_document(wish, choices, TUNES)) == [
        ("Two_tunes.pdf", same.files("pdf", paper="letter", binding="book")[0][1])
    ]


def test_lessons_are_the_front_doors_in_one_zip() -> None:
    lessons = lessons_of(LEFT, TUNES[:1])
    chart = small_left()
    same = midneck.lesson(chart, name="Short_left_small-hand")
    with zipfile.ZipFile(io.BytesIO(lesson_zip(lessons, LEFT, sound=False))) as file:
        found = {name: file.read(name) for name in file.namelist()}
    wanted = same.files(LEFT.page_style(), "none")
    assert found == {file.name: file.make(None) for file in wanted}
    assert len(found) == 2


def test_a_tune_with_a_mistake_is_named() -> None:
    broken = TuneText("broken.txt", b"Title: X\n\n| H7 |\n")
    with pytest.raises(MidneckError, match=r"broken\.txt"):
        book_document(BookWish(), Choices(), [*TUNES, broken])
    with pytest.raises(MidneckError, match=r"broken\.txt"):
        lessons_of(Choices(), [broken])
