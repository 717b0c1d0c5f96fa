"""A copy of the package that mutants are written into, so that the checkout is never touched.

The workplace is a folder outside the checkout:

    site/midneck/     the package as it stood when the tests were traced
    lines.coverage    which test ran which line of it (coverage.py, a context for each test)
    tests.json        the seconds of each test and a fingerprint of each test file
"""

from __future__ import annotations

import compileall
import os
import shutil
import sys
import tempfile
import tomllib
from pathlib import Path
from typing import Final

ROOT: Final = Path(__file__).parents[2]
#: Where the workplace is unless an option says otherwise.
WORKPLACE: Final = Path(tempfile.gettempdir()) / "midneck-mutation"


def folders() -> dict[str, str]:
    """The folder of each package in the checkout, the outer package first."""
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    found: dict[str, str] = settings["tool"]["setuptools"]["package-dir"]
    return dict(sorted(found.items(), key=lambda pair: pair[0].count(".")))


def copy_package(workplace: Path) -> Path:
    """A fresh, compiled copy of the package in the workplace; gives the folder to import from."""
    site = workplace / "site"
    shutil.rmtree(site, ignore_errors=True)
    leave_out = shutil.ignore_patterns("__pycache__")
    for name, folder in folders().items():
        place = site.joinpath(*name.split("."))
        shutil.copytree(ROOT / folder, place, ignore=leave_out, dirs_exist_ok=True)
    shutil.rmtree(site / "midneck" / "render" / "facade")
    compileall.compile_dir(site, quiet=1)
    return site


def modules(site: Path) -> dict[str, Path]:
    """The copied modules by their names in the checkout (`render/page/layout.py`)."""
    found = {}
    for name, folder in reversed(folders().items()):
        place = site.joinpath(*name.split("."))
        for path in sorted(place.rglob("*.py")):
            if path not in found.values():
                found[f"{folder}/{path.relative_to(place).as_posix()}"] = path
    return found


def stale(site: Path) -> list[str]:
    """The modules that are other in the checkout than in the copy."""
    copied = modules(site)
    return [name for name, path in copied.items() if _read(ROOT / name) != _read(path)]


def _read(path: Path) -> bytes:
    return path.read_bytes() if path.exists() else b""


def use_copy(site: Path) -> None:
    """Let this process and those that it starts import the copy; nothing is cached on disk."""
    sys.path.insert(0, str(site))
    sys.dont_write_bytecode = True
    os.environ |= {"PYTHONPATH": str(site), "PYTHONDONTWRITEBYTECODE": "1", "CI": "1"}
    os.chdir(ROOT)
