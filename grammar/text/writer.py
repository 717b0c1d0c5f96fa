"""A sheet as canonical text, which reads back as the same sheet.

Takes a `Sheet`, gives text that ends with a line end. Header lines have a fixed order, an empty
line precedes each section, a line has four bars with aligned bar lines. A pickup, a change of
meter, a later ending and what follows a repeat or a double bar begin a line. Comments and text for
the player are kept. Text that this module wrote is written again unchanged.

Chords that share a bar evenly have no slashes; else slashes count the beats (dotted quarters in
6/8, 9/8 and 12/8, quarters in cut time, where whole numbers of them fit); else each chord has its
length (`C6=1.5`).
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Final

from ..beats import even_share
from ..errors import WHOLE_FILE, SheetError
from ..foreign_text import harmless
from ..frozen import frozen
from ..sheet import Bar, Comment, Fingers, Frets, Header, Meter, Section, Sheet, SheetChord
from .reader import CODA_LABEL, read_sheet
from .source import known_name, read_lines


def bar_content(bar: Bar, keep_spelling: bool, label_is_coda: bool, last: Bar | None = None) -> str:
    """The text between a bar's lines. `last` is the second bar of a `%%`, whose end counts.

    `label_is_coda`: the label of its section is Coda.
    """
    end = bar if last is None else last
    tokens = ["Segno"] if bar.segno else []
    if bar.coda and not label_is_coda:
        tokens.append("Coda")
    tokens += _music(bar, keep_spelling)
    if bar.pickup:
        tokens.append("(pickup)")
    if end.to_coda:
        tokens.append("To Coda")
    if end.fine:
        tokens.append("Fine")
    if end.jump is not None:
        tokens.append(str(end.jump))
    return " ".join(tokens)


def _music(bar: Bar, keep_spelling: bool) -> list[str]:
    if bar.simile:
        return ["%" * bar.simile]
    if bar.rest_bars:
        return [f"-{bar.rest_bars}-"]
    lengths = [chord.beats for chord in bar.chords]
    slashes = slash_counts(lengths, bar.meter, bar.pickup)
    tokens: list[str] = []
    for at, chord in enumerate(bar.chords):
        words = [chord_text(chord, keep_spelling, slashes is None)]
        words += ["/"] * (slashes[at] if slashes is not None else 0)
        if chord.optional and not (at and bar.chords[at - 1].optional):
            words[0] = f"({words[0]}"
        if chord.optional and not any(after.optional for after in bar.chords[at + 1 : at + 2]):
            words[-1] += ")"
        tokens += words
    return tokens


def chord_text(chord: SheetChord, keep_spelling: bool, with_length: bool = False) -> str:
    """A chord with its length, pin, push and hold: `Dm7=1.5<10 x 10 10 x x>(push)`."""
    text = chord.text if keep_spelling and chord.text else chord.symbol
    if with_length and chord.beats != 1:
        text += f"={_length(chord.beats)}"
    if chord.pin is not None:
        fingers = "" if chord.fingers is None else f": {_row(chord.fingers, '-')}"
        text += f"<{_row(chord.pin, 'x')}{fingers}>"
    return text + "(push)" * chord.push + "(hold)" * chord.hold


def _row(row: Frets | Fingers, empty: str) -> str:
    """Frets or fingers from string 6 to string 1."""
    return " ".join(empty if one is None else str(one) for one in row)


def slash_counts(lengths: list[Fraction], meter: Meter, pickup: bool) -> list[int] | None:
    """The slashes after each chord of a bar, None when slashes cannot give its lengths."""
    if not pickup and len(set(lengths)) == 1 and even_share(len(lengths), meter) == lengths[0]:
        return [0] * len(lengths)
    units = [Fraction(1)]
    if not pickup and meter.compound:
        units.insert(0, Fraction(3))
    if not pickup and meter.unit == 2:
        units.append(Fraction(1, 2))
    for unit in units:
        counts = [length / unit for length in lengths]
        if all(count.denominator == 1 and count >= 1 for count in counts):
            return [int(count) - 1 for count in counts]
    return None


def fitted_bar(bar: Bar) -> Bar:
    """The bar with the meter that its chords fill, where they do not fill its own.

    Only scores have such bars (a measure split in two); a sheet has a change of meter there.
    """
    total = sum((chord.beats for chord in bar.chords), Fraction(0))
    if bar.pickup or not bar.chords or total == bar.meter.beats:
        return bar
    scale = total.denominator
    chords = tuple(
        replace(chord, start=chord.start * scale, beats=chord.beats * scale) for chord in bar.chords
    )
    return replace(bar, meter=Meter(int(total * scale), bar.meter.unit * scale), chords=chords)


def _length(beats: Fraction) -> str:
    if beats.denominator in (1, 2, 4):
        return f"{float(beats):g}"
    return str(beats)


BARS_A_LINE: Final = 4
NOT_IN_LABELS: Final = str.maketrans(dict.fromkeys('|:<>[]"%', " "))
NOT_FIRST_IN_LABELS: Final = "#/“”„«» "


@frozen
class _Cell:
    """One bar (or the two of a `%%`): the bar line before, the content, the bar line after."""

    mark: str
    content: str
    closing: str
    index: int
    bars: int


def write_sheet(sheet: Sheet, keep_spelling: bool = False) -> str:
    """The canonical text of a sheet; `keep_spelling` keeps chord symbols as they were typed."""
    sheet = _without_unseen(replace(sheet, bars=tuple(fitted_bar(bar) for bar in sheet.bars)))
    sheet = _with_one_coda(_with_comments_above(replace(sheet, header=_opening(sheet))))
    lines = [harmless(comment.text) for comment in sheet.comments if comment.section == -1]
    lines += _header_lines(sheet.header)
    meter = sheet.header.meter
    for index, section in enumerate(sheet.sections):
        lines.append("")
        texts = [f'"{_one_line(text)}"' for text in section.text]
        music = _music_lines(sheet, index, meter, keep_spelling)
        lines += _section_head(sheet, index)
        lines += [*music, *texts] if _begins_unseen(sheet, index) else [*texts, *music]
        bars = sheet.bars[section.first : section.first + section.count]
        meter = bars[-1].meter if bars else meter
    return "\n".join(lines) + "\n"


def reads_back(sheet: Sheet, text: str) -> bool:
    """Whether a text is read as the sheet: all its values but positions and typed spellings."""
    try:
        return _unplaced(read_sheet(text)) == _unplaced(sheet)
    except SheetError:
        return False


def _unplaced(sheet: Sheet) -> Sheet:
    sections = (replace(section, position=WHOLE_FILE) for section in sheet.sections)
    bars = (
        replace(
            bar,
            position=WHOLE_FILE,
            chords=tuple(replace(one, position=WHOLE_FILE, text="") for one in bar.chords),
        )
        for bar in sheet.bars
    )
    return replace(sheet, sections=tuple(sections), bars=tuple(bars))


def _opening(sheet: Sheet) -> Header:
    """The header with the first bar's meter where nothing parts that bar from the header."""
    if not sheet.bars or not sheet.sections or _section_head(sheet, 0):
        return sheet.header
    return replace(sheet.header, meter=sheet.bars[0].meter)


