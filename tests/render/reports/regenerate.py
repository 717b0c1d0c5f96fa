"""Write the frozen reports of the examples anew: run after a change of the results that is meant.

    python tests/render/reports/regenerate.py

Read the difference (`git diff tests/render/reports`) before you commit it: each changed line is a
key, a numeral, an area or a grip that a player gets from now on.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Final

FOLDER: Final = Path(__file__).parent
sys.path.insert(0, str(FOLDER.parents[1]))

from support.frozen import frozen_texts, report_text  # noqa: E402


def main() -> None:
    """Write every report."""
    for name, text in frozen_texts().items():
        (FOLDER / f"{name}.json").write_text(report_text(text), encoding="utf-8")


if __name__ == "__main__":
    main()
