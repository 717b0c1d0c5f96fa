"""The overviews of `hand` and `harmony` name every module once, each after those it imports."""

from __future__ import annotations

import ast
import re
from pathlib import Path
from types import ModuleType

import pytest
from midneck.converter import hand, harmony


def imported(path: Path) -> set[str]:
    """The modules of the same folder that a module imports."""
    nodes = ast.walk(ast.parse(path.read_text(encoding="utf-8")))
    return {node.module for node in nodes if isinstance(node, ast.ImportFrom) and node.level == 1}


@pytest.mark.parametrize("folder", [hand, harmony], ids=["hand", "harmony"])
def test_the_overview_is_the_order_of_reading(folder: ModuleType) -> None:
    named = re.findall(r"^- `(\w+)`:", folder.__doc__ or "", re.MULTILINE)
    modules = {path.stem: path for path in Path(str(folder.__file__)).parent.glob("[!_]*.py")}
    assert sorted(named) == sorted(modules)
    for at, name in enumerate(named):
        assert imported(modules[name]) <= set(named[:at]), name
