"""The overview of the hand names every module once, each after those that it imports."""

from __future__ import annotations

import ast
import re
from pathlib import Path

from midneck.converter import hand


def imported(path: Path) -> set[str]:
    """The modules of the same folder that a module imports."""
    nodes = ast.walk(ast.parse(path.read_text(encoding="utf-8")))
    return {node.module for node in nodes if isinstance(node, ast.ImportFrom) and node.level == 1}


def test_the_overview_is_the_order_of_reading() -> None:
    rows = re.findall(r"^- (`.+?`):", hand.__doc__, re.MULTILINE)
    named = [name for row in rows for name in re.findall(r"`(\w+)`", row)]
    modules = {path.stem: path for path in Path(hand.__file__).parent.glob("[!_]*.py")}
    assert sorted(named) == sorted(modules)
    for at, name in enumerate(named):
        assert imported(modules[name]) <= set(named[:at]), name
