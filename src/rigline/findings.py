"""What a check says about a design: a finding, or that it could not tell. Data only."""

from __future__ import annotations

from enum import StrEnum
from typing import Literal

from msgspec import Struct

Family = Literal[
    "overcurrent",
    "grounding & bonding",
    "conductor",
    "sources & charging",
    "PV",
    "AC",
    "battery bank",
    "disconnects",
    "monitoring",
    "documentation",
    "physical",
]


class Severity(StrEnum):
    """How bad a finding is."""

    DANGER = "danger"
    """A single plausible fault gives fire, shock or explosion."""
    FAULT = "fault"
    """It won't work, will fail an inspection, or damages equipment."""
    QUESTION = "question"
    """A fact is missing or can be read two ways; the assumption made is stated."""
    ADVICE = "advice"
    """Better practice."""

    @property
    def rank(self) -> int:
        """0 for the worst."""
        return list(Severity).index(self)


class Finding(Struct, frozen=True):
    """One thing wrong with a design, in numbers and in words."""

    rule: str
    family: Family
    severity: Severity
    at: tuple[str, ...]
    """Components, the chief one first."""
    runs: tuple[str, ...]
    segment: str | None
    found: float | None
    limit: float | None
    unit: str
    message: str
    remedy: str
    source: str
    file: str
    line: int
    column: int
    mode: str | None = None
    """The position of the switches in which it holds, if not always."""
    waived: str | None = None
    """The author's reason for accepting it."""
    folded: tuple[str, ...] = ()
    """Slugs of the rules that say the same of the same place; mending this mends those."""


class NotAssessed(Struct, frozen=True, order=True):
    """A rule that could not be judged at a place, and what must be known for it."""

    rule: str
    at: tuple[str, ...]
    missing: str
