"""A fuzz run through every writer and back, started by hand:

    python tests/fuzz_writers.py --seed 1 --count 500
    python tests/fuzz_writers.py --seed 1 --count 50 --heavy

Each number from `--seed` on makes one input: a sheet of odd lines, a mutant of a tune, a score of
random pieces, a tune in ABC with something changed. What is read goes through the writers
(`support.writers`); with `--heavy` also through pages, practice sheets, books and PDF. An input
at which anything but `MidneckError` comes out, or that does not come back, is put into
`tests/corpus` under the name of its number; an ordinary test reads everything there. The run takes
one process and its figures are of processor time.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from midneck.grammar.errors import MidneckError
from midneck.render.sources import Source, load
from support.abc_tunes import abc_tune
from support.musicxml_mutants import odd_score
from support.mutants import mutant, odd_sheet
from support.tunes import tune_text
from support.writers import HEAVY, LIGHT, faults_of

CORPUS = Path(__file__).parent / "corpus"
EXAMPLES = Path(__file__).parents[1] / "examples"


def made(number: int, tunes: list[str]) -> tuple[str, bytes]:
    """The input of a number: the ending of its name, and its bytes."""
    chance = random.Random(number)
    kind = number % 8
    if kind == 0:
        return ".abc", mutant(chance, abc_tune(number).text, 2).encode("utf-8", "replace")
    if kind in (1, 2):
        return ".musicxml", odd_score(chance)
    text = mutant(chance, chance.choice(tunes)) if kind < 5 else odd_sheet(chance)
    return ".txt", text.encode("utf-8", "surrogatepass")


def main() -> int:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--seed", type=int, default=0)
    options.add_argument("--count", type=int, default=100)
    options.add_argument("--heavy", action="store_true")
    options.add_argument("tunes", nargs="*", type=Path, help="More sheets to make mutants of.")
    given = options.parse_args()
    tunes = [tune_text(seed) for seed in range(40)]
    paths = [*EXAMPLES.glob("*.txt"), *given.tunes]
    tunes += [path.read_text(encoding="utf-8") for path in paths]
    counts, failed = Counter[str](), 0
    start = time.process_time()
    for number in range(given.seed, given.seed + given.count):
        ending, data = made(number, tunes)
        try:
            sheet = load(Source(data, f"{number}{ending}"))
        except MidneckError:
            counts[f"{ending} refused"] += 1
            continue
        except Exception as error:
            faults = [f"reader: {type(error).__name__}: {error}"]
        else:
            counts[f"{ending} read"] += 1
            faults = faults_of(sheet, LIGHT + HEAVY if given.heavy else LIGHT)
        if faults:
            failed += 1
            (CORPUS / f"{number}{ending}").write_bytes(data)
            print(f"{number}{ending}", *faults, sep="\n  ")
    seconds = time.process_time() - start
    print(", ".join(f"{count} {what}" for what, count in sorted(counts.items())))
    print(f"{failed} inputs with faults in {seconds:.0f} s of processor time")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
