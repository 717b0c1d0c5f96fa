"""The text that all outputs of a chart share: heading, form, travel of the hand, cautions.

Takes a `CompingChart` or its parts (the sheet and its form, written bar numbers), gives text or
lines of text without line ends. Names of notes and keys are in ASCII (`Bb`); a renderer with flat
and sharp signs replaces them.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import ceil
from typing import TYPE_CHECKING, Final

from ...grammar.form.unfold import Form
from ...grammar.sheet import Bar, Meter, Sheet
from ..hand.player import ADULT, Player

if TYPE_CHECKING:  # the form of a tune is told without planner and analysis
    from ..chart import CompingChart
    from ..hand.plan import Travel
    from ..harmony.analysis import Analysis
    from ..practice.rhythm import Pattern

# The cautions are common advice of teachers, no source.

#: For stretches and long drills.
HAND_CAUTION: Final = (
    "Stretches and barres can strain a hand. Warm up first, rest often, and stop at once when "
    "anything hurts or goes numb. Ask your teacher how to hold a grip that does not come easily; "
    "if pain or numbness lasts, see a doctor or a physiotherapist."
)

#: The same in one line, for the foot of a chart that shows stretches.
HAND_CAUTION_SHORT: Final = (
    "Stretches can strain a hand: warm up, rest, stop when anything hurts or goes numb, ask your "
    "teacher; if it lasts, see a doctor."
)

#: For anything that is played back.
HEARING_CAUTION: Final = "Keep practice playback at a moderate level."

#: The texts of the presets of a player and of the styles of voicings in a heading.
_PRESET_FACTS: Final = {"small hand": "for small hands", "beginner": "for a beginner"}
_STYLE_FACTS: Final = {
    "guide tones": "guide tones without roots",
    "colour": "shells with a colour tone",
    "four-note": "four-note voicings",
}


def heading_lines(chart: CompingChart) -> list[str]:
    """Title and author; key, meter, tempo and feel as far as known; the choices of the chart.

    The last line is left out if all choices are the defaults.
    """
    header = chart.sheet.header
    title = " – ".join(part for part in (title_text(chart.sheet), header.by) if part)
    purpose = purpose_facts(chart)
    return [title, ", ".join(heading_facts(chart)), *([", ".join(purpose)] if purpose else [])]


def title_text(sheet: Sheet) -> str:
    """The title of a sheet, or `Untitled`."""
    return sheet.header.title or "Untitled"


def heading_key(analysis: Analysis) -> str:
    """The key of a tune for a heading: `F major`, or `C major (the chords say F major)`.

    The remark is added if the sheet states another key than the chords speak for.
    """
    heard = analysis.heard
    if analysis.stated is None or heard in (None, analysis.key):
        return str(analysis.key)
    return f"{analysis.key} (the chords say {heard})"


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
    """The motion of the hand for a heading: `frets 3–8` and `9 shifts, 20 frets in all`.

    Empty if no chord sounds.
    """
    travel = chart.plan.travel
    if chart.plan.silent:
        return ()
    shifts, frets = counted(travel.shifts, "shift"), counted(travel.shift_frets, "fret")
    return f"frets {travel.lowest_fret}–{travel.highest_fret}", f"{shifts}, {frets} in all"


def purpose_facts(chart: CompingChart) -> tuple[str, ...]:
    """The choices of a chart that are not the defaults: `left-handed`, `four-note voicings`.

    They are the instrument with the sounding key, the key the tune was transposed from, the player
    and the style of voicings. The defaults are the tune as written, an adult's right hand, shells.
    """
    return *transposition_facts(chart), *playing_facts(chart)


def playing_facts(chart: CompingChart) -> tuple[str, ...]:
    """The player and the style of voicings, if they are not the defaults."""
    options = chart.options
    return (
        *player_facts(chart.player),
        *([_STYLE_FACTS[options.style]] if options.style in _STYLE_FACTS else []),
        *(["the hardest change made easy"] if options.smooth else []),
    )


def transposition_facts(chart: CompingChart) -> tuple[str, ...]:
    """The instrument and the keys: `in F for Bb instruments, sounds Eb major`."""
    moved = chart.sheet.transposition
    if moved is None:
        return ()
    facts = []
    if moved.instrument:
        written = (chart.analysis.stated or chart.analysis.key).short
        facts.append(f"in {written} for {moved.instrument} instruments, sounds {moved.sounding}")
    if moved.sounding != moved.home:
        facts.append(f"transposed from {moved.home}")
    return tuple(facts)


def player_facts(player: Player) -> tuple[str, ...]:
    """The player, if not an adult's right hand: `for small hands`, `left-handed`."""
    low, high = player.window
    usual = player.window == ADULT.window
    return tuple(
        fact
        for fact in (
            _PRESET_FACTS.get(player.name, f"for {player.name}") if player.name else "",
            "left-handed" if player.hand == "left" else "",
            "" if usual else f"roots at frets {low}–{high}",
        )
        if fact
    )


