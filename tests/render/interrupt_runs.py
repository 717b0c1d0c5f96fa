"""Kills and signals over runs of a folder at random moments, started by hand.

    python tests/render/interrupt_runs.py --kills 60 --signals 60

A run of a few tunes is killed, or gets one to six signals in a row, alone or with its processes, at
a random moment from its start on. Afterwards nothing may run, every chart must be whole, a run that
was interrupted may say so and nothing else, and what it left unfinished must be cleared. Prints a
line for each failure and a sum; exit status 1 when there was a failure.
"""

from __future__ import annotations

import argparse
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from midneck.render.output import UNFINISHED, clear_unfinished
from midneck.render.stamps import is_whole
from support.run_command import group_is_gone, started, tunes_in, wait_until

TUNES = 8
#: The longest wait before the first signal, and for the end of a run, in seconds.
LATEST_S, PATIENCE_S = 3.0, 60.0
SIGNALS = (signal.SIGINT, signal.SIGINT, signal.SIGTERM, signal.SIGHUP)


def failures_of(
    process: subprocess.Popen[bytes], out: Path, numbers: list[signal.Signals], whole_group: bool
) -> Iterator[str]:
    """Send signals to a run, wait for its end, and look at what it leaves."""
    for number in numbers:
        try:
            (os.killpg if whole_group else os.kill)(process.pid, number)
        except ProcessLookupError:
            break
        time.sleep(random.random() * 0.05)
    try:
        told = process.communicate(timeout=PATIENCE_S)[1].decode()
        wait_until(lambda: group_is_gone(process.pid), PATIENCE_S)
    except (TimeoutError, subprocess.TimeoutExpired):
        os.killpg(process.pid, signal.SIGKILL)
        process.communicate()
        yield "it hangs"
        return
    # Before the entry point is loaded Python itself tells an interrupt, in its own way.
    loads = "midneck/__init__.py" in told and not ("entry.py" in told or "multiprocess" in told)
    if loads or "init_import_site" in told:
        return
    died = {-int(number) for number in numbers}
    if process.returncode not in died | {0, 130}:
        yield f"exit status {process.returncode}"
    if told.strip() not in ("", "interrupted"):
        yield f"it says {told!r}"
    if out.is_dir():
        clear_unfinished(out)
        for path in out.iterdir():
            if path.name.startswith(UNFINISHED[0]):
                yield f"{path.name} is left"
            elif not is_whole(path):
                yield f"{path.name} is not whole"


def main() -> int:
    """Do the kills and the signals; gives the exit status."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=20)
    parser.add_argument("--signals", type=int, default=20)
    parser.add_argument("--seed", type=int, default=0)
    asked = parser.parse_args()
    random.seed(asked.seed)
    ends: Counter[str] = Counter()
    failed = 0
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        tunes_in(folder, TUNES)
        for turn in range(asked.kills + asked.signals):
            kill, out = turn < asked.kills, folder / f"out{turn}"
            jobs, group = str(random.choice((1, 2, 2))), random.random() < 0.5
            numbers = [signal.SIGKILL] if kill else random.choices(SIGNALS, k=random.randint(1, 6))
            wait = random.random() * LATEST_S
            process = started("chart", "tunes", "-o", f"{out}/", "--jobs", jobs, cwd=folder)
            time.sleep(wait)
            for failure in failures_of(process, out, numbers, group):
                failed += 1
                sent = " ".join(each.name for each in numbers)
                print(
                    f"{turn}: {sent} after {wait:.2f} s, {jobs=}, {group=}: {failure}", flush=True
                )
            ends[f"{'killed' if kill else 'signalled'}, status {process.returncode}"] += 1
    for end, count in sorted(ends.items()):
        print(f"{count:4} {end}")
    print(f"{failed} failures")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