def _header_lines(header: Header) -> list[str]:
    known = [
        ("Title", header.title),
        ("By", header.by),
        ("Key", "" if header.key is None else header.key.short),
        ("Time", header.meter.typed),
        ("Tempo", "" if header.tempo is None else str(header.tempo)),
        ("Feel", header.feel),
    ]
    lines = [f"{name}: {_one_line(value)}" for name, value in known if _one_line(value)]
    others = ((_plain_name(name), _one_line(value)) for name, value in header.other)
    return lines + [f"{name}: {value}" for name, value in others if _is_other(name, value)]


def _is_other(name: str, value: str) -> bool:
    """Whether a line of them is read as a header that is not known; a score may have any name."""
    read = read_lines([f"{name}: {value}"])
    found = [(line.kind, line.name, line.value) for line in read]
    return found == [("field", name, value)] and not known_name(name)


def _section_head(sheet: Sheet, index: int) -> list[str]:
    """The comments above a section, its label, its key.

    The key of a section that is played again stands above its label: below it, it would begin
    the next section.
    """
    section = sheet.sections[index]
    label = _label(section.label)
    key = [] if section.key is None else [f"Key: {section.key.short}"]
    if section.recalls is not None:
        head = [*key, f"{label}: again"]
    else:
        head = [f"{label}:", *key] if label else key
    return [*_comments(sheet, index, None), *head]


