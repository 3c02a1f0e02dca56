"""The earth of the AC system and the metal that people touch must be one and the same.

If a live AC wire chafes on a frame that is not joined to AC earth, the whole vehicle or boat becomes live and no
breaker opens. Somebody on wet ground who touches the door then closes the circuit.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.sources import AcSource
from rigline.model.system import Node
from rigline.standards.wire import CMIL_COMPARISON_FRAC, WireSize, one_size_smaller
from rigline.study.grounding import VEHICLES
from rigline.study.study import Study

SLUG = "gb-ac-ground-to-chassis"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each protective earth of an AC source that leads neither to the body nor to the DC return."""
    grounding = study.grounding
    if not _is_needed(study):
        return
    for net in grounding.ac_earths:
        reached = grounding.earthed_from(net)
        if not any(_feeds(study, node.component) for node in net):
            continue
        if any(node.component in grounding.bodies or node.pole == grounding.dc_pole for node in reached):
            yield from _thin(study, net)
        else:
            metal = _metal(study)
            yield Hit(at=(_chief(study, net),), words={"metal": metal, "what": f"is not joined to {metal}"})


def _thin(study: Study, net: frozenset[Node]) -> Iterator[Hit | Missing]:
    """In vehicles and US boats the wire from the AC earth to the metal body has a least size."""
    chief, least = _chief(study, net), _least(study)
    path = study.grounding.case_path(chief)
    if least is None or path is None or path.thinnest is None:
        return
    if path.area_mm2 is None:
        yield Missing((chief,), f"wire size of {path.thinnest.run}")
    elif path.area_mm2 < least.area_mm2 * (1 - CMIL_COMPARISON_FRAC):
        what = f"is joined to {_metal(study)} by {study.grounding.size(path.thinnest)} only; {least} is the least"
        words = {"metal": _metal(study), "what": what}
        yield Hit(
            (chief,), path.area_mm2, least.area_mm2, "mm²", (path.thinnest.run,), path.thinnest.segment,
            Severity.FAULT, words,
        )  # fmt: skip


def _least(study: Study) -> WireSize | None:
    """Vehicles: the least bond of the rule set. US boats: one size below the largest AC line."""
    if study.system.profile_name in VEHICLES:
        return study.profile.dc_bond_min.size
    if study.system.profile_name != "us-boat":
        return None
    largest = study.grounding.largest_ac_line()
    return one_size_smaller(largest) if largest is not None else None


def _is_needed(study: Study) -> bool:
    """Whether there is something to join: a metal body, or on a US boat the DC system."""
    grounding, name, body = study.grounding, study.system.profile_name, study.system.head.body
    if name in ("intl-boat", "uk-inland-boat") and body != "metal" and study.neutrals.all_behind_rcd():
        return False
    unsaid = name in VEHICLES and body is None
    return grounding.metal_body or unsaid or (name == "us-boat" and bool(grounding.dc_islands))


def _feeds(study: Study, id: str) -> bool:
    component = study.system.components[id]
    return isinstance(component, AcSource) or component.kind in ("inverter", "inverter-charger", "transformer")


def _chief(study: Study, net: frozenset[Node]) -> str:
    ids = sorted({node.component for node in net})
    panels = [id for id in ids if study.system.components[id].kind == "ac-panel"]
    return (panels or [id for id in ids if _feeds(study, id)] or ids)[0]


def _metal(study: Study) -> str:
    bodies = study.grounding.bodies
    if bodies:
        return bodies[0]
    return "the metal body" if study.system.profile_name != "us-boat" else "the main DC negative bus"


CHECK = Check(
    slug=SLUG,
    title="AC earth not joined to the chassis or hull",
    family="grounding & bonding",
    severity=Severity.DANGER,
    limit=(
        "One conductor joins the AC earth bar to the chassis, frame or hull (or to the main DC negative bus that is "
        "bonded to it). In US vehicles 8 AWG or thicker, in European ones 4 mm², on US boats one size below the "
        "largest AC line (ABYC E-11, from memory): a thinner one is a fault."
    ),
    exceptions=(
        "Nothing metal to join. International and UK inland boats whose hull is not metal, with a residual-current "
        "device on every AC source "
        "(earlier text of ISO 13297)."
    ),
    sources=(
        Source("NEC 551.55 and 551.56", "verified"),
        Source("ABYC E-11; IEC 60364-7-721", "from memory"),
    ),
    message="The AC earth of {at} {what}. A live AC wire that chafes would make it all live.",
    remedy="Run one earth wire from {at} to {metal} (`carries: earth`), 8 AWG (10 mm²) or thicker.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Camper on shore power with its frame earthed
profile: us-rv
body: metal
components:
  SH1: {kind: shore-inlet, rating: 30 A, voltage: 120 V}
  QM: {kind: breaker, rating: 30 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  ACP1: {kind: ac-panel, rating: 30 A}
  QA: {kind: breaker, rating: 20 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  RC1: {kind: receptacle, rating: 20 A, gfci: true, power: 900 W}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [SH1, QM, ACP1], lengths: [1 m, 100 mm], wire: 10 AWG, insulation: 75 °C}
  - {id: W2, path: [ACP1, QA, RC1], lengths: [100 mm, 3 m], wire: 12 AWG, insulation: 75 °C}
  - {id: W3, path: [ACP1, FR1], length: 1 m, carries: earth, wire: 8 AWG, insulation: 75 °C}
""",
        passing="type: frame",
        failing="type: gas-pipe",
        finds=("ACP1",),
    ),
)
