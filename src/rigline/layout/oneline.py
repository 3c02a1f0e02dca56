"""What a one-line shows, freed from how it is wired: stations joined by feeders.

The wiring graph has every fuse, pole and joint as a node of its own. A one-line is read by feeders: a bus, then a
fuse, a switch and a load below it on one straight line. This module only holds those words; `contract.py` finds them
in a system, and the placing works on nothing else.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from msgspec import Struct, field


class Station(Struct, frozen=True):
    """A component where feeders end: a source, a battery, a bus, a converter, a load, or an earth."""

    id: str
    kind: str
    lines: tuple[str, ...]
    """What stands beside the symbol, from the top: designation, name, ratings. Each is one line of text."""
    role: str
    """source | storage | bus | converter | load | earth"""
    medium: str
    """dc | ac | earth; a converter between DC and AC is `dc`, its AC feeders say `ac` themselves."""
    place: str | None = None
    later: bool = False
    """Planned for a later stage: drawn dashed."""
    flags: tuple[int, ...] = ()
    """Numbers of the findings that stand at this component."""
    title: str = ""
    """One sentence with the component's numbers, for the tooltip."""


class Device(Struct, frozen=True):
    """A component in line on a feeder: fuse, breaker, switch, shunt, connector."""

    id: str
    kind: str
    lines: tuple[str, ...]
    conductor: str = "hot"
    """Which conductor the device interrupts: hot | negative | both | earth."""
    place: str | None = None
    later: bool = False
    flags: tuple[int, ...] = ()
    title: str = ""


class Tag(Struct, frozen=True):
    """What is written beside one stretch of wire between two devices."""

    segment: str
    """The segment's id, as in W4b."""
    lines: tuple[str, ...]
    """From the top: id and conductors, gauge, length. Never empty."""
    sized: bool = False
    """The tool chose the wire; drawn marked."""
    unknown: bool = False
    flags: tuple[int, ...] = ()
    title: str = ""


class Feeder(Struct, frozen=True):
    """One line from station to station with the devices on it, in order from `start` to `end`."""

    id: str
    runs: tuple[str, ...]
    start: str
    """Station id; power flows from start to end in normal use."""
    end: str
    devices: tuple[Device, ...]
    tags: tuple[Tag, ...]
    """len(devices) + 1 tags: before, between and behind the devices."""
    kind: str
    """dc | ac | bond | sense"""
    conductors: int = 2
    start_port: str = ""
    """Terminal at the start station as the spec writes it: dc, ac-in, ac-out, pv, battery, +, -, case, or empty."""
    end_port: str = ""
    later: bool = False
    inner: bool = False
    """Only joins a symbol to the bar of its own terminal; no conductor of the system."""


class Judgement(NamedTuple):
    """What a flag shows of its finding, or that it marks a change."""

    severity: str
    """danger | fault | question | advice, or change"""
    waived: bool = False
    shown: int | None = None
    """The number on it, if not that by which it is known here."""


class OneLine(Struct, frozen=True):
    """Everything that is to be drawn, in the order of the spec."""

    stations: tuple[Station, ...]
    feeders: tuple[Feeder, ...]
    judgements: Mapping[int, Judgement] = field(default_factory=dict)
    """What each flag stands for, by its number."""
