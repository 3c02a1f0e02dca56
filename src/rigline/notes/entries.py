"""What notes are made of: a thing to do, and a thing to measure."""

from __future__ import annotations

from msgspec import Struct


class Task(Struct, frozen=True):
    """One thing to do and to tick off."""

    what: str
    stops: bool = False
    """Whether nothing further may be done before it is settled."""


class Step(Struct, frozen=True):
    """One step of the installation; the next one begins when all of its tasks are ticked."""

    title: str
    why: str
    tasks: tuple[Task, ...]


class Measurement(Struct, frozen=True):
    """One test with what it must show on this system."""

    what: str
    """What to do, with the places to touch."""
    expected: str
    source: str
    """Who asks for it; where the figure comes from."""


class Group(Struct, frozen=True):
    """Measurements that are made together."""

    title: str
    how: str
    """State of the system, tool and its setting."""
    tests: tuple[Measurement, ...]


COMMON = "common practice"
"""Source of what the trade does without a printed rule that we know."""