def _with_comments_above(sheet: Sheet) -> Sheet:
    """The sheet with comments below a section's last bar moved above the next section, if any.

    A text does not tell them apart. The last section may have become another by the order of a
    form.
    """

    def moved(comment: Comment) -> Comment:
        if comment.bar is None or not 0 <= comment.section < len(sheet.sections) - 1:
            return comment
        section = sheet.sections[comment.section]
        below = comment.bar >= section.first + section.count
        return Comment(comment.text, comment.section + 1) if below else comment

    return replace(sheet, comments=tuple(map(moved, sheet.comments)))


def _with_one_coda(sheet: Sheet) -> Sheet:
    """The sheet with the label `Coda` only where its Coda sign is, as the label puts it there.

    In a score a section of that name may begin elsewhere, or several may.
    """
    signs = [at for at, bar in enumerate(sheet.bars) if bar.coda]
    named = [at for at, each in enumerate(sheet.sections) if _is_coda(each) and each.count]
    signed = [at for at in named if not signs or sheet.sections[at].first in signs][:1]
    if named == signed:
        return sheet
    sections = tuple(
        replace(section, label=f"{_label(section.label)}.")
        if _is_coda(section) and at not in signed and section.recalls not in signed
        else section
        for at, section in enumerate(sheet.sections)
    )
    return replace(sheet, sections=sections)


def _is_coda(section: Section) -> bool:
    return _label(section.label).lower() == CODA_LABEL


def _without_unseen(sheet: Sheet) -> Sheet:
    """The sheet without the sections that nothing but their bars begins, as a score may have them.

    Their bars and texts go to the section before. After one that is played again they stay.
    """
    kept: list[Section] = []
    places: list[int] = []
    for index, section in enumerate(sheet.sections):
        if _begins_unseen(sheet, index) and kept[-1].recalls is None:
            before = kept[-1]
            count, text = before.count + section.count, before.text + section.text
            kept[-1] = replace(before, count=count, text=text)
        else:
            kept.append(section)
        places.append(len(kept) - 1)
    if len(kept) == len(sheet.sections):
        return sheet
    recalling = (
        section if section.recalls is None else replace(section, recalls=places[section.recalls])
        for section in kept
    )
    comments = (
        replace(comment, section=places[comment.section]) if comment.section >= 0 else comment
        for comment in sheet.comments
    )
    return replace(sheet, sections=tuple(recalling), comments=tuple(comments))


def _begins_unseen(sheet: Sheet, index: int) -> bool:
    """Whether nothing but its bars begins a section after another one.

    Its text for the player stands below them, as above them it would belong to the other one.
    """
    section = sheet.sections[index]
    return index > 0 and section.count > 0 and section.key is None and not _label(section.label)


def _label(label: str) -> str:
    """The label as a sheet can hold it: a score may have any signs in it, or a header's name."""
    plain = _plain_name(label)
    ways = (plain, f"{plain}.") if plain else ()
    return next((each for each in ways if _is_label(each)), "")


def _plain_name(name: str) -> str:
    """A name without the signs that the name of a header or a section cannot hold."""
    return _one_line(name.translate(NOT_IN_LABELS)).lstrip(NOT_FIRST_IN_LABELS)[:58].strip()


def _is_label(label: str) -> bool:
    read = read_lines([f"{label}:"])
    return bool(read) and read[0].kind == "label" and not known_name(read[0].name)


def _comments(sheet: Sheet, section: int, bar: int | None) -> list[str]:
    return [
        harmless(comment.text)
        for comment in sheet.comments
        if comment.section == section and comment.bar == bar
    ]


def _one_line(text: str) -> str:
    return " ".join(harmless(text).split())


