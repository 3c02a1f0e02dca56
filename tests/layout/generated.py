"""One-lines made by rule or by chance, for tests over many systems."""

from __future__ import annotations

import random

from msgspec.structs import replace

from rigline.layout.oneline import Device, Feeder, OneLine, Station, Tag

ROLES = {
    "battery": "storage", "pv-array": "source", "alternator": "source", "generator": "source",
    "shore-inlet": "source",
    "earth-bus": "earth", "busbar": "bus", "fuse-block": "bus", "ac-panel": "bus", "charge-controller": "converter",
    "dc-charger": "converter",
    "inverter": "converter", "inverter-charger": "converter", "transfer-switch": "converter", "ac-charger": "converter",
    "dc-load": "load", "ac-load": "load", "motor": "load", "chassis": "earth", "earth-electrode": "earth",
}  # fmt: skip
AC = {"generator", "shore-inlet", "ac-panel", "ac-load", "transfer-switch"}
KINDS = tuple(kind for kind in ROLES if kind != "earth-bus")
DEVICES = ("fuse", "breaker", "switch", "shunt", "connector", "relay")
PORTS = ("", "", "", "dc", "ac-in", "ac-out", "pv", "battery", "case", "-", "a", "b")


def made_feeder(number: int, start: str, end: str, kinds: list[str], kind: str = "dc", lines: int = 2) -> Feeder:
    """A feeder with devices of the given kinds and tags of some lines."""
    run = f"W{number}"
    devices = tuple(Device(f"{run}D{i}", k, (f"D{number}{i} 30 A",)) for i, k in enumerate(kinds))
    tags = tuple(Tag(f"{run}.{i}", (f"{run}.{i}", "2 × 6 AWG", "1.5 m", "red")[:lines]) for i in range(len(kinds) + 1))
    return Feeder(run, (run,), start, end, devices, tags, kind, {"dc": 2, "ac": 3}.get(kind, 1))


def tree(buses: int, loads: int, seed: int) -> OneLine:
    """A battery on a bus, buses below it at random, loads on all of them."""
    chance = random.Random(seed)
    stations = [Station("B1", "battery", ("B1", "Bank", "12.8 V 200 Ah"), "storage", "dc")]
    feeders = []
    for number in range(buses):
        stations.append(Station(f"BUS{number}", "busbar", (f"BUS{number}", "Distribution"), "bus", "dc"))
        start = "B1" if number == 0 else f"BUS{chance.randrange(number)}"
        feeders.append(made_feeder(1000 + number, start, f"BUS{number}", ["fuse"]))
    for number in range(loads):
        stations.append(Station(f"L{number}", "dc-load", (f"L{number}", "Consumer", f"{number} W"), "load", "dc"))
        feeders.append(made_feeder(number, f"BUS{chance.randrange(buses)}", f"L{number}", ["fuse"], lines=3))
    return OneLine(tuple(stations), tuple(feeders))


def anything(stations: int, feeders: int, seed: int) -> OneLine:
    """Stations of all kinds joined at random, sense or nonsense."""
    chance = random.Random(seed)
    kinds = [chance.choice(KINDS) for _ in range(stations)]
    made = [
        Station(
            f"S{i}", kind, (f"S{i}", "Name of it", "12 V 30 A")[: chance.randint(1, 3)], ROLES[kind],
            "earth" if ROLES[kind] == "earth" else "ac" if kind in AC else "dc",
            flags=(i,) if chance.random() < 0.1 else (),
        )
        for i, kind in enumerate(kinds)
    ]  # fmt: skip
    joined = []
    for number in range(feeders):
        start, end = chance.choice(made), chance.choice(made)
        kind = "bond" if "earth" in (start.medium, end.medium) else chance.choice(("dc", "dc", "ac", "bond", "sense"))
        on_it = [chance.choice(DEVICES) for _ in range(chance.randint(0, 4))]
        feeder = made_feeder(number, start.id, end.id, on_it, kind, chance.randint(1, 4))
        joined.append(
            Feeder(
                feeder.id, feeder.runs, feeder.start, feeder.end, feeder.devices, feeder.tags, kind,
                chance.randint(1, 5), chance.choice(PORTS), chance.choice(PORTS),
            )
        )  # fmt: skip
    return OneLine(tuple(made), tuple(joined))


