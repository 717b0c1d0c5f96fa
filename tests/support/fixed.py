"""Charts whose grips and readings follow two fixed rules: pictures of their pages stay the same
while planner and analysis learn.

Every chord takes the shell with its root on string 6 (fret 3 to 10) or else 5; a dominant resolves
to the next chord when that lies a fourth higher or a semitone lower.
"""

from __future__ import annotations

from midneck.converter.chart import CompingChart
from midneck.converter.hand.grip import Barre, Grip, VoicedNote, Voicing
from midneck.converter.hand.plan import GripPlan, PlanOptions, Travel
from midneck.converter.hand.player import STANDARD_TUNING, Player
from midneck.converter.harmony.analysis import Analysis, Area, Reading
from midneck.converter.harmony.numerals import DEGREES
from midneck.converter.timeline import timeline_of
from midneck.grammar.chord import Chord
from midneck.grammar.key import Key
from midneck.grammar.numeral import Numeral
from midneck.grammar.pitch import Tone
from midneck.grammar.sheet import Sheet
from midneck.grammar.text.reader import read_sheet

TRAVEL = Travel(24, 11, 30, 500.0, 0, 3, 10, 60.0, True)


def fixed_chart(text: str, player: Player | None = None) -> CompingChart:
    """The chart of a sheet with fixed grips and readings."""
    sheet = read_sheet(text)
    grips = tuple(None if each.chord is None else shell(each.chord) for each in sheet.chords)
    who = player or Player()
    timeline = timeline_of(sheet)
    plan = GripPlan(grips, 0.0, TRAVEL, tuple(grips[index] for index in timeline.form.chords))
    return CompingChart(timeline, _analysis(sheet), plan, who, PlanOptions())


def shell(chord: Chord) -> Grip:
    """Root, third and seventh (or what stands for them) with the root on string 6 or 5."""
    on_six, on_five = (chord.root.pitch_class - 4) % 12, (chord.root.pitch_class - 9) % 12
    tones = {tone.degree: tone for tone in chord.tones}
    third = tones.get(3) or tones.get(4) or tones[2]
    seventh = tones.get(7) or tones.get(6) or tones[5]
    if 3 <= on_six <= 10:
        return _grip(on_six, ((6, Tone(1)), (4, seventh), (3, third)))
    return _grip(on_five or 12, ((5, Tone(1)), (4, third), (3, seventh)))


def _grip(root: int, strings: tuple[tuple[int, Tone], ...]) -> Grip:
    """Tones on strings as near the root's fret as they come, a finger for each fret."""
    base = STANDARD_TUNING[6 - strings[0][0]] + root
    frets: list[int | None] = [None] * 6
    notes = []
    for string, tone in strings:
        open_string = STANDARD_TUNING[6 - string]
        fret = (base + tone.semitones - open_string - root + 6) % 12 - 6 + root
        frets[6 - string] = fret
        notes.append(VoicedNote(string, fret, open_string + fret, tone))
    low = min(fret for fret in frets if fret is not None)
    fingers = tuple(None if fret is None else min(4, fret - low + 1) for fret in frets)
    held = {}
    for place, finger in enumerate(fingers):
        if finger is not None:
            held.setdefault((finger, frets[place]), []).append(6 - place)
    barres = tuple(
        Barre(finger, fret or 0, strings_[0], strings_[-1])
        for (finger, fret), strings_ in held.items() if len(strings_) > 1
    )  # fmt: skip
    return Grip(Voicing(tuple(notes)), tuple(frets), fingers, low, barres)


def _analysis(sheet: Sheet) -> Analysis:
    key = sheet.header.key or Key(sheet.chords[0].chord.root)
    chords = [each.chord for each in sheet.chords]
    readings: list[Reading | None] = []
    areas = []
    for place, chord in enumerate(chords):
        if chord is None:
            readings.append(None)
            continue
        degree = DEGREES[(chord.root.pitch_class - key.tonic.pitch_class) % 12]
        kind = "dominant" if "7" in sheet.chords[place].text else "major"
        after = chords[(place + 1) % len(chords)]
        up = None if after is None else (after.root.pitch_class - chord.root.pitch_class) % 12
        target = (place + 1) % len(chords) if chord.kind == "dominant" and up in (5, 11) else None
        role = "dominant" if chord.kind == "dominant" else "predominant"
        readings.append(Reading(key, Numeral(degree.degree, degree.alteration, kind), role, target))
        before = chords[place - 1] if place else None
        if role == "dominant" and before is not None and before.kind != "dominant":
            areas.append(Area("ii-V", key, (place - 1, place), (1, 1), False))
    return Analysis(key, tuple(readings), tuple(areas), sheet.header.key)
