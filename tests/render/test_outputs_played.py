"""What is played and how the hand moves, told the same by sound, scores, sentences and the report.

Each fact is read back from two outputs and compared: MIDI and MusicXML by music21, sentences by
what they say, the report as JSON. Nothing here looks at the values behind the outputs.
"""

from __future__ import annotations

import json
import re
from itertools import groupby, pairwise
from typing import Any

import midneck
import music21
import pytest
from hypothesis import assume, given
from midneck.converter.chart import CompingChart
from midneck.converter.hand.plan import PlanError
from midneck.converter.hand.player import ADULT, Neck, Player, midi_number
from midneck.converter.make import make_chart
from midneck.converter.practice.perform import perform
from midneck.converter.practice.performance import Settings
from midneck.converter.prose.facts import describe_form, summary_lines
from midneck.converter.prose.hand import explanation_lines
from midneck.grammar.text.reader import read_sheet
from midneck.render.desk.chord_facts import chord_facts
from midneck.render.midi import write_midi
from midneck.render.musicxml import write_musicxml
from midneck.render.page import PageStyle, lay_out
from midneck.render.report import drill_data, report
from midneck.render.text import area_text, chart_in_words, text_chart
from support.charts import FERRYMAN, LANTERNS, chart_of, example_texts
from support.examples import share
from support.pages import texts
from support.sheets import sheet_texts
from support.told import told_by_report, told_by_text
from support.tunes import tune_text

BALLAD = """Title: Low Water Waltz
Key: Db
Time: 3/4
Tempo: 72

Intro:
| N.C. | Ab7sus4 |
A:
| Segno Dbmaj7 | Dbmaj7/F | -3- | Gbm6 |
| Bbm7 / Bbm7/Ab | Ebm7 / Ab7 To Coda | Db6 | (Ebm7 / Ab7) |
B:
|: Gb/Ab | % |1. Cm7b5/Gb :|2. F7/A D.S. al Coda |
Coda:
| Db6/9 | Dbmaj9(hold) ||
"""
TEXTS = example_texts() | {"lanterns": LANTERNS, "ferryman": FERRYMAN, "ballad": BALLAD}
TEXTS |= {f"invented {seed}": tune_text(seed) for seed in range(4)}
LOW = Player(neck=Neck(tuning=(38, 45, 50, 55, 59, 64)))
SEVEN = Player(neck=Neck(tuning=(35, 40, 45, 50, 55, 59, 64)))
TUNING = re.compile(
    r"<tuning-step>(.)</tuning-step>(?:\s*<tuning-alter>(-?\d)</tuning-alter>)?"
    r"\s*<tuning-octave>(\d)</tuning-octave>"
)
NUMBERS = {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8}


def data_of(text: str, player: Player = ADULT) -> dict[str, Any]:
    """The report of a tune as a program reads it."""
    found: dict[str, Any] = json.loads(json.dumps(report(chart_of(text, player))))
    return found


def notes_of(chord: dict[str, Any]) -> list[int]:
    """The MIDI numbers of the notes that a report names, from the lowest up."""
    return [
        music21.pitch.Pitch(note.replace("b", "-")).midi
        for note in (chord["grip"] or {}).get("notes", [])
    ]


def played_chords(data: dict[str, Any]) -> list[dict[str, Any]]:
    """The chords of one chorus, which is the last one: it leaves out brackets at its end."""
    return [data["chords"][index] for index in data["played"]]


def guitar(midi: bytes) -> list[tuple[int, ...]]:
    """The strokes of the guitar as music21 reads their events, the same ones in a row once."""
    file = music21.midi.MidiFile()
    file.readstr(midi)
    strokes: dict[int, list[int]] = {}
    for track in file.tracks:
        at = 0
        for event in track.events:
            at += event.time if event.isDeltaTime() else 0
            if event.isNoteOn() and event.velocity and event.channel == 1:
                strokes.setdefault(at, []).append(event.pitch)
    return [notes for notes, _ in groupby(tuple(sorted(strokes[at])) for at in sorted(strokes))]


