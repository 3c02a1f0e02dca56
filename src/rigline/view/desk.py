"""What the page is shown: the newest outcome of the file, the last sound drawing, and what is being tried out."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from typing import Any

from rigline.errors import CommandError
from rigline.view.outcome import Lists, Outcome, checked, drawn, lists_of, unreadable
from rigline.view.page import look
from rigline.view.spec_file import SpecFile
from rigline.view.worker import Worker

MOST_DRAWINGS = 4
"""Drawings whose lists can still be asked for: of the file and of the try-out, each with the one before it."""


class Desk:
    """Follows one spec and answers the page."""

    def __init__(self, spec: SpecFile) -> None:
        self.spec = spec
        self.ended = False
        self._worker = Worker()
        self._number = 0
        self._seen = ""
        self._shown: dict[str, Any] | None = None
        self._sound: Outcome | None = None
        self._sound_number = 0
        self._drawings: dict[int, Outcome] = {}
        self._lists: dict[int, Lists] = {}
        self._changed = asyncio.Event()
        self._tasks: set[asyncio.Task[None]] = set()

    # What is on disk

    async def refresh(self) -> None:
        """Look at the files; if any changed, begin to study them and come back at once."""
        if self.ended:
            return
        try:
            data = self.spec.read()
        except CommandError as error:
            await self._missing(error)
            return
        if self.spec.digest(data) == self._seen:
            return
        self.spec.note_parts(data)
        self._seen = self.spec.digest(data)
        task = asyncio.create_task(self._study(data))
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)

    async def _missing(self, error: CommandError) -> None:
        seen = f"missing: {error}"
        if seen != self._seen:
            self._seen = seen
            await self._worker.run("file", lambda: None)
            if self._seen == seen:
                self._show(unreadable(self.spec, error))

    async def _study(self, data: bytes) -> None:
        outcome = await self._worker.run("file", lambda: drawn(self.spec, data))
        if outcome is not None:
            self._show(outcome)

    def _show(self, outcome: Outcome) -> None:
        self._number += 1
        if outcome.drawing is not None:
            self._sound, self._sound_number = outcome, self._number
            self._keep(self._number, outcome)
        self._shown = look(self.spec.path.name, self._number, outcome, self._sound, self._sound_number)
        self._changed.set()
        self._changed = asyncio.Event()

    def _keep(self, number: int, outcome: Outcome) -> None:
        self._drawings[number] = outcome
        for old in sorted(self._drawings)[:-MOST_DRAWINGS]:
            del self._drawings[old]
            self._lists.pop(old, None)

    # What the page asks

    async def state(self) -> dict[str, Any]:
        """The newest look; waits for the first."""
        while self._shown is None:
            await self._changed.wait()
        return self._shown

    async def numbers(self, patience_s: float) -> AsyncIterator[int | None]:
        """The number of each new look as it comes; None when for a while there was none."""
        told = 0
        while not self.ended:
            changed = self._changed
            if self._shown is not None and self._shown["number"] != told:
                told = self._shown["number"]
                yield told
                continue
            try:
                await asyncio.wait_for(changed.wait(), patience_s)
            except TimeoutError:
                yield None

    async def check(self, text: str) -> dict[str, Any] | None:
        """Problems or findings of a text that isn't saved; None if a newer one came meanwhile."""
        data = self._as_saved(text)
        outcome = await self._worker.run("check", lambda: checked(self.spec, data))
        return None if outcome is None else outcome.marks()

    async def try_out(self, text: str) -> dict[str, Any] | None:
        """The look of a text that isn't saved; None if a newer one came meanwhile."""
        data = self._as_saved(text)
        outcome = await self._worker.run("try", lambda: drawn(self.spec, data))
        if outcome is None:
            return None
        self._number += 1
        number = self._number
        if outcome.drawing is not None:
            self._keep(number, outcome)
        return look(self.spec.path.name, number, outcome, outcome if outcome.drawing else None, number)

    def _as_saved(self, text: str) -> bytes:
        """The text as bytes: what the file would hold, but for its encoding, which no number depends on."""
        return text.encode("utf-8", "surrogatepass")

    async def lists(self, number: int) -> Lists | None:
        """The lists of a drawing by its number; None if it is out of date."""
        outcome = self._drawings.get(number)
        if outcome is None or outcome.drawing is None:
            return None
        if number not in self._lists:
            drawing = outcome.drawing
            found = await self._worker.run("lists", lambda: lists_of(drawing, number))
            if found is None:
                return None
            self._lists[number] = found
        return self._lists[number]

    def end(self) -> None:
        """Let every listener go, and stop computing."""
        self.ended = True
        self._changed.set()
        self._worker.end()