class _Maker:
    """Adds stations and feeders one by one to a system that somebody could own."""

    def __init__(self, seed: int) -> None:
        self.chance = random.Random(seed)
        self.stations: list[Station] = []
        self.feeders: list[Feeder] = []

    @property
    def components(self) -> int:
        """Stations and devices so far."""
        return len(self.stations) + sum(len(feeder.devices) for feeder in self.feeders)

    def add(self, kind: str, name: str) -> str:
        """A station; its id is a letter and a number."""
        made = f"{kind[0].upper()}{len(self.stations)}"
        lines = (made, name, "12 V 30 A", "second line")[: self.chance.randint(2, 4)]
        role = ROLES[kind]
        medium = "earth" if role == "earth" else "ac" if kind in AC else "dc"
        flags = tuple(range(self.chance.randint(1, 3))) if self.chance.random() < 0.1 else ()
        self.stations.append(Station(made, kind, lines, role, medium, flags=flags))
        return made

    def join(
        self, start: str, end: str, kinds: str = "fuse", kind: str = "dc", ports: tuple[str, str] = ("", "")
    ) -> None:
        """A feeder with the devices that a text names."""
        made = made_feeder(len(self.feeders), start, end, kinds.split(), kind, self.chance.randint(2, 3))
        self.feeders.append(replace(made, start_port=ports[0], end_port=ports[1]))

    def loads(self, bus: str, kind: str, device: str, count: int) -> None:
        """Some loads on a bus."""
        for _ in range(count):
            self.join(bus, self.add(kind, "Consumer"), device, "ac" if kind == "ac-load" else "dc")


def plausible(components: int, seed: int) -> OneLine:
    """A camper, boat or cabin with at least so many components: banks, chargers, an inverter, sub-buses and bonds."""
    make = _Maker(seed)
    earth, electrode = make.add("earth-bus", "Main earth bus"), make.add("earth-electrode", "Rod")
    bank, bus = make.add("battery", "House bank"), make.add("busbar", "Main bus")
    make.join(bank, bus, "fuse switch shunt")
    make.join(bus, earth, "", "bond", ("-", ""))
    make.join(earth, electrode, "", "bond")
    make.loads(bank, "dc-load", "fuse", make.chance.randint(0, 6))
    buses = [bus]
    while make.components < components:
        step = make.chance.choice(("source", "bus", "loads", "loads", "inverter", "start battery"))
        if step == "source":
            array, controller = make.add("pv-array", "Array"), make.add("charge-controller", "Controller")
            make.join(array, controller, "breaker", ports=("", "pv"))
            make.join(controller, bus, "breaker", ports=("battery", ""))
            make.join(array, earth, "", "bond", ("case", ""))
        elif step == "bus":
            buses.append(make.add("fuse-block", "Fuse block"))
            make.join(make.chance.choice(buses[:-1]), buses[-1])
        elif step == "loads":
            make.loads(make.chance.choice(buses), "dc-load", "fuse", make.chance.randint(1, 8))
        elif step == "inverter":
            inverter, panel = make.add("inverter-charger", "Inverter"), make.add("ac-panel", "Panel")
            make.join(bus, inverter, "fuse", ports=("", "dc"))
            make.join(make.add("shore-inlet", "Shore"), inverter, "breaker", "ac", ("", "ac-in"))
            make.join(inverter, panel, "", "ac", ("ac-out", ""))
            make.join(inverter, earth, "", "bond", ("case", ""))
            make.loads(panel, "ac-load", "breaker", make.chance.randint(1, 5))
        else:
            battery = make.add("battery", "Start battery")
            make.join(make.add("alternator", "Alternator"), battery, "fuse")
            make.loads(battery, "motor", "switch", make.chance.randint(0, 4))
            charger = make.add("dc-charger", "Charger")
            make.join(battery, charger, "fuse")
            make.join(charger, bus, "fuse")
    return OneLine(tuple(make.stations), tuple(make.feeders))
