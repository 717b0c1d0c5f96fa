"""Time of the analysis, beside music21's key analysis and roman numerals.

Invented tunes in played order, repeats unfolded, each chord with its length. music21's
`analyze("key")` (Krumhansl and Schmuckler) finds the key from a stream of the same chords as notes.
Twice: with the sheet and the stream made beforehand, and with the symbols read by both.
"""

from __future__ import annotations

from statistics import median

from benchmarks.bench_chords import forget_symbols
from benchmarks.rows import Extent, Row, at_least, at_most, in_turns
from midneck.converter.harmony.analyse import analyse, key_of
from midneck.converter.harmony.chord_class import chord_class
from midneck.converter.harmony.numerals import numeral_in
from midneck.converter.timeline import timeline_of
from midneck.grammar.chord import Chord
from midneck.grammar.chord_parser import parse_chord
from midneck.grammar.form.unfold import Form, unfold
from midneck.grammar.sheet import Sheet
from midneck.grammar.text.reader import read_sheet
from music21 import chord, harmony, key, pitch, roman, stream
from support.harmony import sheet_of
from support.tunes import tune_text

#: music21 takes a tenth of a second a tune: a few tunes are enough for a median.
MOST_TUNES = 12
SUFFIX = {
    "major": "", "major-sixth": "6", "major-seventh": "maj7", "minor": "m", "minor-seventh": "m7",
    "minor-sixth": "m6", "half-diminished": "m7b5", "diminished-seventh": "dim7",
}  # fmt: skip
PHRASE = "F6 D7 | Gm7 C7 | Am7 D7 | Gm7 C7 | F6 F7 | Bb6 Bbm6 | Am7 D7 | Gm7 C7"
PHRASE_BARS = 8


def rows(extent: Extent) -> list[Row]:
    """Key from a stream, key from symbols, numerals, and how the analysis grows."""
    texts = [tune_text(seed) for seed in range(min(MOST_TUNES, extent.tunes))]
    rounds = max(1, extent.rounds // 3)
    return [
        *_key(texts, rounds),
        *_key_from_symbols(texts, rounds),
        _numerals(texts, extent.rounds),
        *_growth(extent),
    ]


def _key(texts: list[str], rounds: int) -> list[Row]:
    """From sheets and streams made beforehand: the key alone, and the whole analysis."""
    alone, whole, theirs = [], [], []
    for text in texts:
        sheet = read_sheet(text)
        timeline = timeline_of(sheet)
        # A stream remembers what it has worked out, so each round has a new one.
        scores = iter([_stream(sheet, timeline.form) for _ in range(rounds)])
        first, second, other = in_turns(
            rounds,
            lambda timeline=timeline: key_of(timeline),
            lambda timeline=timeline: analyse(timeline),
            lambda scores=scores: next(scores).analyze("key"),
        )
        alone.append(first)
        whole.append(second)
        theirs.append(other)
    reference = 'music21 `analyze("key")`, stream made before'
    return [
        Row("key of a tune", median(alone), "ms", reference, median(theirs)),
        Row("key, all numerals and areas", median(whole), "ms", reference, median(theirs)),
    ]


def _key_from_symbols(texts: list[str], rounds: int) -> list[Row]:
    """The symbols of the played chords read, each different one once by both, and the key found;
    or all text."""
    symbols, sheets, theirs = [], [], []
    for text in texts:
        sheet = read_sheet(text)
        form = unfold(sheet)
        first, second, other = in_turns(
            rounds,
            lambda sheet=sheet, form=form: _key_of_symbols(sheet, form),
            lambda text=text: _key_of_text(text),
            lambda sheet=sheet, form=form: _stream(sheet, form).analyze("key"),
        )
        symbols.append(first)
        sheets.append(second)
        theirs.append(other)
    reference, figure = 'music21 `ChordSymbol`s, `analyze("key")`', median(theirs)
    return [
        Row(
            "key of a tune from its symbols", median(symbols), "ms", reference, figure, at_least(20)
        ),
        Row("key of a tune from a sheet's text", median(sheets), "ms", reference, figure),
    ]


def _key_of_symbols(sheet: Sheet, form: Form) -> object:
    """From the symbols to the key; their bars are known, as they are to the stream."""
    forget_symbols()
    chord_class.cache_clear()
    written = sheet.chords
    read = [parse_chord(written[index].text) for index in form.chords]
    assert read
    return key_of(timeline_of(sheet, form))


def _key_of_text(text: str) -> object:
    """From a sheet's text to its key."""
    sheet = read_sheet(text)
    return key_of(timeline_of(sheet))


def _stream(sheet: Sheet, form: Form) -> stream.Stream:
    """The played chords as music21 reads them, as notes with their lengths."""
    score = stream.Stream()
    written = sheet.chords
    read: dict[str, tuple[pitch.Pitch, ...]] = {}
    for sounding in (written[index] for index in form.chords):
        if sounding.chord is not None:
            symbol = _in_music21(sounding.chord)
            if symbol not in read:
                read[symbol] = harmony.ChordSymbol(symbol).pitches
            score.append(chord.Chord(read[symbol], quarterLength=float(sounding.beats)))
    return score


def _in_music21(written: Chord) -> str:
    """A symbol in music21's spelling: root, minus for flat, and kind."""
    return str(written.root).replace("b", "-") + SUFFIX.get(written.kind, "7")


def _numerals(texts: list[str], rounds: int) -> Row:
    """The numerals of one tune's chords in its key, the time of one."""
    sheet = read_sheet(texts[0])
    home = sheet.header.key
    assert home is not None
    chords = [written.chord for written in sheet.chords if written.chord is not None]
    known = key.Key(str(home.tonic).replace("b", "-"), home.mode)
    notes = [harmony.ChordSymbol(_in_music21(c)).pitches for c in chords]
    fresh = iter([[chord.Chord(pitches) for pitches in notes] for _ in range(rounds)])
    ours, theirs = in_turns(
        rounds,
        lambda: [numeral_in(written, home) for written in chords],
        lambda: [roman.romanNumeralFromChord(one, known) for one in next(fresh)],
    )
    scale = 1000 / len(chords)
    return Row(
        "numeral of a chord in a known key", scale * ours, "µs",
        "music21 `romanNumeralFromChord`", scale * theirs, at_least(50),
    )  # fmt: skip


def _growth(extent: Extent) -> list[Row]:
    """The analysis of a tune and of one twice as long."""
    bars = min(256, extent.bars)
    sheets = (sheet_of(" | ".join([PHRASE] * (n // PHRASE_BARS))) for n in (bars // 2, bars))
    tunes = [timeline_of(sheet) for sheet in sheets]
    half, full = in_turns(extent.rounds, *(lambda tune=tune: analyse(tune) for tune in tunes))
    work = f"analysis of {bars} bars, two chords a bar"
    return [Row(work, full, "ms", f"{bars // 2} bars", half, at_most(2.2))]
