"""The text that all outputs of a chart share: heading, travel of the hand, summary, cautions.

Takes a `CompingChart` or its parts, gives lines of text without line ends. Names of notes and keys
are in ASCII (`Bb`); a renderer with flat and sharp signs replaces them.
"""

from __future__ import annotations

from typing import Final

from ...grammar.sheet import Meter, Sheet
from ..chart import CompingChart
from ..hand.plan import Travel
from ..hand.player import Player
from ..harmony.analysis import Analysis
from .form import bars_text, counted

FINGER_NAMES: Final = {1: "index", 2: "middle", 3: "ring", 4: "little"}

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

    The key that the sheet states comes first; the remark is added if the analysis found another.
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
    usual = player.window == Player().window
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
        f"Frets {travel.lowest_fret} to {travel.highest_fret}, widest reach "
        f"{travel.widest_reach_mm:.0f} mm",
    ]


def _shifts(travel: Travel) -> str:
    return f"{counted(travel.shifts, 'shift')} in {counted(travel.changes, 'change')}"


def _proof(travel: Travel) -> str:
    """Whether the plan is proved to be the least, in a few words."""
    if travel.smooth:
        return "the hardest change the least" if travel.optimal else "not proved"
    return "the least there is" if travel.optimal else f"within {travel.gap_mm:.0f} mm of the least"


def summary_lines(chart: CompingChart) -> list[str]:
    """A summary of the chart in a few lines: key, ii–V–I areas with their bars, the hand."""
    two_fives = [area for area in chart.analysis.areas if area.kind == "ii-V-I"]
    areas = [f"{bars_text(area.bars)} {area.key}" for area in two_fives] or ["none"]
    travel = chart.plan.travel
    lines = [
        heading_lines(chart)[0],
        f"  key     {heading_key(chart.analysis)}",
        *_wrapped("ii-V-I", areas),
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
