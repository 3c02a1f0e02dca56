"""What the system is bonded to: chassis, hull, electrodes and earth bars."""

from __future__ import annotations

from typing import ClassVar, Literal

from rigline.kinds.base import Component, Role, Terminal

EARTH = (Terminal("", "any"),)


class Chassis(Component, frozen=True, kw_only=True):
    """The metal of a vehicle, hull, engine block or frame."""

    kind: ClassVar[str] = "chassis"
    role: ClassVar[Role] = "earth"
    title: ClassVar[str] = "chassis"
    terminals: ClassVar[tuple[Terminal, ...]] = EARTH

    type: Literal["chassis", "hull", "engine", "frame", "gas-pipe", "metal"] | None = None
    """What metal it is."""


class EarthElectrode(Component, frozen=True, kw_only=True):
    """A rod, plate or foundation electrode in the ground."""

    kind: ClassVar[str] = "earth-electrode"
    role: ClassVar[Role] = "earth"
    title: ClassVar[str] = "earth electrode"
    terminals: ClassVar[tuple[Terminal, ...]] = EARTH

    type: Literal["rod", "plate", "foundation", "water-pipe"] | None = None
    """What electrode it is."""
    count: int = 1
    """How many, joined."""
    resistance_ohm: float | None = None
    """Resistance to earth, measured."""


class EarthBus(Component, frozen=True, kw_only=True):
    """A bar where protective conductors meet."""

    kind: ClassVar[str] = "earth-bus"
    role: ClassVar[Role] = "earth"
    title: ClassVar[str] = "earth bus"
    terminals: ClassVar[tuple[Terminal, ...]] = EARTH

    rating_a: float | None = None
    """Continuous rating."""
