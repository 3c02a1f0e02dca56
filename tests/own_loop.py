"""Runs a coroutine in a thread of its own: a browser that another test drives keeps a loop in this one."""

from __future__ import annotations

import asyncio
from collections.abc import Coroutine
from concurrent.futures import ThreadPoolExecutor
from typing import Any, TypeVar

T = TypeVar("T")


def run_alone(coroutine: Coroutine[Any, Any, T]) -> T:
    """What a coroutine returns."""
    with ThreadPoolExecutor(1) as thread:
        return thread.submit(asyncio.run, coroutine).result()
