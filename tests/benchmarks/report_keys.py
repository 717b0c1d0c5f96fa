"""How often the key of a tune is found from its chords alone, and what kind of error is made.

Run `python tests/benchmarks/report_keys.py`. The tunes are our own: the reference progressions
and invented tunes with known keys, their header keys taken away. `mir_eval.key.weighted_score`
gives part of a point for a fifth, the relative and the parallel key (Raffel et al., ISMIR 2014;
MIREX).
"""

from __future__ import annotations

import sys
from collections import Counter
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

import mir_eval
from midneck.grammar.text.reader import read_sheet
from references.progressions import progressions
from support.harmony import analysed, sheet_of
from support.tunes import tune_text

INVENTED = 300
KINDS = {1.0: "right", 0.5: "fifth", 0.3: "relative", 0.2: "parallel", 0.0: "other"}


def name(text: str) -> str:
    """`Bbm` as mir_eval writes it."""
    return f"{text.removesuffix('m')} {'minor' if text.endswith('m') else 'major'}"


def invented() -> list[tuple[str, str]]:
    """(expected, found) for invented tunes without their header key."""
    pairs = []
    for seed in range(INVENTED):
        sheet = read_sheet(tune_text(seed))
        bare = replace(sheet, header=replace(sheet.header, key=None))
        pairs.append((str(sheet.header.key), str(analysed(bare).key)))
    return pairs


def report(title: str, pairs: list[tuple[str, str]]) -> None:
    scores = [mir_eval.key.weighted_score(expected, found) for expected, found in pairs]
    kinds = Counter(KINDS[score] for score in scores)
    score = sum(scores) / len(scores)
    print(f"{title}: {len(pairs)} tunes, weighted score {score:.3f}; {dict(kinds)}")


def main() -> None:
    pairs = [(name(p.key), str(analysed(sheet_of(p.bars)).key)) for p in progressions()]
    report("reference progressions", pairs)
    report("invented tunes", invented())


if __name__ == "__main__":
    main()
