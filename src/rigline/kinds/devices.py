"""What stands in line: fuses, breakers, switches, relays, selectors, and other things that current passes through."""

from __future__ import annotations

from typing import ClassVar, Literal

from rigline.kinds.base import IN_OUT, Breaks, Component, Role, Terminal

FuseStyle = Literal["class-t", "terminal", "anl", "bolt-down", "blade", "cartridge", "gpv"]
BreakerStyle = Literal["thermal", "magnetic", "thermal-magnetic"]
BreakerCurve = Literal["B", "C", "D"]


class InLine(Component, frozen=True, kw_only=True):
    """Fields of everything that current passes through."""

    role: ClassVar[Role] = "inline"
    terminals: ClassVar[tuple[Terminal, ...]] = IN_OUT
    breaks: ClassVar[Breaks] = "hot"

    rating_a: float | None = None
    """Continuous rating."""
    voltage_v: float | None = None
    """Largest voltage it may be used at."""
    poles: int | None = None
    """Conductors it interrupts together."""
    interlock: str | None = None
    """Name of the interlock that lets only one of its members close."""


class Overcurrent(InLine, frozen=True, kw_only=True):
    """Fields of fuses and breakers."""

    protects: ClassVar[bool] = True

    interrupting_a: float | None = None
    """Largest short-circuit current it can open."""
    dc_rated: bool | None = None
    """Whether it is rated for DC."""
    auto_reset: bool | None = None
    """Whether it closes again by itself."""
    on_post: bool | None = None
    """Whether it sits on the battery post itself."""
    full_duty: bool | None = None
    """Whether it is listed for 100 % continuous duty."""


class Fuse(Overcurrent, frozen=True, kw_only=True):
    """A fuse with its holder."""

    kind: ClassVar[str] = "fuse"
    title: ClassVar[str] = "fuse"

    style: FuseStyle | None = None
    """Family of the fuse."""
    slow: bool | None = None
    """Whether it is time-delay."""


class Breaker(Overcurrent, frozen=True, kw_only=True):
    """A circuit breaker."""

    kind: ClassVar[str] = "breaker"
    title: ClassVar[str] = "breaker"

    style: BreakerStyle | None = None
    """How it trips."""
    curve: BreakerCurve | None = None
    """Band of its instantaneous trip (IEC 60898): B, C or D."""
    polarised: bool | None = None
    """Whether it opens current in one direction only."""
    residual_a: float | None = None
    """Rated residual current, if it is also a residual-current device."""
    gfci: bool | None = None
    """Whether it also protects against shock (class A)."""
    hold_down: bool | None = None
    """Whether it is fastened against pulling out while backfed."""


class Switch(InLine, frozen=True, kw_only=True):
    """A switch or isolator worked by hand."""

    kind: ClassVar[str] = "switch"
    title: ClassVar[str] = "switch"

    positions: int | None = None
    """Positions."""
    brake: bool | None = None
    """Whether it stops a turbine by shorting it."""
    normally: Literal["closed", "open"] | None = None
    """Its usual state."""
    accessible: bool | None = None
    """Whether it can be reached at once."""
    cranking_a: float | None = None
    """Current it stands while an engine is cranked."""


class Selector(InLine, frozen=True, kw_only=True):
    """A switch that joins one or two inputs to a common terminal (1-2-both)."""

    kind: ClassVar[str] = "selector"
    title: ClassVar[str] = "selector switch"
    terminals: ClassVar[tuple[Terminal, ...]] = (
        Terminal("1", "any", "in"),
        Terminal("2", "any", "in"),
        Terminal("common", "any", "out"),
    )

    positions: str | None = None
    """Positions, as in 1-2-both."""
    field_disconnect: bool | None = None
    """Whether it opens an alternator's field first."""
    cranking_a: float | None = None
    """Current it stands while an engine is cranked."""


class Relay(InLine, frozen=True, kw_only=True):
    """A relay, contactor, combiner or remote cut-off."""

    kind: ClassVar[str] = "relay"
    title: ClassVar[str] = "relay"
    terminals: ClassVar[tuple[Terminal, ...]] = (
        Terminal("a", "any", "both"),
        Terminal("b", "any", "both"),
        Terminal("coil", "control"),
    )

    type: Literal["combiner", "isolator", "cut-off"] | None = None
    """What it is for."""
    trigger: Literal["ignition", "alternator", "voltage", "none"] | None = None
    """What closes it; none if nothing opens it again."""
    normally: Literal["closed", "open"] | None = None
    """Its state without its coil."""
    cranking_a: float | None = None
    """Current it stands while an engine is cranked."""


class Connector(InLine, frozen=True, kw_only=True):
    """A plug and socket, or a pin of one."""

    kind: ClassVar[str] = "connector"
    title: ClassVar[str] = "connector"
    breaks: ClassVar[Breaks] = "all"


class DiodeIsolator(InLine, frozen=True, kw_only=True):
    """Diodes that let current pass from the input to each output only."""

    kind: ClassVar[str] = "diode-isolator"
    title: ClassVar[str] = "diode isolator"
    terminals: ClassVar[tuple[Terminal, ...]] = (
        Terminal("in", "dc", "in"),
        Terminal("a", "dc", "out"),
        Terminal("b", "dc", "out"),
    )

    drop_v: float | None = None
    """Forward voltage."""


class TransferSwitch(InLine, frozen=True, kw_only=True):
    """A switch that joins one of two AC sources to its output."""

    kind: ClassVar[str] = "transfer-switch"
    title: ClassVar[str] = "transfer switch"
    terminals: ClassVar[tuple[Terminal, ...]] = (
        Terminal("a", "ac", "in"),
        Terminal("b", "ac", "in"),
        Terminal("out", "ac", "out"),
    )

    switches_neutral: bool | None = None
    """Whether it switches the neutral too."""
    automatic: bool | None = None
    """Whether it changes over by itself."""


class Rcd(InLine, frozen=True, kw_only=True):
    """A residual-current device (ground-fault protection of a whole circuit)."""

    kind: ClassVar[str] = "rcd"
    title: ClassVar[str] = "residual-current device"
    terminals: ClassVar[tuple[Terminal, ...]] = (Terminal("in", "ac", "in"), Terminal("out", "ac", "out"))

    residual_a: float | None = None
    """Rated residual current."""
    overcurrent_a: float | None = None
    """Rating of an overcurrent trip in the same device."""
    type: str | None = None
    """Type, as in A or B."""


class Shunt(InLine, frozen=True, kw_only=True):
    """A measuring shunt; it stands in the negative and protects nothing."""

    kind: ClassVar[str] = "shunt"
    title: ClassVar[str] = "shunt"
    terminals: ClassVar[tuple[Terminal, ...]] = (
        Terminal("battery", "dc", "in"),
        Terminal("load", "dc", "out"),
        Terminal("sense", "control"),
    )
    breaks: ClassVar[Breaks] = "negative"


class GalvanicIsolator(InLine, frozen=True, kw_only=True):
    """A device in a boat's shore earth that stops galvanic current."""

    kind: ClassVar[str] = "galvanic-isolator"
    title: ClassVar[str] = "galvanic isolator"
    breaks: ClassVar[Breaks] = "earth"

    fail_safe: bool | None = None
    """Whether it stays conducting when it fails."""
