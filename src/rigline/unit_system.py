"""Whose units a person reads: those of the author's own lengths, or the ones that were asked for.

Only printing is concerned. Every number of the program stays in one unit, and so do the machine-readable forms.
"""

import re
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Literal, TypeAlias

UnitSystem: TypeAlias = Literal["metric", "us"]
"""SI, or the units customary in the United States for lengths, masses and temperatures of air."""

_SHOWN: ContextVar[tuple[UnitSystem, bool]] = ContextVar("shown", default=("metric", False))
_IS_US = re.compile(r"(?:ft|foot|feet|in|inch|inches|['\"′″])\s*$", re.IGNORECASE)


@contextmanager
def shown_in(system: UnitSystem, converted: bool = False) -> Iterator[None]:
    """Print amounts in a system of units while this lasts.

    Args:
        system: For what was computed.
        converted: Whether an author's own words are printed in it too, and no longer as they stand.

    Example:
        >>> with shown_in("us"):
        ...     shown_system()
        'us'
    """
    token = _SHOWN.set((system, converted))
    try:
        yield
    finally:
        _SHOWN.reset(token)


def shown_system() -> UnitSystem:
    """The system of units in which amounts are printed now."""
    return _SHOWN.get()[0]


def is_converted() -> bool:
    """Whether an author's words are printed in the system of units that was asked for."""
    return _SHOWN.get()[1]


def system_of(texts: Iterable[str]) -> UnitSystem:
    """The system of units in which most of an author's lengths are written; metric if neither has more.

    Example:
        >>> system_of(["10 ft", "7 in", "2 m"]), system_of([])
        ('us', 'metric')
    """
    feet = [bool(_IS_US.search(text)) for text in texts]
    return "us" if 2 * sum(feet) > len(feet) else "metric"
