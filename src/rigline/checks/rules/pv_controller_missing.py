"""An array without a charge controller pushes into the battery for as long as the sun shines, full or not.

A module for 12 V brings 18 V and more. Lead boils dry under that and gives off hydrogen; lithium cells are driven above
the voltage at which they are safe, until their own protection opens, if there is any.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.graph.build import Edge
from rigline.kinds.sources import Battery, PvArray
from rigline.model.system import POSITIVE, Conductor
from rigline.study.causes import exceeds
from rigline.study.study import Study

SLUG = "pv-controller-missing"
FLOAT_SHARE_PER_H = 0.01
"""A module that brings at most this share of a lead battery's capacity an hour only keeps it full. Common practice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each array whose positive leads to a battery's through nothing but wire, switches and fuses."""
    for id, array in sorted(study.system.components.items()):
        if not isinstance(array, PvArray):
            continue
        batteries = _reached(study, id)
        if batteries and (judged := _judged(array, batteries)) is not None:
            yield judged


def _reached(study: Study, id: str) -> list[Battery]:
    graph = study.graph
    starts = [node for node in graph.nodes_of(id) if node.pole == POSITIVE]
    nodes = {node for start in starts for node in graph.reach(start, lambda edge, _: _is_plain(edge))}
    found = {node.component: graph.component_at(node) for node in nodes if node.pole == POSITIVE}
    return [component for _, component in sorted(found.items()) if isinstance(component, Battery)]


def _is_plain(edge: Edge) -> bool:
    if isinstance(edge, Conductor):
        return edge.a.pole == POSITIVE == edge.b.pole
    return edge.kind == "device" and edge.a.pole == POSITIVE


def _judged(array: PvArray, batteries: list[Battery]) -> Hit | Missing | None:
    ids = (array.id, *(battery.id for battery in batteries))
    words = {"batteries": " and ".join(ids[1:])}
    if any(battery.chemistry == "lifepo4" for battery in batteries):
        return Hit(ids, severity=Severity.DANGER, words=words)
    isc, capacities = array.isc_a, [battery.capacity_ah for battery in batteries]
    if isc is None or None in capacities:
        return Missing(ids, f"isc of {array.id} and capacity of {words['batteries']}")
    limit = FLOAT_SHARE_PER_H * sum(capacity for capacity in capacities if capacity is not None)
    return Hit(ids, words=words) if exceeds(isc * array.parallel, limit) else None


CHECK = Check(
    slug=SLUG,
    title="solar array on a battery without a charge controller",
    family="PV",
    severity=Severity.FAULT,
    limit="A charge controller stands between an array and a battery. Lithium: always (danger).",
    exceptions="A module of at most 1 % of a lead battery's ampere-hours, which only keeps it full (common practice).",
    sources=(
        Source("NEC 690.72(A), charge control of batteries", "from memory"),
        Source("a module of at most 1 % of the capacity needs no controller", "common practice"),
    ),
    message="{at}: nothing ends the charge of {batteries} when the sun shines on {at} and the battery is full.",
    remedy="Put a charge controller between {at} and {batteries} (`kind: charge-controller`).",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A module that keeps a battery full
profile: us-rv
body: plastic
conditions: {coldest: -10 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 1.5 kA}
  F1: {kind: fuse, style: blade, rating: 10 A, voltage: 32 V, interrupting: 2 kA}
  PV1: {kind: pv-array, pmax: 15 W, vmp: 18 V, imp: 0.8 A, voc: 22 V, isc: 0.9 A, max-series-fuse: 10 A, frame: none}
  GND: {kind: chassis}
runs:
  - {id: W1, path: [B1, F1, PV1], lengths: [100 mm, 3 m], wire: 12 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="isc: 0.9 A",
        failing="isc: 5.9 A",
        finds=("PV1", "B1"),
    ),
)
