"""An XML reader that refuses everything a score has no use for.

A document type may be named, as MusicXML files do, but is never fetched; entities, declared
inside or outside, are refused the moment they are declared, so nothing can be expanded. Nesting,
the number of elements and the length of a text are bounded.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Final
from xml.parsers import expat

from .faults import fault

MAX_DEPTH: Final = 64
MAX_ELEMENTS: Final = 1_000_000

Start = Callable[[str, dict[str, str]], None]
Text = Callable[[str], None]
End = Callable[[str], None]


def make_parser() -> expat.XMLParserType:
    """A parser that refuses entities and leaves all other handlers to the caller."""
    parser = expat.ParserCreate()
    parser.buffer_text = True
    parser.SetParamEntityParsing(expat.XML_PARAM_ENTITY_PARSING_NEVER)

    def refuse_entity(name: str, *_: object) -> None:
        raise fault(
            "the file declares XML entities; a score needs none, so it is not read",
            parser.CurrentLineNumber,
            parser.CurrentColumnNumber + 1,
            name,
        )

    def refuse_external(context: str | None, *_: object) -> int:
        raise fault("the file asks for another file; that is not followed", text=context or "")

    parser.EntityDeclHandler = refuse_entity
    parser.ExternalEntityRefHandler = refuse_external
    return parser


def feed(parser: expat.XMLParserType, pieces: Iterable[bytes]) -> None:
    """Runs all `pieces` through `parser`; raises ScoreError where they are not well-formed XML."""
    try:
        for piece in pieces:
            parser.Parse(piece, False)
        parser.Parse(b"", True)
    except expat.ExpatError as error:
        reason = expat.ErrorString(error.code)
        raise fault(
            f"the file is not well-formed XML: {reason}", error.lineno, error.offset + 1
        ) from error
    except (LookupError, ValueError) as error:
        raise fault(f"the file's text encoding cannot be read: {error}") from error
