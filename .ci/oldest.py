"""The lower bounds of pyproject.toml as a constraints file: `python .ci/oldest.py > oldest.txt`.

Every dependency, those of the tests included, is pinned to the least version that it is said to
work with.
"""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

REQUIREMENT = re.compile(r"([A-Za-z0-9_.-]+)>=([0-9.]+)")


def pins(text: str) -> list[str]:
    """`name==version` for each requirement of a project. Raises ValueError for one without."""
    project = tomllib.loads(text)["project"]
    wanted = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    found = []
    for requirement in wanted:
        match = REQUIREMENT.fullmatch(requirement)
        if match is None:
            raise ValueError(f"{requirement}: write it as name>=version")
        found.append(f"{match[1]}=={match[2]}")
    return found


if __name__ == "__main__":
    path = Path(__file__).parents[1] / "pyproject.toml"
    print("\n".join(pins(path.read_text(encoding="utf-8"))))
