"""Remarks on the grips of a chart: pinned ones against their symbols, and tones not sounded.

Takes a `CompingChart`, gives sentences without line ends. Text and words print them under the
chart, the command line warns of clashes on standard error.
"""

from __future__ import annotations

from typing import Final

from ...grammar.chord import Chord, Tone
from ..chart import CompingChart
from ..hand.clashes import Clash
from ..hand.grip import frets_text
from ..hand.voicings import unsounded_tones

_ORDINALS: Final = {
    1: "root", 2: "second", 3: "third", 4: "fourth", 5: "fifth", 6: "sixth", 7: "seventh",
    9: "ninth", 11: "eleventh", 13: "thirteenth",
}  # fmt: skip
_FORMS: Final = {-2: "diminished ", -1: "flat ", 0: "", 1: "sharp "}
_SIGNS: Final = {-2: "♭♭", -1: "♭", 0: "", 1: "♯", 2: "♯♯"}
#: Thirds and sevenths are major or minor, all other degrees plain, flat or sharp.
_MAJOR_MINOR: Final = {-2: "diminished ", -1: "minor ", 0: "major ", 1: "sharp "}


def degree_words(tone: Tone) -> str:
    """A tone as a degree in words: `minor third`, `flat fifth`, `ninth`."""
    forms = _MAJOR_MINOR if tone.degree in (3, 7) else _FORMS
    return forms.get(tone.alteration, "") + _ORDINALS.get(tone.degree, f"degree {tone.degree}")


def clash_lines(chart: CompingChart) -> list[str]:
    """A sentence for each note of a pinned grip that contradicts its symbol."""
    return [_clash(chart, clash) for clash in chart.plan.clashes]


def _clash(chart: CompingChart, clash: Clash) -> str:
    written = chart.sheet.chords[clash.chord]
    chord, pin = written.chord, written.pin
    assert chord is not None  # only chords are pinned
    assert pin is not None
    where = f"bar {chart.sheet.bar_numbers[clash.chord]}, {chord}<{frets_text(pin)}>"
    note = f"{chord.spelled(clash.tone)} on string {clash.note.string}"
    if clash.instead is None:
        return f"{where}: the lowest note is {note}, where the symbol writes {chord.bass}"
    return (
        f"{where}: {note} is the {degree_words(clash.tone)}, "
        f"where the symbol says {_named(chord, clash.instead)}"
    )


def _named(chord: Chord, tone: Tone) -> str:
    return f"{chord.spelled(tone)}, the {degree_words(tone)}"


def _short(chord: Chord, tone: Tone) -> str:
    """A tone with its degree: `A# (♯9)`, `Db (♭5)`, `C (root)`."""
    degree = "root" if tone.degree == 1 else f"{_SIGNS[tone.alteration]}{tone.degree}"
    return f"{chord.spelled(tone)} ({degree})"


def unsounded_lines(chart: CompingChart) -> list[str]:
    """One line on the symbols that name tones that their grips do not sound; none if none do."""
    bars: dict[str, list[int]] = {}
    numbers = chart.sheet.bar_numbers
    for index, (written, grip) in enumerate(zip(chart.sheet.chords, chart.plan.grips, strict=True)):
        if written.chord is not None and grip is not None:
            tones = unsounded_tones(written.chord, grip.voicing)
            named = ", ".join(_short(written.chord, tone) for tone in tones)
            if named:
                bars.setdefault(f"{written.chord} without {named}", []).append(numbers[index])
    if not bars:
        return []
    listed = [f"{what} ({_bars(dict.fromkeys(where))})" for what, where in bars.items()]
    return [f"Not sounded: {'; '.join(listed)}"]


def _bars(numbers: dict[int, None]) -> str:
    return f"bar{'s' * (len(numbers) > 1)} {', '.join(map(str, numbers))}"


def remark_lines(chart: CompingChart) -> list[str]:
    """All remarks on the grips of a chart; empty if there are none."""
    clashes = [f"Against its symbol: {line}" for line in clash_lines(chart)]
    return [*clashes, *unsounded_lines(chart)]
