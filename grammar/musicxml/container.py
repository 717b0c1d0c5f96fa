"""The `META-INF/container.xml` of an `.mxl` archive: which member is the score.

The first `rootfile` is the score, whatever media type it gives (MusicXML 4.0, "container.xsd").
"""

from __future__ import annotations

from .expat import feed, make_parser
from .faults import fault


def score_member(container: bytes) -> str:
    """The name of the archive's score; raises ScoreError when none is named."""
    paths: list[str] = []
    parser = make_parser()

    def start(name: str, attributes: dict[str, str]) -> None:
        if name.rpartition(":")[2] == "rootfile" and "full-path" in attributes:
            paths.append(attributes["full-path"])

    parser.StartElementHandler = start
    feed(parser, [container])
    if not paths:
        raise fault("META-INF/container.xml in the .mxl archive names no score")
    return paths[0]
