"""The key and the areas of a tune in words: a plain sentence for each, written for a student.

Takes a sheet and its areas, gives text without line ends; notes and keys are in ASCII (`Bb`).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Final

from ...grammar.frozen import frozen
from ...grammar.sheet import Sheet
from ..harmony.analysis import Analysis, Area
from .facts import played_text


@frozen
class _Sentences:
    """The sentences of a kind of area, by whether its goal is reached at once, later or not at all.

    `instead` is the case of a goal that stands for the tonic. A sentence is "" for a case that the
    kind does not have; `reached` then stands for `later` and `instead`.
    """

    reached: str = ""
    later: str = ""
    left_open: str = ""
    instead: str = ""


#: The sentences of each of `AREA_KINDS`. `{key}` is the area's key, `{first}`, `{middle}` and
#: `{last}` are its chords (`{middle}` the one before the last, `{inner}` those between the
#: first and the goal), `{goal}` the chord that its last dominant resolves to.
_SENTENCES: Final[dict[str, _Sentences]] = {
    "ii-V-I": _Sentences("A ii–V–I in {key}: {first} gets ready, {middle} pulls, {last} is home."),
    "ii-V": _Sentences(
        "A ii–V of {key}: {last} falls to {goal}, which leads straight on.",
        "A ii–V of {key}: {last} asks for {goal}, which comes later.",
        "A ii–V of {key} left open: {last} asks for a tonic that does not come.",
        "A ii–V of {key}: {last} moves to {goal}, which stands for the tonic.",
    ),
    "V-I": _Sentences("{first} is the V of {key} and falls home to {last}."),
    "turnaround": _Sentences(
        "A turnaround in {key}: {inner} lead from {first} round to {goal}.",
        "A turnaround in {key}: through the VI to the ii–V; {goal} itself comes later.",
        "A turnaround in {key} that does not arrive.",
        "A turnaround in {key}: {inner} lead from {first} to {goal}, which stands for the tonic.",
    ),
    "dominant chain": _Sentences(
        "Dominants in a row, each the V of the next, down to {last}.",
        left_open="Dominants in a row, each the V of the next; the last, {last}, is left open.",
    ),
    "ii-V chain": _Sentences(
        "ii–Vs in a row, each handing on to the next; the last is in {key}.",
        left_open="ii–Vs in a row, each handing on to the next; the last, of {key}, is left open.",
    ),
    "tritone substitute": _Sentences(
        "{middle} stands in for the V of {last}, a tritone away, and slides down into it."
    ),
    "backdoor": _Sentences(
        "{middle} comes home to {key} by the back door, from a tone below the tonic.",
        instead="{middle} comes by the back door to {last}, which stands for the tonic of {key}.",
    ),
    "passing diminished": _Sentences(
        "{middle} leads by a semitone into {last}; play it as a chord in passing."
    ),
    "common-tone diminished": _Sentences(
        "{first} holds the root of {last} and only colours it: nothing has moved."
    ),
    "deceptive": _Sentences(
        left_open="{middle} asks for the tonic of {key} but {last} comes instead."
    ),
    "borrowed iv": _Sentences(
        "{first} is the iv, borrowed from the minor key on the same tonic as {key}."
    ),
    "line cliche": _Sentences(
        "A line cliché: {first} stays while a line in it moves by semitones, as far as {last}."
    ),
    "thirds cycle": _Sentences(
        "Tonics in a cycle of thirds, from {first} to {last}, each the same third from the last."
    ),
    "tag": _Sentences(
        "A tag: the iii–VI and the ii–V come round again before {last} closes in {key}."
    ),
    "pedal": _Sentences("The bass stays on one note while the chords above it move, in {key}."),
    "vamp": _Sentences("The harmony stands still here: a vamp in {key}."),
    "blues": _Sentences(
        "Blues in {key}: the sevenths on I and IV are at rest and ask for nothing."
    ),
}


def key_sentence(analysis: Analysis, sheet: Sheet) -> str:
    """What speaks for the key: `Heard in F major: the tune opens on the tonic, closes ii–V–I …`.

    "" for a sheet without chords.
    """
    why, key = analysis.why, analysis.key
    if why is None:
        return ""
    is_modal = key.modal and not why.arrivals
    falls = any(one is not None and one.resolves_to is not None for one in analysis.readings)
    clauses = ["has no dominant that falls"] if is_modal and not falls else []
    clauses += ["opens on the tonic"] if why.opens else []
    if why.closes is not None:
        times = f" ({why.arrivals} cadences reach the tonic)" if why.arrivals > 1 else ""
        clauses.append(f"closes {why.cadence} in {played_text(sheet, why.closes, True)}{times}")
    clauses.append(f"is in it for {100 * why.share:.0f} % of the time")
    *most, last = clauses
    listed = f"{', '.join(most)} and {last}" if most else last
    source = "Heard in" if analysis.stated is None else "Stated as"
    return f"{source} {key}{', a modal key' if is_modal else ''}: the tune {listed}."


def area_sentence(sheet: Sheet, area: Area) -> str:
    """The sentence of an area: `A ii–V–I in F major: Gm7 gets ready, C7 pulls, F6 is home.`"""
    sentences = _SENTENCES[area.kind]
    if not area.resolved:
        sentence = sentences.left_open
    elif not area.immediate:
        sentence = sentences.later
    else:
        sentence = sentences.instead if _stands_for_tonic(sheet, area) else sentences.reached
    sentence = sentence or sentences.reached
    chords = [sheet.chords[index].chord for index in area.chords]
    goal = "" if area.goal is None else sheet.chords[area.goal].chord
    ends = area.goal == area.chords[-1]
    inner = " ".join(str(chord) for chord in chords[1 : -1 if ends else None])
    return sentence.format(
        key=area.key,
        first=chords[0],
        inner=inner,
        middle=chords[-2:][0],
        last=chords[-1],
        goal=goal,
    )


def _stands_for_tonic(sheet: Sheet, area: Area) -> bool:
    """Whether an area resolves to the iii of its key."""
    goal = None if area.goal is None else sheet.chords[area.goal].chord
    return goal is not None and (goal.root.pitch_class - area.key.tonic.pitch_class) % 12 == 4


def grouped(sheet: Sheet, areas: Sequence[Area]) -> list[tuple[str, Area]]:
    """The areas in order of their bars, those with the same sentence as one, with all their bars.

    The bars are in words: `3–4, 11–12`.
    """
    groups: dict[str, tuple[list[str], Area]] = {}
    for area in sorted(areas, key=lambda area: area.bars):
        spans, _ = groups.setdefault(area_sentence(sheet, area), ([], area))
        span = played_text(sheet, area.bars)
        if span not in spans:
            spans.append(span)
    return [(", ".join(spans), area) for spans, area in groups.values()]


def area_sentences(sheet: Sheet, areas: Sequence[Area]) -> list[str]:
    """The sentence of each area after its bars: `Bars 3–4, 11–12: A ii–V of …`.

    In order of the bars; areas with the same sentence share a line.
    """
    return [
        f"Bar{'' if spans.isdigit() else 's'} {spans}: {area_sentence(sheet, area)}"
        for spans, area in grouped(sheet, areas)
    ]


def details_of(areas: Sequence[Area]) -> list[tuple[Area, list[Area]]]:
    """Each passage with its details: those with which it shares the most chords.

    A detail that shares none stands with the passage before it; without passages each stands alone.
    """
    passages = [area for area in areas if area.level == "passage"]
    if not passages:
        return [(area, []) for area in areas]
    details: list[list[Area]] = [[] for _ in passages]
    places = {chord: place for place, one in enumerate(passages) for chord in one.chords}
    last = 0
    for area in areas:
        if area.level == "passage":
            last = passages.index(area)
            continue
        shared = Counter(places[chord] for chord in area.chords if chord in places)
        details[max(shared, key=lambda at: (shared[at], -at)) if shared else last].append(area)
    return list(zip(passages, details, strict=True))


def area_lines(sheet: Sheet, areas: Sequence[Area]) -> list[str]:
    """A heading, and a line for each area: bars, kind, key, chords; nothing without areas."""
    return ["", "Areas", *(f"  {_area_line(sheet, area)}" for area in areas)] if areas else []


def _area_line(sheet: Sheet, area: Area) -> str:
    """`bars 1–3: ii-V-I in F major (Gm7 C7 F6)`."""
    symbols = " ".join(str(sheet.chords[index].chord) for index in area.chords)
    left_open = "" if area.resolved else ", left open"
    spans = played_text(sheet, area.bars)
    where = f"bar{'' if spans.isdigit() else 's'} {spans}"
    return f"{where}: {area.kind} in {area.key}{left_open} ({symbols})"
