"""Settings for the whole test suite: its two tiers and how many examples property tests try.

`pytest` runs every test but the benchmarks, `pytest -m quick` those that a developer runs at each
change (every test that is marked neither `slow` nor `benchmark`), `pytest -m benchmark` tries each
benchmark once on small work. `pytest --hypothesis-profile thorough` tries ten thousand examples of
each property.
"""

from __future__ import annotations

import gc
import os
from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis.strategies import none

settings.register_profile(
    "quick", max_examples=60, deadline=None, derandomize=bool(os.environ.get("CI"))
)
settings.register_profile("thorough", max_examples=10_000, deadline=None)
settings.load_profile("quick")


@pytest.fixture(autouse=True, scope="session")
def no_waiting_for_the_disk() -> Iterator[None]:
    """Save files without waiting for the disk, as `--no-sync` does: a power failure ends tests."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "fsync", lambda handle: None)
        yield


def pytest_collection_finish() -> None:
    """Leave thousands of tests out of what the garbage collector goes through again and again."""
    # Hypothesis 6.100 looks at its first example for who refers to its own random numbers.
    given(none())(lambda nothing: None)()
    gc.collect()
    gc.freeze()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what is neither slow nor a benchmark as quick."""
    for item in items:
        if not any(item.iter_markers("slow")) and not any(item.iter_markers("benchmark")):
            item.add_marker(pytest.mark.quick)
