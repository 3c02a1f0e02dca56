"""One-lines with many wires that close rings, kept as data so that results can be compared from day to day."""

from __future__ import annotations

import re
from collections import defaultdict
from pathlib import Path
from typing import NamedTuple

from rigline.layout.oneline import Device, Feeder, OneLine, Station, Tag

KINDS = {
    "B": ("battery", "storage"), "F": ("fuse", ""), "S": ("switch", ""), "H": ("shunt", ""), "U": ("busbar", "bus"),
    "u": ("ac-panel", "bus"), "G": ("pv-array", "source"), "g": ("shore-inlet", "source"),
    "C": ("dc-charger", "converter"), "I": ("inverter-charger", "converter"), "R": ("rcd", ""), "K": ("relay", ""),
    "Q": ("breaker", ""), "L": ("dc-load", "load"), "l": ("ac-load", "load"),
}  # fmt: skip
WIRES = {"-": "dc", "=": "ac", "~": "sense"}


class Graph(NamedTuple):
    """One system of the file."""

    name: str
    fewest_crossings: int
    """Of what general layout programs drew of it."""
    one_line: OneLine


class _Wire(NamedTuple):
    start: int
    end: int
    kind: str

    def other(self, node: int) -> int:
        return self.end if node == self.start else self.start


def graphs() -> tuple[Graph, ...]:
    """All systems of the file."""
    text = (Path(__file__).parent / "data" / "crosslinked.txt").read_text(encoding="utf-8")
    return tuple(_graph(line) for line in text.splitlines() if not line.startswith("#"))


def _graph(line: str) -> Graph:
    name, fewest, kinds, pairs = (part.strip() for part in line.split(";"))
    wires = [_Wire(int(a), int(b), WIRES[k]) for a, k, b in re.findall(r"(\d+)([-=~])(\d+)", pairs)]
    return Graph(name, int(fewest), _one_line(kinds, wires))


def _one_line(kinds: str, wires: list[_Wire]) -> OneLine:
    """Devices with one wire at each side stand in line; everything else is a station."""
    at: dict[int, list[_Wire]] = defaultdict(list)
    for wire in wires:
        at[wire.start].append(wire)
        at[wire.end].append(wire)
    in_line = {n for n, k in enumerate(kinds) if not KINDS[k][1] and [w.kind == "sense" for w in at[n]] == [False] * 2}
    stations = tuple(_station(n, kinds[n], at[n]) for n in range(len(kinds)) if n not in in_line)
    done: set[_Wire] = set()
    feeders: list[Feeder] = []
    for number in (n for n in range(len(kinds)) if n not in in_line):
        for wire in at[number]:
            if wire not in done:
                path = _path(number, wire, at, in_line)
                done.update(w for _, w in path)
                feeders.append(_feeder(len(feeders), number, path, kinds))
    return OneLine(stations, tuple(feeders))


def _path(start: int, wire: _Wire, at: dict[int, list[_Wire]], in_line: set[int]) -> list[tuple[int, _Wire]]:
    """Every node on the way to the next station, with the wire that leads to it."""
    path = [(wire.other(start), wire)]
    while path[-1][0] in in_line:
        node, came = path[-1]
        onward = next(w for w in at[node] if w is not came)
        path.append((onward.other(node), onward))
    return path


def _station(number: int, letter: str, wires: list[_Wire]) -> Station:
    kind, role = KINDS[letter]
    medium = "ac" if letter in "ugl" or {w.kind for w in wires} == {"ac"} else "dc"
    return Station(f"S{number}", kind, (f"S{number}", "Part of it", "30 A"), role or "converter", medium)


def _feeder(count: int, start: int, path: list[tuple[int, _Wire]], kinds: str) -> Feeder:
    run, end, kind = f"W{count}", path[-1][0], path[0][1].kind
    devices = tuple(Device(f"S{n}", KINDS[kinds[n]][0], (f"S{n} 30 A",)) for n, _ in path[:-1])
    tags = tuple(Tag(f"{run}.{i}", (f"{run}.{i}", "2 × 6 AWG")) for i in range(len(path)))
    forward = path[0][1].start == start
    ends = (start, end) if forward else (end, start)
    if not forward:
        devices, tags = devices[::-1], tags[::-1]
    counts = {"dc": 2, "ac": 3, "sense": 1}
    return Feeder(run, (run,), f"S{ends[0]}", f"S{ends[1]}", devices, tags, kind, counts[kind])
