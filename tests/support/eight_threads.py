"""Eight threads that make the same charts at once, in a process of their own.

Prints a line for each thread: the digests of its files. All are to be the same.
"""

from __future__ import annotations

import os
import sys
import tempfile
from hashlib import sha256
from pathlib import Path
from threading import Barrier, Thread

import midneck

THREADS = 8
TEXTS = (
    "Title: Tram Stop\nKey: C\n\nA:\n| Dm7 | G7 | C6 | A7 ||\n",
    "Title: Été ♭\nKey: Eb\n\nA:\n| Fm7 | Bb7 | Ebmaj7 | C7b9 ||\n",
)


def digests(turn: int, kinds: tuple[str, ...]) -> str:
    """The digests of the files of both tunes; threads begin with different ones."""
    made: dict[str, str] = {}
    for number in (turn % 2, 1 - turn % 2):
        chart = midneck.chart(TEXTS[number])
        for kind in kinds:
            data = b"".join(data for _, data in chart.files(kind))
            made[f"{number}{kind}"] = sha256(data).hexdigest()
        with tempfile.TemporaryDirectory() as folder:
            (path,) = chart.save(Path(folder) / "tune.txt")
            made[f"{number}mode"] = oct(path.stat().st_mode)
    return " ".join(made[name] for name in sorted(made))


def main(kinds: tuple[str, ...]) -> None:
    """Start all threads at one moment."""
    os.umask(0o027)
    start, told = Barrier(THREADS), [""] * THREADS

    def run(turn: int) -> None:
        start.wait()
        told[turn] = digests(turn, kinds)

    threads = [Thread(target=run, args=(turn,)) for turn in range(THREADS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    print("\n".join(told))


if __name__ == "__main__":
    main(tuple(sys.argv[1:]))
