"""Every error class of the package derives from `MidneckError`."""

from __future__ import annotations

import ast
import re
from functools import cache
from importlib import import_module

import pytest
from midneck.grammar.errors import MidneckError
from test_layers import modules


@cache
def error_classes() -> list[tuple[str, str]]:
    """Module and name of each class that is named as an error or derives from a built-in one."""
    found = []
    texts = {name: path.read_text(encoding="utf-8") for name, path in sorted(modules().items())}
    for module, text in texts.items():
        if not re.search(r"class .*(Error|Exception)", text):
            continue
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.ClassDef):
                names = [node.name, *(ast.unparse(base) for base in node.bases)]
                if any(name.endswith(("Error", "Exception")) for name in names):
                    found.append((module, node.name))
    return found


def test_the_search_finds_the_known_classes() -> None:
    names = {name for _, name in error_classes()}
    assert {"MidneckError", "SheetError", "ChordError", "PlanError", "OutputError"} <= names


@pytest.mark.parametrize(("module", "name"), error_classes())
def test_error_derives_from_the_root(module: str, name: str) -> None:
    assert issubclass(getattr(import_module(module), name), MidneckError)


#: The classes of files that cannot be used; the others are of wrong input.
OF_FILES = (
    "ChangedError",
    "ClusterError",
    "FolderError",
    "InputError",
    "OutputError",
    "SynthesizerError",
)

#: The classes that a caller can meet; ScoreError never leaves its package.
MET = [(module, name) for module, name in error_classes()
       if name not in ("MidneckError", "ScoreError")]  # fmt: skip


@pytest.mark.parametrize(("module", "name"), MET)
def test_error_keeps_its_built_in_class(module: str, name: str) -> None:
    """Each class is also a ValueError or OSError."""
    kept = OSError if name in OF_FILES else ValueError
    assert issubclass(getattr(import_module(module), name), kept)
