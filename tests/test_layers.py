"""Layers: imports run midneck → render → converter → grammar and never in a circle."""

from __future__ import annotations

import ast
import re
from importlib.util import find_spec, resolve_name
from pathlib import Path

import networkx
import pytest

LAYERS = ("grammar", "converter", "render")
#: The package root (the folder `render/facade`) stands above them all.
ROOT = "midneck"


def modules() -> dict[str, Path]:
    """Every module of the installed package by its full name."""
    found = {}
    facade = folder_of(ROOT)
    paths = [(ROOT, facade, path) for path in facade.glob("*.py")]
    for layer in LAYERS:
        folder = folder_of(f"{ROOT}.{layer}")
        inside = [path for path in folder.rglob("*.py") if facade != path.parent]
        paths += [(f"{ROOT}.{layer}", folder, path) for path in inside]
    for package, folder, path in paths:
        parts = [package, *path.relative_to(folder).with_suffix("").parts]
        found[".".join(part for part in parts if part != "__init__")] = path
    return found


def folder_of(package: str) -> Path:
    spec = find_spec(package)
    assert spec is not None
    assert spec.origin is not None
    return Path(spec.origin).parent


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


def layer(name: str) -> int:
    part = name.split(".")[1] if "." in name else ""
    return LAYERS.index(part) if part in LAYERS else len(LAYERS)


def test_imports_never_run_up(graph: networkx.DiGraph) -> None:
    upward = [(name, other) for name, other in graph.edges if layer(other) > layer(name)]
    assert upward == []


def test_the_front_door_is_among_them(graph: networkx.DiGraph) -> None:
    assert f"{ROOT}.render.charts" in graph[ROOT]
    assert not any("facade" in name for name in graph)
    assert [name for name, _ in graph.in_edges(ROOT)] == []


def test_no_import_circles(graph: networkx.DiGraph) -> None:
    circles = [part for part in networkx.strongly_connected_components(graph) if len(part) > 1]
    assert circles == []


def test_a_wrong_import_would_be_seen(tmp_path: Path) -> None:
    path = tmp_path / "chord.py"
    path.write_text("def late():\n    from ..render.report import report\n")
    known = {"midneck.render.report"}
    assert imported("midneck.grammar.chord", path, known) == known


#: The packages whose docstring lists their modules, each before a colon: `- \`name\`: what it is`.
LISTED = sorted(
    name
    for name, path in modules().items()
    if path.name == "__init__.py" and re.search(r"^- `\w+`.*:", path.read_text("utf-8"), re.M)
)


def test_some_packages_list_their_modules() -> None:
    assert len(LISTED) > 4


@pytest.mark.parametrize("package", LISTED)
def test_a_list_of_modules_names_each_and_keeps_its_order(
    package: str, graph: networkx.DiGraph
) -> None:
    """Where it is a reading order, each imports only modules listed before it."""
    told = ast.get_docstring(ast.parse(modules()[package].read_text(encoding="utf-8"))) or ""
    items = re.findall(r"^- ([^:]+):", told, re.M)
    names = [name for item in items for name in re.findall(r"`(\w+)`", item)]
    assert sorted(names) == sorted(
        name.rpartition(".")[2] for name in modules() if name.rpartition(".")[0] == package
    )
    if "listed before it" in told:
        places = {f"{package}.{name}": place for place, name in enumerate(names)}
        early = [
            (name, other)
            for name in places
            for other in graph[name]
            if places.get(other, -1) > places[name]
        ]
        assert early == []
