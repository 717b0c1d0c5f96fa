"""Write the frozen texts anew: run after a change of what a terminal shows that is meant.

    python tests/render/texts/regenerate.py

Read the difference (`git diff tests/render/texts`) before you commit it.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Final

FOLDER: Final = Path(__file__).parent
sys.path.insert(0, str(FOLDER.parents[1]))

from support.frozen_texts import TEXTS  # noqa: E402


def main() -> None:
    """Write every text."""
    for name, text in TEXTS.items():
        (FOLDER / f"{name}.txt").write_text(text(), encoding="utf-8")


if __name__ == "__main__":
    main()
