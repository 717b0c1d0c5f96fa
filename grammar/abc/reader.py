"""ABC tunes, read into a `Sheet`.

Takes the text of an ABC file; gives the sheet of the chord symbols and the form of its first tune.
The voice with the most chord symbols is read, the melody is left out. Parts (`P:`) become sections,
in the order that the header gives. What a sheet cannot hold goes to `Sheet.warnings`. Raises
`SheetError` with every mistake, each with its line and column.

Source: The abc music standard 2.1, December 2011; section numbers are its own.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import fields, replace
from fractions import Fraction
from typing import Final, TypeVar

from ..checks import check_text
from ..errors import WHOLE_FILE, Problem, SheetError, SourcePosition
from ..form.repeats import count_passes
from ..form.unfold import unfold_bars
from ..frozen import frozen, mutable
from ..key import Key
from ..limits import MAX_TEXT
from ..mistakes import mistake
from ..score.form import MELODY_LEFT_OUT, MeasureSpan, Signs, edges_of, read_form, read_spans
from ..score.measure import Time
from ..score.placement import BarPlace, ChordPlacer
from ..sheet import COMMON_TIME, TEMPOS, Bar, Header, Meter, Section, Sheet, numbered
from ..text.source import size_problem, source_lines
from .fields import (
    StatedKey,
    Tempo,
    plain_text,
    read_key,
    read_meter,
    read_order,
    read_tempo,
    read_unit,
    usual_unit,
)
from .measures import Measure, TuneReader, Voice
from .source import Line, TuneLines, tune_lines

Value = TypeVar("Value")


def read_abc(text: str, name: str = "") -> Sheet:
    """The sheet of the first tune of an ABC file; `name` stands in messages. Raises SheetError."""
    check_text("a tune", text)
    sources = source_lines(text)
    problems: list[Problem] = []
    sheet = None
    if (too_long := size_problem(sources)) is not None:
        problems.append(too_long)
    else:
        sheet = _sheet(tune_lines(sources), problems)
    if problems or sheet is None:
        located = (
            replace(each, source=sources[each.line - 1]) if each.line else each
            for each in dict.fromkeys(problems)
        )
        raise SheetError(tuple(sorted(located, key=lambda each: each.position)), name)
    return sheet


@frozen
class _Head:
    """The header of a tune: what a sheet's header holds, and how its body is read."""

    header: Header
    time: Time
    unit: Fraction
    key: StatedKey | None
    order: tuple[str, ...] | None
    order_position: SourcePosition


def _sheet(lines: TuneLines, problems: list[Problem]) -> Sheet | None:
    warnings: list[str] = []
    if lines.more:
        tunes = "1 more tune follows" if lines.more == 1 else f"{lines.more} more tunes follow"
        warnings.append(f"the first tune of the file is read; {tunes} it")
    head = _head(lines.header, problems, warnings)
    voice = _voice(lines, head, problems, warnings)
    if voice is None or problems:
        return None
    bars, spans, more = _bars(voice.measures)
    sections = _sections(voice.measures, spans, len(bars))
    bars, sections = _in_order(bars, sections, head, problems, warnings)
    unfolded = unfold_bars(bars, sections)
    problems += unfolded.problems
    if problems:
        return None
    bars = count_passes(bars, unfolded.written)
    meter = head.header.meter if head.time.meter is not None else bars[0].meter
    opening = voice.measures[0].key
    key = head.header.key if opening is None else opening.key
    header = replace(head.header, meter=meter, key=key)
    return Sheet(header, sections, bars, warnings=(*warnings, *more))


def _head(lines: Sequence[Line], problems: list[Problem], warnings: list[str]) -> _Head:
    fields: dict[str, list[Line]] = {}
    for line in lines:
        fields.setdefault(line.name, []).append(line)

    def last(name: str) -> Line:
        return fields.get(name, [Line(0, name, "")])[-1]

    time = _checked(last("M"), read_meter, "abc-meter", problems) or Time(None)
    unit = read_unit(last("L").value) or usual_unit(time)
    key = _checked(last("K"), read_key, "abc-key", problems)
    tempo = read_tempo(last("Q").value, unit)
    meter = time.meter or COMMON_TIME
    titles = [plain_text(line.value) for line in fields.get("T", [])]
    header = Header(
        title=next((title for title in titles if title), ""),
        by=", ".join(plain_text(line.value) for line in fields.get("C", []) if line.value),
        key=None if key is None else key.key,
        meter=meter,
        tempo=_beats_a_minute(tempo, meter, warnings),
        feel=plain_text(tempo.words or last("R").value)[:40],
    )
    for name, text in (("T", header.title), ("C", header.by)):
        if len(text) > MAX_TEXT:
            problems.append(mistake("text-too-long", last(name).position, most=MAX_TEXT))
    order = last("P")
    parts = read_order(order.value)
    if parts is None and order.value:
        problems.append(mistake("abc-order", order.position, order.value))
    return _Head(header, time, unit, key, parts, order.position)