@pytest.mark.slow
@pytest.mark.parametrize("player", [ADULT, LOW], ids=["standard", "low D"])
@pytest.mark.parametrize("name", sorted(TEXTS))
def test_the_guitar_plays_the_grips_of_the_report_in_its_order(name: str, player: Player) -> None:
    assert_played_as_reported(chart_of(TEXTS[name], player))


def assert_played_as_reported(chart: CompingChart) -> None:
    """The strokes of the guitar are the grips of the report in its order, each change once."""
    data = json.loads(json.dumps(report(chart)))
    midi = write_midi(perform(chart.timeline, chart.plan, Settings(count_in=0, strum_ms=0)))
    chords = played_chords(data)
    while chords and chords[-1]["optional"] and not data["rounds"]["ending"]:
        chords.pop()
    told = (tuple(notes_of(chord)) for chord in chords if chord["grip"] is not None)
    assert guitar(midi) == [notes for notes, _ in groupby(told)]


@pytest.mark.slow
@given(sheet_texts())
@share(0.3)
def test_any_sheet_is_played_as_it_is_reported(text: str) -> None:
    try:
        chart = make_chart(read_sheet(text))
    except PlanError:
        assume(False)
        raise
    assert_played_as_reported(chart)


@pytest.mark.parametrize("player", [ADULT, LOW, SEVEN], ids=["standard", "low D", "seven"])
def test_frets_on_strings_are_the_notes_that_are_named(player: Player) -> None:
    """Report, sentences and tablature with other tunings."""
    for text in (LANTERNS, BALLAD):
        chart, data = chart_of(text, player), data_of(text, player)
        score = music21.converter.parseData(write_musicxml(chart).decode(), format="musicxml")
        assert score.parts
        tab = write_musicxml(chart, tab=True).decode()
        lines = TUNING.findall(tab)
        opened = [midi_number(f"{step}{octave}") + int(alter or 0) for step, alter, octave in lines]
        assert tuple(opened) == player.neck.tuning
        words = chart_in_words(chart)
        for chord in data["chords"]:
            if chord["grip"] is None:
                continue
            frets = chord["grip"]["frets"]
            sounding = [
                note + fret for note, fret in zip(opened, frets, strict=True) if fret is not None
            ]
            assert notes_of(chord) == sounding
            strings = [len(frets) - at for at, fret in enumerate(frets) if fret is not None]
            for string, note in zip(strings, chord["grip"]["notes"], strict=True):
                fret = frets[len(frets) - string]
                assert re.search(rf"string {string} fret {fret} \w+ finger, {note}[;.]", words)


@pytest.mark.parametrize(
    ("time", "tempo", "quarters"), [("4/4", 132, 132), ("6/8", 80, 120), ("C|", 100, 100)]
)
def test_every_output_has_the_same_tempo(time: str, tempo: int, quarters: int) -> None:
    """Beats a minute: quarters, in 6/8 dotted ones (the score says so beside the number)."""
    text = f"Title: Pace\nKey: C\nTime: {time}\nTempo: {tempo}\n\n| C6 | G7 |\n"
    chart = chart_of(text)
    assert data_of(text)["tempo"] == tempo
    assert f"tempo {tempo}" in text_chart(chart).splitlines()[1]
    assert f"tempo {tempo}" in chart_in_words(chart).splitlines()[1]
    assert any(f"tempo {tempo}" in each for each in texts(lay_out(chart, PageStyle()).pages[0]))
    midi = write_midi(perform(chart.timeline, chart.plan, Settings(count_in=0)))
    for data, kind in ((midi, "midi"), (write_musicxml(chart).decode(), "musicxml")):
        score = music21.converter.parse(data, format=kind)
        marks = list(score.recurse().getElementsByClass("MetronomeMark"))
        assert {round(mark.getQuarterBPM()) for mark in marks} == {quarters}, kind


