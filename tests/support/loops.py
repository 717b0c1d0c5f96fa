"""Coroutines in tests: run beside a browser of the same process, and waiting for what they do."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Coroutine
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

T = TypeVar("T")
#: How often, and how many times, something is looked for.
STEP_S, STEPS = 0.02, 3000


def in_thread(work: Coroutine[None, None, T]) -> T:
    """Run a coroutine to its end in a thread of its own.

    Playwright keeps an event loop running in the thread of the tests once a browser is open, and
    `asyncio.run` refuses to start another one there.
    """
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(asyncio.run, work).result()


async def came_true(condition: Callable[[], bool]) -> bool:
    """Wait for a condition, at most `STEPS` times; whether it holds then."""
    for _ in range(STEPS):
        if condition():
            return True
        await asyncio.sleep(STEP_S)
    return condition()


async def sees(condition: Callable[[], bool]) -> None:
    """Wait until something is seen."""
    assert await came_true(condition), "it is not seen"
