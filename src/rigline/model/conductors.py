"""Each stretch of a run as the conductors that are really there, joined to the poles they land on."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from rigline.kinds import Component
from rigline.model.stops import CASE, parse_reference, terminals_for
from rigline.model.system import (
    EARTH,
    HOT_LEGS,
    NEGATIVE,
    NEUTRAL,
    POSITIVE,
    Conductor,
    Mark,
    Medium,
    Node,
    Run,
    Segment,
    Stop,
)
from rigline.spec.document import Document, RunSpec
from rigline.standards.wire import WireSize


def letter(index: int) -> str:
    """a, b, ... z, aa, ab, ... for the stretches of a run."""
    return (letter(index // 26 - 1) if index >= 26 else "") + chr(ord("a") + index % 26)


class ConductorMaker(Struct):
    """Makes runs of a system whose terminals are decided."""

    components: Mapping[str, Component]
    document: Document
    split: frozenset[str]
    """Components with both legs of a split-phase source."""

    def run(self, id: str, spec: RunSpec, medium: Medium, stops: tuple[Stop, ...], mark: Mark) -> Run:
        """A run with its segments and conductors."""
        carries = self._carries(spec, medium, stops)
        poles = self._poles(spec, carries, stops)
        segments = tuple(
            self._segment(id, spec, medium, carries, poles, stops, index) for index in range(len(stops) - 1)
        )
        return Run(id, spec.id is not None, spec, medium, carries, stops, segments, mark)

    def _carries(self, spec: RunSpec, medium: Medium, stops: tuple[Stop, ...]) -> str:
        if spec.carries is not None and spec.carries != "pair":
            return spec.carries
        if medium == "ac":
            return "cores"
        first, last = stops[0].pole, stops[-1].pole
        if first and last and first != last:
            return "link"
        if (first or last) and spec.carries != "pair":
            return "negative" if (first or last) == NEGATIVE else "positive"
        return "pair"

    def _poles(self, spec: RunSpec, carries: str, stops: tuple[Stop, ...]) -> tuple[str, ...]:
        single = {"positive": POSITIVE, "negative": NEGATIVE, "link": "link", "neutral-bond": "N-PE"}
        if carries == "pair":
            return POSITIVE, NEGATIVE
        if carries == "cores":
            return tuple("L1" if core == "L" else core for core in spec.cores or self._default_cores(stops))
        if carries in single:
            return (single[carries],)
        return (EARTH,) if carries in ("bond", "earth") else ("S",)

    def _default_cores(self, stops: tuple[Stop, ...]) -> tuple[str, ...]:
        ends = [stops[0].component, stops[-1].component]
        if all(id in self.split for id in ends):
            return "L1", "L2", NEUTRAL, EARTH
        legs = [getattr(self.components[id], "legs", None) for id in ends]
        return ("L2" if "L2" in legs else "L1"), NEUTRAL, EARTH

    def _segment(
        self,
        id: str,
        spec: RunSpec,
        medium: Medium,
        carries: str,
        poles: tuple[str, ...],
        stops: tuple[Stop, ...],
        index: int,
    ) -> Segment:
        name = id + letter(index)
        length, share = self._lengths(spec, index, len(stops) - 1)
        conductors = tuple(self._conductor(name, id, spec, carries, poles, pole, stops, index, share) for pole in poles)
        return Segment(name, id, index, stops[index], stops[index + 1], medium, carries, length, share, conductors)

    @staticmethod
    def _lengths(spec: RunSpec, index: int, stretches: int) -> tuple[float | None, float | None]:
        if spec.lengths_m is not None:
            return spec.lengths_m[index], spec.lengths_m[index]
        if spec.length_m is None:
            return None, None
        # The one stretch of a run keeps its author's words.
        whole = spec.length_m if stretches == 1 else float(spec.length_m)
        return (whole if stretches == 1 else None), whole / stretches

    def _conductor(
        self,
        segment: str,
        run: str,
        spec: RunSpec,
        carries: str,
        poles: tuple[str, ...],
        pole: str,
        stops: tuple[Stop, ...],
        index: int,
        share_m: float | None,
    ) -> Conductor:
        start, end = stops[index], stops[index + 1]
        a = self._node(start, start.exit, pole, carries, poles, "a")
        b = self._node(end, end.entry, pole, carries, poles, "b")
        if index == 0 and spec.return_to and pole == NEGATIVE and carries == "pair":
            a = self._return_node(spec.return_to, poles)
        is_return = pole == NEGATIVE and carries == "pair"
        length = share_m
        if is_return and spec.return_length_m is not None:
            length = float(spec.return_length_m) / (len(stops) - 1)
        label = {"N-PE": "N", "link": ""}.get(pole, pole)
        return Conductor(segment + label, segment, run, pole, a, b, self._wire(spec, pole, is_return), length)

    def _return_node(self, written: str, poles: tuple[str, ...]) -> Node:
        """Where a return goes that doesn't go to the path's first component: the loads' side of a shunt."""
        reference = parse_reference(written, self.components)
        component = self.components[reference.component]
        if component.role == "converter":
            names = [name for name in terminals_for(component, "dc") if name]
            return Node(component.id, reference.terminal or "".join(names[:1]), NEGATIVE)
        if component.role == "inline" and NEGATIVE in broken_poles(component, poles, "pair", self._grounding):
            return Node(component.id, reference.terminal or ("load" if component.kind == "shunt" else ""), NEGATIVE)
        return Node(component.id, "", NEGATIVE)

    @staticmethod
    def _wire(spec: RunSpec, pole: str, is_return: bool) -> WireSize | None:
        if is_return and spec.return_wire is not None:
            return spec.return_wire
        if pole == EARTH and spec.earth_wire is not None:
            return spec.earth_wire
        if pole == NEUTRAL and spec.neutral_wire is not None:
            return spec.neutral_wire
        return spec.wire

    def _node(self, stop: Stop, terminal: str, pole: str, carries: str, poles: tuple[str, ...], end: str) -> Node:
        component = self.components[stop.component]
        if pole in (EARTH, "N-PE") or carries in ("bond", "earth"):
            return self._earth_node(stop, component, carries, end)
        if pole == "S":
            return Node(stop.component, stop.entry, "S")
        if pole == "link" and component.role == "inline":
            return Node(stop.component, terminal, stop.pole or POSITIVE)
        if pole == "link":
            return Node(stop.component, self._own(component, terminal), stop.pole or POSITIVE)
        if component.role == "inline" and pole in broken_poles(component, poles, carries, self._grounding):
            return Node(stop.component, terminal, pole)
        if component.role == "inline":
            return Node(stop.component, "", pole)
        return Node(stop.component, self._own(component, terminal), pole)

    @property
    def _grounding(self) -> str:
        return self.document.head.dc_grounding

    @staticmethod
    def _own(component: Component, terminal: str) -> str:
        return terminal if component.role == "converter" or component.kind == "charge-controller" else ""

    def _earth_node(self, stop: Stop, component: Component, carries: str, end: str) -> Node:
        """Where an earth, bond or neutral bond lands: the pole that was named, else the one that bonds land on."""
        if component.role == "earth":
            return Node(stop.component, "", EARTH)
        if component.role == "inline" and component.breaks == "earth" and stop.entry != CASE:
            return Node(stop.component, stop.exit if end == "a" else stop.entry, EARTH)
        if stop.pole and stop.pole != EARTH:
            # A shunt's two studs are two nodes; on which of them a bond lands matters.
            cut = broken_poles(component, (POSITIVE, NEGATIVE), "pair", self._grounding)
            parted = component.role == "converter" or (component.role == "inline" and stop.pole in cut)
            return Node(stop.component, stop.entry if parted and stop.entry != CASE else "", stop.pole)
        if carries == "neutral-bond" and end == "a" and component.kind != "earth-bus":
            return Node(stop.component, "ac-out" if "inverter" in component.kind else "", NEUTRAL)
        if carries == "bond" and component.kind in _BONDED_BY_POLE and stop.entry != CASE:
            return Node(stop.component, "", POSITIVE if self._grounding == "positive" else NEGATIVE)
        return Node(stop.component, "", EARTH)


