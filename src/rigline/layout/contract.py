"""Finds the one-line in a system: which components are stations, and which feeders join them.

Every chain of two-ended devices (fuse, switch, shunt) between two stations becomes one feeder, whatever runs it is made
of. What branches, converts, ends or stands alone is a station.
"""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct, field

from rigline.kinds import Component
from rigline.layout.oneline import Device, Feeder, OneLine, Station, Tag
from rigline.layout.tagging import tag_lines
from rigline.layout.wording import device_lines, segment_title, station_lines, station_title
from rigline.model.natural import natural
from rigline.model.system import Segment, Stop, System
from rigline.spec.stages import LATER
from rigline.study.study import SegmentStudy, Study

_KIND = {"dc": "dc", "ac": "ac", "earth": "bond", "control": "sense"}
_BRANCHED = frozenset({"selector", "transfer-switch", "diode-isolator"})
_AC_KINDS = frozenset({"ac-panel", "ac-load", "shore-inlet", "generator", "transformer", "autotransformer"})
_BOTH = frozenset({"receptacle", "motor", "junction", "surge-protector"})


class _Contraction(Struct):
    study: Study
    staged: Study
    """The study of the stage that is looked at: what is built by then has its numbers from there."""
    flags: Mapping[str, tuple[int, ...]]
    later: frozenset[str]
    at: dict[str, list[Segment]] = field(default_factory=dict)
    stations: set[str] = field(default_factory=set)
    numbers: dict[str, SegmentStudy] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.numbers = {**self.study.segments_by_id, **self.staged.segments_by_id}
        for segment in self.system.segments:
            for stop in (segment.start, segment.end):
                self.at.setdefault(stop.component, []).append(segment)
        self.stations = {id for id, component in self.system.components.items() if self._is_station(component)}

    @property
    def system(self) -> System:
        return self.study.system

    def _study(self, component: str) -> Study:
        return self.staged if component in self.staged.system.components else self.study

    def _is_station(self, component: Component) -> bool:
        if component.role != "inline" or component.kind in _BRANCHED:
            return True
        segments = self.at.get(component.id, [])
        own = [s for s in segments if s.medium != "earth" or component.breaks == "earth"]
        return len(segments) != 2 or len(own) != 2 or own[0].medium != own[1].medium

    def one_line(self) -> OneLine:
        """The stations in the order in which the runs reach them, and the feeders in the order of their first segment.

        The order of the runs is the author's own, and arranges the sheet; that of the components says nothing.
        """
        loose = sorted(self.stations - self.at.keys(), key=natural)
        order = [*(id for id in self.at if id in self.stations), *loose]
        return OneLine(tuple(self._station(self.system.components[id]) for id in order), tuple(self._feeders()))

    def _station(self, component: Component) -> Station:
        role = "converter" if component.role == "inline" else component.role
        return Station(
            id=component.id,
            kind=component.kind,
            lines=station_lines(component, self._study(component.id)),
            role=role,
            medium=self._medium(component),
            place=component.place,
            later=component.id in self.later,
            flags=self.flags.get(component.id, ()),
            title=station_title(component, self._study(component.id)),
        )

    def _medium(self, component: Component) -> str:
        if component.role == "earth":
            return "earth"
        if component.kind in _AC_KINDS:
            return "ac"
        media = {segment.medium for segment in self.at.get(component.id, [])}
        flexible = component.kind in _BOTH or component.role == "inline"
        return "ac" if flexible and "ac" in media and "dc" not in media else "dc"

    def _feeders(self) -> list[Feeder]:
        done: set[str] = set()
        found = []
        for segment in self.system.segments:
            if segment.id not in done:
                chain, stops = self._chain(segment)
                done.update(one.id for one in chain)
                found.append(self._feeder(chain, stops))
        return found

    def _chain(self, segment: Segment) -> tuple[list[Segment], list[Stop]]:
        """The segments from station to station that a segment is part of, with the stops between and at the ends."""
        ahead_chain, ahead_stops = self._follow(segment, segment.end)
        back_chain, back_stops = self._follow(segment, segment.start)
        chain = [*reversed(back_chain), segment, *ahead_chain]
        return chain, [*reversed(back_stops), segment.start, segment.end, *ahead_stops]

    def _follow(self, segment: Segment, stop: Stop) -> tuple[list[Segment], list[Stop]]:
        chain: list[Segment] = []
        stops: list[Stop] = []
        seen = {segment.id}
        while stop.component not in self.stations:
            onward = next((s for s in self.at[stop.component] if s.id not in seen), None)
            if onward is None:
                # A ring of in-line devices: the one that closes it is drawn as a station.
                self.stations.add(stop.component)
                break
            seen.add(onward.id)
            segment = onward
            stop = segment.end if segment.start.component == stop.component else segment.start
            chain.append(segment)
            stops.append(stop)
        return chain, stops

    def _feeder(self, chain: list[Segment], stops: list[Stop]) -> Feeder:
        if self._backwards(chain, stops):
            chain, stops = chain[::-1], stops[::-1]
        numbers = self.numbers
        first, last = stops[0], stops[-1]
        return Feeder(
            id=chain[0].id,
            runs=tuple(dict.fromkeys(segment.run for segment in chain)),
            start=first.component,
            end=last.component,
            devices=tuple(self._device(stop, chain[0]) for stop in self._inner(stops)),
            tags=tuple(self._tag(numbers[segment.id]) for segment in chain),
            kind=_KIND[chain[0].medium],
            conductors=max(len(segment.conductors) for segment in chain),
            start_port=self._port(first),
            end_port=self._port(last),
            later=any(segment.run in self.later for segment in chain),
        )

    @staticmethod
    def _inner(stops: list[Stop]) -> list[Stop]:
        """The devices between: each joint of two segments appears once."""
        return stops[1:-1]

    @staticmethod
    def _port(stop: Stop) -> str:
        return stop.exit or stop.pole

    def _backwards(self, chain: list[Segment], stops: list[Stop]) -> bool:
        """Whether power flows from the last stop to the first."""
        first, last = (self.system.components[stop.component] for stop in (stops[0], stops[-1]))
        if chain[0].medium in ("earth", "control"):
            return first.role == "earth" and last.role != "earth"
        order = {"source": 0, "storage": 0, "bus": 1, "load": 3, "earth": 4}
        ranks = [
            order.get(component.role, self._converter_rank(component, stop))
            for component, stop in ((first, stops[0]), (last, stops[-1]))
        ]
        if ranks[0] != ranks[1]:
            return ranks[0] > ranks[1]
        return self._flow(chain[0]) < 0 if first.role == "bus" else False

    @staticmethod
    def _converter_rank(component: Component, stop: Stop) -> float:
        terminal = next((t for t in component.terminals if t.name == stop.entry), None)
        return 2.0 if terminal is not None and terminal.flow == "in" else 0.5

    def _flow(self, segment: Segment) -> float:
        hot = next((c for c in segment.conductors if c.pole in ("+", "L1", "L2")), None)
        if hot is None:
            return 0.0
        return next((amps for case in self.study.cases if abs(amps := case.amps.get(hot.id, 0.0)) > 1e-6), 0.0)

    def _device(self, stop: Stop, segment: Segment) -> Device:
        component = self.system.components[stop.component]
        poles = getattr(component, "poles", None) or 1
        conductor = {"negative": "negative", "earth": "earth", "all": "both"}.get(component.breaks, "hot")
        if conductor == "hot" and poles > 1:
            conductor = "both"
        return Device(
            id=component.id,
            kind=component.kind,
            lines=device_lines(component, self._study(component.id)),
            conductor=conductor,
            place=component.place,
            later=component.id in self.later,
            flags=self.flags.get(component.id, ()),
            title=station_title(component, self._study(component.id)),
        )

    def _tag(self, one: SegmentStudy) -> Tag:
        run = self.system.run(one.segment.run)
        last = run.segments[-1].id == one.segment.id
        flags = (*self.flags.get(one.segment.id, ()), *(self.flags.get(run.id, ()) if last else ()))
        return Tag(
            segment=one.segment.id,
            lines=tag_lines(one, run, self.study),
            sized=one.sized,
            unknown=one.size is None,
            flags=tuple(sorted(set(flags))),
            title=segment_title(one),
        )


def one_line(study: Study, flags: Mapping[str, tuple[int, ...]] | None = None, staged: Study | None = None) -> OneLine:
    """The one-line of a study.

    Args:
        study: The whole system with its numbers.
        flags: Numbers of findings by component id, segment id or run id.
        staged: The study of what is built by a stage; everything else is planned for later. None: what the spec
            itself calls later is.
    """
    later = _later(study.system) if staged is None else _beyond(study.system, staged.system)
    return _Contraction(study, staged or study, flags or {}, later).one_line()


def _later(system: System) -> frozenset[str]:
    """Components and runs that the spec plans for later, and runs to such components."""
    components = {id for id, component in system.components.items() if component.stage == LATER}
    runs = {
        run.id
        for run in system.runs
        if run.spec.stage == LATER or any(stop.component in components for stop in run.stops)
    }
    return frozenset(components | runs)


def _beyond(whole: System, staged: System) -> frozenset[str]:
    """Components and runs that a stage does not have yet."""
    runs = {run.id for run in whole.runs} - staged.runs_by_id.keys()
    return frozenset(runs | (whole.components.keys() - staged.components.keys()))
