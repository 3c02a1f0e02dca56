"""A switch ahead of the first fuse makes the unprotected cable longer than it need be.

Everything between the battery and its first fuse burns freely if it chafes. A fuse fits within a hand's breadth of the
post; the switch can stand behind it, wherever a hand reaches it.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.graph.build import Edge
from rigline.kinds.devices import Selector, Switch
from rigline.kinds.loads import Motor
from rigline.model.system import Conductor, Node
from rigline.study.causes import exceeds
from rigline.study.distances import Stub, stubs_of
from rigline.study.study import Study

SLUG = "ds-order"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each first fuse that a switch pushes past the bare limit, though sheath makes it lawful."""
    bare = study.profile.tap_battery_bare_m
    if bare is None:
        return
    for stub in stubs_of(study).of_batteries:
        if not stub.tap.sheathed or stub.is_long is not False or not exceeds(stub.tap.known_m, bare.value):
            continue
        switches = _switches(study, stub)
        if switches and not _cranks(study, switches):
            at = (switches[0], stub.device)
            words = {"device": stub.device, "source": stub.source}
            yield Hit(at, stub.tap.known_m, bare.value, "m", stub.runs, words=words)


def _switches(study: Study, stub: Stub) -> tuple[str, ...]:
    segments = [study.system.segments_by_id[id] for id in stub.tap.segments]
    nodes = {n.component for segment in segments for c in segment.conductors for n in (c.a, c.b)}
    return tuple(sorted(id for id in nodes if isinstance(study.system.components[id], Switch | Selector)))


def _cranks(study: Study, switches: tuple[str, ...]) -> bool:
    """Whether an engine is cranked through a switch, which then stands in a circuit without a fuse."""
    nodes = {n for id in switches for at in study.graph.nodes_of(id) for n in study.graph.reach(at, _is_unfused)}
    return any(isinstance(c := study.graph.component_at(n), Motor) and c.cranking for n in nodes)


def _is_unfused(edge: Edge, node: Node) -> bool:
    if isinstance(edge, Conductor):
        return edge.a.pole == node.pole == edge.b.pole
    return edge.kind == "device" and not edge.protects and edge.a.pole == node.pole


CHECK = Check(
    slug=SLUG,
    title="switch ahead of the main fuse",
    family="disconnects",
    severity=Severity.ADVICE,
    limit=(
        "Battery, fuse, switch, bus: the first fuse stands within the length that a bare cable may have without "
        "protection, where a switch ahead of it is what makes the cable longer."
    ),
    exceptions="A switch that an engine is cranked through; rule sets without such a length.",
    sources=(Source("fuse first, then the switch", "common practice"), Source("33 CFR 183.455(b)", "verified")),
    message=(
        "{at} stands ahead of {device}, so that {found} {unit} of cable from {source} has no protection; without "
        "it {limit} {unit} would do."
    ),
    remedy="Swap them: {device} next to {source}, then {at}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A battery with its switch
profile: us-boat
body: plastic
defaults: {sheathed: true}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  Q1: {kind: switch, rating: 100 A, voltage: 32 V}
  F1: {kind: fuse, style: class-t, rating: 20 A}
  LD1: {kind: dc-load, name: Heater, current: 10 A, continuous: true}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, Q1, LD1], lengths: [0.1 m, 0.5 m, 0.6 m], wire: 8 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="path: [B1, F1, Q1, LD1]",
        failing="path: [B1, Q1, F1, LD1]",
        finds=("Q1", "F1"),
    ),
)
