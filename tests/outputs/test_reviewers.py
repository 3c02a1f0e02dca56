"""What those who review a plan ask to see on the diagram: whatever of it a spec holds stands on a sheet.

The items are those of published review checklists: 46 CFR 110.25-1 and 177.202 (vessels), NEC 215.5 (feeders), WAC
296-46B-215 and Alabama 535-X-11-.10 (buildings), BS 7671 514.9.1 (circuit charts), IEC 62446-1 clause 4.3 (PV; from
memory), and the checklists for solar plan review of several building departments.
"""

from __future__ import annotations

from xml.etree import ElementTree

import pytest
from helpers import report, study_of

from rigline.outputs.draw import draw_svg

SVG = "{http://www.w3.org/2000/svg}"
SPEC = """\
rigline: 1
title: Invented workshop boat
number: WB-01
owner: An owner
author: A drawer
revision: C
date: 2026-10-02
profile: us-boat
body: plastic
defaults: {insulation: 90 °C}
components:
  PV1: {kind: pv-array, series: 3, parallel: 2, pmax: 210 W, vmp: 21.1 V, imp: 9.95 A, voc: 25.3 V, isc: 10.6 A,
        max-series-fuse: 15 A}
  QPV: {kind: breaker, rating: 32 A, voltage: 150 V, poles: 2, interrupting: 3 kA}
  SC1: {kind: charge-controller, max-input: 110 V, output: 45 A}
  FS: {kind: fuse, style: bolt-down, rating: 60 A}
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 230 Ah, series: 2, short-circuit: 4.2 kA}
  F1: {kind: fuse, style: class-t, rating: 225 A, voltage: 125 V, interrupting: 20 kA}
  Q1: {kind: switch, rating: 350 A, voltage: 48 V}
  RS1: {kind: shunt, rating: 400 A}
  BUS1: {kind: busbar, rating: 280 A}
  GND: {kind: chassis, name: Engine block}
  F2: {kind: fuse, style: class-t, rating: 175 A}
  INV1: {kind: inverter-charger, power: 1800 W, surge: 3600 W, output: 120 V, dc-voltage: 24 V, charge-current: 40 A,
         neutral-bond: relay}
  SH1: {kind: shore-inlet, rating: 30 A, voltage: 120 V}
  QS: {kind: breaker, rating: 30 A, poles: 2, interrupting: 5 kA, residual: 30 mA}
  GEN1: {kind: generator, power: 2.2 kW, voltage: 120 V}
  ACP1: {kind: ac-panel, rating: 40 A, ways: 8}
  QA: {kind: breaker, rating: 20 A}
  RC1: {kind: receptacle, rating: 20 A, gfci: true, power: 850 W}
  DCP1: {kind: dc-panel, rating: 90 A, ways: 12}
  FD: {kind: fuse, style: bolt-down, rating: 70 A}
  FP: {kind: fuse, style: blade, rating: 10 A}
  PU1: {kind: motor, name: Bilge pump, power: 95 W}
runs:
  - {id: W1, path: [B1, F1, Q1, RS1, BUS1], lengths: [0.2 m, 0.3 m, 0.4 m, 0.5 m], wire: 4/0 AWG}
  - {id: W2, path: [PV1, QPV, SC1], lengths: [6 m, 0.5 m], wire: 10 AWG, insulation: 105 °C, sheathed: true}
  - {id: W3, path: [SC1, FS, BUS1], lengths: [0.8 m, 0.1 m], wire: 4 AWG, loom: conduit A}
  - {id: W4, path: [BUS1, F2, INV1.dc], lengths: [0.2 m, 1.1 m], wire: 3/0 AWG, strand: fine}
  - {id: W5, path: [SH1, QS, INV1.ac-in], lengths: [1.5 m, 2.5 m], wire: 10 AWG, earth-wire: 8 AWG}
  - {id: W6, path: [INV1.ac-out, ACP1], length: 2.1 m, wire: 10 AWG}
  - {id: W7, path: [ACP1, QA, RC1], lengths: [0.1 m, 5.5 m], wire: 12 AWG, insulation-voltage: 600 V}
  - {id: W8, path: [BUS1, FD, DCP1], lengths: [0.2 m, 3 m], wire: 4 AWG}
  - {id: W9, path: [DCP1, FP, PU1], lengths: [0.1 m, 4.5 m], wire: 14 AWG, color: brown and black}
  - {id: W10, path: [BUS1-, GND], length: 0.9 m, carries: bond, wire: 2/0 AWG}
  - {id: W11, path: [INV1.case, GND], length: 1.3 m, carries: earth, wire: 1/0 AWG}
revisions:
  - {revision: C, date: 2026-10-02, by: A. D., change: Second string of modules}
  - {revision: A, date: 2025-03-14, change: First issue}
waivers:
  - {rule: sc-charge-current-limit, at: B1, reason: Charged at the dock only}
"""
ITEMS = {
    "title and number of the drawing": ("Invented workshop boat", "WB-01"),
    "person responsible, owner and date": ("A drawer", "An owner", "2026-10-02"),
    "revisions with their dates": ("Second string of modules (A. D.)", "First issue", "2025-03-14"),
    "rule set with its edition": ("us-boat, 33 CFR 183 subpart I, ABYC E-11, E-13 and A-31 by secondary sources",),
    "PV: modules in series and parallel, power": ("6 × 210 W 3S2P",),
    "PV: voltages and currents of a module": ("Voc 25.3 V Isc 10.6 A", "Vmp 21.1 V Imp 9.95 A", "series fuse ≤ 15 A"),
    "storage: kind and capacity": ("AGM", "12 V 230 Ah", "2S1P"),
    "generator: type and size": ("120 V 2.2 kW",),
    "inverter: output, input, charging": ("1800 W 120 V", "DC 24 V", "surge 3600 W", "charges 40 A"),
    "overcurrent devices: rating": ("F1 225 A", "QPV 32 A", "FS 60 A", "QS 30 A", "FP 10 A", "QA 20 A", "FD 70 A"),
    "overcurrent devices: interrupting rating": ("interrupts 20 kA", "interrupts 3 kA", "interrupts 5 kA"),
    "disconnects: current and voltage": ("Q1 350 A 48 V", "150 V", "2-pole"),
    "conductors: number and size": ("2 × 4/0 AWG", "2 × 10 AWG", "2 × 10 AWG + PE 8 AWG", "3 × 12 AWG", "2 × 14 AWG"),
    "conductors: type": ("insulation 90 °C", "105 °C", "600 V", "fine-stranded"),
    "wiring method": ("sheathed", "in conduit A"),
    "conductor lengths": ("0.2 m", "6 m", "5.5 m", "4.5 m", "2.1 m"),
    "conductor colours": ("RD+YE", "BK+WH+GN", "BN+BK", "GN"),
    "grounding: conductor and electrode": ("W10a", "2/0 AWG", "W11a", "1/0 AWG", "Engine block"),
    "neutral bond": ("N-PE bond by relay",),
    "panels: bus rating, circuits": ("40 A, 8 ways", "90 A, 12 ways", "280 A"),
    "connected load": ("Connected load, as far as known: 95 W DC, 850 W AC", "850 W", "95 W"),
    "available fault current": ("Isc 4.2 kA", "Available fault current: ACP1", "BUS1"),
    "shock protection of a circuit": ("GFCI", "30 mA"),
    "warnings": ("A shorted battery delivers thousands of amperes",),
    "what the author waived, with the reason": ("Waived: Charged at the dock only",),
    "result of the check": ("not assessed",),
}
"""Item of the lists -> words of it that the spec above holds."""


@pytest.fixture(scope="module")
def shown() -> str:
    """Every text on every sheet, list sheets too, one after the other."""
    texts = [
        "".join(element.itertext())
        for svg in draw_svg(study_of(SPEC), report(SPEC))
        for element in ElementTree.fromstring(svg).iter(f"{SVG}text")
    ]
    return " ".join(texts)


@pytest.mark.parametrize("item", ITEMS)
def test_what_reviewers_ask_for_stands_on_a_sheet_if_the_spec_holds_it(item: str, shown: str) -> None:
    assert [words for words in ITEMS[item] if words not in shown] == []
