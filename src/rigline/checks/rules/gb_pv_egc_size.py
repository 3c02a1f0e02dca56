"""The earth wire of an array carries what a chafed string gives, for hours, since the sun does not stop.

A string's fault current opens no fuse. The wire must bear it, and outdoors it must also survive ladders and snow.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.sources import PvArray
from rigline.model.system import Conductor
from rigline.standards.bonding import egc_minimum
from rigline.standards.wire import CMIL_COMPARISON_FRAC, WireSize, parse_wire_size
from rigline.study.demand import IRRADIANCE_FACTOR
from rigline.study.study import Study

SLUG = "gb-pv-egc-size"
LEAST = parse_wire_size("14 AWG")
"""Never thinner than this. Source: NEC 690.45, from memory."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each array whose earth wire is too thin for the device ahead of its string, or for an assumed one."""
    for id, array in sorted(study.system.components.items()):
        if not isinstance(array, PvArray) or array.frame in ("none", "plastic"):
            continue
        path = study.grounding.case_path(id)
        if path is None:
            continue  # gb-pv-frame speaks of an array that is not earthed at all.
        if path.area_mm2 is None:
            yield Missing((id,), f"wire of the earth of {id}")
            continue
        least = _least(study, array)
        if least is None:
            yield Missing((id,), f"isc and wire of {id}")
        elif path.area_mm2 < least.area_mm2 * (1 - CMIL_COMPARISON_FRAC):
            runs = (path.thinnest.run,) if path.thinnest else ()
            words = {"least": str(least), "wire": str(study.grounding.size(path.thinnest)) if path.thinnest else ""}
            yield Hit((id,), path.area_mm2, least.area_mm2, "mm²", runs, words=words)


def _least(study: Study, array: PvArray) -> WireSize | None:
    """Least earth wire by the array's own short-circuit current with its margins; None if that is not known."""
    sizes = [size for c in _conductors(study, array.id) if (size := study.wiring.size(c)) is not None]
    if array.isc_a is None or not sizes:
        return None
    circuit = max(sizes, key=lambda size: size.area_mm2)
    found = egc_minimum(study.profile, IRRADIANCE_FACTOR**2 * array.isc_a * array.parallel, circuit)
    if found is None or found.size.area_mm2 < LEAST.area_mm2:
        return LEAST
    return found.size


def _conductors(study: Study, id: str) -> list[Conductor]:
    nodes = [node for node in study.graph.nodes_of(id) if node.pole in ("+", "-")]
    return [conductor for node in nodes for conductor in study.graph.conductors_at(node)]


CHECK = Check(
    slug=SLUG,
    title="earth wire of an array too thin",
    family="grounding & bonding",
    severity=Severity.FAULT,
    limit="NEC Table 250.122 by 1.56 times the short-circuit current, never below 14 AWG.",
    exceptions="Frames without metal. Where a ladder can reach it, 6 AWG is better (NEC 690.46).",
    sources=(Source("NEC 690.45, trade press of 2017", "verified"), Source("NEC 690.46", "from memory")),
    message="The earth of {at} is {wire} ({found} mm²) at its thinnest, and {least} ({limit} mm²) is the least.",
    remedy="Run the earth of {at} in {least} or thicker.",
    find=find,
    profiles=("us-cabin", "us-rv"),
    example=Example(
        spec="""\
rigline: 1
title: A module with an earthed frame
profile: us-cabin
body: wood
conditions: {coldest: -10 °C}
defaults: {insulation: 90 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: anl, rating: 35 A}
  PV1: {kind: pv-array, pmax: 100 W, vmp: 18 V, imp: 5.5 A, voc: 22 V, isc: 6 A, frame: metal}
  SC1: {kind: charge-controller, max-input: 50 V, method: pwm, output: 10 A}
  ER1: {kind: earth-electrode, type: rod, count: 2}
runs:
  - {id: W1, path: [PV1, SC1], length: 2 m, wire: 8 AWG, sunlight-resistant: true}
  - {id: W2, path: [SC1, F1, B1], lengths: [0.5 m, 100 mm], wire: 6 AWG}
  - {id: W3, path: [B1-, ER1], length: 0.5 m, carries: bond, wire: 6 AWG}
  - {id: W4, path: [PV1.case, ER1], length: 2 m, carries: earth, wire: 10 AWG}
""",
        passing="earth, wire: 10 AWG",
        failing="earth, wire: 18 AWG",
        finds=("PV1",),
    ),
)
