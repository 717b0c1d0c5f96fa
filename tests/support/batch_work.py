"""Work for the processes of a batch: what it does is in the name of the sheet."""

from __future__ import annotations

import os
import signal
import sys
import time


def work(name: str) -> bool:
    """Print the name; be slow, fail or die when the name says so."""
    if "slow" in name:
        time.sleep(0.3)
    if "die" in name:
        os.kill(os.getpid(), signal.SIGKILL)
    print(name)
    print(f"heard {name}", file=sys.stderr)
    return "fail" not in name