def travel_lines(chart: CompingChart) -> list[str]:
    """How far the hand moves, in frets."""
    travel = chart.plan.travel
    if chart.plan.silent:
        return ["Hand: at rest, for no chord sounds"]
    return [
        f"Hand: {_shifts(travel)}, {counted(travel.shift_frets, 'fret')} in all, {_proof(travel)}",
        *shared_lines(chart),
        f"Frets {travel.lowest_fret} to {travel.highest_fret}, widest reach "
        f"{travel.widest_reach_mm:.0f} mm",
    ]


def shared_lines(chart: CompingChart) -> list[str]:
    """What the same grips for repeated phrases add to the least effort, if they add anything."""
    added_mm = chart.plan.shared_mm
    if not added_mm:
        return []
    return [f"Repeated phrases have the same grips: this adds {added_mm:.0f} mm in a chorus"]


def _shifts(travel: Travel) -> str:
    return f"{counted(travel.shifts, 'shift')} in {counted(travel.changes, 'change')}"


def _proof(travel: Travel) -> str:
    """Whether the plan is proved to be the least, in a few words."""
    if travel.smooth:
        return "the hardest change the least" if travel.optimal else "not proved"
    return (
        "the least there is" if travel.optimal else f"within {ceil(travel.gap_mm)} mm of the least"
    )


def summary_lines(chart: CompingChart) -> list[str]:
    """A summary of the chart in a few lines: key, ii–V–I areas with their bars, the hand."""
    two_fives = [area for area in chart.analysis.areas if area.kind == "ii-V-I"]
    areas = [f"{played_text(chart.sheet, area.bars, True)} {area.key}" for area in two_fives]
    travel = chart.plan.travel
    lines = [
        heading_lines(chart)[0],
        f"  key     {heading_key(chart.analysis)}",
        *_wrapped("ii-V-I", areas or ["none"]),
    ]
    if chart.plan.silent:
        return [*lines, "  hand    at rest, for no chord sounds"]
    return [
        *lines,
        f"  hand    shifts {counted(travel.shift_frets, 'fret')} in all ({_shifts(travel)})",
        f"  frets   {travel.lowest_fret} to {travel.highest_fret}",
    ]


def _wrapped(name: str, words: list[str]) -> list[str]:
    """A name and words after it, wrapped between words to lines of at most 79 columns."""
    lines, row = [], ""
    for word in words:
        if row and len(row) + len(word) > 66:
            lines.append(row + ",")
            row = word
        else:
            row = f"{row}, {word}" if row else word
    lines.append(row)
    return [f"  {name if n == 0 else '':<8}{line}" for n, line in enumerate(lines)]


def bars_text(bars: tuple[int, int]) -> str:
    """First and last bar: `bar 7`, `bars 7–8`, `bars 12→1` across the loop to the top."""
    return f"bar{'s' if bars[0] != bars[1] else ''} {span_text(bars)}"


