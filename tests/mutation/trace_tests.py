"""Trace the tests for `sample.py`: `python tests/mutation/trace_tests.py [PYTEST ARGUMENTS]`.

Takes about ten minutes of one processor and needs coverage, of the extra `test`.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from mutation.package import WORKPLACE
from mutation.touched import trace_tests

if __name__ == "__main__":
    trace_tests(WORKPLACE, sys.argv[1:])
