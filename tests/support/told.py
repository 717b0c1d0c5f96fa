"""What outputs tell of each chord, read back from the outputs alone.

`Told` is one chord as an output tells it; a field is None where the output does not tell it. Each
reader takes what a user gets (text, sentences, an SVG page, a MusicXML document) and knows nothing
of the values behind it, so that two outputs can be compared. Strings run from string 6 to string 1.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from midneck.grammar.chord_parser import parse_chord

SILENCE = "N.C."
FINGERS = {"index": 1, "middle": 2, "ring": 3, "little": 4}

Row = tuple[int | None, ...]


@dataclass(frozen=True)
class Told:
    """A chord as an output tells it: its key is the short name, as in `Gm`."""

    symbol: str
    key: str | None = None
    roman: str | None = None
    doubtful: bool | None = None
    frets: Row | None = None
    fingers: Row | None = None
    bar: int | None = None
    optional: bool | None = None


def short_key(name: str) -> str:
    """The short name of a key: `Gm` of `G minor`, `D dorian` as it is."""
    tonic, mode = name.split(" ", 1)
    return {"major": tonic, "minor": f"{tonic}m"}.get(mode, name)


# JSON


def told_by_report(data: dict[str, Any]) -> list[Told]:
    """The written chords of a report."""
    return [
        Told(
            chord["symbol"],
            None if chord["key"] is None else short_key(chord["key"]),
            chord["roman"],
            chord["doubtful"],
            None if chord["grip"] is None else tuple(chord["grip"]["frets"]),
            None if chord["grip"] is None else tuple(chord["grip"]["fingers"]),
            chord["bar"],
            chord["optional"],
        )
        for chord in data["chords"]
    ]


# Numerals with keys, as text, pages and scores have them


class Keys:
    """Reads numerals such as `G?: ii7`, `V7?` and `ii7` in order; each is in the last key named."""

    def __init__(self) -> None:
        self.key: str | None = None

    def read(self, label: str) -> tuple[str | None, str | None, bool | None]:
        """Key, numeral and doubt."""
        if not label:
            return None, None, None
        name, colon, roman = label.rpartition(": ")
        if colon:
            self.key = name.removesuffix("?")
        return self.key, roman.removesuffix("?"), label != label.replace("?", "")


# Text

_GRIP = re.compile(r"(?:x|\d)+|(?:x|\d+)(?:-(?:x|\d+))+")
_BEATS = re.compile(r"(?:X|/|x\S*)(?:\s+(?:X|/|x\S*))*")


def told_by_text(text: str) -> list[Told]:
    """The written chords of a chart as text, without their bars."""
    told: list[Told] = []
    keys, optional = Keys(), False
    music = text.split("\nFrets and fingers run")[0]
    for block in re.split(r"\n\s*\n", music):
        rows = [line for line in block.splitlines() if line[:1] in ("|", ":")]
        for words in _chords_of(rows):
            symbol, numeral, frets, fingers = words
            optional = optional or symbol.startswith("(")
            closes = symbol.count(")") > symbol[1:].count("(") if optional else False
            plain = symbol.removeprefix("(") if optional else symbol
            plain = plain.removesuffix(")") if closes else plain
            plain = plain.removeprefix("'").removesuffix("~")
            told.append(
                Told(plain, *keys.read(numeral), _row(frets), _row(fingers), optional=optional)
            )
            optional = optional and not closes
    return told


def _chords_of(rows: list[str]) -> Iterator[tuple[str, str, str, str]]:
    """Symbol, numeral, frets and fingers of each chord of a line of bars."""
    if not rows:
        return
    held = len(rows) > 2 and _is_grips(rows[-2])
    middle = rows[1:-2] if held else rows[1:]
    numerals = next((row for row in middle if not _is_beats(row)), "")
    edges = [at for at, sign in enumerate(rows[-1]) if sign == "|"] if len(rows) > 1 else []
    starts = [
        (found.start(), found[0])
        for found in re.finditer(
            r"[^\s|]\S*", re.sub(r"rest: \d+ bars?", "", _blank_joints(rows[0]))
        )
        if not set(found[0]) <= set("%|:")
    ]
    for place, (at, symbol) in enumerate(starts):
        ends = [edge for edge in edges if edge > at]
        ends += [start for start, _ in starts[place + 1 :]]
        end = min(ends, default=None)
        frets, fingers = (rows[-2][at:end], rows[-1][at:end]) if held else ("", "")
        yield symbol, numerals[at:end].strip(), frets.strip(), fingers.strip()


def _blank_joints(row: str) -> str:
    """A row of symbols with its bar lines and repeat signs blanked, nothing moved."""
    row = re.sub(r"rest: \d+ bars?", lambda found: " " * len(found[0]), row)
    return re.sub(r":\|(\d+x)?(\|:|:|\|)?|\|\|?:?|(?<!\S):", lambda found: " " * len(found[0]), row)


def _is_grips(row: str) -> bool:
    words = row.replace("|", " ").split()
    return bool(words) and all(_GRIP.fullmatch(word) for word in words)


def _is_beats(row: str) -> bool:
    words = row.replace("|", " ").strip()
    return bool(_BEATS.fullmatch(words))


def _row(text: str) -> Row | None:
    """A row of frets or of fingers: `8x88xx`, `10-x-10-10-x-x`, `2-33--`, `2  - 3  3  - -`."""
    if not text:
        return None
    words = text.split() if " " in text else list(text)
    if "x" in text and "-" in text:
        words = text.split("-")
    return tuple(None if word in ("x", "-") else int(word) for word in words)


# Sentences

_SENTENCE = re.compile(
    r"Bar (?P<bar>\d+)(?: \([^)]*(?:\([^)]*\))?[^)]*\))?: (?P<symbol>\S+) "
    r"(?P<when>(?:for|on|from) .*?)"
    r"(?: struck an eighth early)?(?: held)?(?P<optional> optional)?"
    r"(?:, (?P<doubt>perhaps )?(?P<roman>\S+) in (?P<key>\S+ \w+))?"
    r": (?P<grip>.*); the rest silent\."
)
_SILENT = re.compile(r"Bar (?P<bar>\d+)(?: \(.*\))?: silence (?P<when>(?:for|on|from) .*)\.")
_NOTE = re.compile(r"string (\d) (?:fret (\d+) (\w+) finger|(open)), (\S+)")


def told_by_words(text: str) -> list[Told]:
    """The written chords of a chart in sentences."""
    told = []
    for line in text.splitlines():
        silent, said = _SILENT.fullmatch(line), _SENTENCE.fullmatch(line)
        if silent:
            told.append(Told(SILENCE, bar=int(silent["bar"])))
        elif said:
            told.append(_sentence(said))
        elif "; the rest silent" in line:
            raise AssertionError(f"a sentence that is not read: {line}")
    return told


def _sentence(said: re.Match[str]) -> Told:
    frets: list[int | None] = [None] * 6
    fingers: list[int | None] = [None] * 6
    for string, fret, finger, opened, _ in _NOTE.findall(said["grip"]):
        frets[6 - int(string)] = 0 if opened else int(fret)
        fingers[6 - int(string)] = FINGERS.get(finger)
    key = said["key"] and short_key(said["key"])
    doubt = None if key is None else said["doubt"] is not None
    return Told(
        said["symbol"], key, said["roman"], doubt, tuple(frets), tuple(fingers), int(said["bar"]),
        said["optional"] is not None,
    )  # fmt: skip


# SVG

_SVG = "{http://www.w3.org/2000/svg}"
_WHITE = ("#fff", "#ffffff")
_SIGNS = str.maketrans({"♭": "b", "♯": "#", "𝄫": "bb", "𝄪": "##"})


def told_by_svg(pages: list[str], mirrored: bool = False) -> list[Told]:
    """The written chords of SVG pages: the symbols, numerals and grids that are drawn on them.

    A chord without a grid of its own has neither frets nor fingers.
    """
    found: dict[int, Told] = {}
    keys, optional = Keys(), False
    for page in pages:
        for group in ET.fromstring(page).iter(f"{_SVG}g"):
            index = group.get("data-chord")
            if group.get("class") != "chord" or index is None:
                continue
            written = [_text(each) for each in group.findall(f"{_SVG}text")]
            symbol, rest = written[0], written[1:]
            optional = optional or symbol.startswith("(")
            closes = optional and symbol.count(")") > symbol[1:].count("(")
            plain = symbol.removeprefix("(").removesuffix(")" * closes) if optional else symbol
            numeral = next((each for each in rest if not each.startswith(("→", "◇"))), "")
            frets, fingers = _grid(group, mirrored)
            name = SILENCE if plain == SILENCE else str(parse_chord(plain))
            label = numeral.translate(_SIGNS) if ": " in numeral else numeral
            key, roman, doubt = keys.read(label)
            roman = None if roman is None else numeral.rpartition(": ")[2].removesuffix("?")
            assert int(index) not in found, index
            found[int(index)] = Told(
                name, key, roman, doubt, frets, fingers, int(group.get("data-bar", "")), optional
            )
            optional = optional and not closes
    return [found[index] for index in sorted(found)]


def _start(text: ET.Element) -> tuple[float, float]:
    """Where a text begins: its own place, or that of its first part."""
    placed = text if text.get("x") is not None else next(iter(text))
    return float(placed.get("x", "")), float(placed.get("y", ""))


def _text(element: ET.Element) -> str:
    return "".join(element.itertext()).strip()


def _grid(group: ET.Element, mirrored: bool) -> tuple[Row | None, Row | None]:
    """Frets and fingers as the marks in a grid of strings and frets show them."""
    drawn = next((each for each in group.iter() if _is_net(each)), None)
    if drawn is None:
        return None, None
    parents = [each for each in group.iter() if drawn in list(each)]
    picture = list(parents[0])
    upright, level = _net(drawn)
    texts = [each for each in picture if each.tag == f"{_SVG}text"]
    base = next((_text(each) for each in texts if each.get("fill") not in _WHITE), "1")
    marks = [at for each in picture for at in _mark(each)]
    numbers = [(*_start(each), int(_text(each))) for each in texts if each.get("fill") in _WHITE]
    frets: list[int | None] = [None] * len(upright)
    fingers: list[int | None] = [None] * len(upright)
    for x, y in marks:
        string = min(range(len(upright)), key=lambda at: abs(upright[at] - x))
        assert frets[string] is None
        row = sum(edge < y for edge in level) - 1
        frets[string] = 0 if row < 0 else int(base) + row
        inside = [one for one in numbers if abs(one[0] - x) < 5 and abs(one[1] - y) < 6]
        if row >= 0 and inside:
            fingers[string] = inside[0][2]
    crossed = {
        min(range(len(upright)), key=lambda at: abs(upright[at] - x))
        for each in picture if each is not drawn for x in _crosses(each, level[0])
    }  # fmt: skip
    assert crossed == {at for at, fret in enumerate(frets) if fret is None}
    if mirrored:
        frets.reverse()
        fingers.reverse()
    return tuple(frets), tuple(fingers)


def _steps(element: ET.Element) -> list[tuple[float, float, float, float]]:
    """The strokes of a path that holds nothing but strokes of two points."""
    found = re.findall(r"M(\S+) (\S+?)L(\S+?) ([^\sMLZ]+)", element.get("d", ""))
    return [(float(a), float(b), float(c), float(d)) for a, b, c, d in found]


def _is_net(element: ET.Element) -> bool:
    steps = _steps(element)
    return len(steps) >= 9 and all(a == c or b == d for a, b, c, d in steps)


def _net(element: ET.Element) -> tuple[list[float], list[float]]:
    """The x of the strings and the y of the frets."""
    steps = _steps(element)
    upright = [a for a, b, c, d in steps if a == c]
    return sorted(upright), sorted(b for a, b, c, d in steps if b == d)


def _mark(element: ET.Element) -> Iterator[tuple[float, float]]:
    """The middle of a square, a circle or a diamond; none for a barre, a text or a line."""
    value = lambda name: float(element.get(name, "0"))  # noqa: E731
    if element.tag == f"{_SVG}circle":
        yield value("cx"), value("cy")
    elif element.tag == f"{_SVG}rect" and abs(value("width") - value("height")) < 0.02:
        yield value("x") + value("width") / 2, value("y") + value("height") / 2
    elif element.tag == f"{_SVG}path" and element.get("d", "").endswith("Z"):
        points = re.findall(r"[ML](\S+?) ([^\sMLZ]+)", element.get("d", ""))
        yield (
            sum(float(x) for x, _ in points) / len(points),
            sum(float(y) for _, y in points) / len(points),
        )


def _crosses(element: ET.Element, top: float) -> set[float]:
    """The x of the crosses over a grid whose top is at `top`."""
    return {
        round((a + c) / 2, 1) for a, b, c, d in _steps(element)
        if a != c and b != d and max(b, d) < top
    }  # fmt: skip


# MusicXML


def told_by_score(data: bytes) -> list[Told]:
    """The chords of a score that are written with a frame or as silence, without their symbols'
    spelling; bars that repeat others are passed over."""
    told = []
    keys = Keys()
    for measure in ET.fromstring(data).findall("part")[0]:
        items = list(measure)
        for at, item in enumerate(items):
            if item.tag != "harmony" or (item.get("id") or "").startswith("again-"):
                continue
            frame = item.find("frame")
            below = [
                one.findtext("direction-type/words") or ""
                for one in items[at + 1 : at + 3]
                if one.tag == "direction" and one.get("placement") == "below"
            ]
            key, roman, doubt = keys.read(below[0] if below else "")
            frets, fingers = (None, None) if frame is None else _frame(frame)
            told.append(Told("", key, roman, doubt, frets, fingers, int(measure.get("number", ""))))
    return told


def _frame(frame: ET.Element) -> tuple[Row, Row]:
    count = int(frame.findtext("frame-strings", ""))
    frets: list[int | None] = [None] * count
    fingers: list[int | None] = [None] * count
    for note in frame.findall("frame-note"):
        at = count - int(note.findtext("string", ""))
        frets[at] = int(note.findtext("fret", ""))
        finger = note.findtext("fingering")
        fingers[at] = None if finger is None else int(finger)
    return tuple(frets), tuple(fingers)
