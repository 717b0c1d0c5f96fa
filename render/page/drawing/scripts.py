"""Texts in any script, ready to be set letter by letter from left to right, or refused in words.

Hebrew and Arabic are put in the order in which they stand on paper (Unicode Standard Annex 9, by
python-bidi), Arabic letters in the forms in which they join (by arabic-reshaper); both packages
come with the extra `rtl`. Japanese is set in IPAexGothic, the typeface of the extra `japanese`.
Nothing moves signs over or under letters, so that combining signs are refused where no single
character holds both.
"""

from __future__ import annotations

from functools import cache, lru_cache
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Final
from unicodedata import bidirectional, category, combining, name, normalize

from ....grammar.errors import TuneError
from ....grammar.foreign_text import harmless

#: The typeface for Japanese, and the package that holds it as data.
JAPANESE: Final = "IPAexGothic"
_PACKAGE: Final = "matplotlib_fontja"
_FILE: Final = "fonts/ipaexg.ttf"
_OPENING: Final = "([{<«‹"
_MIRRORED: Final = dict(zip("([{<«‹)]}>»›", ")]}>»›([{<«‹", strict=True))


class ScriptError(TuneError):
    """A text has characters that cannot be printed; the message names them and what to do."""


@lru_cache(maxsize=4096)
def on_paper(text: str) -> str:
    """The characters of a text in the order and the forms in which they stand on paper.

    Raises ScriptError for text from right to left without the packages that set it, and for
    combining signs.
    """
    text = harmless(text)
    if text.isascii():
        return text
    composed = normalize("NFC", text)
    signs = [char for char in composed if combining(char) or category(char) == "Mc"]
    if signs:
        listed = ", ".join(dict.fromkeys(name(char, hex(ord(char))).lower() for char in signs))
        raise ScriptError(f"“{text}” cannot be printed with {listed}: write it without")
    if any(bidirectional(char) in ("R", "AL") for char in composed):
        composed = _from_right_to_left(composed, text)
    # What only steers the order of letters has done so.
    return "".join(char for char in composed if category(char) != "Cf" or char == "\u00ad")


def reads_from_right(text: str) -> bool:
    """Whether a text has letters of a script that is read from right to left."""
    return not text.isascii() and any(bidirectional(char) in ("R", "AL") for char in text)


def _from_right_to_left(composed: str, text: str) -> str:
    tools = _right_to_left_tools()
    if tools is None:
        raise ScriptError(
            f"“{text}” is read from right to left: pip install 'midneck[rtl]' to print it"
        )
    order, shaper = tools
    return _with_mirrored_brackets(order(shaper.reshape(composed)))


def _with_mirrored_brackets(shown: str) -> str:
    """Letters in their order on paper, with brackets that were turned round mirrored.

    The two of a pair have one direction (Unicode Standard Annex 9, rule N0), so that the closing
    one stands first where they were turned.
    """
    letters = list(shown)
    open_: list[int] = []
    for place, char in enumerate(shown):
        if char not in _MIRRORED:
            continue
        if not open_ or _MIRRORED[shown[open_[-1]]] != char:
            open_.append(place)
            continue
        first = open_.pop()
        if char in _OPENING:
            letters[first], letters[place] = char, shown[first]
    return "".join(letters)


@cache
def _right_to_left_tools() -> tuple[Any, Any] | None:
    """What puts letters in order and what joins them; None where they are not installed."""
    if find_spec("bidi") is None or find_spec("arabic_reshaper") is None:
        return None
    # Typefaces have the letter itself for the form that stands alone.
    settings = {"delete_harakat": False, "use_unshaped_instead_of_isolated": True}
    shaper = import_module("arabic_reshaper").ArabicReshaper(configuration=settings)
    return import_module("bidi").get_display, shaper


@cache
def japanese_data() -> bytes | None:
    """The bytes of the typeface for Japanese; None where it is not installed."""
    found = find_spec(_PACKAGE)
    if found is None or found.origin is None:
        return None
    return (Path(found.origin).parent / _FILE).read_bytes()


def refusal(text: str, lacking: str) -> ScriptError:
    """The error about characters of a text that no typeface has."""
    japanese = [char for char in lacking if _is_japanese(char)]
    if japanese and japanese_data() is None:
        return ScriptError(
            f"“{text}” cannot be printed: there is no typeface for {''.join(japanese)}; "
            "pip install 'midneck[japanese]'"
        )
    listed = " ".join(f"{char} (U+{ord(char):04X})" for char in dict.fromkeys(lacking))
    return ScriptError(
        f"“{text}” cannot be printed: no typeface here has {listed}; write it with other letters"
    )


def _is_japanese(char: str) -> bool:
    return name(char, "").startswith(("CJK", "HIRAGANA", "KATAKANA"))
