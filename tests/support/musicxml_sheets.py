"""Random sheets for hypothesis: every kind of bar, form and chord that MusicXML can carry."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import accumulate, pairwise
from typing import get_args

from hypothesis import strategies as st
from midneck.grammar.chord import Chord
from midneck.grammar.key import Key, Mode
from midneck.grammar.pitch import LETTERS, PitchName, Tone
from midneck.grammar.quality import KIND_TONES, changes_to
from midneck.grammar.sheet import Bar, Jump, Meter, Section, Sheet, SheetChord

from .musicxml_charts import sheet
from .sheets import NOWHERE

PITCHES = st.builds(PitchName, st.sampled_from(LETTERS), st.integers(-1, 1))
#: Degrees that a symbol can name; 8, 10 and 12 are 1, 3 and 5.
TONES = st.builds(Tone, st.sampled_from([2, 3, 4, 5, 6, 7, 9, 11, 13]), st.integers(-1, 1))
#: Keys that a signature can show.
KEYS = st.builds(Key, PITCHES, st.sampled_from(get_args(Mode))).filter(
    lambda key: abs(key.fifths) <= 7
)
METERS = st.sampled_from(
    [Meter(4, 4), Meter(3, 4), Meter(6, 8), Meter(2, 2, cut=True), Meter(5, 4), Meter(12, 8)]
)
TEXTS = st.text(alphabet="abcdef ÉΔ&<>\"'♭", min_size=1, max_size=12).map(
    lambda text: " ".join(f"x{text}".split())
)


@st.composite
def chords(draw: st.DrawFn) -> Chord:
    kind = draw(st.sampled_from([kind for kind in KIND_TONES if kind != "none"]))
    own = frozenset(KIND_TONES[kind])
    changed = set(own)
    for tone in draw(st.lists(TONES, max_size=3)):
        changed ^= {tone}
    if not changed:
        changed = set(own)
    root = draw(PITCHES)
    bass = draw(st.none() | PITCHES)
    return Chord(root, kind, changes_to(own, frozenset(changed)), None if bass == root else bass)


@st.composite
def bar_chords(draw: st.DrawFn, beats: Fraction) -> tuple[SheetChord, ...]:
    halves = int(beats * 2)
    cuts = draw(st.sets(st.integers(1, max(halves - 1, 1)), max_size=3))
    edges = [Fraction(0), *(Fraction(cut, 2) for cut in sorted(cuts) if cut < halves), beats]
    pins = st.none() | st.tuples(*[st.none() | st.integers(0, 15)] * 5, st.integers(1, 9))
    found: list[SheetChord] = []
    for start, end in pairwise(edges):
        silent_before = bool(found) and found[-1].chord is None
        chord = draw(chords() if silent_before else st.none() | chords())
        found.append(
            SheetChord(
                chord, "N.C." if chord is None else str(chord), NOWHERE, start, end - start,
                pin=None if chord is None else draw(pins),
                push=chord is not None and draw(st.booleans()),
                hold=draw(st.integers(0, 4)) == 0,
            )
        )  # fmt: skip
    return tuple(found)


@st.composite
def plain_bars(draw: st.DrawFn, meter: Meter, least: int = 1) -> list[Bar]:
    """Bars with chords, bars that repeat the ones before, long rests."""
    found: list[Bar] = []
    for _ in range(draw(st.integers(least, 3))):
        found.append(Bar(0, meter, draw(bar_chords(Fraction(meter.beats))), NOWHERE))
        tail = draw(st.sampled_from(["", "", "", "%", "%%", "rest"]))
        if tail == "%":
            found.append(Bar(0, meter, (), NOWHERE, simile=1))
        elif tail == "%%" and len(found) > 1 and not found[-2].rest_bars:
            found += [Bar(0, meter, (), NOWHERE, simile=2)] * 2
        elif tail == "rest":
            found.append(Bar(0, meter, (), NOWHERE, rest_bars=draw(st.integers(1, 5))))
    return found


@st.composite
def passages(draw: st.DrawFn, meter: Meter) -> list[Bar]:
    """Bars once, repeated so many times, or with endings."""
    body = draw(plain_bars(meter))
    form = draw(st.sampled_from(["once", "times", "endings"]))
    if form == "once":
        return body
    body[0] = replace(body[0], repeat_open=True)
    if form == "times":
        body[-1] = replace(body[-1], repeat_close=draw(st.integers(2, 5)))
        return body
    passes = draw(
        st.sampled_from([[(1,), (2,)], [(1, 2), (3,)], [(1,), (2,), (3,)], [(1, 3), (2,), (4,)]])
    )
    last = max(max(numbers) for numbers in passes)
    for at, numbers in enumerate(passes):
        ending = draw(plain_bars(meter))
        ending[0] = replace(ending[0], endings=numbers)
        close = last if at < len(passes) - 1 else 0
        ending[-1] = replace(ending[-1], ending_close=True, repeat_close=close)
        body += ending
    return body


@st.composite
def sheets(draw: st.DrawFn) -> Sheet:
    """Whole sheets: pickup, sections with labels, keys and words, repeats, a jump to a coda."""
    bars: list[Bar] = []
    sections: list[Section] = []
    first = draw(METERS)
    if draw(st.booleans()):
        beats = Fraction(draw(st.integers(1, first.beats - 1)))
        bars.append(Bar(0, first, draw(bar_chords(beats)), NOWHERE, pickup=True))
    for at in range(draw(st.integers(1, 3))):
        begin = len(bars) if at else 0
        bars += draw(passages(draw(METERS) if at else first))
        if not bars[-1].repeat_close and draw(st.booleans()):
            bars[-1] = replace(bars[-1], double_bar=True)
        label = draw(st.sampled_from(["", "A", "Bridge"]))
        key = draw(st.none() | KEYS) if at else None
        text = tuple(draw(st.lists(TEXTS, max_size=2)))
        sections.append(Section(label, begin, len(bars) - begin, NOWHERE, key=key, text=text))
    if draw(st.booleans()):
        _add_coda(draw, bars, sections)
    pickup = int(bars[0].pickup)
    before = accumulate((bar.bar_count for bar in bars), initial=1 - pickup)
    numbered = [replace(bar, number=number) for bar, number in zip(bars, before, strict=False)]
    extra = draw(st.lists(TEXTS, max_size=2))
    feel = draw(st.sampled_from(["", "swing", "bossa"]))
    return sheet(
        numbered, sections, title=draw(st.just("") | TEXTS), by=draw(st.just("") | TEXTS),
        key=draw(st.none() | KEYS), meter=first,
        tempo=draw(st.none() | st.integers(40, 300)), feel=feel,
        other=tuple((f"Name{at}", value) for at, value in enumerate(extra)),
    )  # fmt: skip


def _add_coda(draw: st.DrawFn, bars: list[Bar], sections: list[Section]) -> None:
    """A bar to leave from, a bar that goes back, and a coda."""
    until = draw(st.sampled_from(["coda", "fine", "end"]))
    to = draw(st.sampled_from(["capo", "segno"]))
    begin, meter = len(bars), bars[-1].meter
    leave = Bar(0, meter, draw(bar_chords(Fraction(meter.beats))), NOWHERE)
    leave = replace(leave, to_coda=until == "coda", fine=until == "fine", segno=to == "segno")
    back = Bar(0, meter, draw(bar_chords(Fraction(meter.beats))), NOWHERE, jump=Jump(to, until))
    bars += [leave, back]
    if until == "coda":
        bars.append(
            replace(Bar(0, meter, draw(bar_chords(Fraction(meter.beats))), NOWHERE), coda=True)
        )
    sections.append(Section("Out", begin, len(bars) - begin, NOWHERE))
