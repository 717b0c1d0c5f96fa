"""MusicXML lead sheets, read into a `Sheet`.

Takes the bytes of a `.musicxml`, `.xml` or `.mxl` file; gives the sheet of its chord symbols and
its form. The chords are those of the part with the most chord symbols; signs of the form come from
all parts. Written bars are numbered from 1, a pickup bar is 0. Chords are at concert pitch: a
transposing part is moved to where it sounds. What a sheet cannot hold goes to `Sheet.warnings`,
with its bar.

The file is read with the standard library's expat and not with music21, which rewrites chord
symbols as figures of its own and loses their position in the file, expands entities that a hostile
file declares, and takes half a second to load. The tests compare the result with music21.

Source: MusicXML 4.0, W3C Music Notation Community Group Final Report, 2021.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field, fields, replace
from fractions import Fraction
from typing import Final

from ..checks import check_type
from ..errors import SheetError, SourcePosition
from ..form.repeats import count_passes
from ..form.unfold import unfold_bars
from ..frozen import frozen, mutable
from ..key import Key, mode_named
from ..pitch import Interval
from ..score.form import MELODY_LEFT_OUT, MeasureSpan, Signs, edges_of, read_form, read_spans
from ..score.measure import Mark
from ..sheet import TEMPOS, Bar, Header, Meter, Section, Sheet, SheetChord, numbered
from ..transpose import interval_for, transpose_key
from .chords import ChordReader
from .measure import Measure
from .numerals import Signature
from .score import Part, Score, read_score
from .xml import ScoreError, fault, looks_like_musicxml, xml_pieces


@frozen
class Read:
    """The bars of a part, the measures that each comes from, and the warnings."""

    bars: tuple[Bar, ...]
    spans: tuple[MeasureSpan, ...]
    warnings: tuple[str, ...]


def read_bars(part: Part) -> Read:
    """The written bars of a part."""
    measures = part.measures
    spans = read_spans(measures)
    numbers = numbered([max(span.rest_bars, 1) for span in spans], spans[0].pickup)
    signs, form_warnings = read_form([edges_of(measures, span) for span in spans], numbers)
    filler = _Filler(measures, ChordReader(part_shift(part)))
    bars = tuple(
        filler.bar(span, number, sign, number == numbers[-1])
        for span, number, sign in zip(spans, numbers, signs, strict=True)
    )
    warnings = [*_odd(spans, numbers), *form_warnings, *filler.chords.warnings]
    if filler.chords.frames:
        warnings.append("chord frames are left out: the grips are planned anew")
    return Read(bars, spans, tuple(warnings))


def part_shift(part: Part) -> Interval:
    """The interval from written to sounding notes, without octaves.

    Where the sounding key would need more than seven accidentals, it leads to its other name.
    """
    stated = (measure.transposition for measure in part.measures)
    shift = next((each for each in stated if each is not None), Interval(0, 0))
    signature = part.measures[0].key
    if signature is None:
        return shift
    home = signature.key
    plain = abs(Key(home.tonic.up(shift), home.mode).fifths) <= 7
    return shift if plain else interval_for(home, shift.semitones)


def _odd(spans: Sequence[MeasureSpan], numbers: Sequence[int]) -> list[str]:
    return [
        f"bar {number}: its length does not fit the time signature; it is read as {span.meter}"
        for span, number in zip(spans, numbers, strict=True)
        if span.odd
    ]


@mutable
class _Filler:
    """Fills bars with chords, in order."""

    measures: Sequence[Measure]
    chords: ChordReader
    repeat_of: int = 0
    bars: list[Bar] = field(default_factory=list)

    def bar(self, span: MeasureSpan, number: int, signs: Signs, last: bool) -> Bar:
        measure = self.measures[span.measure]
        if measure.repeat_of is not None:
            self.repeat_of = measure.repeat_of
        chords: Sequence[SheetChord] = ()
        simile = 0 if self.chords.has_events(measure) else self._simile(span)
        if not span.rest_bars and not simile:
            chords = self.chords.read(measure, span, number, last)
        bar = Bar(
            number, span.meter, tuple(chords), measure.position, simile=simile,
            rest_bars=span.rest_bars, pickup=span.pickup,
            **{one.name: getattr(signs, one.name) for one in fields(signs)},
        )  # fmt: skip
        self.bars.append(bar)
        return bar

    def _simile(self, span: MeasureSpan) -> int:
        """1 or 2 where the bar repeats the one or two before it, 0 where it does not."""
        count = self.repeat_of
        if count not in (1, 2) or len(self.bars) < count:
            return 0
        before = self.bars[-count]
        fits = before.meter == span.meter and not before.pickup and not before.rest_bars
        return count if fits else 0


#: Marks that scores print once, above the first part, and that hold for all parts.
_FOR_ALL: Final = frozenset(
    {"bookmark", "coda", "dacapo", "dalsegno", "feel", "fine", "rehearsal", "segno", "sign",
     "tempo", "to_coda"}
)  # fmt: skip


def chosen_part(score: Score) -> tuple[Part, list[str]]:
    """The part with the most chord symbols, with the form's signs of the others, and warnings.

    Raises ScoreError when no part holds any.
    """
    if not any(part.harmonies for part in score.parts):
        raise fault("the score holds no chord symbols (<harmony>), so there is nothing to chart")
    best = max(score.parts, key=lambda part: part.harmonies)
    warnings = []
    if len(score.parts) > 1:
        name = best.name or best.id
        warnings.append(f"the chord symbols of {name!r} are read, one of {len(score.parts)} parts")
        left = sum(part.harmonies for part in score.parts) - best.harmonies
        if left:
            warnings.append(f"{left} chord symbols of the other parts are left out")
    if any(measure.sounding for part in score.parts for measure in part.measures):
        warnings.append(MELODY_LEFT_OUT)
    others = [part for part in score.parts if part is not best]
    measures = tuple(_with_signs(measure, at, others) for at, measure in enumerate(best.measures))
    return replace(best, measures=measures), warnings


def _with_signs(measure: Measure, at: int, others: list[Part]) -> Measure:
    present = {(mark.kind, mark.value) for mark in measure.marks}
    found: list[Mark] = list(measure.marks)
    for part in others:
        for mark in part.measures[at].marks if at < len(part.measures) else ():
            if mark.kind in _FOR_ALL and (mark.kind, mark.value) not in present:
                present.add((mark.kind, mark.value))
                found.append(mark)
    return replace(measure, marks=tuple(found))


def read_header(score: Score, part: Part, bars: Sequence[Bar]) -> tuple[Header, list[str]]:
    """The header, and warnings about what it cannot hold."""
    warnings: list[str] = []
    meter = _first_meter(part)
    marks = [mark for measure in part.measures for mark in measure.marks]
    header = Header(
        title=score.title,
        by=score.by,
        key=_key(part, bars, warnings),
        meter=meter,
        tempo=_tempo(marks, meter, warnings),
        feel=next((mark.value for mark in marks if mark.kind == "feel"), ""),
        other=score.other,
    )
    return header, warnings


def _first_meter(part: Part) -> Meter:
    time = part.measures[0].time
    if time is not None and time.meter is not None:
        return time.meter
    return read_spans(part.measures[:1])[0].meter


def _key(part: Part, bars: Sequence[Bar], warnings: list[str]) -> Key | None:
    signature = part.measures[0].key
    if signature is None:
        return None
    key = signature.key
    if not signature.mode:
        key = _without_mode(signature, bars, part_shift(part))
        warnings.append(f"the key signature has no mode; it is read as {key}")
    elif mode_named(signature.mode) is None:
        warnings.append(f"the mode {signature.mode!r} is kept as {key}")
    shift = part_shift(part)
    if shift != Interval(0, 0):
        key = transpose_key(key, shift)
        warnings.append(f"the part is written for a transposing instrument; it sounds in {key}")
    return key


def _without_mode(signature: Signature, bars: Sequence[Bar], shift: Interval) -> Key:
    """The minor key when the tune ends on its tonic chord, else the major one."""
    minor = Signature(signature.fifths, "minor").key
    tonic = minor.tonic.up(shift)
    chords = [written.chord for bar in bars for written in bar.chords]
    last = next((chord for chord in reversed(chords) if chord is not None), None)
    if last is None or last.root.pitch_class != tonic.pitch_class:
        return signature.key
    third = tonic.up(Interval(2, 3)).pitch_class
    return minor if third in last.pitch_classes else signature.key


def _tempo(marks: Sequence[Mark], meter: Meter, warnings: list[str]) -> int | None:
    """The tempo in beats a minute, of the beat that a tempo counts in the meter."""
    tempos = [Fraction(mark.value) for mark in marks if mark.kind == "tempo"]
    if not tempos:
        return None
    if any(tempo != tempos[0] for tempo in tempos):
        warnings.append("later changes of tempo are left out")
    tempo = round(tempos[0] / meter.tempo_quarters)
    if not TEMPOS[0] <= tempo <= TEMPOS[1]:
        warnings.append(f"a tempo of {tempo} is left out")
        return None
    return tempo


@mutable
class _Draft:
    first: int
    label: str
    position: SourcePosition
    key: Key | None = None
    stated: bool = False


def read_sections(part: Part, read: Read) -> tuple[Section, ...]:
    """The sections that divide the bars of a part; the first begins with the first bar."""
    drafts: list[_Draft] = []
    texts: dict[int, list[str]] = {}
    key: Signature | None = None
    shift = part_shift(part)
    felt = False
    for index, span in enumerate(read.spans):
        measure = part.measures[span.measure]
        signature = measure.key
        changed = signature is not None and index > 0 and signature != key
        key = signature or key
        label = next((m.value for m in measure.marks if m.kind == "rehearsal"), "")
        begins = any(m.kind == "bookmark" and m.value == "section" for m in measure.marks)
        if not drafts or label or changed or begins:
            own = None
            if signature is not None and index > 0:
                moved = shift != Interval(0, 0)
                own = transpose_key(signature.key, shift) if moved else signature.key
            drafts.append(_Draft(index, label, measure.position, own, begins))
        for mark in measure.marks:
            if mark.kind == "text" or (mark.kind == "feel" and felt):
                texts.setdefault(len(drafts) - 1, []).append(mark.value)
            felt = felt or mark.kind == "feel"
    return _divided(_without_lone_pickup(drafts, texts, read), texts, len(read.bars))


def _without_lone_pickup(
    drafts: list[_Draft], texts: dict[int, list[str]], read: Read
) -> list[_Draft]:
    """The drafts with a pickup bar before the first rehearsal mark joined to that mark's section.

    A bookmark keeps the pickup a section of its own.
    """
    if len(drafts) < 2 or drafts[0].label or drafts[1].first != 1 or not read.bars[0].pickup:
        return drafts
    if drafts[0].stated:
        return drafts
    moved = [_Draft(0, drafts[1].label, drafts[0].position, drafts[1].key), *drafts[2:]]
    joined = texts.get(0, []) + texts.get(1, [])
    later = {at - 1: lines for at, lines in texts.items() if at > 1}
    texts.clear()
    texts.update(later)
    texts[0] = joined
    return moved


def _divided(drafts: list[_Draft], texts: dict[int, list[str]], count: int) -> tuple[Section, ...]:
    ends = [draft.first for draft in drafts[1:]] + [count]
    return tuple(
        Section(
            draft.label, draft.first, end - draft.first, draft.position,
            key=draft.key, text=tuple(texts.get(at, ())),
        )
        for at, (draft, end) in enumerate(zip(drafts, ends, strict=True))
    )  # fmt: skip


def read_musicxml(data: bytes, name: str = "") -> Sheet:
    """The sheet in a MusicXML file; `name` is the file's, for messages.

    Raises SheetError when the file is no score, is damaged or hostile, holds no chord symbols, or
    when its form cannot be played.
    """
    check_type("a score", data, bytes)
    try:
        if not looks_like_musicxml(data):
            raise fault("this is not MusicXML: neither a score in XML nor an .mxl archive")
        return _checked(_sheet(read_score(xml_pieces(data))), name)
    except ScoreError as error:
        raise SheetError((error.problem,), name) from error


def _sheet(score: Score) -> Sheet:
    part, warnings = chosen_part(score)
    read = read_bars(part)
    header, head_warnings = read_header(score, part, read.bars)
    sections = read_sections(part, read)
    sheet = Sheet(header, sections, read.bars)
    return replace(sheet, warnings=(*warnings, *head_warnings, *read.warnings))


def _checked(sheet: Sheet, name: str) -> Sheet:
    """The sheet with the passes of its repeats. Raises SheetError when it cannot be played."""
    unfolded = unfold_bars(sheet.bars, sheet.sections)
    if unfolded.problems:
        raise SheetError(unfolded.problems, name)
    return replace(sheet, bars=count_passes(sheet.bars, unfolded.written))
