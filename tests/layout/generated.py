"""One-lines made by rule or by chance, for tests over many systems."""

from __future__ import annotations

import random

from rigline.layout.oneline import Device, Feeder, OneLine, Station, Tag

ROLES = {
    "battery": "storage", "pv-array": "source", "alternator": "source", "generator": "source",
    "shore-inlet": "source",
    "busbar": "bus", "fuse-block": "bus", "ac-panel": "bus", "charge-controller": "converter",
    "dc-charger": "converter",
    "inverter": "converter", "inverter-charger": "converter", "transfer-switch": "converter", "ac-charger": "converter",
    "dc-load": "load", "ac-load": "load", "motor": "load", "chassis": "earth", "earth-electrode": "earth",
}  # fmt: skip
AC = {"generator", "shore-inlet", "ac-panel", "ac-load", "transfer-switch"}
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
    kinds = [chance.choice(list(ROLES)) for _ in range(stations)]
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
