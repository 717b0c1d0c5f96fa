"""The description of the sheet format for people who type sheets, one text for screen and paper.

The text is `format.md` beside this module: Markdown with a heading for each topic. Lines that begin
with four spaces are examples; each block of them reads as it stands.
"""

from __future__ import annotations

from pathlib import Path


def format_text() -> str:
    """The description in Markdown, in lines of at most 80 columns."""
    return Path(__file__).with_name("format.md").read_text(encoding="utf-8")
