"""One bar of a sheet while its tokens are read: its chords and signs before beats are shared.

Takes the tokens of a bar; gives a `BarDraft`. A token that cannot be read, or that is misplaced,
leaves a problem that says what was probably meant, and reading goes on at the next token.
"""

from __future__ import annotations

import re
from dataclasses import field, replace
from fractions import Fraction
from itertools import pairwise
from typing import Final

from ..beats import Share, tokens_a_bar
from ..chord import Chord
from ..errors import Problem, SourcePosition, nearest
from ..frozen import mutable
from ..limits import MAX_REST_BARS
from ..mistakes import mistake
from ..sheet import Fingers, Frets, Meter, SheetChord
from .tokens import BarTokens, ChordTokens, Token, names_chord, read_chord

#: The signs and words of jumps as they are spelled.
_SIGNS: Final = ("Coda", "Segno", "Fine", "Capo")
#: The most columns between a symbol and the rest of it.
WIDEST_GAP: Final = 8
#: The words that stand in brackets behind a chord.
_EXTENSIONS: Final = ("push", "hold", "fermata")


@mutable
class DraftChord:
    """A chord, or silence, before the beats of its bar are shared."""

    chord: Chord | None
    text: str
    position: SourcePosition
    tokens: int = 1
    length: Fraction | None = None
    pin: Frets | None = None
    push: bool = False
    hold: bool = False
    optional: bool = False
    fingers: Fingers | None = None

    @property
    def share(self) -> Share:
        """Its share of its bar."""
        return Share(self.tokens, self.length)

    def placed(self, start: Fraction, beats: Fraction) -> SheetChord:
        """The chord with its start and its length in beats."""
        return SheetChord(
            self.chord, self.text, self.position, start, beats,
            self.pin, self.push, self.hold, self.optional, self.fingers,
        )  # fmt: skip


