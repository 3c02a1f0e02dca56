"""A charger stands between a battery and the mains: its case can be made live from both sides.

The thin earth wire of its mains cord opens the mains breaker, but not the much larger fuse of the battery. A short from
the battery's positive to the case would burn that wire first, and with it the protection of the AC side.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds import Component
from rigline.kinds.converters import AcCharger, ChargeController, DcToDc, Transformer
from rigline.model.system import POSITIVE, Conductor
from rigline.standards.ampacity import Ampacity
from rigline.standards.bonding import inverter_case_minimum
from rigline.standards.wire import CMIL_COMPARISON_FRAC
from rigline.study.grounding import EarthPath
from rigline.study.study import Study

SLUG = "gb-charger-case"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each metal case of a charger, converter or transformer that is not earthed, or by too thin a wire."""
    for id, unit in sorted(study.system.components.items()):
        if not _is_metal(unit) or not study.graph.nodes_of(id):
            continue
        path = study.grounding.case_path(id)
        if path is None:
            yield Hit((id,), words={"what": "is not earthed", "least": _least_words(study, id), "why": _why(unit)})
        else:
            yield from _judge(study, id, path)


def _is_metal(unit: Component) -> bool:
    """AC chargers and transformers unless they say otherwise; DC units only if they say so: many are plastic."""
    if unit.class_ii or unit.metal_case is False:
        return False
    said = isinstance(unit, DcToDc | ChargeController) and bool(unit.metal_case)
    return said or isinstance(unit, AcCharger | Transformer)


def _outputs(study: Study, id: str) -> list[Conductor]:
    nodes = [node for node in study.graph.nodes_of(id) if node.pole == POSITIVE]
    return [c for node in nodes for c in study.graph.conductors_at(node) if c.pole == POSITIVE]


def _device_a(study: Study, id: str) -> float:
    """The largest device in the DC wires of a unit; 0 if there is none."""
    segments = {conductor.segment for conductor in _outputs(study, id)}
    devices = {device for s in study.segments if s.segment.id in segments for device in s.protected_by}
    return max((study.rating_a(device) or 0.0 for device in devices), default=0.0)


def _judge(study: Study, id: str, path: EarthPath) -> Iterator[Hit | Missing]:
    thinnest, device = path.thinnest, _device_a(study, id)
    size = study.grounding.size(thinnest) if thinnest is not None else None
    if thinnest is None or device == 0.0:
        return
    if size is None or path.area_mm2 is None:
        yield Missing((id,), f"wire size of {thinnest.run}")
        return
    carried = study.limits.ampacity_of(study.wiring.run_of(thinnest), thinnest, size)
    enough = isinstance(carried, Ampacity) and carried.value_a >= device
    own = study.system.run(thinnest.run).medium == "earth"
    least = _least_mm2(study, id, device)
    if path.area_mm2 < least * (1 - CMIL_COMPARISON_FRAC) and (own or not enough):
        what = f"has only {size} to earth ({thinnest.run}), with a DC fuse of {device:g} A"
        words = {"what": what, "least": _least_words(study, id), "why": _why(study.system.components[id])}
        yield Hit((id,), path.area_mm2, least, "mm²", (thinnest.run,), thinnest.segment, words=words)


def _least_mm2(study: Study, id: str, device: float) -> float:
    sizes = [size for c in _outputs(study, id) if (size := study.wiring.size(c)) is not None]
    largest = max(sizes, key=lambda size: size.area_mm2, default=None)
    least = inverter_case_minimum(study.profile, largest, device) if largest is not None else None
    return 0.0 if least is None else least.size.area_mm2


def _why(unit: Component) -> str:
    if isinstance(unit, Transformer):
        return "A fault inside it could make the case live with nothing that opens."
    return "A battery wire that touches the case would not open the fuse."


def _least_words(study: Study, id: str) -> str:
    sizes = [size for c in _outputs(study, id) if (size := study.wiring.size(c)) is not None]
    largest = max(sizes, key=lambda size: size.area_mm2, default=None)
    least = inverter_case_minimum(study.profile, largest, _device_a(study, id)) if largest is not None else None
    return str(least.size) if least is not None else str(study.profile.dc_bond_min.size)


CHECK = Check(
    slug=SLUG,
    title="charger case not earthed well enough for its DC fuse",
    family="grounding & bonding",
    severity=Severity.FAULT,
    limit="RVs: 8 AWG or thicker to the chassis. Elsewhere: the table of earthing conductors by the DC fuse.",
    exceptions=(
        "Cases that are not metal, double-insulated units, and cases whose mains cord has an earth wire that carries "
        "at least the DC fuse."
    ),
    sources=(
        Source("NEC 551.20(C)", "verified"),
        Source("NEC Table 250.122", "verified"),
        Source("IEC 60364-5-54 Table 54.2", "from memory"),
    ),
    message="The case of {at} {what}; {least} is needed. {why}",
    remedy="Run {least} or thicker from the case of {at} to the chassis or earth bus (`carries: earth`).",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Camper with a mains charger
profile: us-rv
body: metal
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah, short-circuit: 2 kA, vented: true,
       charge-display: true}
  F1: {kind: fuse, style: terminal, rating: 60 A}
  Q1: {kind: switch, rating: 100 A, voltage: 32 V}
  CH1: {kind: ac-charger, voltage: 12 V, output: 40 A, efficiency: 85 %, absorb: 14.4 V, float: 13.6 V}
  SH1: {kind: shore-inlet, rating: 30 A, voltage: 120 V}
  QM: {kind: breaker, rating: 30 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  ACP1: {kind: ac-panel, rating: 30 A}
  QA: {kind: breaker, rating: 15 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [B1, F1, Q1, CH1.dc], lengths: [100 mm, 300 mm, 1 m], wire: 4 AWG, insulation: 105 °C}
  - {id: W2, path: [SH1, QM, ACP1], lengths: [1 m, 100 mm], wire: 10 AWG, insulation: 75 °C}
  - {id: W3, path: [ACP1, QA, CH1.ac], lengths: [100 mm, 1 m], wire: 14 AWG, insulation: 75 °C}
  - {id: W4, path: [B1-, FR1], length: 0.5 m, carries: bond, wire: 4 AWG, insulation: 105 °C}
  - {id: W5, path: [ACP1, FR1], length: 1 m, carries: earth, wire: 8 AWG, insulation: 75 °C}
  - {id: W6, path: [CH1.case, FR1], length: 1 m, carries: earth, wire: 8 AWG, insulation: 75 °C}
""",
        passing="path: [CH1.case, FR1]",
        failing="path: [ACP1.case, FR1]",
        finds=("CH1",),
    ),
)
