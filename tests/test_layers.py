"""The rooms of the house: imports run render → converter → grammar and never in a circle."""

from __future__ import annotations

import ast
from importlib.util import find_spec, resolve_name
from pathlib import Path

import networkx
import pytest

ORDER = ("grammar", "converter", "render")


def modules() -> dict[str, Path]:
    """Every module of the installed package by its full name."""
    found = {}
    for room in ORDER:
        spec = find_spec(f"midneck.{room}")
        assert spec is not None
        assert spec.submodule_search_locations is not None
        root = Path(next(iter(spec.submodule_search_locations)))
        for path in root.rglob("*.py"):
            parts = ["midneck", room, *path.relative_to(root).with_suffix("").parts]
            found[".".join(part for part in parts if part != "__init__")] = path
    return found


def imported(name: str, path: Path, known: set[str]) -> set[str]:
    """The modules of ours that a module imports, at its top or inside a function."""
    package = name if path.name == "__init__.py" else name.rpartition(".")[0]
    targets: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            targets |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                base = resolve_name("." * node.level + base, package)
            targets |= {base} | {f"{base}.{alias.name}" for alias in node.names}
    return (targets & known) - {name}


@pytest.fixture(scope="module")
def graph() -> networkx.DiGraph:
    found = modules()
    assert len(found) > 20
    drawn = networkx.DiGraph()
    drawn.add_nodes_from(found)
    for name, path in found.items():
        drawn.add_edges_from((name, other) for other in imported(name, path, set(found)))
    return drawn


def room(name: str) -> int:
    return ORDER.index(name.split(".")[1])


def test_imports_never_run_up(graph: networkx.DiGraph) -> None:
    upward = [(name, other) for name, other in graph.edges if room(other) > room(name)]
    assert upward == []


def test_no_import_circles(graph: networkx.DiGraph) -> None:
    circles = [part for part in networkx.strongly_connected_components(graph) if len(part) > 1]
    assert circles == []


def test_a_wrong_import_would_be_seen(tmp_path: Path) -> None:
    path = tmp_path / "chord.py"
    path.write_text("def late():\n    from ..render.report import report\n")
    known = {"midneck.render.report"}
    assert imported("midneck.grammar.chord", path, known) == known
