"""The header of a sheet: `Name: value` lines, each name read in any case.

Known names are Title, By, Key, Time, Tempo, Feel. Others are kept as they are and warned about,
with the nearest known name.
"""

from __future__ import annotations

import re
from difflib import get_close_matches
from typing import Final

from ..errors import Problem
from ..key import Key, parse_key
from ..mistakes import mistake
from ..sheet import COMMON_TIME, TEMPOS, Header, Meter, parse_meter
from .source import KNOWN_NAMES, SourceLine, known_name, plain

#: Common other names of the known header fields.
_NEAREST: Final = {
    "composer": "By", "author": "By", "music": "By", "writer": "By", "artist": "By",
    "meter": "Time", "metre": "Time", "time signature": "Time", "signature": "Time",
    "bpm": "Tempo", "speed": "Tempo", "style": "Feel", "rhythm": "Feel", "groove": "Feel",
    "name": "Title", "tune": "Title", "song": "Title", "tonality": "Key", "mode": "Key",
}  # fmt: skip


def nearest_name(name: str) -> str:
    """The known header that a name most likely means, "" when none is near."""
    low = name.lower()
    if low in _NEAREST:
        return _NEAREST[low]
    near = get_close_matches(low[:40], [known.lower() for known in KNOWN_NAMES], 1, 0.6)
    return near[0].capitalize() if near else ""


def read_header(lines: list[SourceLine], problems: list[Problem], warnings: list[str]) -> Header:
    """The header from its lines; what is wrong in them goes to `problems`, doubts to `warnings`."""
    fields: dict[str, SourceLine] = {}
    other: list[tuple[str, str]] = []
    for line in lines:
        name = known_name(line.name)
        if not name:
            other.append((line.name, line.value))
            warnings.append(_unknown(line))
        elif name in fields:
            problems.append(mistake("header-twice", line.name_position, line.name))
        else:
            fields[name] = line
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


def _unknown(line: SourceLine) -> str:
    near = nearest_name(line.name)
    hint = f"; did you mean {near}?" if near else f"; known are {', '.join(KNOWN_NAMES)}"
    return f"line {line.number}: unknown header '{line.name}', kept as it is{hint}"


def read_key(line: SourceLine, problems: list[Problem]) -> Key | None:
    """The key that a `Key:` line states, None (and a problem) when it names none."""
    try:
        return parse_key(plain(line.value))
    except ValueError:
        problems.append(mistake("bad-key", line.position, line.value))
        return None


def read_meter(line: SourceLine, problems: list[Problem]) -> Meter | None:
    """The meter of a `Time:` line, None (and a problem) when it is none."""
    try:
        return parse_meter(plain(line.value))
    except ValueError:
        problems.append(mistake("bad-time", line.position, line.value))
        return None


def _tempo(line: SourceLine, problems: list[Problem]) -> int | None:
    match = re.fullmatch(r"(?:[^\d]{0,12}=?\s*)?(\d{1,4})\s*(?:bpm)?\.?", line.value, re.IGNORECASE)
    least, most = TEMPOS
    if match is None or not least <= int(match[1]) <= most:
        problems.append(mistake("bad-tempo", line.position, line.value, least=least, most=most))
        return None
    return int(match[1])
