"""The current at which an overcurrent device is sure to open soon: what a short must draw."""

from __future__ import annotations

from msgspec import Struct

from rigline.kinds import Component
from rigline.kinds.devices import Breaker
from rigline.standards.tables import table

LEAST_TIMES = 2.0
"""Fault current over rating at which a device whose curve is not known still opens within minutes: 2 to 4 minutes for
fuses up to 60 A. Source: UL 248-14; for breakers UL 489, from memory. 5 times for quick clearing: common practice."""
BANDS = "iec_60898_bands"


class Opening(Struct, frozen=True):
    """What opens one device."""

    amps_a: float
    """The least current that is sure to open it soon."""
    why: str
    """In words, with the source."""
    at_once: bool
    """Whether it opens at once (within 0.1 s), or within minutes only."""


def opening(device: Component, rating_a: float) -> Opening:
    """What opens a device of a rating: the end of its instantaneous band if it has one, else twice its rating."""
    curve = device.curve if isinstance(device, Breaker) else None
    times = None if curve is None else table(BANDS).number(curve, "opens")
    if curve is None or times is None:
        return Opening(
            LEAST_TIMES * rating_a, "twice its rating, within minutes (UL 248-14; UL 489 from memory)", False
        )
    why = f"{times:g} times its rating, at once, by curve {curve} ({table(BANDS).source.document}, from memory)"
    return Opening(times * rating_a, why, True)
