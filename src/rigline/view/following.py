"""Sees when the spec or one of its parts files is saved, whichever way an editor does that."""

from __future__ import annotations

import asyncio
from pathlib import Path

from watchfiles import awatch

from rigline.view.desk import Desk

LOOK_AGAIN_MS = 2_000
"""How often the files are looked at unasked: file systems over a network tell of no change. Our own choice."""
SETTLE_MS = 100
"""Changes that come closer together are one: many editors save in several steps. Our own choice."""


async def follow(desk: Desk, stop: asyncio.Event) -> None:
    """Keep the desk up to date until stopped.

    The folders are watched, not the files: an editor that renames a new file over the old one ends the watch of a file.
    """
    await desk.refresh()
    while not stop.is_set():
        folders = desk.spec.folders()
        try:
            await _watched(desk, stop, folders)
        except OSError:
            # A folder went away; it may come back.
            await asyncio.sleep(LOOK_AGAIN_MS / 1000)
            await desk.refresh()


async def _watched(desk: Desk, stop: asyncio.Event, folders: frozenset[Path]) -> None:
    """Follow until stopped, or until other folders are to be watched."""
    if not folders:
        raise FileNotFoundError
    async for _ in awatch(
        *folders,
        recursive=False,
        watch_filter=None,
        debounce=SETTLE_MS,
        step=SETTLE_MS // 2,
        rust_timeout=LOOK_AGAIN_MS,
        yield_on_timeout=True,
        stop_event=stop,
    ):
        await desk.refresh()
        if desk.spec.folders() != folders:
            return
