"""What the index knows of a tune, worked out from its chart.

Takes the bytes of a sheet; gives an `Entry`: facts, and places with their written bars. Keys are
stored by their name and by their sound (`pitch class`, mode), so that G♭ and F♯ are one where sound
is asked for.
"""

from __future__ import annotations

from ...converter.chart import CompingChart
from ...converter.explain import difficulty_of, hard_changes
from ...converter.hand.grip import frets_text
from ...converter.make import make_chart
from ...converter.prose.facts import played_text, span_text, title_text
from ...grammar.errors import MidneckError
from ...grammar.frozen import frozen
from ..sources import Source, load
from .sounds import chord_sound, key_sound


@frozen
class Place:
    """Something found in a tune: what it is, in which key, and its first and last written bar.

    `kind` is one of `area`, `visit`, `chord`, `grip`, `change` and `hard`. `what` names it: the
    kind of the area, the name of the key that is visited, the sound of the chord, the frets of the
    grip, two of these for a change; `key` is the sound of a key or "". `bars` are the bars that are
    played between the first and the last, as in `7, 9–10` across an ending.
    """

    kind: str
    what: str
    key: str
    first: int
    last: int
    bars: str


@frozen
class Entry:
    """The facts of a tune; `problem` says why it cannot be charted, "" where it can.

    `tempo` counts beats a minute, 0 where none is stated. `text` is what a search of words reads.
    """

    title: str = ""
    by: str = ""
    key: str = ""
    key_sound: str = ""
    meter: str = ""
    tempo: int = 0
    bars: int = 0
    difficulty: float = 0.0
    text: str = ""
    problem: str = ""
    places: tuple[Place, ...] = ()


def entry_of(data: bytes, name: str) -> Entry:
    """The entry of a sheet's bytes; a sheet with mistakes has an entry that says so."""
    try:
        chart = make_chart(load(Source(data, name)))
    except MidneckError as error:
        return Entry(title=name, problem=str(error).splitlines()[0])
    return entry_of_chart(chart, name)


def entry_of_chart(chart: CompingChart, name: str = "") -> Entry:
    """The entry of a chart."""
    sheet, analysis = chart.sheet, chart.analysis
    header = sheet.header
    words = [name, header.title, header.by, header.feel, *(value for _, value in header.other)]
    for section in sheet.sections:
        words += [section.label, *section.text]
    return Entry(
        title=title_text(sheet),
        by=header.by,
        key=str(analysis.key),
        key_sound=key_sound(analysis.key),
        meter=str(header.meter),
        tempo=header.tempo or 0,
        bars=sheet.bars[-1].last_number,
        difficulty=round(difficulty_of(chart).total, 2),
        text=" ".join(word for word in words if word),
        places=tuple(_places(chart)),
    )


def _places(chart: CompingChart) -> list[Place]:
    numbers = chart.sheet.bar_numbers
    found: dict[Place, None] = {}

    def add(kind: str, what: str, key: str, first: int, last: int) -> None:
        bars = (
            played_text(chart.sheet, (first, last)) if kind == "area" else span_text((first, last))
        )
        found[Place(kind, what, key, first, last, bars)] = None

    for area in chart.analysis.areas:
        add("area", area.kind, key_sound(area.key), *area.bars)
    rows = zip(chart.sheet.chords, chart.analysis.readings, chart.plan.grips, numbers, strict=True)
    for written, reading, grip, bar in rows:
        if reading is not None:
            add("visit", str(reading.key), key_sound(reading.key), bar, bar)
        if written.chord is not None:
            add("chord", chord_sound(written.chord), "", bar, bar)
        if grip is not None:
            add("grip", frets_text(grip.frets), "", bar, bar)
    for first, second in chart.form.successions:
        start, goal = chart.plan.playings[first], chart.plan.playings[second]
        if start is not None and goal is not None and start != goal:
            bars = numbers[chart.form.chords[first]], numbers[chart.form.chords[second]]
            add("change", f"{frets_text(start.frets)} > {frets_text(goal.frets)}", "", *bars)
    for change in hard_changes(chart):
        chords = [chart.sheet.chords[index].chord for index in (change.start, change.goal)]
        if chords[0] is not None and chords[1] is not None:
            what = f"{chord_sound(chords[0])} > {chord_sound(chords[1])}"
            add("hard", what, "", numbers[change.start], numbers[change.goal])
    return list(found)
