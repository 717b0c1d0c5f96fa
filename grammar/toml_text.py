"""TOML files that are not trusted: players, defaults, books.

`load_toml` takes a text and gives its tables, read with the standard library after a look at its
size, at how deep it is nested and at the digits of its numbers, each of which could otherwise cost
minutes, gigabytes or a traceback. Source: TOML 1.0.
"""

from __future__ import annotations

import re
from itertools import accumulate
from typing import Any, Final

from .errors import MidneckError
from .limits import MAX_DIGITS, MAX_TOML_BYTES, MAX_TOML_DEPTH

#: Strings and comments.
_QUOTED: Final = re.compile(
    r'"""(?:\\.|[^\\])*?"""|\'\'\'.*?\'\'\'|"(?:\\.|[^"\\\n])*"|\'[^\'\n]*\'|#[^\n]*', re.DOTALL
)
_NUMBER: Final = re.compile(rf"\b\d[\da-fA-F_xob]{{{MAX_DIGITS},}}")
_DOTTED: Final = re.compile(r"[\w-]+(?:[ \t]*\.[ \t]*[\w-]+)*")
_BRACKETS: Final = {"[": 1, "{": 1, "]": -1, "}": -1}


class TomlError(MidneckError, ValueError):
    """A text is not TOML, or is larger or nested deeper than any of ours; the message says what."""


def load_toml(text: str, most: int = MAX_TOML_BYTES) -> dict[str, Any]:
    """The tables of a TOML text of at most so many characters. Raises TomlError."""
    import tomllib  # not for a command without such a file

    if len(text) > most:
        raise TomlError(f"it is larger than {most:,} bytes")
    bare = _QUOTED.sub("_", text)
    if number := _NUMBER.search(bare):
        line = bare.count("\n", 0, number.start()) + 1
        raise TomlError(f"a number has more than {MAX_DIGITS} digits (at line {line})")
    steps = (_BRACKETS[sign] for sign in re.findall(r"[][{}]", bare))
    keys = max((key[0].count(".") for key in _DOTTED.finditer(bare)), default=0)
    if max(*accumulate(steps), keys, 0, 0) > MAX_TOML_DEPTH:
        raise TomlError(f"tables or lists are nested more than {MAX_TOML_DEPTH} deep")
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise TomlError(str(error)) from error
