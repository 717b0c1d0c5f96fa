"""Work out the tables of the grammars anew: `python tests/grammar/regenerate_tables.py`.

To be run after a change to a grammar or to the table of qualities, and with the newest lark.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from midneck.grammar.tables import digest, tables_bytes, tables_path
from support.grammars import BUILDERS, GRAMMARS


def main() -> None:
    """Write a file for each start rule whose tables are missing or out of date."""
    for start, grammar in GRAMMARS.items():
        path, builder = tables_path(start), BUILDERS[start]
        stored = path.read_bytes() if path.exists() else b""
        if not stored.startswith(digest(grammar, start, builder)):
            path.write_bytes(tables_bytes(grammar, start, builder))


if __name__ == "__main__":
    main()
