"""The wire to the earth electrode carries lightning and surges besides fault current.

A thin one breaks in the first storm or under the first spade, and nobody notices. It is sized by the thickest supply
wire; to rods alone it need not be thicker than what a rod can pass on.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.earthing import EarthElectrode
from rigline.model.system import Node
from rigline.standards.bonding import gec_minimum
from rigline.standards.wire import CMIL_COMPARISON_FRAC
from rigline.study.study import Study

SLUG = "gb-gec-size"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each electrode of an AC system whose wire is below the least size."""
    grounding = study.grounding
    largest = grounding.largest_ac_line()
    starts = [node for net in grounding.ac_earths for node in net if node.component not in grounding.electrodes]
    for id in grounding.electrodes if largest is not None and starts else ():
        target = Node(id, "", "PE")
        path = grounding.thickest(starts, lambda node, target=target: node == target)  # type: ignore[misc]
        if path is None or path.thinnest is None or largest is None:
            continue
        electrode = study.system.components[id]
        made = isinstance(electrode, EarthElectrode) and electrode.type in ("rod", "plate", "water-pipe")
        least = gec_minimum(study.profile, largest, rod_only=made)
        if path.area_mm2 is None:
            yield Missing((id,), f"wire size of {path.thinnest.run}")
        elif least is not None and path.area_mm2 < least.size.area_mm2 * (1 - CMIL_COMPARISON_FRAC):
            words = {"wire": str(grounding.size(path.thinnest)), "least": str(least.size), "rule": least.rule}
            limit = least.size.area_mm2
            yield Hit((id,), path.area_mm2, limit, "mm²", (path.thinnest.run,), path.thinnest.segment, words=words)


CHECK = Check(
    slug=SLUG,
    title="wire to the earth electrode too thin",
    family="grounding & bonding",
    severity=Severity.FAULT,
    limit="NEC Table 250.66 by the largest line conductor (6 AWG is enough to a rod alone); IEC: at least 6 mm².",
    exceptions="none",
    sources=(
        Source("NEC Table 250.66", "verified"),
        Source("NEC 250.66(A); IEC 60364-5-54 542.3.1", "from memory"),
    ),
    message="The wire to the electrode {at} is {wire} ({runs}); {least} is the least ({rule}).",
    remedy="Replace {runs} with {least} or thicker.",
    find=find,
    profiles=("us-cabin", "iec-cabin"),
    example=Example(
        spec="""\
rigline: 1
title: Cabin with a generator and a wire to its rods
profile: us-cabin
body: wood
components:
  GEN1: {kind: generator, power: 3 kW, voltage: 120 V, neutral-bond: none}
  QM: {kind: breaker, rating: 30 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  ACP1: {kind: ac-panel, rating: 30 A, neutral-bond: fixed}
  QA: {kind: breaker, rating: 20 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  RC1: {kind: receptacle, rating: 20 A, gfci: true, power: 900 W}
  ER1: {kind: earth-electrode, type: rod, count: 2}
runs:
  - {id: W1, path: [GEN1, QM, ACP1], lengths: [150 mm, 2 m], wire: 10 AWG, insulation: 75 °C}
  - {id: W2, path: [ACP1, QA, RC1], lengths: [100 mm, 3 m], wire: 12 AWG, insulation: 75 °C}
  - {id: W3, path: [ACP1, ER1], length: 2 m, carries: earth, wire: 8 AWG, insulation: 75 °C}
""",
        passing="wire: 8 AWG",
        failing="wire: 12 AWG",
        finds=("ER1",),
    ),
)