def _checked(
    line: Line, read: Callable[[str], Value | None], label: str, problems: list[Problem]
) -> Value | None:
    """The value of a field that has one, None (and a problem) for text that means nothing."""
    if not line.value:
        return None
    value = read(line.value)
    if value is None:
        problems.append(mistake(label, line.position, line.value))
    return value


def _beats_a_minute(tempo: Tempo, meter: Meter, warnings: list[str]) -> int | None:
    if tempo.quarters is None:
        return None
    beats = round(tempo.quarters / meter.tempo_quarters)
    if not TEMPOS[0] <= beats <= TEMPOS[1]:
        warnings.append(f"a tempo of {beats} is left out")
        return None
    return beats


#: Fields of the body that say nothing about chords or form: words, notes, history.
_SILENT: Final = frozenset("ABCDFGHINORSTWXZwrsm")


def _voice(
    lines: TuneLines, head: _Head, problems: list[Problem], warnings: list[str]
) -> Voice | None:
    """The voice with the most chord symbols; None (and a problem) where no voice has any."""
    reader = TuneReader(head.time, head.unit)
    for line in lines.header:
        if line.name == "U":
            reader.add_shorthand(line.value)
    for line in lines.body:
        if not line.name:
            reader.add_line(line.value, line.number)
        elif line.name not in _SILENT:
            reader.add_field(line.name, line.value, line.position)
    reader.finish()
    problems += reader.problems
    voices = list(reader.voices.values())
    best = max(voices, key=lambda voice: voice.chords)
    if not best.chords:
        if not problems:
            problems.append(mistake("abc-no-chords", WHOLE_FILE))
        return None
    warnings += _left_out(voices, best, reader.left_out)
    first = best.measures[0]
    best.measures[0] = replace(first, time=first.time or head.time)
    return best


def _left_out(voices: Sequence[Voice], best: Voice, annotations: int) -> list[str]:
    """What of a tune is not read, in words."""
    warnings = []
    if len(voices) > 1:
        name = best.name or "1"
        warnings.append(f"the chord symbols of voice {name!r} are read, one of {len(voices)}")
    if any(measure.sounding for voice in voices for measure in voice.measures):
        warnings.append(MELODY_LEFT_OUT)
    if annotations:
        what = "1 annotation is" if annotations == 1 else f"{annotations} annotations are"
        warnings.append(f"{what} left out")
    return warnings


def _bars(
    measures: Sequence[Measure],
) -> tuple[tuple[Bar, ...], tuple[MeasureSpan, ...], tuple[str, ...]]:
    """The written bars of a voice, their spans, and warnings."""
    measures = _with_repeat_starts(measures)
    spans = read_spans(measures)
    numbers = numbered([max(span.rest_bars, 1) for span in spans], spans[0].pickup)
    signs, warnings = read_form([edges_of(measures, span) for span in spans], numbers)
    placer = ChordPlacer()
    bars = tuple(
        _bar(measures[span.measure], span, sign, number, placer, number == numbers[-1])
        for span, sign, number in zip(spans, signs, numbers, strict=True)
    )
    odd = [
        f"bar {number}: its length does not fit the meter; it is read as {span.meter}"
        for span, number in zip(spans, numbers, strict=True)
        if span.odd and _metered(measures[: span.measure + 1])
    ]
    return bars, spans, (*odd, *warnings, *placer.warnings)


def _metered(measures: Sequence[Measure]) -> bool:
    """Whether a meter is in force in the last of the measures."""
    stated = next((each.time for each in reversed(measures) if each.time is not None), None)
    return stated is not None and stated.meter is not None


def _with_repeat_starts(measures: Sequence[Measure]) -> list[Measure]:
    """The measures with `|:` where a repeat that closes has none: it begins behind a double line.

    A repeat without a start goes back to the latest double bar line or end of a repeat (4.8).
    """
    result = list(measures)
    start, opened = 0, False
    for at, measure in enumerate(measures):
        lines = measure.barlines
        if lines.opens:
            start, opened = at, True
        if lines.times and not opened and 0 < start <= at:
            opening = replace(result[start].barlines, opens=True)
            result[start] = replace(result[start], barlines=opening)
        if lines.times and _next_ending(measures, at):
            opened = True
        elif lines.times or (lines.double and not opened):
            start, opened = at + 1, False
    return result


