"""The breaker on the pedestal belongs to somebody else, is often larger than your cable, and stands far away. Your
wiring starts at the inlet.

One main device that opens every hot conductor together protects all that follows and shuts it off at once.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.graph.build import Edge
from rigline.kinds.sources import ShoreInlet
from rigline.model.system import HOT_LEGS, Conductor, Node
from rigline.study.causes import consumers_in, exceeds
from rigline.study.study import Study
from rigline.study.taps import Tap, taps_from
from rigline.units import format_amount

FARTHEST_M = {"us-boat": 3.05, "intl-boat": 0.5, "uk-inland-boat": 0.5}
"""From the inlet to the main device, along the wire. Source: ABYC E-11, 10 ft (from memory); ISO 13297:2020 13.2.2."""
SWITCH_SERVES = frozenset({"eu-caravan"})
"""Where a main switch or residual-current device ahead of a breaker per circuit serves. Source: IEC 60364-7-721."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each inlet that feeds more than one device, or loads directly, or whose main stands too far away."""
    for id, inlet in sorted(study.system.components.items()):
        if isinstance(inlet, ShoreInlet) and inlet.internal_breaker_a is None:
            legs = [leg for leg in HOT_LEGS if Node(id, "", leg) in study.graph.graph]
            yield from _inlet(study, id, legs)


def _inlet(study: Study, id: str, legs: list[str]) -> Iterator[Hit | Missing]:
    taps: dict[str, Tap] = {}
    served: set[str] = set()
    shared: set[str] | None = None
    for leg in legs:
        node = Node(id, "", leg)
        region = frozenset(study.graph.reach(node, lambda edge, start: _leads_on(study, edge, start)))
        found = {tap.device: tap for tap in taps_from(study.graph, node, region)}
        served |= {c.id for c in consumers_in(study.graph, region) if c.id != id}
        shared = set(found) if shared is None else shared & set(found)
        taps |= found
    if not legs:
        return
    switched = study.profile.name in SWITCH_SERVES and _opens_by_one_switch(study, id, legs)
    if served or not taps or (not switched and (len(taps) != 1 or shared != set(taps))):
        yield _hit(id, _what(taps, served), study)
        return
    yield from _distance(study, id, next(iter(taps.values())))


def _opens_by_one_switch(study: Study, id: str, legs: list[str]) -> bool:
    """Whether one main switch or residual-current device stands ahead of every device."""
    first: set[str] = set()
    for leg in legs:
        nodes = study.graph.reach(
            Node(id, "", leg), lambda edge, start: _joins(edge, start.pole) and not _is_switch(study, edge)
        )
        edges = [edge for node in nodes for edge, _ in study.graph.edges_at(node) if not isinstance(edge, Conductor)]
        first |= {edge.component for edge in edges if edge.kind == "device"}
    return len(first) == 1 and study.system.components[next(iter(first))].kind in ("switch", "rcd")


def _is_switch(study: Study, edge: Edge) -> bool:
    return not isinstance(edge, Conductor) and study.system.components[edge.component].kind in ("switch", "rcd")


def _joins(edge: Edge, pole: str) -> bool:
    if isinstance(edge, Conductor):
        return edge.a.pole == pole == edge.b.pole
    return edge.kind == "device" and not edge.protects and edge.a.pole == pole


def _leads_on(study: Study, edge: Edge, start: Node) -> bool:
    """Whether what the inlet feeds goes on over an edge: from a transfer switch's output never to its other source."""
    backwards = start.terminal == "out" and study.system.components[start.component].kind == "transfer-switch"
    return _joins(edge, start.pole) and not (backwards and not isinstance(edge, Conductor))


def _what(taps: dict[str, Tap], served: set[str]) -> str:
    if served:
        return f"{', '.join(sorted(served))} hangs on the inlet without any device"
    if not taps:
        return "nothing stands between the inlet and what it feeds"
    each = ", ".join(sorted(taps))
    return f"no single main device: {each} each hang on the inlet, and nothing opens all of it together"


def _distance(study: Study, id: str, tap: Tap) -> Iterator[Hit | Missing]:
    most = FARTHEST_M.get(study.profile.name)
    if most is None:
        return
    if exceeds(tap.known_m, most):
        what = f"the main device {tap.device} stands {format_amount(tap.known_m, 'm')} from the inlet, at most "
        what += format_amount(most, "m")
        yield _hit(id, what, study, tap.device, tap.known_m, most)
    elif tap.length_m is None:
        yield Missing((id, tap.device), f"length of each stretch between {id} and {tap.device}")


def _hit(
    id: str, what: str, study: Study, device: str = "", found: float | None = None, limit: float | None = None
) -> Hit:
    most = FARTHEST_M.get(study.profile.name)
    where = f" within {format_amount(most, 'm')} of {id}" if most else f" at the panel that {id} feeds"
    at = (id, device) if device else (id,)
    return Hit(at=at, found=found, limit=limit, unit="m", words={"what": what, "where": where})


CHECK = Check(
    slug="oc-shore-main",
    title="shore inlet without a main device near it",
    family="overcurrent",
    severity=Severity.DANGER,
    limit=(
        "One device for all that the inlet feeds, opening every hot conductor together. Boats (US): within 3.05 m "
        "of the inlet along the wire. Boats (international): 0.5 m. RVs: at the panel."
    ),
    exceptions=(
        "Caravans (EU): a main switch or residual-current device ahead of a breaker for each circuit (IEC "
        "60364-7-721). RV: the panel on the end of a fixed supply cord counts (NEC 551.44 to 551.46)."
    ),
    sources=(
        Source("ABYC E-11, 10 ft", "from memory"),
        Source("ISO 13297:2020 13.2.2", "verified"),
        Source("NEC 551.44 to 551.46", "from memory"),
        Source("IEC 60364-7-721", "from memory"),
    ),
    message="{at}: {what}.",
    remedy="Fit one main breaker that opens every hot conductor together{where}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Shore supply of a small trailer
profile: us-rv
body: metal
defaults: {insulation: 90 °C}
components:
  SH1: {kind: shore-inlet, rating: 30 A, voltage: 120 V}
  QM: {kind: breaker, style: thermal-magnetic, rating: 30 A, poles: 1}
  ACP1: {kind: ac-panel, rating: 50 A, neutral-bond: none}
  QA: {kind: breaker, style: thermal-magnetic, rating: 20 A, poles: 1}
  RC1: {kind: receptacle, name: Outlets, rating: 20 A, gfci: true, power: 1000 W, location: galley}
  QB: {kind: breaker, style: thermal-magnetic, rating: 15 A, poles: 1}
  HT1: {kind: ac-load, name: Heater, power: 900 W, class-ii: true}
  GND: {kind: chassis, name: Frame}
runs:
  - {id: W1, path: [SH1, QM, ACP1], lengths: [1.5 m, 0.2 m], wire: 10 AWG}
  - {id: W2, path: [ACP1, QA, RC1], length: 3 m, wire: 12 AWG}
  - {id: W3, path: [ACP1, QB, HT1], length: 3 m, wire: 14 AWG}
  - {id: W4, path: [ACP1, GND], length: 0.8 m, carries: earth, wire: 8 AWG}
""",
        passing="QM: {kind: breaker, style: thermal-magnetic, rating: 30 A, poles: 1}",
        failing="QM: {kind: switch, voltage: 240 V, rating: 50 A, poles: 1}",
        finds=("SH1",),
    ),
)
