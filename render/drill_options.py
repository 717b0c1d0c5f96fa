"""The options of a drill, all checked before an error is raised that lists every mistake.

Takes the options as typed text, gives a progression, a `Route` and a `Practice`, or one OptionError
with all mistakes and the allowed values. Messages name options as the command line does
(`--bars-per-chord`); `in_keywords` changes them to the names in Python.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import field, replace
from fractions import Fraction
from textwrap import fill
from typing import Final, TypeVar

from ..converter.drill.drill import Drill, DrillError, Practice
from ..converter.drill.make import Route, find_progression, key_of_chords, make_drill
from ..converter.drill.positions import StringChoice
from ..converter.drill.progressions import PROGRESSIONS, NamedProgression, find_cycle
from ..converter.hand.player import Player
from ..converter.practice.performance import read_ladder
from ..converter.practice.rhythm import usual_pattern
from ..grammar.errors import SHOWN_COLUMNS
from ..grammar.frozen import frozen, mutable
from ..grammar.key import Key, parse_key
from ..grammar.progression import Progression
from ..grammar.sheet import Header, Meter, parse_meter
from ..grammar.text.progression import chords_typed
from .names import joined_words, key_word
from .options import OptionError

Value = TypeVar("Value")
Other = TypeVar("Other")
#: The strings on which a round may start, as they are typed.
STRINGS: Final = {"6": 6, "5": 5, "any": None}


@mutable
class OptionMistakes:
    """Collects mistakes for one message."""

    messages: list[str] = field(default_factory=list)

    def get(self, read: Callable[[], Value], otherwise: Other) -> Value | Other:
        """The result of `read`; `otherwise` if it raises ValueError, whose message is kept."""
        try:
            return read()
        except ValueError as error:
            self.messages.append(str(error))
        return otherwise

    def add(self, message: str) -> None:
        """Add the message of a mistake."""
        self.messages.append(message)

    def end(self) -> None:
        """Raise OptionError with all messages, if there are any."""
        if self.messages:
            lines = "\n".join(self.messages).splitlines()
            raise OptionError("\n".join(_folded(line) for line in lines))


def _folded(line: str) -> str:
    """A long line wrapped; a line that shows the column of a mistake is not changed."""
    return (
        fill(line, 80, subsequent_indent="  ", break_on_hyphens=False)
        if len(line) > SHOWN_COLUMNS
        else line
    )


@frozen
class DrillChoice:
    """The options of a drill as typed; None for those that were not given."""

    key: str | None = None
    cycle: str | None = None
    keys: str | None = None
    seed: int | None = None
    strings: str = "6"
    octave: bool = False
    repetitions: int = 4
    bars_per_chord: str = "1"
    ladder: str | None = None
    tempo: int | None = None
    rhythm: str | None = None
    count_in: int = 1
    time: str | None = None

    @property
    def in_name(self) -> str:
        """The options of the route as a part of the names of files: `_in-Eb_fourths`, or ""."""
        usual = DrillChoice()
        return joined_words(
            "" if self.key is None else key_word(self.key),
            self.cycle or "",
            "" if self.keys is None else f"keys {self.keys}",
            "" if self.seed is None else f"seed {self.seed}",
            "" if self.strings == usual.strings else f"string {self.strings}",
            "octave" if self.octave else "",
        )

    def route(self, mistakes: OptionMistakes, start: Key | None = None) -> Route:
        """The order of the keys and the strings; the first key is `start` or that of `--key`."""
        cycle = self.cycle or ("keys" if self.keys else None if self.seed is None else "random")
        cycle = mistakes.get(lambda: None if cycle is None else find_cycle(cycle).name, None)
        keys = mistakes.get(lambda: _keys(self.keys or ""), ())
        strings = mistakes.get(lambda: _strings(self.strings), 6)
        if self.octave and strings is None:
            mistakes.add("--octave stays on its strings: choose --strings 6 or 5 with it")
        if self.keys and cycle not in (None, "keys"):
            mistakes.add(f"--keys names the order itself: leave out --cycle {cycle}")
        if self.seed is not None and cycle not in (None, "random"):
            other = f"--cycle {cycle}" if self.cycle else "--keys"
            mistakes.add(f"--seed draws a random order: leave out {other}")
        if cycle == "random" and self.seed is None:
            mistakes.add("a random order needs --seed N: the same number, the same order")
        if cycle == "keys" and not self.keys and not mistakes.messages:
            mistakes.add("the cycle keys needs its keys: --keys C,F,Bb")
        route = Route(
            cycle=cycle, seed=self.seed, keys=keys, string_choice=StringChoice(strings, self.octave)
        )
        return route if start is None else replace(route, start=start.tonic)

    def practice(self, mistakes: OptionMistakes, tune: Header | None = None) -> Practice:
        """The practice of the drill; meter and rhythm default to those of the tune."""
        plain = Header() if tune is None else tune
        meter = mistakes.get(lambda: _meter(self.time), None) or plain.meter
        ladder = mistakes.get(lambda: read_ladder(self.ladder) if self.ladder else (), ())
        bars = mistakes.get(lambda: _bars(self.bars_per_chord), Fraction(1))
        rhythm = None if self.rhythm is None else self.rhythm.lower().replace(" ", "-")
        if rhythm is None and tune is not None:
            rhythm = usual_pattern(meter, tune.feel).name
        return mistakes.get(
            lambda: Practice(
                self.repetitions, bars, ladder, self.tempo, rhythm, self.count_in, meter
            ),
            Practice(),
        )

    def of_tune(self, mistakes: OptionMistakes, tune: Header) -> tuple[Route, Practice]:
        """The route and the practice of the drill of a tune. Raises OptionError with all mistakes
        so far.
        """
        practice = self.practice(mistakes, tune)
        route = self.route(mistakes)
        mistakes.end()
        return route, practice

    def stated_key(self, mistakes: OptionMistakes) -> Key | None:
        """The key of `--key`, or None."""
        return mistakes.get(lambda: None if self.key is None else parse_key(self.key), None)

    def progression(
        self, text: str, meter: Meter, mistakes: OptionMistakes
    ) -> tuple[NamedProgression | Progression, Key | None]:
        """The progression of a text, and the first key: that of `--key`, or of its chords."""
        key = self.stated_key(mistakes)
        wanted = mistakes.get(lambda: _wanted(text, key, meter), PROGRESSIONS[0])
        if key is None and isinstance(wanted, Progression):
            chords = chords_typed(text)
            key = key_of_chords(chords) if chords else None
        return wanted, key


def _wanted(text: str, key: Key | None, meter: Meter) -> NamedProgression | Progression:
    if text:
        return find_progression(text, key, meter)
    names = ", ".join(row.name for row in PROGRESSIONS)
    raise DrillError(
        f"say which progression: {names}; or type one in numerals, as in 'ii7 | V7 | I6', or in "
        "chords; or take a tune's own with --from TUNE"
    )


def _keys(text: str) -> tuple[Key, ...]:
    """Keys typed with commas or blanks between them. Raises DrillError with all that are wrong."""
    keys, wrong = [], []
    for word in text.replace(",", " ").split():
        try:
            keys.append(parse_key(word))
        except ValueError as error:
            wrong.append(str(error))
    if wrong:
        raise DrillError("\n".join(wrong))
    return tuple(keys)


def _strings(text: str) -> int | None:
    if text not in STRINGS:
        raise DrillError(f"--strings takes {', '.join(STRINGS)}, not {text!r}")
    return STRINGS[text]


def _meter(text: str | None) -> Meter | None:
    if text is None:
        return None
    try:
        return parse_meter(text)
    except ValueError:
        message = f"{text!r} is no time signature; give one as in 4/4, 3/4 or 6/8"
        raise DrillError(message) from None


def _bars(text: str) -> Fraction:
    """Bars a chord: `2`, `1/2`, `0.5`. Raises DrillError."""
    top, _, bottom = text.partition("/")
    plain = all(word.isascii() and len(word) <= 6 for word in (top, bottom))
    try:
        if not plain:
            raise ValueError
        return Fraction(top) / Fraction(bottom or "1")
    except (ValueError, ZeroDivisionError):
        raise DrillError(
            f"--bars-per-chord takes a number of bars, as in 2 or 1/2, not {text!r}"
        ) from None


def drill_of_progression(
    text: str, choice: DrillChoice, player: Player, mistakes: OptionMistakes
) -> tuple[Drill, str]:
    """The drill of a progression, and the stem of its files' names.

    Raises OptionError with all mistakes so far, DrillError, PlanError.
    """
    practice = choice.practice(mistakes)
    wanted, key = choice.progression(text, practice.meter, mistakes)
    route = choice.route(mistakes, key)
    mistakes.end()
    name = wanted.name if isinstance(wanted, NamedProgression) else "drill"
    return make_drill(wanted, route, practice, player), name
