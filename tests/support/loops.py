"""Coroutines in tests that share a process with a browser."""

from __future__ import annotations

import asyncio
from collections.abc import Coroutine
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

T = TypeVar("T")


def in_thread(work: Coroutine[None, None, T]) -> T:
    """Run a coroutine to its end in a thread of its own.

    Playwright keeps an event loop running in the thread of the tests once a browser is open, and
    `asyncio.run` refuses to start another one there.
    """
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(asyncio.run, work).result()
