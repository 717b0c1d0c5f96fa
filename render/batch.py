"""Work on one sheet of many, and catch what it prints, so that it can be told in its turn.

Takes the name of a sheet and a function that works on it, gives a `Told`.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from os import cpu_count
from typing import Final

#: Does the work for the name of a sheet; gives whether it went well.
Work = Callable[[str], bool]
#: Sheets for each process, at least: to start a process takes as long as so many charts.
SHEETS_A_JOB: Final = 16


@dataclass(frozen=True, slots=True)
class Told:
    """What came of one sheet: what was printed, as UTF-8 on standard output, and whether well."""

    name: str
    out: bytes
    err: str
    well: bool


def sensible_jobs(count: int) -> int:
    """How many processes to use for so many sheets: no more than processors, none for a few."""
    return max(1, min(cpu_count() or 1, count // SHEETS_A_JOB))


def told_of(name: str, work: Work) -> Told:
    """Work on the sheet of a name."""
    raw, err = io.BytesIO(), io.StringIO()
    with (
        io.TextIOWrapper(raw, encoding="utf-8", newline="", errors="surrogateescape") as out,
        redirect_stdout(out),
        redirect_stderr(err),
    ):
        well = work(name)
        out.flush()
        return Told(name, raw.getvalue(), err.getvalue(), well)
