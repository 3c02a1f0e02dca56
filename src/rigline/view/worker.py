"""One thread that computes, so that the page stays alive; what is out of date before it is done is dropped."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

T = TypeVar("T")


class Worker:
    """Computes one job after the other; of the jobs in a lane only the newest counts."""

    def __init__(self) -> None:
        self._pool = ThreadPoolExecutor(max_workers=1, thread_name_prefix="rigline")
        self._newest: dict[str, int] = {}
        self._count = 0

    async def run(self, lane: str, job: Callable[[], T]) -> T | None:
        """The result of a job; None if a newer one came into its lane before it was done."""
        self._count += 1
        ticket = self._newest[lane] = self._count

        def unless_outdated() -> T | None:
            return job() if self._newest.get(lane) == ticket else None

        result = await asyncio.get_running_loop().run_in_executor(self._pool, unless_outdated)
        return result if self._newest.get(lane) == ticket else None

    def end(self) -> None:
        """Take no more jobs, and drop those that have not begun."""
        self._pool.shutdown(wait=False, cancel_futures=True)
