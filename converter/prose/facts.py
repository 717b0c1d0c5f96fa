"""What every output says of a chart in words: heading, bars, form, areas, travel, summary.

Takes charts, analyses, sheets and forms, gives lines of text without line ends. Names of notes and
keys are in ASCII (`Bb`); a renderer that has true flats and sharps puts them in. Bars are written
bar numbers.
"""

from __future__ import annotations

from ...grammar.form.unfold import Form
from ...grammar.sheet import Bar, Meter, Sheet
from ..chart import CompingChart
from ..hand.plan import Travel
from ..harmony.analysis import Analysis, Area


def bars_text(bars: tuple[int, int]) -> str:
    """First and last bar: `bar 7`, `bars 7–8`, `bars 12→1` where it goes round to the top."""
    return f"bar{'s' if bars[0] != bars[1] else ''} {span_text(bars)}"


def span_text(bars: tuple[int, int]) -> str:
    """First and last bar: `7`, `7–8`, and `12→1` where the last is played after going back."""
    first, last = bars
    return str(first) if first == last else f"{first}{'–' if first < last else '→'}{last}"


def describe_form(sheet: Sheet, form: Form) -> str:
    """The bars in played order, one line a stretch, the number of bars in all at the end."""
    labels = _labels(sheet)
    starts = {section.first for section in sheet.sections if section.recalls is None}
    stretches: list[list[int]] = []
    for bar in form.bars:
        if not stretches or bar <= stretches[-1][-1] or bar in starts:
            stretches.append([bar])
        else:
            stretches[-1].append(bar)
    width = max(len(labels[stretch[0]]) for stretch in stretches)
    lines = [
        f"{labels[stretch[0]]:<{width}}  {_numbers(sheet, stretch)}".strip()
        for stretch in stretches
    ]
    total = sum(
        max(1, sheet.bars[bar].rest_bars) for bar in form.bars if not sheet.bars[bar].pickup
    )
    return "\n".join([*lines, f"{counted(total, 'bar')} in all"])


def _labels(sheet: Sheet) -> list[str]:
    """The label that each written bar stands under; one without a label keeps the one before."""
    labels: list[str] = []
    label = ""
    for section in sheet.sections:
        if section.recalls is None:
            label = section.label or label
            labels += [label] * section.count
    return labels


def _numbers(sheet: Sheet, stretch: list[int]) -> str:
    """Bar numbers with runs drawn together: `1–6, 9–10`."""
    runs: list[tuple[int, int]] = []
    for bar in stretch:
        number = sheet.bars[bar].number
        if runs and number == runs[-1][1] + 1:
            runs[-1] = (runs[-1][0], number)
        else:
            runs.append((number, number))
    return ", ".join(map(span_text, runs))


def heading_lines(chart: CompingChart) -> list[str]:
    """Title and author, then key, meter, tempo and feel as far as they are known."""
    header = chart.sheet.header
    title = " – ".join(part for part in (title_text(chart.sheet), header.by) if part)
    return [title, ", ".join(heading_facts(chart))]


def title_text(sheet: Sheet) -> str:
    """The title of a sheet; `Untitled` where it has none."""
    return sheet.header.title or "Untitled"


def heading_key(analysis: Analysis) -> str:
    """The key of a tune for a heading: `F major`, or `C major (the chords say F major)`.

    The key that the sheet states comes first; the remark stands where the analysis found another.
    """
    stated = analysis.stated
    if stated is None or stated == analysis.key:
        return str(analysis.key)
    return f"{stated} (the chords say {analysis.key})"


def heading_facts(chart: CompingChart) -> tuple[str, ...]:
    """Key, meter, tempo and feel, as far as known: `F major`, `4/4`, `tempo 126`, `swing`."""
    header = chart.sheet.header
    tempo = "" if header.tempo is None else f"tempo {header.tempo}"
    facts = (heading_key(chart.analysis), meter_text(header.meter), tempo, header.feel)
    return tuple(fact for fact in facts if fact)


def meter_text(meter: Meter) -> str:
    """A meter for a heading: `4/4`, or `cut time` where it was written so."""
    return "cut time" if meter.cut else str(meter)


