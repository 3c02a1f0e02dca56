"""Where wires meet: bars, fuse blocks, panels, junctions."""

from __future__ import annotations

from typing import ClassVar, Literal

from rigline.kinds.base import Component, Role, Terminal
from rigline.kinds.sources import NeutralBond


class DcBus(Component, frozen=True, kw_only=True):
    """Fields of DC distribution points."""

    role: ClassVar[Role] = "bus"

    rating_a: float | None = None
    """Continuous rating."""
    pole: Literal["pair", "positive", "negative"] = "pair"
    """Whether it has a bar for each pole, or is one bar."""
    ways: int | None = None
    """Places for circuits."""
    voltage_v: float | None = None
    """Nominal voltage."""
    covered: bool | None = None
    """Whether live parts are covered."""


class Busbar(DcBus, frozen=True, kw_only=True):
    """A bar (or pair of bars) with studs."""

    kind: ClassVar[str] = "busbar"
    title: ClassVar[str] = "busbar"


class FuseBlock(DcBus, frozen=True, kw_only=True):
    """A block that holds the fuses of its circuits."""

    kind: ClassVar[str] = "fuse-block"
    title: ClassVar[str] = "fuse block"


class DcPanel(DcBus, frozen=True, kw_only=True):
    """A panel that holds the breakers of its circuits."""

    kind: ClassVar[str] = "dc-panel"
    title: ClassVar[str] = "DC panel"


class AcPanel(Component, frozen=True, kw_only=True):
    """A panel of AC breakers with its neutral and earth bars."""

    kind: ClassVar[str] = "ac-panel"
    role: ClassVar[Role] = "bus"
    title: ClassVar[str] = "AC panel"
    terminals: ClassVar[tuple[Terminal, ...]] = (Terminal("", "ac"), Terminal("main", "ac"), Terminal("feeds", "ac"))

    rating_a: float | None = None
    """Rating of its bars."""
    neutral_rating_a: float | None = None
    """Rating of its neutral bar."""
    ways: int | None = None
    """Places for breakers."""
    neutral_bond: NeutralBond | None = None
    """Whether neutral and earth are joined in it: none, fixed."""
    voltage_v: float | None = None
    """Voltage; 120/240 V has two legs."""
    legs: Literal["L1", "L2", "both"] | None = None
    """Legs of a split-phase source that reach it."""
    polarity_indicator: bool | None = None
    """Whether it shows reversed polarity."""


class Junction(Component, frozen=True, kw_only=True):
    """A joint, terminal strip or junction box where runs meet."""

    kind: ClassVar[str] = "junction"
    role: ClassVar[Role] = "bus"
    title: ClassVar[str] = "junction"
    terminals: ClassVar[tuple[Terminal, ...]] = (Terminal("", "any"),)

    rating_a: float | None = None
    """Continuous rating."""
    pole: Literal["pair", "positive", "negative"] = "pair"
    """Which conductors it joins."""
