"""The header of a sheet: `Name: value` lines, each name read in any case.

Known names are Title, By, Key, Time, Tempo, Feel, and others for them such as Composer and Style.
Any other is kept as it is and remarked on, with the nearest known name. `Form:` is read by
`arrange`. Lines of words above everything else are the title, `by …`, and the feel.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from ..errors import Problem, nearest
from ..key import Key, parse_key
from ..limits import MAX_TEXT
from ..mistakes import mistake
from ..sheet import COMMON_TIME, TEMPOS, Header, Meter, parse_meter
from .arrange import FORM_NAME
from .source import KNOWN_NAMES, SourceLine, is_music, known_name, plain
from .tokens import names_chord

#: Names near to those of the known headers.
_NEAREST: Final = {
    "writer": "By", "artist": "By", "signature": "Time", "speed": "Tempo", "rhythm": "Feel",
    "groove": "Feel", "name": "Title", "tune": "Title", "song": "Title", "tonality": "Key",
    "mode": "Key",
}  # fmt: skip
#: Words of which a line under the title is made that tells the feel (common practice, no source).
_FEEL_WORDS: Final = frozenset(
    [
        "swing", "bossa", "nova", "ballad", "waltz", "latin", "samba", "funk", "shuffle", "slow",
        "medium", "fast", "up", "tempo", "easy", "bright", "relaxed", "even", "straight", "eighths",
        "8ths", "jazz", "blues",
    ]
)  # fmt: skip


def with_title(lines: Sequence[SourceLine]) -> list[SourceLine]:
    """The lines with words above the music as headers: `Night Ferry`, `by …`, `medium swing`."""
    given = {known_name(line.name) for line in lines if line.kind == "field"}
    result = list(lines)
    for at, line in enumerate(lines):
        is_words = line.kind == "music" and not line.name and not is_music(line.value)
        if not is_words and line.kind not in ("field", "comment"):
            break
        name = _name_of_words(line, given) if is_words else ""
        if name:
            given.add(name)
            result[at] = _as_field(line, name)
    return result


def _name_of_words(line: SourceLine, given: set[str]) -> str:
    """The header that a line of words stands for, "" for none; `given` are there already."""
    words = line.value.split()
    chords = sum(names_chord(word) for word in words[:12])
    if words[0].lower() == "by" and len(words) > 1 and "By" not in given:
        return "By"
    if "Feel" not in given and _FEEL_WORDS.issuperset(re.findall(r"\w+", line.value.lower())):
        return "Feel" if "Title" in given else ""
    return "Title" if "Title" not in given and 2 * chords <= len(words) and len(words) > 1 else ""


def _as_field(line: SourceLine, name: str) -> SourceLine:
    value = " ".join(line.value.split())
    if name == "By":
        value = value.partition(" ")[2]
    elif name == "Feel":
        value = value.strip("() ")
    return replace(line, kind="field", name=name, value=value)


def nearest_name(name: str) -> str:
    """The known header that a name most likely means, "" when none is near."""
    low = name.lower()
    if low in _NEAREST:
        return _NEAREST[low]
    return nearest(low[:40], [known.lower() for known in KNOWN_NAMES]).capitalize()


def read_header(lines: list[SourceLine], problems: list[Problem], warnings: list[str]) -> Header:
    """The header from its lines; what is wrong in them goes to `problems`, doubts to `warnings`.

    By and Feel may have two lines whose names differ (By, Composer): both texts are kept.
    """
    fields: dict[str, SourceLine] = {}
    names: set[str] = set()
    other: list[tuple[str, str]] = []
    for line in lines:
        name = known_name(line.name)
        if not name:
            other.append((line.name, line.value))
            warnings += _remarks(line)
        elif name not in fields:
            fields[name] = line
        elif name in ("By", "Feel") and line.name.lower() not in names:
            texts = filter(None, (fields[name].value, line.value))
            fields[name] = replace(line, value=", ".join(texts))
            if len(fields[name].value) > MAX_TEXT:
                problems.append(mistake("text-too-long", line.position, most=MAX_TEXT))
        else:
            problems.append(mistake("header-twice", line.name_position, line.name))
        names.add(line.name.lower())
    values = {name: line.value for name, line in fields.items()}
    key, meter, tempo = (fields.get(name) for name in ("Key", "Time", "Tempo"))
    return Header(
        title=values.get("Title", ""),
        by=values.get("By", ""),
        key=read_key(key, problems) if key is not None else None,
        meter=(read_meter(meter, problems) if meter is not None else None) or COMMON_TIME,
        tempo=_tempo(tempo, problems) if tempo is not None else None,
        feel=values.get("Feel", ""),
        other=tuple(other),
    )


def _remarks(line: SourceLine) -> list[str]:
    """What is said about a header that is not known."""
    name = line.name.lower()
    if name == FORM_NAME:
        return []
    if name == "capo":
        fret = re.match(r"1[01]|[1-9](?!\d)", line.value)
        up = f"; if the chords are shapes above it, add --up {fret[0]}" if fret else ""
        return [f"line {line.number}: grips are for a neck without a capo{up}"]
    near = nearest_name(line.name)
    hint = f"; did you mean {near}?" if near else f"; known are {', '.join(KNOWN_NAMES)}"
    return [f"line {line.number}: unknown header '{line.name}', kept as it is{hint}"]


def read_key(line: SourceLine, problems: list[Problem]) -> Key | None:
    """The key that a `Key:` line states, None (and a problem) when it names none."""
    try:
        return parse_key(plain(line.value))
    except ValueError:
        problems.append(mistake("bad-key", line.position, line.value, _nearest_key(line.value)))
        return None


def read_meter(line: SourceLine, problems: list[Problem]) -> Meter | None:
    """The meter of a `Time:` line, None (and a problem) when it is none."""
    try:
        return parse_meter(plain(line.value))
    except ValueError:
        problems.append(mistake("bad-time", line.position, line.value, _nearest_meter(line.value)))
        return None


def _nearest_key(text: str) -> str:
    """The key that a text most likely means, "" for none: H is B, a small letter may be either."""
    if re.fullmatch(r"[a-g][b#♭♯]?", text):
        return f"{text.capitalize()} or {text.capitalize()}m"
    near = f"{'B' if text[:1] in ('H', 'h') else text[:1].upper()}{text[1:]}"
    try:
        return near if near != text and parse_key(plain(near)) else ""
    except ValueError:
        return ""


def _nearest_meter(text: str) -> str:
    """The meter that a text most likely means, "" for none: 3\\4, 3-4 and waltz are 3/4."""
    found = re.search(r"(\d{1,2})\s?[\\:.|-]\s?(\d{1,2})", plain(text))
    if found is None:
        return "3/4" if "waltz" in text.lower() else ""
    try:
        return parse_meter(f"{found[1]}/{found[2]}").typed
    except ValueError:
        return ""


def _tempo(line: SourceLine, problems: list[Problem]) -> int | None:
    match = re.fullmatch(r"(?:[^\d]{0,12}=?\s*)?(\d{1,4})\s*(?:bpm)?\.?", line.value, re.IGNORECASE)
    least, most = TEMPOS
    if match is None or not least <= int(match[1]) <= most:
        feel = "" if re.search(r"\d", line.value) or not line.value else f"Feel: {line.value}"
        problems.append(
            mistake("bad-tempo", line.position, line.value, feel, least=least, most=most)
        )
        return None
    return int(match[1])