def hand_facts(chart: CompingChart) -> tuple[str, ...]:
    """What the hand does, for a heading: `frets 3–8` and `9 shifts, 20 frets in all`.

    Empty where no chord sounds.
    """
    travel = chart.plan.travel
    if chart.plan.silent:
        return ()
    shifts, frets = counted(travel.shifts, "shift"), counted(travel.shift_frets, "fret")
    return f"frets {travel.lowest_fret}–{travel.highest_fret}", f"{shifts}, {frets} in all"


def counted(count: int, noun: str) -> str:
    """A number with its noun: `1 shift`, `2 shifts`."""
    return f"{count} {noun}{'' if count == 1 else 's'}"


def bar_words(bar: Bar) -> str:
    """What is written over a bar: its ending, signs and jumps, in playing order."""
    ending = ",".join(str(number) for number in bar.endings)
    words = (
        f"{ending}." if ending else "",
        "(pickup)" if bar.pickup else "",
        "Segno" if bar.segno else "",
        "Coda" if bar.coda else "",
        "To Coda" if bar.to_coda else "",
        "Fine" if bar.fine else "",
        "" if bar.jump is None else str(bar.jump),
    )
    return " ".join(word for word in words if word)


def area_lines(chart: CompingChart) -> list[str]:
    """A heading and a line for each area: bars, chords, key; nothing when there are none."""
    if not chart.analysis.areas:
        return []
    return ["", "Areas", *(f"  {area_line(chart, area)}" for area in chart.analysis.areas)]


def area_line(chart: CompingChart, area: Area) -> str:
    """One area in a line: `bars 1–3: ii-V-I in F major (Gm7 C7 F6)`."""
    chords = (chart.sheet.chords[index].chord for index in area.chords)
    symbols = " ".join(str(chord) for chord in chords if chord is not None)
    open_end = "" if area.resolved else ", left open"
    return f"{bars_text(area.bars)}: {area.kind} in {area.key}{open_end} ({symbols})"


def travel_lines(chart: CompingChart) -> list[str]:
    """How far the hand goes, for a reader who thinks in frets."""
    travel = chart.plan.travel
    if chart.plan.silent:
        return ["Hand: at rest, for no chord sounds"]
    return [
        f"Hand: {_shifts(travel)}, {counted(travel.shift_frets, 'fret')} in all, {_proof(travel)}",
        f"Frets {travel.lowest_fret} to {travel.highest_fret}, widest reach "
        f"{travel.widest_reach_mm:.0f} mm",
    ]


def _shifts(travel: Travel) -> str:
    return f"{counted(travel.shifts, 'shift')} in {counted(travel.changes, 'change')}"


def _proof(travel: Travel) -> str:
    """What is proved of the plan, in a few words."""
    if travel.smooth:
        return "the hardest change the least" if travel.optimal else "not proved"
    return "the least there is" if travel.optimal else f"within {travel.gap:.0f} mm of the least"


def summary_lines(chart: CompingChart) -> list[str]:
    """What was found and planned, in a few lines: key, ii–V–I areas with their bars, the hand."""
    two_fives = [area for area in chart.analysis.areas if area.kind == "ii-V-I"]
    found = [f"{bars_text(area.bars)} {area.key}" for area in two_fives] or ["none"]
    travel = chart.plan.travel
    lines = [
        heading_lines(chart)[0],
        f"  key     {heading_key(chart.analysis)}",
        *_wrapped("ii-V-I", found),
    ]
    if chart.plan.silent:
        return [*lines, "  hand    at rest, for no chord sounds"]
    return [
        *lines,
        f"  hand    shifts {counted(travel.shift_frets, 'fret')} in all ({_shifts(travel)})",
        f"  frets   {travel.lowest_fret} to {travel.highest_fret}",
    ]


def _wrapped(name: str, words: list[str]) -> list[str]:
    """Words after a name, in lines of at most 79 columns that break between words."""
    lines, row = [], ""
    for word in words:
        if row and len(row) + len(word) > 66:
            lines.append(row + ",")
            row = word
        else:
            row = f"{row}, {word}" if row else word
    lines.append(row)
    return [f"  {name if n == 0 else '':<8}{line}" for n, line in enumerate(lines)]
