"""Elements of MusicXML, added in the order of the schema, and their bytes."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from fractions import Fraction
from typing import Final

from ...grammar.foreign_text import harmless

Value = str | int | Fraction | None

_DOCTYPE: Final = (
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN"'
    ' "http://www.musicxml.org/dtds/partwise.dtd">'
)


def add(
    parent: ET.Element, name: str, value: Value = None, /, **attributes: str | int
) -> ET.Element:
    """A new last child of `parent`; underscores in attribute names stand for hyphens."""
    texts = {key.replace("_", "-"): harmless(str(text)) for key, text in attributes.items()}
    child = ET.SubElement(parent, name, texts)
    if value is not None:
        child.text = harmless(_text(value))
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
