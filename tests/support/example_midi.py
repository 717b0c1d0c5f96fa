"""The MIDI files of the examples. Run to write them anew, after a change that is meant, and listen.

python tests/support/example_midi.py
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from midneck.render.export import export_performance

from support.charts import EXAMPLES, example_texts
from support.performances import played


def example_midi(name: str) -> bytes:
    """What `midneck play examples/NAME.txt` writes."""
    return export_performance(played(example_texts()[name], count_in=1), ".mid")


if __name__ == "__main__":
    for each in example_texts():
        (EXAMPLES / f"{each}.mid").write_bytes(example_midi(each))
        print(each)
