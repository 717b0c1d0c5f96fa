"""What people get: pages, text, sound, MIDI, MusicXML, data, the Python interface, commands."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from importlib import import_module
from typing import Any


def lazy_names(package: str, modules: Mapping[str, str]) -> Callable[[str], Any]:
    """The `__getattr__` of a package whose names are imported at their first use (PEP 562).

    `modules` holds the module of each name, seen from the package. The function raises
    AttributeError for any other name.
    """

    def get(name: str) -> Any:
        if name not in modules:
            raise AttributeError(f"module {package!r} has no attribute {name!r}")
        value = getattr(import_module(f".{modules[name]}", package), name)
        setattr(sys.modules[package], name, value)
        return value

    return get
