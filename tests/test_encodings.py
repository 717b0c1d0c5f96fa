"""Text files are read and written in a stated encoding, whatever the machine's own is.

Python takes the encoding of the locale otherwise, until it is UTF-8 everywhere (PEP 686).
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import midneck
import midneck.converter
import midneck.grammar
import midneck.render
import pytest


def unstated(source: str) -> Iterator[int]:
    """The lines of calls that read or write text without an encoding."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call):
            name = ast.unparse(node.func).rpartition(".")[2]
            modes = [each.value for each in node.args if isinstance(each, ast.Constant)]
            stated = any(each.arg == "encoding" for each in node.keywords)
            if name in ("read_text", "write_text") and isinstance(node.func, ast.Attribute):
                stated = stated or len(node.args) > (name == "write_text")
            elif ast.unparse(node.func) in ("open", "os.fdopen"):
                stated = stated or any("b" in str(mode) for mode in modes)
            else:
                continue
            if not stated:
                yield node.lineno


@pytest.mark.parametrize("part", ["grammar", "converter", "render"])
def test_every_text_file_has_a_stated_encoding(part: str) -> None:
    root = Path(getattr(midneck, part).__file__).parent
    found = [
        f"{path.relative_to(root)}:{line}"
        for path in sorted(root.rglob("*.py"))
        for line in unstated(path.read_text(encoding="utf-8"))
    ]
    assert found == []


def test_a_call_without_an_encoding_is_seen() -> None:
    source = (
        "p.read_text()\np.read_text('utf-8')\np.read_text(encoding='utf-8')\nopen(p)\n"
        "open(p, 'rb')\nopen(p, 'w', encoding='utf-8')\np.write_text(t)\nos.open(p, 0)\n"
        "write_text(t)\n"
    )
    assert list(unstated(source)) == [1, 4, 7]
