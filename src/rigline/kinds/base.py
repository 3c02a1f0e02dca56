"""What every kind of component has: identity, place, stage, and how it joins the wires that reach it."""

from __future__ import annotations

from typing import ClassVar, Literal

from msgspec import Struct

from rigline.standards.wire import WireSize

Role = Literal["source", "storage", "bus", "converter", "load", "inline", "earth"]
Breaks = Literal["hot", "negative", "earth", "all", "none"]


class Terminal(Struct, frozen=True):
    """Where wires land on a component, as a spec writes it behind the dot."""

    name: str
    medium: Literal["dc", "ac", "any", "control"]
    flow: Literal["in", "out", "both"] = "both"
    """The usual direction of power, seen from the component."""


IN_OUT = (Terminal("in", "any", "in"), Terminal("out", "any", "out"))
DC = (Terminal("", "dc"),)
AC = (Terminal("", "ac"),)


class Component(Struct, frozen=True, kw_only=True, eq=False):
    """Fields of every kind. A field that is None was left out, or is not known if `unknown` names it."""

    kind: ClassVar[str] = ""
    role: ClassVar[Role] = "load"
    title: ClassVar[str] = ""
    """What people call the kind, for messages."""
    terminals: ClassVar[tuple[Terminal, ...]] = DC
    breaks: ClassVar[Breaks] = "none"
    """Which conductor of a run an in-line kind interrupts."""
    protects: ClassVar[bool] = False
    """An overcurrent device."""

    id: str
    name: str | None = None
    """What the owner calls it."""
    place: str | None = None
    """Where it is: a key of `places`."""
    stage: str | None = None
    """When it is built: 1, 2, ... or later."""
    part: str | None = None
    """Name of a record in a parts file whose fields it takes."""
    status: Literal["existing", "planned"] | None = None
    """Whether it is there already."""
    note: str | None = None
    """A remark for the tables."""
    mass_kg: float | None = None
    """Mass of one."""
    price: str | None = None
    """Price of one, as written."""
    have: bool | None = None
    """Whether it is on the shelf already."""
    ordered: bool | None = None
    """Whether it has been ordered."""
    spare: bool | None = None
    """Kept on purpose without wires."""
    max_protection_a: float | None = None
    """Largest overcurrent device its maker allows ahead of it."""
    min_wire: WireSize | None = None
    """Smallest wire its maker allows."""
    max_wire: WireSize | None = None
    """Largest wire its terminals take."""
    stud: tuple[str, ...] | None = None
    """Studs of its terminals, as in M8."""
    metal_case: bool | None = None
    """Whether its case is metal and can become live."""
    class_ii: bool | None = None
    """Double insulated: needs no protective earth."""
    listed: bool | None = None
    """Whether it bears a listing or approval mark for this use."""
    ignition_protected: bool | None = None
    """Whether it may stand where petrol or gas vapour collects."""
    internal_protection_a: float | None = None
    """Rating of an overcurrent device that the maker built in."""
    internal_common: Literal["negative", "positive", "isolated"] | None = None
    """Which pole the input and output share inside."""
    grounded_case: bool | None = None
    """Whether the maker ties a pole to the case."""
    label: str | None = None
    """What its label says."""
    ip: str | None = None
    """Protection of its case against water and touch, as in IP44."""
    enclosure: str | None = None
    """Name of the box or panel that it shares with other components."""
    barrier: bool | None = None
    """Whether a barrier keeps AC and DC apart in its enclosure."""
    terminals_c: float | None = None
    """Temperature that its terminals are marked for."""
    confirmed: bool | None = None
    """Whether an unlikely value of it was measured twice."""
    unknown: frozenset[str] = frozenset()
    """Keys whose value the author wrote as `unknown`: a fact that nobody has."""

    @property
    def display(self) -> str:
        """The id with the owner's name, for messages."""
        return f"{self.id} ({self.name})" if self.name else self.id
