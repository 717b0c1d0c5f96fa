"""Text from outside (files, file names, options, values of callers), made safe to show.

Control characters and escape sequences steer a terminal, bidirectional overrides change the order
of what is read, halves of surrogate pairs cannot be encoded, and XML allows no noncharacters.
Readers replace them in what they read, writers in what callers give them, and commands in every
message.

Sources: Unicode Standard 16.0, 3.4 D14 (noncharacters), 23.1 (control codes); Unicode Standard
Annex 9, 2 (embeddings, overrides, isolates); XML 1.0 (5th edition), 2.2.
"""

from __future__ import annotations

import re
from typing import Final

_NONCHARACTERS: Final = "".join(
    chr(plane << 16 | last) for plane in range(17) for last in (0xFFFE, 0xFFFF)
)
#: Everything harmful but tabs and newlines.
HARMFUL: Final = re.compile(
    "[\0-\x08\x0b-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069\ud800-\udfff\ufdd0-\ufdef"
    f"{_NONCHARACTERS}]"
)
#: U+FFFD, the replacement character.
_REPLACEMENT: Final = "\ufffd"


def harmless(text: str) -> str:
    """The text with a space for each harmful character, so that columns stay the same.

    Newlines and tabs stay.
    """
    return text if text.isprintable() else HARMFUL.sub(" ", text)


def one_line(text: str) -> str:
    """A name in one line, with U+FFFD for each harmful character, newline and tab."""
    if text.isprintable():
        return text
    return re.sub(r"[\n\t]", _REPLACEMENT, HARMFUL.sub(_REPLACEMENT, text))


def xml_text(text: str) -> str:
    """The text as character data of XML (1.0, 2.4), safe to show."""
    # `html.escape` does it too; a chart would wait for all named characters of HTML.
    return harmless(text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
