"""Both poles of the DC side as conductors of their own, for finding a fault with a meter.

A one-line draws a pair as one line. Here the positive and the negative are two drawings side by side: the positive from
the sources through its fuses and switches to the loads, and the negative from the loads through its buses and the shunt
back to the sources. A component stands in both, with the sign of its pole. AC, bonds and control leads stay.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby, pairwise

from msgspec.structs import replace

from rigline.layout.oneline import Device, Feeder, OneLine, Station, Tag
from rigline.layout.tagging import pole_letters
from rigline.model.describe import UNKNOWN, amount
from rigline.model.system import NEGATIVE, POSITIVE, Conductor, Segment
from rigline.study.study import SegmentStudy, Study
from rigline.units import format_amount

SIGNS = {POSITIVE: "+", NEGATIVE: "−"}
_Stop = Station | Device


def both_poles(one_line: OneLine, study: Study) -> OneLine:
    """The one-line with every pair of DC conductors drawn as two.

    Args:
        one_line: As `contract.one_line` made it.
        study: Of the same system.
    """
    return _Splitter(one_line, study).one_line()


class _Splitter:
    """Takes the feeders apart and makes the stations that the poles end at."""

    def __init__(self, one_line: OneLine, study: Study) -> None:
        self.whole = one_line
        self.study = study
        self.by_id = {station.id: station for station in one_line.stations}
        self.numbers = {one.segment.id: one for one in study.segments}
        self.made: dict[str, Station] = {}
        self.devices = {device.id: device for feeder in one_line.feeders for device in feeder.devices}
        self.joints = {end for feeder in one_line.feeders if feeder.kind == "dc" for end in self._returns(feeder)}
        """Devices at which a return of another run ends."""

    def one_line(self) -> OneLine:
        """The stations in their order, the negatives behind the positives."""
        feeders = [made for feeder in self.whole.feeders for made in self._feeders(feeder)]
        used = {end for feeder in feeders for end in (feeder.start, feeder.end)}
        alone = {station.id: station for station in self.whole.stations if self._is_alone(station)}
        kept = {**{id: self.by_id[id] for id in self.by_id if id in used}, **alone, **self.made}
        ordered = [kept.pop(id) for id in self.by_id if id in kept]
        return replace(self.whole, stations=(*ordered, *kept.values()), feeders=tuple(feeders))

    def _is_alone(self, station: Station) -> bool:
        return all(station.id not in (feeder.start, feeder.end) for feeder in self.whole.feeders)

    def _returns(self, feeder: Feeder) -> Iterator[str]:
        for tag in feeder.tags:
            for conductor in self._segment(tag).segment.conductors:
                yield from (end for end in (conductor.a.component, conductor.b.component) if self._strays(tag, end))

    def _strays(self, tag: Tag, component: str) -> bool:
        """A conductor's end is no end of its segment: a return that goes elsewhere."""
        segment = self._segment(tag).segment
        return component not in (segment.start.component, segment.end.component) and component in self.devices

    def _segment(self, tag: Tag) -> SegmentStudy:
        return self.numbers[tag.segment]

    def _feeders(self, feeder: Feeder) -> Iterable[Feeder]:
        if feeder.kind == "bond":
            return [self._bond(feeder)]
        if feeder.kind != "dc":
            return [feeder]
        return [part for pole in (POSITIVE, NEGATIVE) for part in self._pole(feeder, pole)] or [feeder]

    def _bond(self, feeder: Feeder) -> Feeder:
        """A bond lands on the pole that it bonds."""
        ends = {}
        for tag in (feeder.tags[0], feeder.tags[-1]):
            for conductor in self._segment(tag).segment.conductors:
                ends.update({n.component: n.pole for n in (conductor.a, conductor.b) if n.pole in SIGNS})
        start, end = (self._station(id, ends[id]) if id in ends else id for id in (feeder.start, feeder.end))
        return replace(feeder, start=start, end=end)

    def _pole(self, feeder: Feeder, pole: str) -> Iterator[Feeder]:
        """The stretches of a feeder in which there is a conductor of this pole, parted where another return ends."""
        stops: list[_Stop] = [self.by_id[feeder.start], *feeder.devices, self.by_id[feeder.end]]
        conductors = [self._conductor(tag, pole) for tag in feeder.tags]
        first = 0
        for index, conductor in enumerate(conductors):
            ends_here = index + 1 == len(conductors) or conductors[index + 1] is None
            if conductor is None:
                first = index + 1
            elif ends_here or stops[index + 1].id in self.joints:
                yield self._stretch(feeder, pole, stops, first, index + 1)
                first = index + 1

    def _conductor(self, tag: Tag, pole: str) -> Conductor | None:
        return next((c for c in self._segment(tag).segment.conductors if c.pole == pole), None)

    def _stretch(self, feeder: Feeder, pole: str, stops: Sequence[_Stop], first: int, last: int) -> Feeder:
        """One pole from one stop to another, with the devices that it passes through."""
        inner = [i for i in range(first + 1, last) if self._breaks(stops[i], pole)]
        edges = [first, *inner, last]
        tags = tuple(self._tag(feeder.tags[a:b], pole) for a, b in pairwise(edges))
        return replace(
            feeder,
            id=tags[0].segment,
            start=self._station(self._end(feeder.tags[first], pole, stops, first, first + 1), pole),
            end=self._station(self._end(feeder.tags[last - 1], pole, stops, last, last - 1), pole),
            devices=tuple(device for i in inner if isinstance(device := stops[i], Device)),
            tags=tags,
            conductors=1,
            start_port=feeder.start_port if first == 0 else "",
            end_port=feeder.end_port if last == len(stops) - 1 else "",
        )

    def _breaks(self, stop: _Stop, pole: str) -> bool:
        hot = NEGATIVE if self.study.system.head.dc_grounding == "positive" else POSITIVE
        wanted = {"hot": {hot}, "negative": {NEGATIVE}, "both": {POSITIVE, NEGATIVE}}
        return isinstance(stop, Device) and pole in wanted.get(stop.conductor, set())

    def _end(self, tag: Tag, pole: str, stops: Sequence[_Stop], outer: int, inner: int) -> str:
        """Where a conductor really ends: at its stop, unless its return goes elsewhere."""
        conductor = self._conductor(tag, pole)
        assert conductor is not None
        ends = [conductor.a.component, conductor.b.component]
        away = [id for id in ends if id not in (stops[outer].id, stops[inner].id)]
        return away[0] if away and stops[outer].id not in ends else stops[outer].id

    def _station(self, component: str, pole: str) -> str:
        """A component as the end of a pole; the positive keeps the component's id and its label."""
        id = component if pole == POSITIVE else f"{component}{SIGNS[pole]}"
        if id not in self.made:
            self.made[id] = self._signed(component, id, pole)
        return id

    def _signed(self, component: str, id: str, pole: str) -> Station:
        station = self.by_id.get(component) or self._of_device(self.devices[component])
        if station.role == "earth":
            return replace(station, id=id)
        name, *rest = station.lines or (component,)
        lines = (f"{name} {SIGNS[pole]}", *(rest if pole == POSITIVE else rest[:1]))
        return replace(station, id=id, lines=lines, flags=station.flags if pole == POSITIVE else ())

    @staticmethod
    def _of_device(device: Device) -> Station:
        """A device at which conductors of several runs meet."""
        return Station(
            device.id, device.kind, device.lines, "converter", "dc", device.place, device.later, device.flags,
            device.title,
        )  # fmt: skip

    def _tag(self, tags: Sequence[Tag], pole: str) -> Tag:
        """One conductor past whatever does not break it: its stretches with their size, and their length in all."""
        studied = [self._segment(tag) for tag in tags]
        sizes = groupby(studied, key=lambda one: self._size(one, pole))
        lines = [f"{' '.join(one.segment.id + SIGNS[pole] for one in same)} {size}" for size, same in sizes]
        letters = pole_letters(studied[0].segment, self.study.system, pole)
        length = self._length([one.segment for one in studied], pole)
        return replace(
            tags[0],
            segment=f"{tags[0].segment}{SIGNS[pole]}",
            lines=tuple(line for line in (*lines, f"{length} {letters}".strip()) if line),
            flags=tuple(sorted({flag for tag in tags for flag in tag.flags})) if pole == POSITIVE else (),
            title=" / ".join(tag.title for tag in tags),
        )

    def _length(self, segments: Sequence[Segment], pole: str) -> str:
        """What is known of it: of these stretches, else of their run, told where the run ends."""
        run = self.study.system.run(segments[-1].run)
        last = segments[-1].id == run.segments[-1].id
        if pole == NEGATIVE and run.spec.return_length_m is not None:
            return f"{run.id}{SIGNS[pole]}: {amount(run.spec.return_length_m, 'm')}" if last else ""
        lengths = [segment.length_m for segment in segments]
        known = [length for length in lengths if length is not None]
        if len(known) == len(lengths):
            return amount(known[0], "m") if len(known) == 1 else format_amount(sum(known), "m")
        whole = f"{run.id}: {amount(run.spec.length_m, 'm')}" if run.length_m is not None else f"{UNKNOWN} m"
        return whole if last else ""

    def _size(self, one: SegmentStudy, pole: str) -> str:
        spec = self.study.system.run(one.segment.run).spec
        size = spec.return_wire if pole == NEGATIVE and spec.return_wire else one.size
        count = f"{spec.conductors} × " if spec.conductors > 1 else ""
        return f"{count}{size or f'{UNKNOWN} wire'}{' sized' if one.sized else ''}"
