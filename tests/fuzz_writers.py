"""A fuzz run through every writer and back, started by hand:

    python tests/fuzz_writers.py --seed 1 --count 500
    python tests/fuzz_writers.py --seed 1 --count 50 --heavy

Each number from `--seed` on stands for one input: of ten numbers four are mutants of tunes, three
sheets of odd lines, two scores of random pieces and one a tune in ABC with something changed. A
number draws inputs until one is read, `DRAWS` at most; those that are refused are counted. What is
read goes through the writers (`support.writers`):

- all: text, report, tidied text, MusicXML; ten numbers of twenty MIDI and SVG, the other ten
  sentences and PDF; but of the tunes of more than `MANY_BEATS` beats only ten numbers of forty are
  written as MusicXML and MIDI;
- ten numbers of 640, or all with `--heavy`: MusicXML with tablature, the desk's schedule, PNG,
  practice sheets (text, report, SVG, MIDI), a book with them, a lesson (zip and PDF, silent);
- ten numbers of 640: the sound of tunes of up to two minutes.

An input at which anything but `MidneckError` comes out, that does not come back or that takes more
than `SLOW_S` of processor time, is put into `tests/corpus` (or `--faults`) under the name of its
number; an ordinary test reads everything there. The run takes one process and its figures are of
processor time.
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
from midneck.grammar.form.unfold import unfold
from midneck.grammar.sheet import Sheet
from midneck.render.sources import Source, load
from support.abc_tunes import abc_tune
from support.musicxml_mutants import odd_score
from support.mutants import mutant, odd_sheet
from support.tunes import tune_text
from support.writers import HEAVY, LIGHT, PAGES, SOUND, faults_of

CORPUS = Path(__file__).parent / "corpus"
EXAMPLES = Path(__file__).parents[1] / "examples"
#: How many inputs a number draws while they are refused.
DRAWS = 12
#: The most seconds that all writers may take for one input; practice sheets are most of them.
SLOW_S = 20.0
#: How many beats a tune has that takes seconds to be performed.
MANY_BEATS = 2_000
#: After how many numbers the counts are printed.
REPORTED = 500


def made(chance: random.Random, kind: int, tunes: list[str]) -> tuple[str, bytes]:
    """An input of a kind, 0 to 9: the ending of its name, and its bytes."""
    if kind == 0:
        tune = abc_tune(chance.randrange(1_000_000)).text
        return ".abc", mutant(chance, tune, 2).encode("utf-8", "replace")
    if kind in (1, 2):
        return ".musicxml", odd_score(chance)
    text = mutant(chance, chance.choice(tunes)) if kind < 7 else odd_sheet(chance)
    return ".txt", text.encode("utf-8", "surrogatepass")


def writers_for(number: int, sheet: Sheet, heavy: bool) -> tuple[str, ...]:
    """The writers that the input of a number goes through."""
    tens = number // 10
    chosen = tens % 64 == 0
    if heavy or chosen:
        return LIGHT + PAGES + HEAVY + (SOUND if chosen else ())
    left_out = {"words", "pdf"} if tens % 2 == 0 else {"midi", "svg"}
    if tens % 4 and performed_beats(sheet) > MANY_BEATS:
        left_out |= {"musicxml", "midi"}
    return tuple(each for each in LIGHT + PAGES if each not in left_out)


def performed_beats(sheet: Sheet) -> int:
    """The beats of a tune, played once."""
    played = (sheet.bars[at] for at in unfold(sheet).bars)
    return sum(bar.meter.beats * bar.bar_count for bar in played)


def read(name: str, data: bytes) -> Sheet | str:
    """The sheet of an input, or what was raised that no reader may raise. Raises MidneckError."""
    try:
        return load(Source(data, name))
    except MidneckError:
        raise
    except Exception as error:
        return f"reader: {type(error).__name__}: {error}"[:300]


class Run:
    """A fuzz run: what it has counted, and where inputs with faults are put."""

    def __init__(self, tunes: list[str], heavy: bool, faults: Path) -> None:
        self.tunes, self.heavy, self.folder = tunes, heavy, faults
        self.counts, self.failed = Counter[str](), 0
        self.start = time.process_time()

    def try_number(self, number: int) -> None:
        """Draw the input of a number and send it through its writers."""
        chance = random.Random(number)
        for _ in range(DRAWS):
            ending, data = made(chance, number % 10, self.tunes)
            start = time.process_time()
            try:
                sheet = read(f"{number}{ending}", data)
            except MidneckError:
                self.counts[f"{ending} refused"] += 1
                continue
            if isinstance(sheet, str):
                faults = [sheet]
            else:
                self.counts[f"{ending} read"] += 1
                faults = faults_of(sheet, writers_for(number, sheet, self.heavy))
            seconds = time.process_time() - start
            if seconds > SLOW_S:
                faults.append(f"it takes {seconds:.0f} s")
            if faults:
                self.failed += 1
                (self.folder / f"{number}{ending}").write_bytes(data)
                print(f"{number}{ending}", *faults, sep="\n  ", flush=True)
            return

    def report(self) -> None:
        """Print what was counted so far."""
        seconds = time.process_time() - self.start
        print(
            ", ".join(f"{count} {what}" for what, count in sorted(self.counts.items())),
            f"{self.failed} inputs with faults, {seconds:.0f} s of processor time",
            sep="; ", flush=True,
        )  # fmt: skip


def main() -> int:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--seed", type=int, default=0)
    options.add_argument("--count", type=int, default=100)
    options.add_argument("--heavy", action="store_true")
    options.add_argument("--faults", type=Path, default=CORPUS, help="Folder for inputs.")
    options.add_argument("tunes", nargs="*", type=Path, help="More sheets to make mutants of.")
    given = options.parse_args()
    tunes = [tune_text(seed) for seed in range(40)]
    paths = [*sorted(EXAMPLES.glob("*.txt")), *given.tunes]
    tunes += [path.read_text(encoding="utf-8") for path in paths]
    run = Run(tunes, given.heavy, given.faults)
    for number in range(given.seed, given.seed + given.count):
        run.try_number(number)
        if (number - given.seed) % REPORTED == REPORTED - 1:
            run.report()
    run.report()
    return 1 if run.failed else 0


if __name__ == "__main__":
    sys.exit(main())
