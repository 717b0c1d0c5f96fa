"""Small sheets and forms for tests of the hand, built without the readers of sheets and chords.

Chords are written in a few plain symbols (`Bbm7`, `C7b9`, `F6`); a form is the order in which
written chords are played, each in a bar of its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from midneck.converter.chart import CompingChart
from midneck.converter.hand.grip import Grip
from midneck.converter.hand.plan import PlanOptions
from midneck.converter.hand.planner import plan_hand
from midneck.converter.hand.player import Player
from midneck.converter.harmony.analysis import Analysis
from midneck.converter.timeline import Timeline, timeline_of
from midneck.grammar.chord import Chord
from midneck.grammar.errors import SourcePosition
from midneck.grammar.form.unfold import Form
from midneck.grammar.key import Key
from midneck.grammar.pitch import parse_pitch_name
from midneck.grammar.quality import DegreeChange
from midneck.grammar.sheet import Bar, Frets, Header, Meter, Section, Sheet, SheetChord

#: What stands after the root: MusicXML kind, then changes.
QUALITIES: dict[str, tuple[str, tuple[DegreeChange, ...]]] = {
    "": ("major", ()),
    "m": ("minor", ()),
    "6": ("major-sixth", ()),
    "m6": ("minor-sixth", ()),
    "maj7": ("major-seventh", ()),
    "7": ("dominant", ()),
    "m7": ("minor-seventh", ()),
    "m7b5": ("half-diminished", ()),
    "o7": ("diminished-seventh", ()),
    "mmaj7": ("major-minor", ()),
    "9": ("dominant-ninth", ()),
    "13": ("dominant-13th", ()),
    "+7": ("augmented-seventh", ()),
    "7b9": ("dominant", (DegreeChange("add", 9, -1),)),
    "7#11": ("dominant", (DegreeChange("add", 11, 1),)),
    "7sus4": ("dominant", (DegreeChange("omit", 3), DegreeChange("add", 4))),
}

PLACE = SourcePosition(1, 1)
PLAIN = parse_pitch_name("C")


def chord(symbol: str) -> Chord | None:
    """A chord from one of the plain symbols, with a bass after a slash; None for N.C."""
    if symbol == "N.C.":
        return None
    head, _, bass = symbol.partition("/")
    root = head[:2] if head[1:2] in ("b", "#") else head[:1]
    kind, changes = QUALITIES[head.removeprefix(root)]
    return Chord(parse_pitch_name(root), kind, changes, parse_pitch_name(bass) if bass else None)


def fingers_text(grip: Grip) -> str:
    """The fingers from the lowest sounding string up to the highest, `o` for an open string."""
    sounding = [at for at, fret in enumerate(grip.frets) if fret is not None]
    span = range(sounding[0], sounding[-1] + 1)
    return " ".join("x" if grip.frets[at] is None else str(grip.fingers[at] or "o") for at in span)


def sheet(
    symbols: str, pins: dict[int, Frets] | None = None, tempo: int = 120, beats: int = 4
) -> Sheet:
    """A sheet with one bar for each symbol; `pins` fixes grips by chord index."""
    pins = pins or {}
    meter = Meter(beats, 4)
    bars = tuple(
        Bar(
            at + 1,
            meter,
            (SheetChord(chord(symbol), symbol, PLACE, Fraction(0), Fraction(beats), pins.get(at)),),
            PLACE,
        )
        for at, symbol in enumerate(symbols.split())
    )
    return Sheet(Header(tempo=tempo), (Section("", 0, len(bars), PLACE),), bars)


def form(order: Sequence[int], written: Sheet) -> Form:
    """The form that plays the bars of a sheet (one chord each) in this order."""
    sounding = [index for index in order if written.chords[index].chord is not None]
    ring = range(len(sounding))
    return Form(
        bars=tuple(order),
        sounding=tuple(range(len(written.bars))),
        chords=tuple(order),
        successions=tuple((at, (at + 1) % len(ring)) for at in ring),
        first=0,
        stop=len(order),
    )


def planned(
    written: Sheet,
    order: Form | None = None,
    player: Player | None = None,
    options: PlanOptions | None = None,
) -> CompingChart:
    """The chart of a sheet played in this order, straight through by default, not analysed."""
    timeline = straight(written) if order is None else timeline_of(written, order)
    player, options = player or Player(), options or PlanOptions()
    plan = plan_hand(timeline, player, options)
    return CompingChart(timeline, Analysis(Key(PLAIN), (), ()), plan, player, options)


def straight(written: Sheet) -> Timeline:
    """Every bar played once, in written order."""
    return timeline_of(written, form(range(len(written.bars)), written))
