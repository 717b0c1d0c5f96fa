"""Sheets as plain text: reading them and writing them in canonical form.

`format.md` describes the format for people who type sheets, one text for screen and paper: Markdown
with a heading for each topic. Lines that begin with four spaces are examples; each block of them
reads as it stands.
"""

from __future__ import annotations

from pathlib import Path


def format_text() -> str:
    """The description in Markdown, in lines of at most 80 columns."""
    return Path(__file__).with_name("format.md").read_text(encoding="utf-8")
