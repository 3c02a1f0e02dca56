"""What uses power, and what only watches it."""

from __future__ import annotations

from typing import ClassVar, Literal

from rigline.kinds.base import AC, DC, Component, Role, Terminal

DropClass = Literal["critical", "general", "motor"]
Season = Literal["all-year", "summer", "winter"]
"""Summer is the half of the year with the long days (April to September north of the equator), winter the other."""
PartOfDay = Literal["all-day", "morning", "midday", "evening", "night"]
"""Begins at 0, 6, 10, 18 and 22 hours of solar time."""


class Load(Component, frozen=True, kw_only=True):
    """Fields of everything that uses power."""

    role: ClassVar[Role] = "load"

    power_w: float | None = None
    """Power of one while running."""
    current_a: float | None = None
    """Current of one while running, if the power is not given."""
    voltage_v: float | None = None
    """Nominal voltage."""
    frequency_hz: float | None = None
    """Frequency it needs."""
    start_a: float | None = None
    """Current while starting."""
    start_w: float | None = None
    """Power while starting."""
    stall_a: float | None = None
    """Current of a locked rotor."""
    use_h_per_day: float | None = None
    """Hours a day in use."""
    duty_frac: float | None = None
    """Share of that time in which it runs."""
    days_per_week: float | None = None
    """Days a week in use."""
    season: Season | None = None
    """Half of the year in which it is used, if not all of it."""
    part_of_day: PartOfDay | None = None
    """When its hours of use begin; all-day spreads them evenly."""
    count: int = 1
    """How many of them hang on this circuit."""
    continuous: bool | None = None
    """Whether it can run for three hours or more."""
    drop_class: DropClass | None = None
    """How much voltage it can do without."""
    min_voltage_v: float | None = None
    """Lowest voltage at which it works."""
    max_voltage_v: float | None = None
    """Highest voltage it stands."""
    always_on: bool | None = None
    """Whether it stays on when the main switch is off."""
    safety: bool | None = None
    """Whether lives depend on it."""
    soft_start: bool | None = None
    """Whether its starting current is limited."""
    thermal_protection: bool | None = None
    """Whether a protector is built in."""
    legs: Literal["L1", "L2", "both"] | None = None
    """Legs of a split-phase source it uses."""
    built_in_fuse_a: float | None = None
    """Rating of a fuse the maker built in."""


class DcLoad(Load, frozen=True, kw_only=True):
    """A load on direct current."""

    kind: ClassVar[str] = "dc-load"
    title: ClassVar[str] = "DC load"
    terminals: ClassVar[tuple[Terminal, ...]] = DC


class AcLoad(Load, frozen=True, kw_only=True):
    """A load on alternating current that is wired in."""

    kind: ClassVar[str] = "ac-load"
    title: ClassVar[str] = "AC load"
    terminals: ClassVar[tuple[Terminal, ...]] = AC


class Receptacle(Load, frozen=True, kw_only=True):
    """One or more outlets on one circuit."""

    kind: ClassVar[str] = "receptacle"
    title: ClassVar[str] = "receptacle"
    terminals: ClassVar[tuple[Terminal, ...]] = (Terminal("", "any"),)

    rating_a: float | None = None
    """Rating of the outlet."""
    gfci: bool | None = None
    """Whether it protects against shock (class A)."""
    location: Literal["galley", "head", "outside", "machinery", "laundry", "general"] | None = None
    """Where the outlet is, for shock protection."""


class Motor(Load, frozen=True, kw_only=True):
    """A motor: pump, windlass, thruster, starter, fan."""

    kind: ClassVar[str] = "motor"
    title: ClassVar[str] = "motor"
    terminals: ClassVar[tuple[Terminal, ...]] = (Terminal("", "any"),)

    cranking: bool | None = None
    """Whether it is an engine's starter."""
    steering: bool | None = None
    """Whether stopping it is the greater hazard."""


class DumpLoad(Load, frozen=True, kw_only=True):
    """A heater that takes surplus energy."""

    kind: ClassVar[str] = "dump-load"
    title: ClassVar[str] = "dump load"
    terminals: ClassVar[tuple[Terminal, ...]] = (Terminal("in", "dc", "in"),)

    controller: str | None = None
    """What switches it."""


class Monitor(Load, frozen=True, kw_only=True):
    """A battery monitor or gauge."""

    kind: ClassVar[str] = "monitor"
    title: ClassVar[str] = "monitor"
    terminals: ClassVar[tuple[Terminal, ...]] = (Terminal("", "dc"), Terminal("sense", "control"))

    alarm: bool | None = None
    """Whether it warns."""


class Sensor(Load, frozen=True, kw_only=True):
    """A sensor or detector."""

    kind: ClassVar[str] = "sensor"
    title: ClassVar[str] = "sensor"
    terminals: ClassVar[tuple[Terminal, ...]] = (Terminal("", "dc"), Terminal("sense", "control"))

    type: str | None = None
    """What it senses: smoke, carbon monoxide, gas, temperature, ground fault, ..."""
    own_battery: bool | None = None
    """Whether it goes on by a battery of its own."""


class SurgeProtector(Component, frozen=True, kw_only=True):
    """A device that shunts surges to earth."""

    kind: ClassVar[str] = "surge-protector"
    role: ClassVar[Role] = "load"
    title: ClassVar[str] = "surge protector"
    terminals: ClassVar[tuple[Terminal, ...]] = (Terminal("", "any"),)

    voltage_v: float | None = None
    """Largest continuous voltage."""
    rating_a: float | None = None
    """Discharge current."""