_BONDED_BY_POLE = frozenset({"battery", "vehicle-battery", "busbar", "fuse-block", "dc-panel", "junction"})
"""Kinds whose bond is of a pole of the DC system, not of a case."""


def broken_poles(component: Component, poles: tuple[str, ...], carries: str, grounding: str) -> frozenset[str]:
    """The poles that an in-line component interrupts in a run with these poles."""
    if carries != "pair" and carries != "cores":
        return frozenset(poles)
    present = frozenset(poles)
    count = getattr(component, "poles", None)
    if component.breaks == "all":
        return present - {EARTH}
    if component.breaks == "negative":
        return present & {NEGATIVE}
    if component.breaks == "earth":
        return present & {EARTH}
    if carries == "pair":
        hot = NEGATIVE if grounding == "positive" else POSITIVE
        return present & ({POSITIVE, NEGATIVE} if count and count >= 2 else {hot})
    return _broken_cores(component, present, count)


def _broken_cores(component: Component, present: frozenset[str], count: int | None) -> frozenset[str]:
    hot = present & set(HOT_LEGS)
    live = present - {EARTH}
    if component.kind == "transfer-switch":
        switches_neutral = getattr(component, "switches_neutral", None)
        return live if switches_neutral or (switches_neutral is None and count and count > len(hot)) else hot
    if count is None:
        return live if component.kind == "rcd" else hot
    if count > len(hot):
        return live
    return frozenset(sorted(hot)[:count])