@mutable
class BarDraft:
    """A bar while its tokens are read, before its beats are shared.

    `broken`: a token of it could not be read, so its beats are not counted. `signs`: the tokens
    that stand in it alone, by kind. `bracket`: the open bracket round optional chords. `rests`: the
    slashes at the start of the tune, which are silent. `dashes`, `slashes`: those between chords.
    `word`: a To or al that the next word may make a sign. `bare`: the chord that a word may go on
    from, as nothing but a dash stands between them.
    """

    line: int
    problems: list[Problem]
    bracket: Token | None = None
    rests: list[Token] = field(default_factory=list)
    dashes: list[Token] = field(default_factory=list)
    slashes: list[Token] = field(default_factory=list)
    word: Token | None = None
    bare: DraftChord | None = None
    chords: list[DraftChord] = field(default_factory=list)
    simile: int = 0
    rest_bars: int = 0
    broken: bool = False
    signs: dict[str, Token] = field(default_factory=dict)

    @property
    def is_bar(self) -> bool:
        """Whether it holds anything that sounds or rests, and not signs alone."""
        return bool(self.chords or self.simile or self.rest_bars or self.broken)

    def read(self, bar: BarTokens, last: SheetChord | None, is_first: bool) -> None:
        """Read the tokens of the bar; a slash that comes first repeats the chord `last`.

        In the first bar of the tune it is a rest before the pickup.
        """
        for item in bar.items:
            if not isinstance(item, ChordTokens):
                self.bare = None
            if isinstance(item, ChordTokens):
                if item.symbol is None:
                    self._continue(item.extensions, last, is_first)
                else:
                    self._add_chord(item.symbol, item.extensions)
            elif item.kind in ("simile", "long_simile", "long_rest"):
                self._add_sign_for_bars(item)
            elif item.kind == "optional_open":
                if self.bracket is not None:
                    self.report("stray", item)
                self.bracket = item
            elif item.kind == "stray" and item.text == ")" and self.bracket is not None:
                self.bracket = None
            elif item.kind == "stray":
                self.report("stray", item)
                self.broken = True
            else:
                if item.kind in self.signs:
                    self.report("twice-in-bar", item)
                self.signs[item.kind] = item
        self.end()

    def report(self, label: str, token: Token, suggestion: str = "", **fields: object) -> None:
        """Note a mistake in one of its tokens."""
        position = SourcePosition(self.line, token.column)
        self.problems.append(mistake(label, position, token.text.rstrip(), suggestion, **fields))

    def _add_chord(self, symbol: Token, extensions: tuple[Token, ...]) -> None:
        position = SourcePosition(self.line, symbol.column)
        if self._is_no_chord(symbol):
            return
        chord, text, closes = None, symbol.text, False
        if self.bracket is not None and text.count(")") > text.count("("):
            text, closes = text.removesuffix(")"), True
        if symbol.kind == "chord":
            chord = self._read_chord(text, position)
        unread = symbol.kind == "chord" and chord is None
        self._refuse_beside_sign(symbol)
        added = DraftChord(chord, text, position, optional=self.bracket is not None)
        self.bracket = None if closes else self.bracket
        for token in extensions:
            self._extend(added, token)
        self.bare = None if unread or extensions or closes else added
        if unread:
            self.broken = True
        else:
            self.chords.append(added)

    def _is_no_chord(self, symbol: Token) -> bool:
        """Report a dash between chords, a slash apart from its chord, and misspelt signs."""
        word, text = self.word, symbol.text
        self.word = None
        if word is not None and (near := _sign_near(text, 0.6)):
            self.report_text("sign-misspelt", word, f"{word.text} {text}", f"{word.text} {near}")
        elif text in ("To", "to", "al"):
            self.word = symbol
            return True
        elif set(text) == {"-"}:
            self.dashes.append(symbol)
            return True
        elif text.startswith("/") and len(text) > 1:
            self._report_apart(symbol)
        elif names_chord(text) or text.lower() in ("coda", "fine"):
            return False
        elif near := _sign_near(text, 0.74):
            self.report_text("sign-misspelt", symbol, text, near)
        elif self.chords and (near := nearest(text.lower()[:12], _EXTENSIONS, 0.74)):
            self.report_text("push-misspelt", symbol, text, f"({near})")
        elif self.bare is not None and _continues(
            self.bare, symbol, dashes := self._dashes_behind(self.bare)
        ):
            self._join(self.bare, [*dashes, symbol])
        else:
            return False
        self.broken = True
        return True

    def _report_apart(self, slash: Token) -> None:
        """Report a slash apart from its chord, before a bass note or a chord."""
        before = self.chords[-1].text if self.chords else ""
        bass = slash.text.lstrip("/")
        twice = any(token.column == slash.column - 1 for token in self.slashes)
        meant = [f"{before}/{bass}"] if twice else [f"{before}/{bass}", f"{before} / {bass}"]
        label = "slash-twice" if twice else "bass-apart"
        self.report_text(label, slash, slash.text, " or ".join(meant) if before else "")

    def _dashes_behind(self, chord: DraftChord) -> list[Token]:
        """The dashes between a chord and what comes next."""
        return [dash for dash in self.dashes if dash.column > chord.position.column]

    def _join(self, before: DraftChord, rest: list[Token]) -> None:
        """Report a chord symbol with spaces in it."""
        self.chords.pop()
        self.bare = None
        self.dashes = [dash for dash in self.dashes if dash not in rest]
        text = before.text
        for token in rest:
            text = text.ljust(token.column - before.position.column) + token.text
        start = replace(rest[0], column=before.position.column)
        self.report_text("chord-apart", start, text, text.replace(" ", ""))

    def report_text(self, label: str, token: Token, text: str, suggestion: str) -> None:
        """Note a mistake that begins at a token, with a suggestion."""
        position = SourcePosition(self.line, token.column)
        self.problems.append(mistake(label, position, text, suggestion))

    def _read_chord(self, text: str, position: SourcePosition) -> Chord | None:
        """The chord of a symbol; two chords joined by a dash or a comma are told apart.

        So is a push or a hold that is misspelt or has no brackets.
        """
        count = len(self.problems)
        chord = read_chord(text, position, self.problems)
        if chord is None and (near := _with_extension(text)):
            self.problems[-1] = mistake("push-misspelt", position, text, near)
        joined = re.fullmatch(r"([A-G].*?)([-,;])([A-G].*)", text)
        if joined and len(self.problems) > count and all(map(names_chord, joined.group(1, 3))):
            label = "dash-between" if joined[2] == "-" else "comma-between"
            self.problems[-1] = mistake(label, position, text, f"{joined[1]} {joined[3]}")
        return chord

    def end(self) -> None:
        """Report what waits for the end of the bar: dashes between chords, To and al alone."""
        if self.dashes:
            self.report_text("dash-between", self.dashes[0], "-", self._without_dashes())
        if self.word is not None:
            self._read_chord(self.word.text, SourcePosition(self.line, self.word.column))
            self.broken = True

    def bass_apart(self) -> Problem | None:
        """The problem of a bass note with a space before it, as in `Bb7/ F`; None without one."""
        for before, after in pairwise(self.chords):
            end = before.position.column + len(before.text)
            is_bass = before.tokens == 2 and re.fullmatch("[A-G][b#♭♯]?", after.text)
            if is_bass and any(slash.column == end for slash in self.slashes):
                text = f"{before.text}/".ljust(after.position.column - before.position.column)
                near = f"{before.text}/{after.text}"
                return mistake("chord-apart", before.position, text + after.text, near)
        return None

    def _without_dashes(self) -> str:
        """The chords alone, with a slash for each dash where two dashes stand in a row."""
        columns = [(each.position.column, each.text) for each in self.chords]
        columns += [(token.column, "/") for token in self.dashes]
        texts = [text for _, text in sorted(columns)]
        if ("/", "/") not in pairwise(texts):
            texts = [text for text in texts if text != "/"]
        return " ".join(texts)

    def _continue(
        self, extensions: tuple[Token, ...], last: SheetChord | None, is_first: bool
    ) -> None:
        """Slashes, pins and the like without a chord right before them."""
        for token in extensions:
            if is_first and not self.chords and token.kind == "slashes":
                self.rests.append(token)
            elif not self.chords and token.kind == "slashes":
                self._play_again(token, last)
            elif self.chords:
                self._extend(self.chords[-1], token)
            else:
                if not self.broken:
                    self.report("no-chord-before", token)
                self.broken = True

    def _play_again(self, slashes: Token, last: SheetChord | None) -> None:
        """The first slashes of a bar play the chord of a bar before it again."""
        if self.broken or self._refuse_beside_sign(slashes):
            return
        if last is None:
            self.report("no-chord-before", slashes)
            self.broken = True
            return
        position = SourcePosition(self.line, slashes.column)
        again = DraftChord(
            last.chord, last.text, position, slashes.count, pin=last.pin, fingers=last.fingers
        )
        self.chords.append(again)

    def _extend(self, chord: DraftChord, token: Token) -> None:
        """Slashes, a push, a hold, a pin or a length for the chord before them."""
        if token.kind == "slashes":
            chord.tokens += token.count
            self.slashes.append(token)
        elif token.kind == "push":
            chord.push = True
        elif token.kind == "hold":
            chord.hold = True
        elif token.kind == "length" and token.amount:
            chord.length = token.amount
        elif token.kind == "pin":
            chord.pin, chord.fingers = token.frets, token.fingers
            if token.frets is None or chord.chord is None:
                self.report("bad-pin", token)
        else:
            self.report("bad-length" if token.kind == "length" else "pin-open", token)
            self.broken = True

    def rest_before_pickup(self, meter: Meter) -> None:
        """Make the bar a pickup when it begins with rests; a chord alone fills what is left."""
        if not self.rests or not self.is_bar or self.broken:
            return
        rests = sum(token.count for token in self.rests)
        total = rests + sum(chord.tokens for chord in self.chords)
        fits = [count for count in tokens_a_bar(meter) if count == total]
        if not fits and len(self.chords) == 1 and self.chords[0].tokens == 1 < meter.beats - rests:
            fits, self.chords[0].tokens = [meter.beats], meter.beats - rests
        if not fits or any(chord.length is not None for chord in self.chords):
            texts = [chord.text for chord in self.chords]
            filled = ["/"] * rests + texts + ["/"] * (meter.beats - total)
            filled = filled if total < meter.beats else []
            self.report("pickup-rests", self.rests[0], " ".join(filled), count=total, meter=meter)
            self.broken = True
            return
        for chord in self.chords:
            chord.length = Fraction(chord.tokens * meter.beats, fits[0])
            chord.tokens = 1
        self.signs.setdefault("pickup", self.rests[0])

    def _refuse_beside_sign(self, token: Token) -> bool:
        """Whether the token shares its bar with `%`, `%%` or a rest, which is reported."""
        beside = bool(self.simile or self.rest_bars)
        if beside:
            self.report("mixed-bar", token)
        return beside

    def _add_sign_for_bars(self, token: Token) -> None:
        if self.is_bar:
            self.report("mixed-bar", token)
        elif token.kind != "long_rest":
            self.simile = 2 if token.kind == "long_simile" else 1
        elif 1 <= token.count <= MAX_REST_BARS:
            self.rest_bars = token.count
        else:
            self.report("bad-rest", token, most=MAX_REST_BARS)
            self.rest_bars = 1


def _continues(before: DraftChord, symbol: Token, dashes: list[Token]) -> bool:
    """Whether a word is the rest of the symbol before it: the 7 of `Bb 7`, or of `F - 7`.

    A word that begins with a small letter of a note may be a chord of its own.
    """
    gap = symbol.column - before.position.column - len(before.text)
    starts_chord = re.match("(?!dim|aug|add|alt)[a-hA-H]", symbol.text) is not None
    whole = f"{before.text}{'-' * len(dashes)}{symbol.text}"
    if starts_chord or gap > WIDEST_GAP or len(dashes) > 1:
        return False
    return names_chord(whole)


def _with_extension(text: str) -> str:
    """A symbol with the push or hold that its last letters are most like; "" without one."""
    parts = re.fullmatch(r"([A-G].*?)(?: ?\(([a-z]{3,7})\)|([a-z]{3,7}))", text)
    near = parts and nearest(parts[2] or parts[3], _EXTENSIONS, 0.74)
    return f"{parts[1]}({near})" if parts and near and names_chord(parts[1]) else ""


def _sign_near(text: str, likeness: float) -> str:
    """The sign or word of a jump that a text is most like, "" if it is like none."""
    return nearest(text.capitalize()[:12], _SIGNS, likeness)
