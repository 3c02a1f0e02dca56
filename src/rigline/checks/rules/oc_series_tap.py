"""A wire from the middle of a bank is a wire from a battery, and needs a fuse there.

The fuse at the top of the bank does not see what is taken from its middle. The minus of a load on an upper block is no
ground either: it stands at the voltage of the blocks below, and a short to metal sets it alight.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.exposed import exposed_hits
from rigline.findings import Severity
from rigline.graph.build import Edge
from rigline.model.system import NEGATIVE, Conductor, Node
from rigline.study.storage import midpoints
from rigline.study.study import Study

SLUG = "oc-series-tap"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each lead from the middle of a string without a device, plus or minus."""
    for hit in exposed_hits(study, SLUG):
        if isinstance(hit, Hit):
            words = {**hit.words, "fuse": f"a fuse of {hit.limit:.4g} A or less"}
            words["why"] = f"{hit.words['sources']} feeds it with {hit.words['flow']} past every fuse"
            yield Hit(hit.at, hit.found, hit.limit, "A", hit.runs, hit.segment, words=words)
        else:
            yield hit
    for string, joint in midpoints(study) if study.system.head.dc_grounding == "negative" else ():
        blocks = " and ".join(block.id for block in string.blocks)
        for conductor in study.graph.conductors:
            if conductor.pole == NEGATIVE and (ends := _open_ends(study, conductor, joint)):
                words = {"fuse": "a fuse that suits it, as in its plus", "end": ends[0].component,
                         "why": f"the minus of a load in the upper part of {blocks} is no ground"}  # fmt: skip
                yield Hit((ends[1].component, ends[0].component), runs=(conductor.run,), words=words)


def _open_ends(study: Study, conductor: Conductor, joint: frozenset[Node]) -> tuple[Node, Node] | None:
    """The joint, and the load or converter that a minus wire leads to from there without a device, if it does."""
    for start, far in ((conductor.a, conductor.b), (conductor.b, conductor.a)):
        if start not in joint or study.graph.component_at(start).role != "storage" or _is_ground(study, start):
            continue
        for node in sorted({far, *study.graph.reach(far, _leads_on)}):
            if study.graph.component_at(node).role in ("load", "converter") and node.pole == NEGATIVE:
                return start, node
    return None


def _is_ground(study: Study, node: Node) -> bool:
    """Whether the system's bond lies here: then the joint is its ground, and the blocks below it stand under it."""
    grounding = study.grounding
    own = grounding.reach([node], grounding.is_return)
    return any(bond.dc in own for bond in grounding.bonds)


def _leads_on(edge: Edge, node: Node) -> bool:
    if isinstance(edge, Conductor):
        return edge.a.pole == edge.b.pole
    return edge.kind == "device" and not edge.protects


CHECK = Check(
    slug=SLUG,
    title="wire from the middle of a bank without a fuse",
    family="overcurrent",
    severity=Severity.DANGER,
    limit=(
        "What leaves the middle of a series string has a device at the tap, at most what its wire may have; on an "
        "upper block, in both poles."
    ),
    exceptions="Links between the blocks; leads with a fuse or resistor of their own (sense leads).",
    sources=(Source("33 CFR 183.455(a)", "verified"), Source("NEC 240.15(A)", "from memory")),
    message="{runs} leads {at} from the middle of a bank without a device: {why}.",
    remedy="Fit {fuse} in {runs}, at {end}; better, feed {at} through a converter across the whole bank.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A radio on half a bank with an equaliser
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 50 Ah, short-circuit: 800 A, age: new, equaliser: 20 A}
  B2: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 50 Ah, short-circuit: 800 A, age: new, equaliser: 20 A}
  F1: {kind: fuse, style: class-t, rating: 15 A}
  LT1: {kind: dc-load, current: 4 A, continuous: false}
  F2: {kind: fuse, style: class-t, rating: 15 A}
  RA1: {kind: dc-load, name: Radio, current: 5 A, continuous: false}
  GND: {kind: chassis, type: engine}
runs:
  - {id: W1, path: [B2+, F1, LT1], lengths: [100 mm, 1 m], carries: positive, wire: 12 AWG}
  - {id: W2, path: [LT1, B1], length: 1 m, carries: negative, wire: 12 AWG}
  - {id: W3, path: [B2-, B1+], length: 0.2 m, wire: 8 AWG}
  - {id: W4, path: [B1, F2, RA1], lengths: [100 mm, 1 m], wire: 12 AWG}
  - {id: W5, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="F2: {kind: fuse, style: class-t, rating: 15 A}",
        failing="F2: {kind: switch, voltage: 32 V, rating: 300 A}",
        finds=("RA1",),
    ),
)
