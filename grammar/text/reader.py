"""The reader of sheets: takes text; gives a `Sheet` or raises all its problems at once.

The format is the one that `format.md` describes. Byte order marks, Windows and old line ends,
tabs, full-width and curly signs are accepted. Raises `SheetError` with all problems in order.
Reading is linear in the length of the text, within the limits of `limits.py`.

A `Key:` line inside a section begins a section without a label, so that the key holds from that bar
on; it belongs to the section before it when that one is played again by its name. `Time:` changes
the meter from the next bar on. Text in quotes belongs to its section.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field, replace
from typing import Final

from ..checks import check_text
from ..errors import WHOLE_FILE, Problem, SheetError, SourcePosition, nearest
from ..form.repeats import check_counts, close_endings, count_passes
from ..form.unfold import unfold_bars
from ..frozen import mutable
from ..limits import (
    MAX_BARS,
    MAX_CHORDS,
    MAX_MISTAKES,
    MAX_TEXT,
    MAX_TEXT_BYTES,
)
from ..mistakes import FORM_MISTAKES, mistake
from ..sheet import Bar, Comment, Meter, Section, Sheet
from .arrange import FORM_NAME, arrange
from .bars import BarReader, Uneven
from .header import read_header, read_key, read_meter, with_title
from .source import SourceLine, is_music, known_name, plain, read_lines, size_problem, source_lines
from .tokens import line_tokens, names_chord

#: The label that puts the Coda sign over its first bar.
CODA_LABEL: Final = "coda"


@mutable
class SectionReader:
    """Collects sections and bars line by line; private to the reader.

    `comment_lines` and `texts` wait for the section or bar that they belong to.
    """

    meter: Meter
    problems: list[Problem]
    sections: list[Section] = field(default_factory=list)
    comments: list[Comment] = field(default_factory=list)
    comment_lines: list[str] = field(default_factory=list)
    texts: list[str] = field(default_factory=list)
    labels: dict[str, int] = field(default_factory=dict)
    bar_reader: BarReader = field(init=False)

    def __post_init__(self) -> None:
        self.bar_reader = BarReader(self.problems)

    @property
    def bars(self) -> list[Bar]:
        """The bars so far."""
        return self.bar_reader.bars

    def add(self, line: SourceLine) -> None:
        """Read the next line."""
        if line.kind == "comment":
            self.comment_lines.append(line.value)
        elif line.kind == "text":
            self._add_text(line.value)
        elif line.kind == "field" or (line.kind == "label" and known_name(line.name)):
            self._add_field(line)
        elif line.kind == "label":
            self._begin(line.name, line.name_position, len(self.bars))
        elif line.kind == "again":
            self._begin(line.name, line.name_position, len(self.bars))
            self._recall(len(self.sections) - 1)
        else:
            self._add_music(line)

    def finish(self) -> None:
        """The end of the file: the last section ends, nothing may be left open."""
        self._end_section()
        self._place_comments(len(self.sections) - 1, len(self.bars))
        self.bar_reader.finish()

    def _begin(self, label: str, position: SourcePosition, first: int) -> None:
        """A section begins at a bar, unless a key stated just above has begun it already."""
        current = self.sections[-1] if self.sections else None
        if current is not None and not current.label and self._is_empty(current) and current.key:
            self.sections[-1] = replace(current, label=label, position=position)
        else:
            self._end_section()
            self.sections.append(Section(label, first, 0, position))
        self._place_comments(len(self.sections) - 1, None)
        self._place_texts()
        if label.lower() == CODA_LABEL:
            self.bar_reader.signs["coda"] = position

    def _is_empty(self, section: Section) -> bool:
        return section.recalls is None and section.first == len(self.bars)

    def _end_section(self) -> None:
        """Count the bars of the section that ends; one without bars plays an earlier one again."""
        if not self.sections:
            return
        section = self.sections[-1]
        count = len(self.bars) - section.first
        if section.recalls is not None:
            return
        self.sections[-1] = replace(section, count=count)
        if count == 0 and section.label.lower() in self.labels:
            self._recall(len(self.sections) - 1)
        elif count == 0:
            self.bar_reader.signs.pop(section.label.lower(), None)
            label = "section-empty" if section.label else "key-alone"
            self.problems.append(mistake(label, section.position, section.label))
        elif section.label:
            self.labels[section.label.lower()] = len(self.sections) - 1

    def _recall(self, index: int) -> None:
        section = self.sections[index]
        earlier = self.labels.get(section.label.lower())
        if earlier is None:
            self.problems.append(mistake("section-unknown", section.position, section.label))
        self.sections[index] = replace(section, recalls=-1 if earlier is None else earlier)
        self.bar_reader.floor = len(self.bars)
        self.bar_reader.last = None
        self.bar_reader.signs.pop("coda", None)

    def _add_text(self, text: str) -> None:
        self.texts.append(text)
        if self.sections:
            self._place_texts()

    def _place_texts(self) -> None:
        section = self.sections[-1]
        self.sections[-1] = replace(section, text=(*section.text, *self.texts))
        self.texts.clear()

    def _place_comments(self, section: int, bar: int | None) -> None:
        self.comments += [Comment(text, section, bar) for text in self.comment_lines]
        self.comment_lines.clear()

    def _add_field(self, line: SourceLine) -> None:
        name = known_name(line.name)
        if not name:
            self._refuse_field(line)
        elif name not in ("Key", "Time") or not self.sections:
            self.problems.append(mistake("header-too-late", line.name_position, line.name))
        elif name == "Time":
            self.meter = read_meter(line, self.problems) or self.meter
        elif (key := read_key(line, self.problems)) is not None:
            if not self._is_empty(self.sections[-1]):
                self._begin("", line.name_position, len(self.bars))
            self.sections[-1] = replace(self.sections[-1], key=key)

    def _refuse_field(self, line: SourceLine) -> None:
        """Report an unknown name among the bars: `A: agian`, or words for the player."""
        if nearest(line.value.lower()[:20], ["again"]):
            label, near = "again-misspelt", f"{line.name}: again"
        else:
            label, near = "field-unknown", f'"{line.name}: {line.value}"'
        position = line.position if label == "again-misspelt" else line.name_position
        text = line.value if label == "again-misspelt" else line.name
        self.problems.append(mistake(label, position, text, near if len(near) < 60 else ""))

    def _add_music(self, line: SourceLine) -> None:
        if line.name:
            self._begin(line.name, line.name_position, len(self.bars))
        if not is_music(line.value):
            self._refuse(line)
            return
        items, first = line_tokens(line.value), len(self.bars)
        self.bar_reader.add_line(items, line.number, self.meter)
        if len(self.bars) == first:
            return
        if not self.sections or self.sections[-1].recalls is not None:
            self._begin("", SourcePosition(line.number, items[0].column), first)
        self._place_comments(len(self.sections) - 1, first)

    def _refuse(self, line: SourceLine) -> None:
        """Report a line of no kind, with a suggestion of what was meant."""
        text = line.value.strip()
        column = len(line.value) - len(line.value.lstrip()) + 1
        first, *others = text.split()
        suggestion = ""
        if len(others) == 1 and others[0].lower() == "again":
            suggestion = f"{first}: again" if len(text) <= 20 else ""
        elif names_chord(first) and " " in text:
            suggestion = f"| {text} |" if len(text) < 80 else ""
        elif " " not in text:
            suggestion = f"{text}:" if len(text) <= 20 else ""
        elif len(text) < 80:
            suggestion = f'"{text}"'
        position = SourcePosition(line.number, column)
        self.problems.append(mistake("line-unknown", position, text, suggestion))


def with_remark(sheet: Sheet, remark: str) -> Sheet:
    """The sheet with a remark before its other warnings, as it is for ""."""
    return replace(sheet, warnings=(remark, *sheet.warnings)) if remark else sheet


def read_sheet(text: str, name: str = "") -> Sheet:
    """The sheet that a text holds; `name` stands in messages. Raises SheetError."""
    check_text("a sheet", text)
    problems: list[Problem] = []
    sources = source_lines(text)
    sheet = None
    if len(text) > MAX_TEXT_BYTES:
        problems.append(mistake("too-large", WHOLE_FILE, most=MAX_TEXT_BYTES))
    elif (too_long := size_problem(sources)) is not None:
        problems.append(too_long)
    else:
        sheet = _sheet(read_lines(sources), problems)
    if problems or sheet is None:
        raise SheetError(_in_order(problems, sources), name)
    return replace(sheet, source=name)


def _sheet(lines: list[SourceLine], problems: list[Problem]) -> Sheet | None:
    if not lines:
        problems.append(mistake("empty-file", WHOLE_FILE))
        return None
    warnings: list[str] = []
    lines = with_title(lines)
    problems += [
        mistake("text-too-long", line.position, most=MAX_TEXT)
        for line in lines
        if line.kind in ("comment", "text", "field") and len(line.value) > MAX_TEXT
    ]
    top = _header_length(lines)
    header = read_header([line for line in lines[:top] if _is_field(line)], problems, warnings)
    reader = SectionReader(header.meter, problems)
    reader.comments += [Comment(line.value) for line in lines[:top] if line.kind == "comment"]
    above = [line for line in lines[:top] if line.kind != "comment" and not _is_field(line)]
    if not _read_all(reader, above + lines[top:]):
        return None
    bars = tuple(reader.bars)
    if not bars:
        if not problems:
            problems.append(mistake("no-bars", WHOLE_FILE))
        return None
    warnings += _arranged(reader, [line for line in lines[:top] if line.name.lower() == FORM_NAME])
    warnings += _uneven(reader.bar_reader.uneven)
    warnings += _labels_near_coda(bars, reader.sections)
    sections = tuple(reader.sections)
    bars = _checked(bars, sections, reader, problems)
    if problems:
        return None
    return Sheet(header, sections, bars, tuple(reader.comments), tuple(warnings))


def _read_all(reader: SectionReader, lines: list[SourceLine]) -> bool:
    """Read lines to the end; False where reading stops at a limit, which is then a problem."""
    for line in lines:
        reader.add(line)
        if reader.bar_reader.is_full:
            reader.problems.append(_too_many(reader.bar_reader, line))
            return False
        if len(reader.problems) > MAX_MISTAKES:
            end = mistake("too-many-mistakes", WHOLE_FILE, most=MAX_MISTAKES, line=line.number)
            reader.problems.append(end)
            return False
    reader.finish()
    return True


def _too_many(bars: BarReader, line: SourceLine) -> Problem:
    if bars.bars_left < 0:
        return mistake("too-many-bars", line.position, most=MAX_BARS)
    return mistake("played-chords", line.position, most=MAX_CHORDS)


def _arranged(body: SectionReader, forms: list[SourceLine]) -> list[str]:
    """Put the sections into the order of the `Form:` line; gives a remark if it does not fit."""
    for line in forms[:1]:
        if any(section.recalls == -1 for section in body.sections):
            return []
        arranged = arrange(body.sections, body.comments, line.value, line.name_position)
        if arranged is None:
            labels = [section.label for section in body.sections if section.label]
            typed = f"sections {' '.join(labels)}" if labels else "no labelled sections"
            return [
                f"line {line.number}: Form: {line.value} does not order what is typed ({typed}), "
                "which is played as it stands"
            ]
        body.sections, body.comments = list(arranged.sections), list(arranged.comments)
    return []


def _uneven(bars: list[Uneven]) -> list[str]:
    """A remark on the bars whose chords have parts of beats, for each number of chords and meter.

    It names every line that holds such a bar, and the way to type others.
    """
    alike: dict[tuple[int, Meter], list[Uneven]] = {}
    for bar in bars:
        alike.setdefault((len(bar.texts), bar.meter), []).append(bar)
    return [_uneven_remark(each) for each in alike.values()]


def _uneven_remark(bars: list[Uneven]) -> str:
    bar, *others = bars
    count, beats = len(bar.texts), bar.meter.beats
    whole, half = divmod(2 * beats // count, 2)
    share = f"{whole or ''}{'½' if half else ''}"
    if (2 * beats) % count:
        share = f"{beats}/{count}"
    longer = " ".join([bar.texts[0], *["/"] * (beats - count), *bar.texts[1:]])
    more = ", ".join(f"{' '.join(each.texts)} in line {each.line}" for each in others)
    return (
        f"line {bar.line}: {count} chords in a bar of {bar.meter} have {share} beats each; "
        f"type {longer} if the first is longer{f'; so have {more}' if more else ''}"
    )


def _labels_near_coda(bars: Sequence[Bar], sections: Sequence[Section]) -> list[str]:
    """A remark on a label that may be a misspelt Coda, where the sheet has none."""
    if any(bar.coda for bar in bars):
        return []
    return [
        f"line {each.position.line}: section '{each.label}', kept as it is; did you mean Coda?"
        for each in sections
        if _near_coda(each)
    ]


def _near_coda(section: Section) -> bool:
    label = section.label.lower()[:12]
    return label != CODA_LABEL and bool(nearest(label, [CODA_LABEL], 0.74))


def _checked(
    bars: tuple[Bar, ...],
    sections: tuple[Section, ...],
    reader: SectionReader,
    problems: list[Problem],
) -> tuple[Bar, ...]:
    """The bars with the ends of their endings; problems of their form go to `problems`."""
    if any(section.recalls == -1 for section in sections):
        return bars
    unfolded = unfold_bars(bars, sections)
    problems += [_at_label(problem, sections) for problem in unfolded.problems]
    if problems:
        return bars
    form = unfolded.written
    problems += check_counts(bars, form, reader.bar_reader.typed_counts)
    return close_endings(count_passes(bars, form), form)


def _at_label(problem: Problem, sections: Sequence[Section]) -> Problem:
    """The problem of a missing Coda at the label that may be meant, any other as it is."""
    near = [each for each in sections if problem.label == "coda-missing" and _near_coda(each)]
    if not near:
        return problem
    return mistake("coda-misspelt", near[0].position, near[0].label, CODA_LABEL.capitalize())


def _header_length(lines: list[SourceLine]) -> int:
    """The number of lines above the music: up to the last header line before a label or bars."""
    top = 0
    for at, line in enumerate(lines):
        if _is_field(line):
            top = at + 1
        elif line.kind in ("label", "again") or (line.kind == "music" and is_music(line.value)):
            break
    return top


def _is_field(line: SourceLine) -> bool:
    return line.kind == "field" or (line.kind == "label" and bool(known_name(line.name)))


def _in_order(problems: list[Problem], sources: list[str]) -> tuple[Problem, ...]:
    """The problems by position, each once, each with the line that it stands in."""
    seen = dict.fromkeys(_located(problem, sources) for problem in problems)
    return tuple(sorted(seen, key=lambda problem: problem.position))


def _located(problem: Problem, sources: list[str]) -> Problem:
    """The problem with its source line; its position moves to its text if that is farther right.

    A sign belongs to the bar before it, but may stand on a line of its own below that.
    """
    line, column = problem.line, problem.column
    if not line:
        return problem
    source = sources[line - 1]
    at = source.find(problem.text, column - 1)
    if at < 0 and problem.label in FORM_MISTAKES:
        below = next((at for at in range(line, len(sources)) if sources[at].strip()), line - 1)
        if sources[below].strip().startswith(problem.text):
            column = sources[below].find(problem.text) + 1
            position = SourcePosition(below + 1, column)
            return replace(problem, source=sources[below], position=position)
    if at < 0 or plain(source).startswith(problem.text, column - 1):
        return replace(problem, source=source)
    return replace(problem, source=source, position=SourcePosition(line, at + 1))
