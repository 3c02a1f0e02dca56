"""Systems of the kinds that owners build, made by rule: each has one of the shapes that are hard to draw.

Invented throughout. `made(shape, size, seed)` grows the shape with sub-buses and loads until it has that many
components.
"""

from __future__ import annotations

from collections.abc import Callable
from random import Random

from layout.generated import ROLES, made_feeder
from msgspec.structs import replace

from rigline.layout.oneline import OneLine, Station

AC_KINDS = {"generator", "shore-inlet", "ac-panel", "ac-load", "transfer-switch", "transformer"}
MORE_ROLES = {
    **ROLES, "selector": "converter", "transformer": "converter", "dc-converter": "converter", "dc-panel": "bus",
    "vehicle-battery": "storage", "wind-turbine": "source",
}  # fmt: skip
PLACES = (None, None, None, "galley", "locker", "engine bay", "cab")


class Maker:
    """Adds stations and feeders; a wire is written as `start port > devices > port end`."""

    def __init__(self, seed: int) -> None:
        self.chance = Random(seed)
        self.one_line = OneLine((), ())
        self.buses: list[str] = []
        self.panels: list[str] = []
        self.places = False

    @property
    def components(self) -> int:
        """Stations and devices so far."""
        return len(self.one_line.stations) + sum(len(feeder.devices) for feeder in self.one_line.feeders)

    def add(self, kind: str, name: str) -> str:
        """A station; buses are remembered as hosts for loads."""
        number = len(self.one_line.stations)
        made, role = f"{kind[0].upper()}{number}", MORE_ROLES[kind]
        lines = (made, name, "12 V 30 A", "second line")[: self.chance.randint(2, 4)]
        medium = "earth" if role == "earth" else "ac" if kind in AC_KINDS else "dc"
        place = self.chance.choice(PLACES) if self.places else None
        station = Station(made, kind, lines, role, medium, place=place)
        self.one_line = OneLine((*self.one_line.stations, station), self.one_line.feeders)
        if role == "bus":
            (self.panels if kind == "ac-panel" else self.buses).append(made)
        return made

    def wire(self, start: str, end: str, devices: str = "fuse", kind: str = "dc", count: int | None = None) -> None:
        """A feeder; a port stands behind a dot."""
        (start, _, out), (end, _, into) = start.partition("."), end.partition(".")
        feeder = made_feeder(len(self.one_line.feeders), start, end, devices.split(), kind, self.chance.randint(2, 3))
        feeder = replace(feeder, start_port=out, end_port=into, conductors=count or feeder.conductors)
        self.one_line = OneLine(self.one_line.stations, (*self.one_line.feeders, feeder))

    def bank(self, bus: str, devices: str = "fuse switch shunt", name: str = "House bank") -> str:
        """A battery on a bus."""
        battery = self.add("battery", name)
        self.wire(battery, bus, devices)
        return battery

    def array(self, bus: str) -> None:
        """An array with its controller."""
        array, controller = self.add("pv-array", "Array"), self.add("charge-controller", "Controller")
        self.wire(array, f"{controller}.pv", "breaker")
        self.wire(f"{controller}.battery", bus, "breaker")

    def inverter(self, bus: str, panel: str, source: str | None = None) -> str:
        """An inverter-charger between a bus and a panel."""
        inverter = self.add("inverter-charger", "Inverter-charger")
        self.wire(bus, f"{inverter}.dc", "fuse")
        self.wire(f"{inverter}.ac-out", panel, "rcd", "ac")
        if source is not None:
            self.wire(source, f"{inverter}.ac-in", "breaker", "ac")
        return inverter

    def bond(self, start: str, end: str) -> None:
        """A bonding conductor."""
        self.wire(start, end, "", "bond")

    def grow(self, size: int) -> None:
        """Sub-buses and loads until the system has that many components."""
        while self.components < size:
            ac = self.panels and self.chance.random() < 0.3
            hosts = self.panels if ac else self.buses
            kind, device, load = ("ac", "breaker", "ac-load") if ac else ("dc", "fuse", "dc-load")
            host = self.chance.choice(hosts)
            if size - self.components > 25 and self.chance.random() < 0.25:
                sub = self.add("ac-panel" if ac else "fuse-block", "Sub-panel")
                self.wire(host, sub, device, kind)
                host = sub
            for _ in range(min(self.chance.randint(1, 6), max(1, (size - self.components) // 2))):
                self.wire(host, self.add(load, "Consumer"), device, kind)


def main_bus(make: Maker) -> tuple[str, str]:
    """A bank on a bus that is bonded to the frame."""
    bus = make.add("busbar", "Main bus")
    make.bank(bus)
    frame = make.add("chassis", "Frame")
    make.bond(f"{bus}.-", frame)
    return bus, frame


def ring_tie(make: Maker) -> None:
    """Three buses in a ring."""
    bus, _ = main_bus(make)
    first, second = make.add("dc-panel", "Port panel"), make.add("dc-panel", "Starboard panel")
    make.wire(bus, first, "breaker")
    make.wire(bus, second, "breaker")
    make.wire(first, second, "switch")


def several_banks(make: Maker) -> None:
    """Banks of 12 V and 24 V with a converter between them, and a relay between two banks."""
    low, high = make.add("busbar", "12 V bus"), make.add("busbar", "24 V bus")
    make.bank(low)
    make.bank(low, "fuse", "Second bank")
    make.bank(high)
    converter = make.add("dc-converter", "Converter")
    make.wire(high, f"{converter}.in")
    make.wire(f"{converter}.out", low)
    start = make.add("battery", "Starting battery")
    make.wire(start, low, "fuse relay fuse")
    make.wire(make.add("alternator", "Alternator"), start)
    make.wire(start, make.add("motor", "Starter"), "switch")


def several_arrays(make: Maker) -> None:
    """Four arrays, a wind turbine and a frame bond from each array."""
    bus, frame = main_bus(make)
    for _ in range(4):
        make.array(bus)
    make.wire(make.add("wind-turbine", "Turbine"), bus, "breaker switch")
    for station in [s.id for s in make.one_line.stations if s.kind == "pv-array"][:2]:
        make.bond(f"{station}.case", frame)


def selector(make: Maker) -> None:
    """Two batteries and their bus on a battery selector, an alternator that charges what is selected."""
    bus, choice = make.add("busbar", "Main bus"), make.add("selector", "Battery selector")
    for port in ("a", "b"):
        make.wire(make.add("battery", "Battery"), f"{choice}.{port}", "fuse")
    make.wire(f"{choice}.common", bus, "shunt")
    make.wire(make.add("alternator", "Alternator"), bus)


def split_phase(make: Maker) -> None:
    """A split-phase inverter with a transformer, two panels, five conductors."""
    bus, frame = main_bus(make)
    panel, second = make.add("ac-panel", "Main panel"), make.add("ac-panel", "Second panel")
    shore, transformer = make.add("shore-inlet", "Shore inlet"), make.add("transformer", "Isolation transformer")
    make.wire(shore, f"{transformer}.in", "breaker", "ac", 4)
    inverter = make.inverter(bus, panel, f"{transformer}.out")
    make.wire(panel, second, "breaker", "ac", 4)
    make.bond(f"{inverter}.case", frame)
    make.bond(panel, frame)


def transfer(make: Maker) -> None:
    """Generator, shore and inverter through two transfer switches to two panels."""
    bus, frame = main_bus(make)
    first, second = make.add("transfer-switch", "Source transfer"), make.add("transfer-switch", "Load transfer")
    make.wire(make.add("shore-inlet", "Shore inlet"), f"{first}.a", "breaker", "ac")
    make.wire(make.add("generator", "Generator"), f"{first}.b", "breaker", "ac")
    inverter = make.add("inverter-charger", "Inverter-charger")
    make.wire(bus, f"{inverter}.dc", "fuse")
    make.wire(f"{first}.common", f"{inverter}.ac-in", "breaker", "ac")
    make.wire(f"{inverter}.ac-out", f"{second}.a", "breaker", "ac")
    make.wire(f"{first}.common", f"{second}.b", "breaker", "ac")
    panel, other = make.add("ac-panel", "Backed-up panel"), make.add("ac-panel", "Shore panel")
    make.wire(f"{second}.common", panel, "rcd", "ac")
    make.wire(f"{first}.common", other, "rcd", "ac")
    make.bond(panel, frame)


def deep_panels(make: Maker) -> None:
    """Sub-panels three deep on both kinds of current, an AC charger back to the bus."""
    bus, _ = main_bus(make)
    panel = make.add("ac-panel", "Main panel")
    make.wire(make.add("shore-inlet", "Shore inlet"), panel, "breaker rcd", "ac")
    for kind, host, device, medium in (("dc-panel", bus, "breaker", "dc"), ("ac-panel", panel, "breaker", "ac")):
        for _ in range(3):
            below = make.add(kind, "Sub-panel")
            make.wire(host, below, device, medium)
            make.wire(below, make.add(f"{medium}-load", "Consumer"), device, medium)
            host = below
    charger = make.add("ac-charger", "Shore charger")
    make.wire(panel, f"{charger}.ac", "breaker", "ac")
    make.wire(f"{charger}.dc", bus, "fuse")


def negative_shunt(make: Maker) -> None:
    """Positive and negative wired one by one, with the shunt in the negative."""
    plus, minus = make.add("busbar", "Positive bus"), make.add("busbar", "Negative bus")
    battery, frame = make.add("battery", "House bank"), make.add("chassis", "Frame")
    make.wire(f"{battery}.+", plus, "fuse switch", count=1)
    make.wire(f"{battery}.-", minus, "shunt", count=1)
    make.bond(minus, frame)
    for _ in range(2):
        load = make.add("dc-load", "Consumer")
        make.wire(plus, load, "fuse", count=1)
        make.wire(load, minus, "", count=1)
    make.array(plus)


def battery_by_battery(make: Maker) -> None:
    """Batteries in series and in parallel, wired from post to post."""
    bus = make.add("busbar", "Main bus")
    batteries = [make.add("battery", "Battery") for _ in range(4)]
    make.wire(f"{batteries[0]}.-", f"{batteries[1]}.+", "", count=1)
    make.wire(f"{batteries[2]}.-", f"{batteries[3]}.+", "", count=1)
    make.wire(f"{batteries[0]}.+", f"{batteries[2]}.+", "", count=1)
    make.wire(f"{batteries[1]}.-", f"{batteries[3]}.-", "", count=1)
    make.wire(f"{batteries[0]}.+", bus, "fuse switch", count=1)
    make.bond(f"{batteries[3]}.-", make.add("chassis", "Frame"))
    make.array(bus)


SHAPES: dict[str, Callable[[Maker], None]] = {
    function.__name__.replace("_", " "): function
    for function in (
        ring_tie, several_banks, several_arrays, selector, split_phase, transfer, deep_panels, negative_shunt,
        battery_by_battery,
    )
}  # fmt: skip


def made(shape: str, size: int, seed: int, places: bool = False) -> OneLine:
    """A system of a shape with at least so many components."""
    make = Maker(seed)
    make.places = places
    SHAPES[shape](make)
    make.grow(size)
    return make.one_line