@pytest.mark.parametrize("name", sorted(TEXTS))
def test_the_order_in_words_is_that_of_the_report(name: str) -> None:
    chart, rounds = chart_of(TEXTS[name]), data_of(TEXTS[name])["rounds"]
    *lines, total = describe_form(chart.sheet, chart.form).splitlines()
    told: list[int] = []
    for line in lines:
        for span in re.findall(r"\d+(?:–\d+)?(?=,|$)", line):
            first, _, last = span.partition("–")
            told += range(int(first), int(last or first) + 1)
    listed = rounds["opening"] + rounds["chorus"] + rounds["ending"]
    assert told[: len(rounds["opening"] + rounds["chorus"])] == rounds["opening"] + rounds["chorus"]
    assert told == listed or set(told) == set(listed)
    assert total.startswith(f"{sum(number != 0 for number in told)} bar")


@pytest.mark.parametrize("name", sorted(TEXTS))
def test_each_change_is_told_as_the_positions_of_the_report_have_it(name: str) -> None:
    """`the hand shifts down two frets`, `the bass goes from string 6 to string 5`."""
    lines = list(explanation_lines(chart_of(TEXTS[name])))
    told = [each for each in lines[lines.index("Change by change:") + 1 :] if each[:1] == " "]
    changes: dict[tuple[int, int], list[tuple[int, int]]] = {}
    data = data_of(TEXTS[name])
    chords = [chord for chord in played_chords(data) if chord["grip"] is not None]
    top = next(chord for chord in chords if chord["bar"] not in data["rounds"]["opening"])
    last = [chord for chord in chords if chord["bar"] == data["rounds"]["chorus"][-1]]
    for here, there in (*pairwise(chords), *((chord, top) for chord in [*last, chords[-1]])):
        if (here["symbol"], here["grip"]) != (there["symbol"], there["grip"]):
            changes.setdefault((there["bar"], shift(here, there)), []).append(basses(here, there))
    assert told
    for line in told:
        found = re.match(r" *Bar (\d+).*?: the hand (stays|shifts (up|down) (\S+) frets?)", line)
        assert found, line
        frets = 0 if found[2] == "stays" else NUMBERS.get(found[4]) or int(found[4])
        moved = -frets if found[3] == "down" else frets
        assert (int(found[1]), moved) in changes, line
        bass = re.search(r"The bass goes from string (\d) to string (\d)", line)
        strings = (int(bass[1]), int(bass[2])) if bass else None
        assert any(
            one == strings or (strings is None and one[0] == one[1])
            for one in changes[int(found[1]), moved]
        ), line


def shift(here: dict[str, Any], there: dict[str, Any]) -> int:
    return int(there["grip"]["position"] - here["grip"]["position"])


def basses(here: dict[str, Any], there: dict[str, Any]) -> tuple[int, int]:
    """The strings of the lowest notes of two chords."""
    rows = (here["grip"]["frets"], there["grip"]["frets"])
    first, second = (
        len(row) - next(at for at, fret in enumerate(row) if fret is not None) for row in rows
    )
    return first, second