def _music_lines(sheet: Sheet, index: int, meter: Meter, keep_spelling: bool) -> list[str]:
    """The bars of a section in lines, with meters and comments between them."""
    section = sheet.sections[index]
    comments = {bar: _comments(sheet, index, bar) for bar in _commented(sheet, index)}
    cells = _cells(sheet.bars, section, keep_spelling)
    rows = _rows(cells, sheet.bars, set(comments))
    lines: list[str] = []
    for row, text in zip(rows, _aligned(rows), strict=True):
        lines += comments.pop(row[0].index, [])
        if sheet.bars[row[0].index].meter != meter:
            meter = sheet.bars[row[0].index].meter
            lines.append(f"Time: {meter.typed}")
        lines.append(text)
    return lines + [text for bar in sorted(comments) for text in comments[bar]]


def _commented(sheet: Sheet, index: int) -> set[int]:
    return {
        comment.bar
        for comment in sheet.comments
        if comment.section == index and comment.bar is not None
    }


def _cells(bars: tuple[Bar, ...], section: Section, keep_spelling: bool) -> list[_Cell]:
    cells: list[_Cell] = []
    at, stop = section.first, section.first + section.count
    while at < stop:
        bar = bars[at]
        paired = bar.simile == 2 and at + 1 < stop and bars[at + 1].simile == 2
        last = bars[at + 1] if paired else bar
        named = at == section.first and _is_coda(section)
        content = bar_content(bar, keep_spelling, named, last)
        following = bars[at + 1 + paired : stop][:1]
        closing = "||" if _ends_ending(last, following) else _closing(last)
        cells.append(_Cell(_mark(bar), content, closing, at, 1 + paired))
        at += 1 + paired
    return cells


def _ends_ending(bar: Bar, following: tuple[Bar, ...]) -> bool:
    """Whether the last ending of a repeat ends with a bar that the section goes on behind.

    A score may say so without a double bar line, without which a text has no end there.
    """
    ends = bar.ending_close and not bar.repeat_close
    return ends and any(not (after.endings or after.repeat_open) for after in following)


def _mark(bar: Bar) -> str:
    return f"|{':' if bar.repeat_open else ''}{_endings(bar.endings)}"


def _endings(passes: tuple[int, ...]) -> str:
    if not passes:
        return ""
    first, last = passes[0], passes[-1]
    if len(passes) > 2 and passes == tuple(range(first, last + 1)):
        return f"{first}-{last}."
    return ",".join(str(number) for number in passes) + "."


def _closing(bar: Bar) -> str:
    """The line after a bar: `:|` with its number where endings do not tell it, `||`, `|`."""
    if not bar.repeat_close:
        return "||" if bar.double_bar else "|"
    counted = bar.repeat_close != 2 and not bar.ending_close
    return f":|{f'{bar.repeat_close}x' if counted else ''}{' ||' if bar.double_bar else ''}"


def _rows(cells: list[_Cell], bars: tuple[Bar, ...], commented: set[int]) -> list[list[_Cell]]:
    rows: list[list[_Cell]] = []
    for cell in cells:
        last = rows[-1] if rows else []
        full = sum(other.bars for other in last) + cell.bars > BARS_A_LINE
        if not last or full or cell.index in commented or _begins_line(last[-1], cell, bars):
            rows.append([cell])
        else:
            last.append(cell)
    return rows


def _begins_line(last: _Cell, cell: _Cell, bars: tuple[Bar, ...]) -> bool:
    before, bar = bars[last.index], bars[cell.index]
    later_ending = bool(bar.endings) and 1 not in bar.endings
    return before.pickup or later_ending or last.closing != "|" or before.meter != bar.meter


def _aligned(rows: list[list[_Cell]]) -> list[str]:
    """Each row as text, marks and contents padded to the widest of their column."""
    columns = max((len(row) for row in rows), default=0)
    marks, contents = [0] * columns, [0] * columns
    for row in rows:
        for column, cell in enumerate(row):
            marks[column] = max(marks[column], len(cell.mark))
            contents[column] = max(contents[column], len(cell.content))
    return [
        "".join(
            f"{cell.mark:<{marks[column]}} {cell.content:<{contents[column]}} "
            for column, cell in enumerate(row)
        )
        + row[-1].closing
        for row in rows
    ]
