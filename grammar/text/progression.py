"""Reading a progression: numerals, or chords in one key, as a musician types them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Final, Literal

from lark import Lark, Token, Transformer, v_args

from ..chord import Chord
from ..chord_parser import ChordError, parse_chord
from ..errors import Problem, SheetError, SourcePosition
from ..key import Key, Mode
from ..mistakes import Mistake
from ..numeral import ROMAN, Numeral, numeral_of
from ..pitch import Tone
from ..progression import Measure, Progression, ProgressionStep, bar_beats, played_bars, usual_mode
from ..quality import KIND_TONES
from ..sheet import COMMON_TIME, Meter
from ..tables import parser_of
from .tokens import names_chord

# The mistakes that a typed progression can hold: label, what is said, progressions that make it.
#
# One table drives the messages at run time and the tests, which read every example and look for its
# label. Columns count from 1 in the text as it was typed.

PROGRESSION_MISTAKES: Final[dict[str, Mistake]] = {
    "nothing": Mistake("there is no chord", "numerals, as in ii7 | V7 | I6", ("", " | | ")),
    "too-long": Mistake("this is longer than {most} characters", "a shorter progression", ()),
    "too-many": Mistake("more than {most} chords or bars", "a shorter progression",
        ("I | " * 70, "I" + " | %" * 70, "| ii7 V7 |" + " % |" * 40),
    ),
    "stray": Mistake(
        "neither a numeral nor a chord",
        "a numeral such as ii7, bVII7, V7/ii",
        ("ii7 qV7 I6", "#bII7 I6", "ii7 V7/b#ii"),
    ),
    "bad-quality": Mistake(
        "not a quality", "one as after a chord's root: 7, m7, maj7, ø7, 7b9", ("ii7xyz V7 I6",)
    ),
    "bad-numeral": Mistake(
        "no such degree",
        "I to VII, all capitals or all small",
        ("IIII7 V7", "iI7 V7 I", "subVI7 I"),
    ),
    "bad-chord": Mistake("not a chord", "a chord symbol such as C6, F#m7b5", ("Dm7 Gxy C6",)),
    "bass-note": Mistake(
        "a bass note does not go round the keys with a shell", "the chord alone", ("Dm7 G7/B C6",)
    ),
    "substitute-not-dominant": Mistake(
        "a substitute stands for a dominant", "a seventh, as in subV7", ("ii7 subVmaj7 I6",)
    ),
    "mixed": Mistake(
        "numerals and chords in one progression", "one of the two", ("Dm7 V7 I6", "ii7 G7 C6")
    ),
    "mode-late": Mistake("the mode stands first", "minor: iiø7 | V7 | i6", ("iiø7 minor: V7",)),
    "key-unknown": Mistake("chords need a key to go round the keys", "the key beside them", ()),
    "slash-first": Mistake("there is no chord before this", "a chord first", ("/ ii7 | V7",)),
    "repeat-first": Mistake("there is no bar before to play again", "chords", ("% | V7",)),
    "repeat-mixed": Mistake("this stands alone in its bar", "a bar of its own", ("ii7 | V7 %",)),
    "beat-count": Mistake(
        "{count} beats in a bar of {meter}", "{beats}", ("ii7 / / V7 / / | I",)
    ),
    "too-many-in-bar": Mistake(
        "{count} chords in a bar of {meter}",
        "at most one for each beat, or a bar line between them",
        ("| I II7 ii7 V7 iii7 |",),
    ),
}  # fmt: skip


def progression_mistake(
    label: str, column: int, text: str = "", suggestion: str = "", **fields: object
) -> Problem:
    """The problem of that label at a column; `fields` fill the braces of its message."""
    entry = PROGRESSION_MISTAKES[label]
    message, expected = entry.message.format(**fields), entry.expected.format(**fields)
    return Problem(SourcePosition(1, column), message, text, "", expected, suggestion, label)


# The words of a typed progression, each with its column; `progression.lark` is the grammar.
#
# Takes the text, gives `DirectionMark`s in written order. Nothing here judges: a word that belongs
# nowhere comes out as `stray`, and what a numeral or a chord names is read later.

MarkKind = Literal["numeral", "chord", "bar_line", "beats", "simile", "mode", "stray"]
_SIGNS: Final = str.maketrans("♭♯", "b#")


@dataclass(frozen=True, slots=True)
class Mark:
    """A word: its `text` as typed and its `column` from 1; of a numeral the parts.

    `sign` and `roman` name the degree, `suffix` the quality, `suffix_column` stands where that
    begins; `goal` is the sign and the roman of what it is applied to.
    """

    kind: MarkKind
    text: str
    column: int
    substitute: bool = False
    sign: str = ""
    roman: str = ""
    suffix: str = ""
    suffix_column: int = 0
    goal: tuple[str, str] | None = None


def _text(token: Token | None) -> str:
    return "" if token is None else str(token)


@v_args(inline=True)
class _Marks(Transformer[Token, list[Mark]]):
    """Turns each rule of the grammar into its positioned value."""

    def progression(self, *marks: Mark) -> list[Mark]:
        return list(marks)

    def numeral(
        self,
        sub: Token | None,
        sign: Token | None,
        degree: Token,
        suffix: Token | None,
        goal: tuple[str, Token | None, Token] | None,
    ) -> Mark:
        first = sub or sign or degree
        over = "" if goal is None else f"/{_text(goal[1])}{goal[2]}"
        return Mark(
            kind="numeral",
            text=f"{_text(sub)}{_text(sign)}{degree}{_text(suffix)}{over}",
            column=first.column or 1,
            substitute=sub is not None,
            sign=_text(sign).translate(_SIGNS),
            roman=str(degree),
            suffix=_text(suffix),
            suffix_column=(suffix and suffix.column) or 0,
            goal=None if goal is None else (_text(goal[1]).translate(_SIGNS), str(goal[2])),
        )

    def goal(self, sign: Token | None, degree: Token) -> tuple[str, Token | None, Token]:
        return "/", sign, degree

    def chord(self, token: Token) -> Mark:
        return _mark("chord", token)

    def bar_line(self, token: Token) -> Mark:
        return _mark("bar_line", token)

    def beats(self, token: Token) -> Mark:
        return _mark("beats", token)

    def simile(self, token: Token) -> Mark:
        return _mark("simile", token)

    def mode(self, token: Token) -> Mark:
        return _mark("mode", token)

    def stray(self, token: Token) -> Mark:
        return _mark("stray", token)


def _mark(kind: MarkKind, token: Token) -> Mark:
    return Mark(kind, str(token), token.column or 1)


def progression_marks(text: str) -> list[Mark]:
    """The words of a progression; never fails on what is typed."""
    return _parser().parse(text)  # type: ignore[return-value]


def grammar_text() -> str:
    """The grammar of a progression."""
    return Path(__file__).with_name("progression.lark").read_text(encoding="utf-8")


@cache
def _parser() -> Lark:
    return parser_of(grammar_text(), "progression", _Marks())


# One numeral or chord of a typed progression, read or reported as a problem.
#
# Takes a `DirectionMark`, gives a `Numeral`. A numeral's quality is read as that of a chord on C; a
# small one is minor unless what stands after it says more.


def read_mark(mark: Mark, key: Key | None, problems: list[Problem]) -> Numeral | None:
    """The numeral that a word names, in chords by their key; None (and a problem) for none."""
    if mark.kind == "chord":
        chord = read_chord_mark(mark, problems)
        return None if chord is None or key is None else numeral_of(chord, key)
    degrees = all(_is_roman(roman) for roman in (mark.roman, *(mark.goal or ())[1:]))
    if not degrees or (mark.substitute and mark.roman not in ("V", "v")):
        problems.append(progression_mistake("bad-numeral", mark.column, mark.text))
        return None
    small = mark.roman.islower()
    quality = _quality(mark, small, problems)
    if quality is None:
        return None
    if mark.substitute and Tone(7, -1) not in KIND_TONES[quality.kind]:
        problems.append(
            progression_mistake("substitute-not-dominant", mark.column, mark.text, "subV7")
        )
        return None
    goal = mark.goal
    return Numeral(
        degree=ROMAN.index(mark.roman.upper()) + 1,
        alteration=_semitones(mark.sign),
        kind=quality.kind,
        changes=quality.changes,
        of=None if goal is None else Tone(ROMAN.index(goal[1].upper()) + 1, _semitones(goal[0])),
        small=goal is not None and goal[1].islower(),
        substitute=mark.substitute,
    )


def _is_roman(text: str) -> bool:
    return text in ROMAN or (text.upper() in ROMAN and text.islower())


def _semitones(sign: str) -> int:
    return sign.count("#") - sign.count("b")


def _quality(mark: Mark, small: bool, problems: list[Problem]) -> Chord | None:
    """The quality of a numeral as a chord on C; a small one is minor unless it says more."""
    suffix = mark.suffix
    for head in ("C", "Cm") if small else ("C",):
        try:
            chord = parse_chord(head + suffix)
        except ChordError:
            continue
        if not small or Tone(3) not in chord.tones:
            return chord
    problems.append(
        progression_mistake("bad-quality", mark.suffix_column or mark.column, suffix or mark.text)
    )
    return None


def read_chord_mark(mark: Mark, problems: list[Problem]) -> Chord | None:
    """The chord that a word names, None (and a problem) for none or for one over a bass note."""
    try:
        chord = parse_chord(mark.text)
    except ChordError as error:
        problems.append(progression_mistake("bad-chord", mark.column, mark.text, error.suggestion))
        return None
    if chord.bass is not None:
        plain = str(Chord(chord.root, chord.kind, chord.changes))
        problems.append(progression_mistake("bass-note", mark.column, mark.text, plain))
        return None
    return chord


# Reading a progression: numerals, or chords in one key, as a musician types them.
#
# Takes text such as `ii7 | V7 | I6`, `iiø7 V7b9 i6`, `| ii7 V7 | Imaj7 |`, `V7/ii`, `subV7`, or
# `Dm7 G7 C6` with their key; gives a `Progression`, or raises `SheetError` with all problems in
# order. Conventions, common practice, no source:
#
# - Without bar lines each chord has a bar of its own; dashes, commas and spaces only part them.
# - Where bar lines stand, chords share a bar as in a sheet, `%` is the bar before again.
# - Capitals have a major third, small numerals a minor one; after them stands what stands after a
#   chord's root: ii7 is a minor seventh, V7 a dominant, bare ii and V are triads.
# - Degrees count from the major scale in both modes: the VI of C minor is A, its bVI is A flat.
# - `minor:` or `major:` before all says the mode where the chords leave it open.

#: What a progression is called in messages.
NAME: Final = "the progression"
MAX_LENGTH: Final = 1000
#: So many chords, and so many bars, a progression may have.
MAX_CHORDS: Final = 64

#: A bar as typed: each chord's mark with the marks of its slashes.
_Typed = list[list[Mark]]


def read_progression(text: str, key: Key | None = None, meter: Meter = COMMON_TIME) -> Progression:
    """The progression that a text names; `key` is needed where it is written in chords.

    `meter` is what its slashes must fill. Raises SheetError.
    """
    if len(text) > MAX_LENGTH:
        raise SheetError((progression_mistake("too-long", 1, most=MAX_LENGTH),), NAME)
    problems: list[Problem] = []
    flat = " ".join(text.splitlines()) if "\n" in text or "\r" in text else text
    mode, marks = _stated_mode(progression_marks(flat), problems)
    _check_kinds(marks, key, problems)
    bars = tuple(_measure(bar, key, meter, problems) for bar in _bars(marks, problems))
    if not problems and not any(bars):
        problems.append(progression_mistake("nothing", 1))
    if sum(len(bar) for bar in played_bars(bars)) > MAX_CHORDS or len(bars) > MAX_CHORDS:
        problems.append(progression_mistake("too-many", 1, most=MAX_CHORDS))
    if problems:
        located = sorted({replace(one, source=flat) for one in problems}, key=_order)
        raise SheetError(tuple(located), NAME)
    if key is not None and any(mark.kind == "chord" for mark in marks):
        mode = key.mode
    numerals = tuple(step.numeral for bar in bars for step in bar)
    return Progression(bars, mode or usual_mode(numerals))


def is_music(text: str) -> bool:
    """Whether a text holds any numeral, bar line or chord, and is no mere name."""
    marks = progression_marks(text[:MAX_LENGTH])
    signs = any(mark.kind in ("numeral", "simile", "bar_line") for mark in marks)
    return signs or any(names_chord(mark.text) for mark in marks if mark.kind == "chord")


def chords_typed(text: str) -> tuple[Chord, ...]:
    """The chords of a progression typed in chords; none where it is in numerals, or unreadable."""
    marks = progression_marks(text[:MAX_LENGTH])
    if any(mark.kind == "numeral" for mark in marks):
        return ()
    problems: list[Problem] = []
    found = (read_chord_mark(mark, problems) for mark in marks if mark.kind == "chord")
    return tuple(chord for chord in found if chord is not None)


def _order(problem: Problem) -> tuple[int, str]:
    return problem.column, problem.label


def _stated_mode(marks: list[Mark], problems: list[Problem]) -> tuple[Mode | None, list[Mark]]:
    """The mode stated before all, and the words without it."""
    mode: Mode | None = None
    if marks and marks[0].kind == "mode":
        mode = "minor" if marks[0].text.lower().startswith("minor") else "major"
    for mark in marks[1:]:
        if mark.kind == "mode":
            problems.append(progression_mistake("mode-late", mark.column, mark.text))
    return mode, [mark for mark in marks if mark.kind != "mode"]


def _bars(marks: list[Mark], problems: list[Problem]) -> list[_Typed]:
    """The words in bars: those that the bar lines make, else one for each chord."""
    barred = any(mark.kind == "bar_line" for mark in marks)
    bars: list[_Typed] = [[]]
    for mark in marks:
        if mark.kind == "bar_line":
            bars.append([])
        elif mark.kind == "stray":
            problems.append(progression_mistake("stray", mark.column, mark.text))
        elif mark.kind == "beats":
            if bars[-1] and bars[-1][-1][0].kind != "simile":
                bars[-1][-1].append(mark)
            else:
                problems.append(progression_mistake("slash-first", mark.column, mark.text))
        elif barred or not bars[-1]:
            bars[-1].append([mark])
        else:
            bars.append([[mark]])
    bars = [bar for bar in bars if bar]
    if bars and bars[0][0][0].kind == "simile":
        first = bars[0][0][0]
        problems.append(progression_mistake("repeat-first", first.column, first.text))
    return bars


def _check_kinds(marks: list[Mark], key: Key | None, problems: list[Problem]) -> None:
    """Numerals and chords do not stand together, and chords need a key."""
    named = [mark for mark in marks if mark.kind in ("numeral", "chord")]
    for mark in named:
        if mark.kind != named[0].kind:
            problems.append(progression_mistake("mixed", mark.column, mark.text))
    if named and named[0].kind == "chord" and key is None:
        problems.append(progression_mistake("key-unknown", named[0].column, named[0].text))


def _measure(bar: _Typed, key: Key | None, meter: Meter, problems: list[Problem]) -> Measure:
    """The steps of a bar; none for a `%`, and none where something in it is wrong."""
    first = bar[0][0]
    similes = [words[0] for words in bar if words[0].kind == "simile"]
    if similes and len(bar) > 1:
        problems.append(progression_mistake("repeat-mixed", similes[0].column, similes[0].text))
    if similes:
        return ()
    steps: list[ProgressionStep] = []
    for mark, *slashes in bar:
        numeral = read_mark(mark, key, problems)
        if numeral is not None:
            words = 1 + sum(len(slash.text) for slash in slashes)
            steps.append(ProgressionStep(numeral, words))
    if len(steps) == len(bar) and bar_beats(tuple(steps), meter) is None:
        problems.append(_does_not_fill(tuple(steps), first, meter))
    return tuple(steps)


def _does_not_fill(steps: Measure, first: Mark, meter: Meter) -> Problem:
    if all(step.words == 1 for step in steps):
        return progression_mistake(
            "too-many-in-bar", first.column, first.text, count=len(steps), meter=meter
        )
    count = sum(step.words for step in steps)
    beats = f"{meter.beats}, counting every chord and slash"
    return progression_mistake(
        "beat-count", first.column, first.text, count=count, meter=meter, beats=beats
    )