def span_text(bars: tuple[int, int]) -> str:
    """First and last bar: `7`, `7–8`, and `12→1` if the last number is the smaller."""
    first, last = bars
    return str(first) if first == last else f"{first}{'–' if first < last else '→'}{last}"


def played_text(sheet: Sheet, bars: tuple[int, int], named: bool = False) -> str:
    """The bars between a first and a last one without those of endings skipped: `3–4, 7`.

    `named`: with the word, as in `bars 3–4, 7`.
    """
    text = ", ".join(map(span_text, played_spans(sheet, bars)))
    return f"bar{'s' if bars[0] != bars[1] else ''} {text}" if named else text


def played_spans(sheet: Sheet, bars: tuple[int, int]) -> list[tuple[int, int]]:
    """The stretches of bars that are played between a first and a last one.

    Of the endings that begin after the first bar, that of the last bar is played, or the last one.
    """
    first, last = bars
    numbers = [bar.number for bar in sheet.bars]
    if first >= last or first not in numbers or last not in numbers:
        return [bars]
    start, end = numbers.index(first), len(numbers) - numbers[::-1].index(last)
    endings = _endings(sheet.bars[_ending_start(sheet.bars, start) : end])[start - end :]
    own = endings[-1] or next((each for each in reversed(endings) if each), ())
    played = [at for at, each in enumerate(endings, start) if each in ((), endings[0], own)]
    return _runs(sheet, played)


def _ending_start(bars: Sequence[Bar], at: int) -> int:
    """The bar with which the ending that a bar is in begins; the bar itself outside endings."""
    for before in range(at, -1, -1):
        if bars[before].endings:
            return before
        if before < at and (bars[before].ending_close or bars[before].repeat_close):
            break
    return at


def _endings(bars: Sequence[Bar]) -> list[tuple[int, ...]]:
    """For each bar the passes of the ending that it is in, empty outside endings."""
    found: list[tuple[int, ...]] = []
    current: tuple[int, ...] = ()
    for bar in bars:
        current = bar.endings or current
        found.append(current)
        if bar.ending_close or bar.repeat_close:
            current = ()
    return found


def counted(count: int, noun: str) -> str:
    """A number with its noun: `1 shift`, `2 shifts`."""
    return f"{count} {noun}{'' if count == 1 else 's'}"


def describe_form(sheet: Sheet, form: Form) -> str:
    """The bars in played order, and the number of bars in all in the last line.

    Each line holds bars that are played without a jump back: the section's label and the bar
    numbers, as in `A   1–6, 9–10`.
    """
    labels = sheet.bar_labels
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
    return "\n".join([*lines, f"{counted(bars_played(sheet, form), 'bar')} in all"])


def bars_played(sheet: Sheet, form: Form) -> int:
    """How many bars are played in all: a pickup is none, a rest of many bars counts as those."""
    return sum(sheet.bars[bar].bar_count for bar in form.bars if not sheet.bars[bar].pickup)


def rounds_sentence(sheet: Sheet, form: Form) -> str:
    """What is played once, what goes round and where the last chorus ends; "" where all is one.

    `Once: bars 1–4. Round: bars 5–12. After the last chorus: bars 5–7, 13–14.`
    """
    turnaround = bool(form.chorus) and any(
        chord.optional for chord in sheet.bars[form.sounding[form.chorus[-1]]].chords
    )
    if not (form.opening or form.ending or turnaround):
        return ""
    parts = [
        ("Once", form.opening), ("Round", form.chorus), ("After the last chorus", form.ending),
    ]  # fmt: skip
    told = [f"{name}: bars {_numbers(sheet, bars)}." for name, bars in parts if bars]
    if turnaround:
        told.append("The last chorus leaves out the chords in brackets at its end.")
    return " ".join(told)


