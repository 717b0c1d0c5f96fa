"""Work out the tables of the grammars anew: `python tests/grammar/regenerate_tables.py`.

To be run after a change to a grammar or to the table of qualities, and with the newest lark.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from midneck.grammar.tables import TABLES, tables_text
from support.grammars import GRAMMARS


def main() -> None:
    """Write the file."""
    TABLES.write_text(tables_text(GRAMMARS), encoding="utf-8")


if __name__ == "__main__":
    main()