@pytest.mark.parametrize("name", sorted(TEXTS))
def test_how_far_the_hand_moves_is_told_the_same_everywhere(name: str) -> None:
    """Page, text, terminal, explanation and report; frets from the report's own grips."""
    chart, data = chart_of(TEXTS[name]), data_of(TEXTS[name])
    travel = data["travel"]
    frets = [
        fret for chord in data["chords"] if chord["grip"] is not None
        for fret in chord["grip"]["frets"] if fret
    ]  # fmt: skip
    assert (travel["lowest_fret"], travel["highest_fret"]) == (min(frets), max(frets))
    low, high = travel["lowest_fret"], travel["highest_fret"]
    shifts, total, changes = travel["shifts"], travel["shift_frets"], travel["changes"]
    printed = " · ".join(texts(lay_out(chart, PageStyle()).pages[0]))
    page = re.search(r"frets (\d+)–(\d+)\W+(\d+) shifts?, (\d+) frets? in all", printed)
    assert page
    assert tuple(map(int, page.groups())) == (low, high, shifts, total)
    said = re.search(
        r"Hand: (\d+) shifts? in (\d+) changes?, (\d+) frets? in all[^\n]*\nFrets (\d+) to (\d+)",
        text_chart(chart),
    )
    assert said
    assert tuple(map(int, said.groups())) == (shifts, changes, total, low, high)
    summary = re.search(
        r"shifts (\d+) frets? in all \((\d+) shifts? in (\d+) changes?\)\n  frets   (\d+) to (\d+)",
        "\n".join(summary_lines(chart)),
    )
    assert summary
    assert tuple(map(int, summary.groups())) == (total, shifts, changes, low, high)
    told = re.match(
        r"(\d+) changes? in a chorus, (\d+) shifts?, (\d+) frets? in all; frets (\d+) to (\d+)",
        explanation_lines(chart)[0],
    )
    assert told
    assert tuple(map(int, told.groups())) == (changes, shifts, total, low, high)


@pytest.mark.parametrize("name", sorted(TEXTS))
def test_areas_are_told_the_same_everywhere(name: str) -> None:
    """Text, sentences, the list of areas and the report: kind, key and bars of each passage."""
    chart, data = chart_of(TEXTS[name]), data_of(TEXTS[name])
    expected = {
        (area["kind"], area["key"], spans_text(area["spans"]))
        for area in data["areas"] if area["level"] == "passage"
    }  # fmt: skip
    for output in (text_chart(chart), chart_in_words(chart)):
        found = re.findall(r"^  bars? ([\d–→, ]+): (\S.*?) in (\S+ \w+)[ ,(]", output, re.M)
        assert {(kind, key, spans) for spans, kind, key in found} == expected
    listed = area_text(chart.sheet, chart.analysis)
    for kind, key, _ in expected:
        assert re.search(rf" {re.escape(kind)} .*{re.escape(key)}", listed)


def spans_text(spans: list[list[int]]) -> str:
    parts = []
    for first, last in spans:
        sign = "–" if first < last else "→"
        parts.append(str(first) if first == last else f"{first}{sign}{last}")
    return ", ".join(parts)


@pytest.mark.parametrize("name", sorted(TEXTS))
def test_the_card_of_a_chord_tells_what_the_report_tells(name: str) -> None:
    chart = chart_of(TEXTS[name])
    signs = str.maketrans({"♭": "b", "♯": "#"})
    for index, chord in enumerate(data_of(TEXTS[name])["chords"]):
        facts = chord_facts(chart, index)
        assert re.match(rf"bar {chord['bar']}, ", facts.place)
        if chord["roman"] is None:
            assert facts.numeral == ""
            continue
        doubt = "perhaps " if chord["doubtful"] else ""
        told = facts.numeral.translate(signs)
        assert told == f"{doubt}{chord['roman']} in {chord['key']}".translate(signs)
        names = [re.sub(r"-?\d", "", note) for note in chord["grip"]["notes"]]
        assert [note.translate(signs) for note, _ in facts.notes] == names


@pytest.mark.parametrize("source", ["ii-V-I", "minor ii-V-I", "dominants", "tune"])
def test_a_drill_is_told_the_same_by_text_and_data(source: str) -> None:
    """Symbols, keys, numerals, frets and fingers of every key of every exercise."""
    drill = midneck.drill(midneck.chart(LANTERNS) if source == "tune" else source)
    text = drill.files("txt")[0][1].decode()
    expected = [
        told
        for exercise in drill_data(drill.planned)["exercises"]
        for told in told_by_report(exercise["chart"])
    ]
    told = told_by_text(text)
    assert [(one.symbol, one.key, one.roman, one.frets, one.fingers) for one in told] == [
        (one.symbol, one.key, one.roman, one.frets, one.fingers) for one in expected
    ]
