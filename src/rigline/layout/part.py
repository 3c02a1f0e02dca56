"""A part of a one-line: the DC, the AC, the bonds, or one place, with a reference wherever a wire leads out of it.

A part is drawn like a whole: what is not shown is replaced by a reference, a station of its own at the far end of the
first stretch of wire beyond the border. So every wire of a part still says where it goes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Set

from msgspec.structs import replace

from rigline.layout.oneline import Device, Feeder, OneLine, Station

KINDS = {"dc": frozenset({"dc", "sense"}), "ac": frozenset({"ac"}), "bonds": frozenset({"bond"})}
"""Name of a part -> the kinds of feeders in it."""
REFERENCE_OUT, REFERENCE_IN = "reference-out", "reference-in"
"""Kinds of the stations that stand for what is not shown, by the way that power flows."""
MARK = "~"
"""Joins a segment's id to the number of its reference; no id of a spec has it."""

_Stop = Station | Device


def kind_part(one_line: OneLine, kinds: Set[str]) -> OneLine:
    """The feeders of some kinds whole, and of all others the first stretch from a station that is shown.

    Bonds that are not shown are told beside their station: their wires would cross all that is shown.
    """
    shown = {id for feeder in one_line.feeders if feeder.kind in kinds for id in (feeder.start, feeder.end)}
    joined = {id for feeder in one_line.feeders for id in (feeder.start, feeder.end)}
    media = {"earth" if kind == "bond" else kind for kind in kinds}
    shown |= {station.id for station in one_line.stations if station.id not in joined and station.medium in media}
    cutter = _Cutter(one_line, shown)
    for feeder in one_line.feeders:
        if feeder.kind in kinds:
            cutter.feeders.append(feeder)
        elif feeder.kind == "bond":
            cutter.tell(feeder)
        else:
            cutter.ends_of(feeder)
    return cutter.one_line()


def place_part(one_line: OneLine, place: str) -> OneLine:
    """What stands in a place, and the first stretch of every wire that leads out of it."""
    cutter = _Cutter(one_line, {station.id for station in one_line.stations if station.place == place})
    for feeder in one_line.feeders:
        cutter.cut(feeder, [device.place == place for device in feeder.devices])
    return cutter.one_line()


class _Cutter:
    """Parts feeders where they leave what is shown."""

    def __init__(self, one_line: OneLine, shown: Set[str]) -> None:
        self.whole = one_line
        self.by_id = {station.id: station for station in one_line.stations}
        self.shown = shown
        self.references: list[Station] = []
        self.feeders: list[Feeder] = []
        self.told: dict[str, dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
        """Station -> what its bonds lead to -> the segments that do."""

    def one_line(self) -> OneLine:
        """What is left."""
        used = {id for feeder in self.feeders for id in (feeder.start, feeder.end)}
        kept = [self._telling(station) for id, station in self.by_id.items() if id in self.shown or id in used]
        return replace(self.whole, stations=(*kept, *self.references), feeders=tuple(self.feeders))

    def ends_of(self, feeder: Feeder) -> None:
        """Of a feeder that is not shown, the stretch at either end that is."""
        stops = self._stops(feeder)
        last = len(stops) - 1
        if feeder.start in self.shown:
            self._stretch(feeder, stops, [True, *[False] * last], 0, 1)
        if feeder.end in self.shown:
            self._stretch(feeder, stops, [*[False] * last, True], last - 1, last)

    def tell(self, feeder: Feeder) -> None:
        """Note a bond at its stations that are shown."""
        stops = self._stops(feeder)
        for station, next_to, tag in ((stops[0], stops[1], feeder.tags[0]), (stops[-1], stops[-2], feeder.tags[-1])):
            self.told[station.id][next_to.id].append(tag.segment)

    def _telling(self, station: Station) -> Station:
        """The station with its bonds in its label."""
        lines = [f"{', '.join(ids)} to {far}, not shown" for far, ids in self.told[station.id].items()]
        return replace(station, lines=(*station.lines, *lines))

    def _stops(self, feeder: Feeder) -> list[_Stop]:
        return [self.by_id[feeder.start], *feeder.devices, self.by_id[feeder.end]]

    def cut(self, feeder: Feeder, devices_shown: Iterable[bool]) -> None:
        """The stretches of a feeder that touch what is shown."""
        stops = self._stops(feeder)
        visible = [feeder.start in self.shown, *devices_shown, feeder.end in self.shown]
        if all(visible):
            self.feeders.append(feeder)
            return
        first = 0
        while first < len(stops) - 1:
            if not (visible[first] or visible[first + 1]):
                first += 1
                continue
            last = first + 1
            while last < len(stops) - 1 and visible[last]:
                last += 1
            self._stretch(feeder, stops, visible, first, last)
            first = last

    def _stretch(self, feeder: Feeder, stops: list[_Stop], visible: list[bool], first: int, last: int) -> None:
        """A feeder of its own from one stop to another, either of which may stand for what is not shown."""
        start, end = stops[first], stops[last]
        start_id, end_id = start.id, end.id
        if not visible[first]:
            start_id = self._reference(feeder, feeder.tags[first].segment, start, REFERENCE_IN)
        if not visible[last]:
            end_id = self._reference(feeder, feeder.tags[last - 1].segment, end, REFERENCE_OUT)
        self.feeders.append(
            replace(
                feeder,
                id=feeder.tags[first].segment,
                start=start_id,
                end=end_id,
                devices=feeder.devices[first : last - 1],
                tags=feeder.tags[first:last],
                start_port=feeder.start_port if first == 0 and visible[first] else "",
                end_port=feeder.end_port if last == len(stops) - 1 and visible[last] else "",
            )
        )

    def _reference(self, feeder: Feeder, segment: str, far: _Stop, kind: str) -> str:
        """A station that says where a wire goes on."""
        inward, bond = kind == REFERENCE_IN, feeder.kind == "bond"
        words = f"{segment} {'from' if inward else 'to'} {far.id}"
        station = Station(
            id=f"{segment}{MARK}{len(self.references) + 1}",
            kind=kind,
            lines=(words, "not shown" if far.place is None else f"({far.place}), not shown"),
            role="earth" if bond and not inward else "source" if inward else "load",
            medium="earth" if bond and not inward else feeder.kind if feeder.kind in ("dc", "ac") else "dc",
            later=far.later,
            title=f"{words}, not shown",
        )
        self.references.append(station)
        return station.id