def _numbers(sheet: Sheet, stretch: Sequence[int]) -> str:
    """Bar numbers with consecutive ones as ranges: `1–6, 9–10`."""
    return ", ".join(map(span_text, _runs(sheet, stretch)))


def _runs(sheet: Sheet, stretch: Sequence[int]) -> list[tuple[int, int]]:
    """The first and last numbers of stretches of bars whose numbers follow each other."""
    runs: list[tuple[int, int]] = []
    for bar in stretch:
        first, last = sheet.bars[bar].number, sheet.bars[bar].last_number
        if runs and first == runs[-1][1] + 1:
            runs[-1] = (runs[-1][0], last)
        else:
            runs.append((first, last))
    return runs


#: Numbers as they are said.
_SAID: Final = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
    "twelve", "thirteen",
)  # fmt: skip


def beats_words(start: Fraction, beats: Fraction, whole: Fraction | None) -> str:
    """When a chord sounds in a bar of `whole` beats, as it is said aloud; None for a pickup.

    `for the whole bar`, `for the first three beats`, `on beat four`, `on the and of beat four`.
    """
    if whole is None:
        return f"for {_amount(beats)}"
    if start == 0 and beats == whole:
        return "for the whole bar"
    if start == 0 and beats > 1:
        return f"for the first {_amount(beats)}"
    first = int(start) + 1
    if start % 1 == 0 and beats % 1 == 0:
        last = first + int(beats) - 1
        if first == last:
            return f"on beat {number_words(first)}"
        return (
            f"on beats {number_words(first)} {'and' if beats == 2 else 'to'} {number_words(last)}"
        )
    part = start % 1
    point = f"beat {number_words(first)}"
    if part:
        point = f"the and of {point}" if part == Fraction(1, 2) else f"{part} behind {point}"
    if beats == Fraction(1, 2):
        return f"on {point}" if part else f"on the first half of {point}"
    return f"from {point} on for {_amount(beats)}"


def _amount(beats: Fraction) -> str:
    """`three beats`, `three and a half beats`, `half a beat`, `1/3 of a beat`."""
    count, part = int(beats), beats % 1
    if count == 0:
        return "half a beat" if part == Fraction(1, 2) else f"{part} of a beat"
    more = "" if part == 0 else " and a half" if part == Fraction(1, 2) else f" and {part}"
    return f"{number_words(count)}{more} beat{'' if beats == 1 else 's'}"


def number_words(count: int) -> str:
    """A number as it is said: `seven`; digits from 14 on."""
    return _SAID[count] if count < len(_SAID) else str(count)


def bar_marks(bar: Bar) -> str:
    """The marks above a bar in a line: its ending, signs and jumps, in playing order."""
    ending = ",".join(str(number) for number in bar.endings)
    marks = (
        f"{ending}." if ending else "",
        "(pickup)" if bar.pickup else "",
        "Segno" if bar.segno else "",
        "Coda" if bar.coda else "",
        "To Coda" if bar.to_coda else "",
        "Fine" if bar.fine else "",
        "" if bar.jump is None else str(bar.jump),
    )
    return " ".join(mark for mark in marks if mark)


#: How each rhythm is played, by its name (common practice, no source).
_PLAYED: Final = {
    "four-to-the-bar": "a short stroke on every beat, the weak beats a little louder",
    "two-to-the-bar": "a stroke on the first beat of each half, held for a beat",
    "half-notes": "a stroke on the first beat of each half, held until the next",
    "charleston": "a held stroke on 1 and a short one on the “and” of 2",
    "waltz": "a stroke on 1, two lighter ones on 2 and 3",
    "bossa": "a pattern of two bars, even eighths",
}


def rhythm_sentence(pattern: Pattern) -> str:
    """The name of a rhythm and how it is played: `Four-to-the-bar: a short stroke on …`."""
    name = pattern.name[0].upper() + pattern.name[1:]
    return f"{name}: {_PLAYED[pattern.name]}."
