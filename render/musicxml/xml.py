"""Elements of MusicXML, added in the order of the schema, and their bytes."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from fractions import Fraction
from typing import Final

Value = str | int | Fraction | None

_DOCTYPE: Final = (
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN"'
    ' "http://www.musicxml.org/dtds/partwise.dtd">'
)
#: Everything outside the characters that XML 1.0 allows.
_NOT_XML: Final = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def clean(text: str) -> str:
    """The text without characters that XML cannot hold."""
    return _NOT_XML.sub("", text)


def add(
    parent: ET.Element, name: str, value: Value = None, /, **attributes: str | int
) -> ET.Element:
    """A new last child of `parent`; underscores in attribute names stand for hyphens."""
    texts = {key.replace("_", "-"): clean(str(text)) for key, text in attributes.items()}
    child = ET.SubElement(parent, name, texts)
    if value is not None:
        child.text = clean(_text(value))
    return child


def _text(value: str | int | Fraction) -> str:
    if isinstance(value, Fraction) and value.denominator != 1:
        return f"{float(value):.6f}".rstrip("0")
    return str(value)


def to_bytes(score: ET.Element) -> bytes:
    """The document in UTF-8, indented; the same element gives the same bytes."""
    ET.indent(score)
    body = ET.tostring(score, encoding="unicode")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{_DOCTYPE}\n{body}\n'.encode()
