"""A building stands on the ground, so its electrical system must be joined to the ground.

The electrode holds metal and soil at one voltage, gives lightning and surges a way down, and keeps a steel cabin from
becoming live against the ground that people stand on. It does not replace the earth wire to the source.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.earth_gaps import earth_gaps
from rigline.findings import Severity
from rigline.kinds.earthing import EarthElectrode
from rigline.kinds.sources import PvArray
from rigline.model.system import EARTH, Node
from rigline.study.study import Study

SLUG = "gb-cabin-electrode"
ONE_ROD_MOST_OHM = 25.0
"""A single rod with more than this needs a second one. Source: NEC 250.53(A)(2), from memory."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """A fixed structure without an electrode, with its frame left out, or with one rod that is not enough."""
    if study.system.head.mobile:
        return
    grounding, components = study.grounding, study.system.components
    arrays = [id for id, component in sorted(components.items()) if isinstance(component, PvArray)]
    severity = Severity.DANGER if grounding.has_ac else Severity.ADVICE
    starts = _earths(study, arrays)
    if not starts:
        return
    reached = grounding.earthed_from(starts)
    joined = [id for id in grounding.electrodes if Node(id, "", EARTH) in reached]
    apart = [id for id in grounding.bodies if Node(id, "", EARTH) not in reached]
    chief = _chief(study, starts)
    if not joined:
        words = {"what": "no earth electrode is joined to it", "fix": _FIX.format(chief=chief)}
        yield Hit((chief,), severity=severity, words=words)
    elif apart:
        order = f"Run one earth wire from {chief} to {apart[0]}."
        yield Hit((apart[0], chief), severity=severity, words={"what": f"{apart[0]} is not joined to it", "fix": order})
    elif lone := _lone_electrodes(study, starts, arrays):
        order = f"Run one earth wire from {lone[0]} to {joined[0]}, or leave {lone[0]} out."
        words = {"what": f"{lone[0]} is a second electrode that is not joined to {joined[0]}", "fix": order}
        yield Hit((lone[0], joined[0]), severity=Severity.FAULT, words=words)
    elif study.system.profile_name == "us-cabin":
        yield from _one_rod(study, joined, severity)


def _lone_electrodes(study: Study, starts: list[Node], arrays: list[str]) -> list[str]:
    """Electrodes that stand apart from the system's earth and that no rule on a missing earth wire speaks of."""
    reached = study.grounding.earthed_from(node for node in starts if node.component not in arrays)
    told = {gap.soil for gap in earth_gaps(study)}
    apart = [id for id in study.grounding.electrodes if Node(id, "", EARTH) not in reached]
    return [id for id in apart if id not in told and study.graph.nodes_of(id)]


_FIX = "Drive two rods 6 ft (1.8 m) apart, or use steel in the foundation, and run an earth wire from there to {chief}."


def _earths(study: Study, arrays: list[str]) -> list[Node]:
    """Where the system's earth is: the AC earth, else the DC return and the arrays' frames."""
    if study.grounding.has_ac:
        sources = [Node(id, "", EARTH) for mode in study.modes for id in study.neutrals.feeding(mode)]
        return sorted(node for net in study.grounding.ac_earths for node in net) or sources
    frames = [Node(id, "", EARTH) for id in arrays]
    returns = [node for island in study.grounding.dc_islands for node in island if node.pole == study.grounding.dc_pole]
    return [*frames, *sorted(returns)] if arrays else []


def _chief(study: Study, starts: list[Node]) -> str:
    ids = [node.component for node in starts]
    return next((id for id in ids if study.system.components[id].kind == "ac-panel"), ids[0])


def _one_rod(study: Study, joined: list[str], severity: Severity) -> Iterator[Hit | Missing]:
    rods = [c for id in joined if isinstance(c := study.system.components[id], EarthElectrode)]
    if len(rods) != 1 or rods[0].count != 1 or rods[0].type != "rod":
        return
    if rods[0].resistance_ohm is None:
        yield Missing((rods[0].id,), f"resistance of {rods[0].id} to earth (one rod: {ONE_ROD_MOST_OHM:g} ohm or less)")
    elif rods[0].resistance_ohm > ONE_ROD_MOST_OHM:
        what = f"its one rod has {rods[0].resistance_ohm:g} ohm to earth"
        yield Hit(
            (rods[0].id,), rods[0].resistance_ohm, ONE_ROD_MOST_OHM, "ohm", severity=severity,
            words={"what": what, "fix": "Drive a second rod at least 6 ft (1.8 m) away and join both."},
        )  # fmt: skip


CHECK = Check(
    slug=SLUG,
    title="cabin without an earth electrode",
    family="grounding & bonding",
    severity=Severity.DANGER,
    limit=(
        "An electrode (steel in the foundation, or rods; in the United States one rod only up to 25 ohm) is joined to "
        "the system's earth and to a metal frame. Danger with AC, advice with solar DC only. Several electrodes are "
        "joined by a wire, else it is a fault."
    ),
    exceptions="Movable units (`mobile: true`): the chassis is the reference.",
    sources=(
        Source("NEC 690.47 and 710.15", "verified"),
        Source("NEC 250.50 and 250.58, electrodes bonded together", "from memory"),
        Source("NEC 250 Part III, 250.53(A); IEC 60364-5-54 542", "from memory"),
    ),
    message="The earth of this cabin at {at} is incomplete: {what}. Metal can stand live against the ground outside.",
    remedy="{fix}",
    find=find,
    profiles=("us-cabin", "iec-cabin"),
    example=Example(
        spec="""\
rigline: 1
title: Cabin with a generator and two rods
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
  - {id: W3, path: [ACP1, ER1], length: 2 m, carries: earth, wire: 6 AWG, insulation: 75 °C}
""",
        passing="ER1: {kind: earth-electrode, type: rod, count: 2}",
        failing="ER1: {kind: chassis, type: metal}",
        finds=("ACP1",),
    ),
)
