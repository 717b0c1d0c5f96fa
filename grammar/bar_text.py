"""One bar as canonical text: its chords with slashes or lengths, and the signs around them.

The inverse of `bar_words` and `beats`: what is written here reads back as the same bar. Chords
that share a bar evenly stand alone; else slashes count the beats (dotted quarters in 6/8 and its
kin, quarters in cut time, where that comes out); else each chord states its length (`C6=1.5`).
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from .beats import even_share
from .sheet import Bar, Meter, SheetChord


def bar_content(bar: Bar, keep_spelling: bool, label_is_coda: bool, last: Bar | None = None) -> str:
    """What stands between a bar's lines. `last` is the second bar of a `%%`, whose end counts.

    `label_is_coda`: the section's label says Coda already.
    """
    end = bar if last is None else last
    words = ["Segno"] if bar.segno else []
    if bar.coda and not label_is_coda:
        words.append("Coda")
    words += _music(bar, keep_spelling)
    if bar.pickup:
        words.append("(pickup)")
    if end.to_coda:
        words.append("To Coda")
    if end.fine:
        words.append("Fine")
    if end.jump is not None:
        words.append(str(end.jump))
    return " ".join(words)


def _music(bar: Bar, keep_spelling: bool) -> list[str]:
    if bar.simile:
        return ["%" * bar.simile]
    if bar.rest_bars:
        return [f"-{bar.rest_bars}-"]
    lengths = [chord.beats for chord in bar.chords]
    slashes = slash_counts(lengths, bar.meter, bar.pickup)
    words: list[str] = []
    for at, chord in enumerate(bar.chords):
        words.append(chord_word(chord, keep_spelling, slashes is None))
        words += ["/"] * (slashes[at] if slashes is not None else 0)
    return words


def chord_word(chord: SheetChord, keep_spelling: bool, with_length: bool = False) -> str:
    """A chord with what is fixed about it: `Dm7=1.5<10 x 10 10 x x>(push)`."""
    text = chord.text if keep_spelling and chord.text else chord.symbol
    if with_length and chord.beats != 1:
        text += f"={_length(chord.beats)}"
    if chord.pin is not None:
        text += f"<{' '.join('x' if fret is None else str(fret) for fret in chord.pin)}>"
    return text + "(push)" * chord.push + "(hold)" * chord.hold


def slash_counts(lengths: list[Fraction], meter: Meter, pickup: bool) -> list[int] | None:
    """The slashes after each chord of a bar, None when slashes cannot say its lengths."""
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

    Only scores have such bars (a measure split in two); a sheet says so with a change of meter.
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