def _next_ending(measures: Sequence[Measure], at: int) -> bool:
    """Whether a second or later ending begins after a measure."""
    after = measures[at + 1].barlines.endings if at + 1 < len(measures) else ()
    return bool(after) and 1 not in after


def _bar(
    measure: Measure, span: MeasureSpan, signs: Signs, number: int, placer: ChordPlacer, last: bool
) -> Bar:
    place = BarPlace(span, number, last, measure.barlines, measure.position, measure.fermatas)
    chords = () if span.rest_bars else tuple(placer.place(measure.chords, place))
    return Bar(
        number, span.meter, chords, measure.position,
        rest_bars=span.rest_bars, pickup=span.pickup,
        **{one.name: getattr(signs, one.name) for one in fields(signs)},
    )  # fmt: skip


@mutable
class _Draft:
    first: int
    label: str
    position: SourcePosition
    key: Key | None


def _sections(
    measures: Sequence[Measure], spans: Sequence[MeasureSpan], count: int
) -> tuple[Section, ...]:
    """The sections that parts and stated keys divide the bars into."""
    drafts: list[_Draft] = []
    for at, span in enumerate(spans):
        measure = measures[span.measure]
        label = next((mark.value for mark in measure.marks if mark.kind == "rehearsal"), "")
        key = measure.key.key if at and measure.key is not None else None
        if not drafts or label or key is not None:
            drafts.append(_Draft(at, label, measure.position, key))
    if len(drafts) > 1 and spans[0].pickup and drafts[1].first == 1 and not drafts[0].label:
        drafts[1].first = 0
        drafts = drafts[1:]
    ends = [draft.first for draft in drafts[1:]] + [count]
    return tuple(
        Section(draft.label, draft.first, end - draft.first, draft.position, key=draft.key)
        for draft, end in zip(drafts, ends, strict=True)
    )


@frozen
class _Part:
    """The sections of a part: the one with its label, and those without a label that follow."""

    sections: tuple[Section, ...]

    @property
    def first(self) -> int:
        return self.sections[0].first

    @property
    def stop(self) -> int:
        return self.sections[-1].first + self.sections[-1].count


def _in_order(
    bars: tuple[Bar, ...],
    sections: tuple[Section, ...],
    head: _Head,
    problems: list[Problem],
    warnings: list[str],
) -> tuple[tuple[Bar, ...], tuple[Section, ...]]:
    """Bars and sections in the order of the parts; a part that comes again is recalled (3.1.9)."""
    parts = _parts(sections)
    order = head.order
    if order is None or (len(parts) < 2 and not any(parts)):
        return bars, sections
    unknown = [name for name in dict.fromkeys(order) if name not in parts]
    if unknown:
        text = ", ".join(unknown)
        problems.append(mistake("abc-part-unknown", head.order_position, text))
        return bars, sections
    idle = [name for name in parts if name and name not in order]
    if idle:
        warnings.append(f"never played by the order of parts, and left out: {', '.join(idle)}")
    return _played([*([""] if "" in parts else []), *order], parts, bars)


def _played(
    order: Sequence[str], parts: Mapping[str, _Part], bars: tuple[Bar, ...]
) -> tuple[tuple[Bar, ...], tuple[Section, ...]]:
    """The bars and sections of parts as they are played; `bars` are those as they are written."""
    written: list[Bar] = []
    result: list[Section] = []
    recalls: dict[str, int] = {}
    for name in order:
        part = parts[name]
        if name in recalls:
            position = part.sections[0].position
            result.append(Section(name, len(written), 0, position, recalls=recalls[name]))
            continue
        recalls[name] = len(result)
        for section in part.sections:
            result.append(replace(section, first=len(written) + section.first - part.first))
        written += bars[part.first : part.stop]
    numbers = numbered([bar.bar_count for bar in written], written[0].pickup)
    pairs = zip(written, numbers, strict=True)
    return tuple(replace(bar, number=number) for bar, number in pairs), tuple(result)


def _parts(sections: Sequence[Section]) -> dict[str, _Part]:
    """The parts of a tune by their labels; "" is what stands above the first label."""
    parts: dict[str, _Part] = {}
    name = ""
    for section in sections:
        name = section.label or name
        before = parts[name].sections if name in parts else ()
        parts[name] = _Part((*before, section))
    return parts
