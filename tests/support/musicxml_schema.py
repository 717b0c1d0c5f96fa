"""The W3C's XML Schema of MusicXML 4.0, from the copy that the library `musicxml` carries.

music21 carries one too, but of MusicXML 2.0. Nothing is fetched: the two schemas that it imports
come with `xmlschema`.
"""

from __future__ import annotations

from functools import cache
from importlib.util import find_spec
from pathlib import Path

import xmlschema


@cache
def musicxml_schema() -> xmlschema.XMLSchema:
    """The schema, built once."""
    spec = find_spec("musicxml")
    assert spec is not None
    assert spec.origin is not None
    source = Path(spec.origin).parent / "generate_classes" / "musicxml_4_0.xsd"
    assert "Version 4.0" in source.read_text(encoding="utf-8")[:1000]
    carried = Path(xmlschema.__file__).parent / "schemas"
    return xmlschema.XMLSchema(
        str(source),
        locations={
            "http://www.w3.org/XML/1998/namespace": str(next(carried.glob("XML/*.xsd"))),
            "http://www.w3.org/1999/xlink": str(next(carried.glob("XLINK/*.xsd"))),
        },
        allow="local",
    )


def schema_errors(data: bytes) -> list[str]:
    """What is wrong with a document by the schema, empty when it is valid."""
    return [f"{error.path}: {error.reason}" for error in musicxml_schema().iter_errors(data)]
