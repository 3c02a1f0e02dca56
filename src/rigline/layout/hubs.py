"""Gives a station with many feeders a bar of its own, so that no more meet at a symbol than it has terminals for.

A battery with five cables on its stud is drawn as what the electrician sees: one short bar at the terminal, and the
cables on it. From there on the bar is a bus like any other and may be long, or go on on another sheet.
"""

from __future__ import annotations

from collections import defaultdict

from msgspec.structs import replace

from rigline.layout.oneline import Feeder, OneLine, Station, Tag

MOST_FEEDERS = 3
"""A symbol with more power feeders gets a bar. Our own choice: one from above and two below are easy to read."""
MOST_AT_A_BATTERY = 2
"""A battery with more gets a bar. Our own choice: its posts are the bus of all that is bolted to them."""
MOST_PORTS = 4
"""With more ports in use, one bar for all of them. Our own choice: no symbol has more terminals."""
MARK = "~"
"""Joins the designation of a station and its port to the id of the bar; no id of a spec has it."""


def with_hubs(one_line: OneLine) -> OneLine:
    """The same one-line with bars where many feeders meet at one terminal."""
    stations = {station.id: station for station in one_line.stations}
    bars: dict[tuple[str, str], Station] = {}
    for id, ends in _ends(one_line, stations).items():
        most = MOST_AT_A_BATTERY if stations[id].role == "storage" else MOST_FEEDERS
        crowded = _crowded(ends, most)
        for port in crowded:
            bars[(id, port)] = _bar(stations[id], port)
    if not bars:
        return one_line
    feeders = [_moved(feeder, bars, stations) for feeder in one_line.feeders]
    links = [_link(stations[id], port, bar, feeders) for (id, port), bar in bars.items()]
    return replace(one_line, stations=(*one_line.stations, *bars.values()), feeders=(*links, *feeders))


def _ends(one_line: OneLine, stations: dict[str, Station]) -> dict[str, list[str]]:
    """The ports of each station that power feeders use, one for each feeder."""
    found: dict[str, list[str]] = defaultdict(list)
    for feeder in one_line.feeders:
        if not _is_bond(feeder, stations):
            found[feeder.start].append(feeder.start_port)
            found[feeder.end].append(feeder.end_port)
    return {id: ports for id, ports in found.items() if stations[id].role != "bus"}


def _is_bond(feeder: Feeder, stations: dict[str, Station]) -> bool:
    earths = "earth" in (stations[feeder.start].medium, stations[feeder.end].medium)
    return feeder.kind == "bond" or earths or feeder.start == feeder.end


def _crowded(ports: list[str], most: int) -> list[str]:
    """The ports that need a bar; the empty one stands for all if there are too many."""
    if len(ports) <= most:
        return []
    shared = [port for port in dict.fromkeys(ports) if ports.count(port) > 1]
    return ["*"] if not shared or len(set(ports)) > MOST_PORTS else shared


def _bar(station: Station, port: str) -> Station:
    """The bar of a terminal: named like its station, so that it can go on elsewhere."""
    return Station(f"{station.id}{MARK}{port}", "busbar", (station.id,), "bus", station.medium, later=station.later)


def _moved(feeder: Feeder, bars: dict[tuple[str, str], Station], stations: dict[str, Station]) -> Feeder:
    """The feeder with its ends on the bars."""
    if _is_bond(feeder, stations):
        return feeder
    start = bars.get((feeder.start, "*")) or bars.get((feeder.start, feeder.start_port))
    end = bars.get((feeder.end, "*")) or bars.get((feeder.end, feeder.end_port))
    if start is not None:
        feeder = replace(feeder, start=start.id, start_port="")
    if end is not None:
        feeder = replace(feeder, end=end.id, end_port="")
    return feeder


def _link(station: Station, port: str, bar: Station, feeders: list[Feeder]) -> Feeder:
    """The short line between a symbol and its bar: no conductor of the system, so without a tag."""
    gives = station.role in ("source", "storage") or any(feeder.start == bar.id for feeder in feeders)
    start, end = (station.id, bar.id) if gives and station.role != "load" else (bar.id, station.id)
    name, terminal = f"{bar.id}{MARK}link", "" if port == "*" else port
    ports = (terminal, "") if start == station.id else ("", terminal)
    kinds = [feeder.kind for feeder in feeders if bar.id in (feeder.start, feeder.end)]
    return Feeder(name, (name,), start, end, (), (Tag(name, ()),), kinds[0], 2, *ports, inner=True)
