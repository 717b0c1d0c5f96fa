"""A coverage-guided fuzz run of the reader: `python tests/grammar/fuzz_reader.py SECONDS [SEED]`.

Mutates sheets for so many seconds, keeps each one that reaches a line of `midneck.grammar` that no
other reached, and stops with the text when anything but `SheetError` comes out, or when what was
read does not survive being written. Prints how many texts were tried and how many lines reached.
"""

from __future__ import annotations

import random
import sys
import time
from pathlib import Path
from types import FrameType

from midneck.converter.form import unfold
from midneck.grammar.errors import SheetError
from midneck.grammar.reader import read_sheet
from midneck.grammar.sheet_format import SHEET_FORMAT
from midneck.grammar.sheet_writer import write_sheet

sys.path.insert(0, str(Path(__file__).parents[1]))

from support.tunes import tune_text

Reached = set[tuple[str, int]]
PIECES = [*SHEET_FORMAT.split(), "\n", "\n", " ", "\r\n", "\t", "♭", "｜", "𝄇", "“"]


def main(seconds: float, seed: int) -> None:
    chance = random.Random(seed)
    corpus = [tune_text(number) for number in range(6)] + SHEET_FORMAT.split("\n\n")
    reached: Reached = set()
    for text in corpus:
        reached |= lines_reached(text)
    tried, stop = len(corpus), time.monotonic() + seconds
    while time.monotonic() < stop:
        text = mutated(chance.choice(corpus), corpus, chance)
        new = lines_reached(text) - reached
        if new:
            reached |= new
            corpus.append(text)
        tried += 1
    print(f"{tried} texts, {len(corpus)} kept, {len(reached)} lines of midneck.grammar reached")


def mutated(text: str, corpus: list[str], chance: random.Random) -> str:
    """A text with one to five cuts, pieces, or parts of another one put in."""
    for _ in range(chance.randint(1, 5)):
        at = chance.randint(0, len(text))
        end = min(len(text), at + chance.choice((0, 0, 1, 3, 20)))
        other = chance.choice(corpus)
        start = chance.randint(0, len(other))
        piece = chance.choice(("", chance.choice(PIECES), other[start : start + 30]))
        text = text[:at] + piece + text[end:]
    return text[:3000]


def lines_reached(text: str) -> Reached:
    """The lines of `midneck.grammar` that reading and writing a text runs through."""
    reached: Reached = set()

    def trace(frame: FrameType, event: str, _: object) -> object:
        name = frame.f_code.co_filename
        if "grammar" not in name:
            return None
        reached.add((name, frame.f_lineno))
        return trace

    sys.settrace(trace)
    try:
        survive(text)
    except SheetError:
        pass
    except BaseException:
        print(f"this text breaks it: {text!r}", file=sys.stderr)
        raise
    finally:
        sys.settrace(None)
    return reached


def survive(text: str) -> None:
    """Read a text, play it, write it, and read that again."""
    sheet = read_sheet(text)
    unfold(sheet)
    written = write_sheet(sheet, keep_spelling=True)
    again = write_sheet(read_sheet(written), keep_spelling=True)
    if again != written:
        raise AssertionError(f"written differently the second time: {written!r}, {again!r}")


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 60.0, int(sys.argv[2]) if sys.argv[2:] else 1)
