"""A sample of mutants, each judged by the tests that touch its line: how much the tests notice.

    python tests/mutation/trace_tests.py            first: which test runs which line
    python tests/mutation/sample.py                 300 mutants over all folders, with seed 0
    python tests/mutation/sample.py -n 60 --seed 3 --folder render/page --folder render/text.py
    python tests/mutation/sample.py --skip 60       the rest of a run that was ended early
    python tests/mutation/sample.py --again FILE    those of a list of names, one a line

Prints each mutant with its verdict, then Markdown: a line for each folder, with the share that the
quick tests notice ("killed") and the share that all do (those that only slow ones notice are killed
"slowly"). Mutants of the list
`equivalent.txt` change nothing that anybody could see and are counted apart.
"""

from __future__ import annotations

import argparse
import random
import sys
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from mutation.judge import compile_tests, judge, load_libraries
from mutation.operators import Mutant, mutants_of
from mutation.package import WORKPLACE, modules, stale
from mutation.touched import READ_SOURCE, load_trace

EQUIVALENT = Path(__file__).with_name("equivalent.txt")
HEAD = (
    "| folder | mutants | killed | slowly | survived | untouched | equivalent | quick | noticed |"
    "\n|---|--:|--:|--:|--:|--:|--:|--:|--:|"
)
#: The columns of verdicts.
VERDICTS = ("killed", "slowly", "survived", "untouched", "equivalent")


def equivalent_names(path: Path = EQUIVALENT) -> set[str]:
    """The names of mutants that change nothing; a reason stands above each of them, behind "#"."""
    lines = path.read_text(encoding="utf-8").splitlines()
    return {line for line in lines if line and not line.startswith("#")}


def folder_of(module: str) -> str:
    """The row of the report that a module belongs to: two folders at most."""
    parts = module.split("/")[:-1]
    return "/".join(parts[:2])


def sampled(every: dict[str, list[Mutant]], count: int, seed: int) -> list[Mutant]:
    """So many different mutants: a module by its size, then an operator, then one of its places.

    Operators come equally often, for constants would be most of the sample otherwise. They stand
    in the order in which they were drawn, so that the first of them are a sample too.
    """
    chance = random.Random(seed)
    names = sorted(name for name, mutants in every.items() if mutants)
    sizes = [len(every[name]) for name in names]
    count = min(count, sum(sizes))
    found: dict[str, Mutant] = {}
    while len(found) < count:
        [module] = chance.choices(names, sizes)
        by_operator: dict[str, list[Mutant]] = defaultdict(list)
        for mutant in every[module]:
            by_operator[mutant.operator].append(mutant)
        mutant = chance.choice(by_operator[chance.choice(sorted(by_operator))])
        found[mutant.name] = mutant
    return list(found.values())


def report(verdicts: Iterable[tuple[str, str]]) -> Iterator[str]:
    """The table of verdicts (folder, verdict), then their sum."""
    rows: dict[str, Counter[str]] = defaultdict(Counter)
    for folder, verdict in verdicts:
        rows[folder][verdict] += 1
        rows["all"][verdict] += 1
    yield HEAD
    for folder in [*sorted(rows.keys() - {"all"}), "all"]:
        counts = rows[folder]
        judged = sum(counts.values()) - counts["equivalent"]
        quick, every = counts["killed"], counts["killed"] + counts["slowly"]
        shares = [f"{100 * part / judged:.0f} %" if judged else "–" for part in (quick, every)]
        cells = [sum(counts.values()), *(counts[name] for name in VERDICTS), *shares]
        yield f"| {folder} | {' | '.join(map(str, cells))} |"


def chosen(arguments: argparse.Namespace, there: dict[str, Path]) -> list[Mutant]:
    """The mutants that the options ask for, of modules by name."""
    names = set(arguments.again.read_text("utf-8").splitlines() if arguments.again else ())
    starts = tuple(name.partition(" ")[0] for name in names) or tuple(arguments.folder or ("",))
    every = {
        name: mutants_of(name, path.read_text("utf-8"))
        for name, path in there.items()
        if name.startswith(starts)
    }
    if arguments.again is None:
        return sampled(every, arguments.count, arguments.seed)
    return [mutant for mutants in every.values() for mutant in mutants if mutant.name in names]


def main() -> None:
    """Judge a sample and print what came of it."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("-n", "--count", type=int, default=300)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--skip", type=int, default=0, help="leave out the first so many")
    parser.add_argument("--folder", action="append", help="only modules that begin so")
    parser.add_argument("--again", type=Path, help="a file of names, one a line")
    arguments = parser.parse_args()
    there = modules(WORKPLACE / "site")
    changed = stale(WORKPLACE / "site")
    if changed:
        raise SystemExit(f"trace the tests again: {', '.join(changed)} changed since")
    touched, known = load_trace(WORKPLACE), equivalent_names()
    new = [*dict.fromkeys([*touched.changed_files(), *READ_SOURCE])]
    load_libraries()
    compile_tests(WORKPLACE / "site")
    verdicts: list[tuple[str, str]] = []
    for mutant in chosen(arguments, there)[arguments.skip :]:
        verdict: str = "equivalent"
        if mutant.name not in known:
            verdict = judge(mutant, there[mutant.module], WORKPLACE / "site", touched, new)
        verdicts.append((folder_of(mutant.module), verdict))
        print(f"{verdict:<10} {mutant.module}:{mutant.line}  {mutant.name}", flush=True)
    print("", *report(verdicts), sep="\n")


if __name__ == "__main__":
    main()
