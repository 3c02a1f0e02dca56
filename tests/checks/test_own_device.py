"""A device that stands in a conductor must suit it, even where the source behind limits itself."""

from __future__ import annotations

from helpers import report

INVERTER = """\
rigline: 1
title: Inverter with one circuit
profile: us-rv
body: metal
components:
  B1: {kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 200 Ah, short-circuit: 8 kA, bms: true}
  F1: {kind: fuse, style: class-t, rating: 200 A}
  INV1: {kind: inverter, power: 1500 W, output: 120 V, efficiency: 90 %, low-cutoff: 11 V, neutral-bond: fixed}
  ACP1: {kind: ac-panel, rating: 30 A}
  QA: {kind: breaker, rating: 30 A, voltage: 120 V, interrupting: 10 kA}
  WH1: {kind: ac-load, name: Heater, power: 1000 W}
  GND: {kind: chassis}
runs:
  - {id: W1, path: [B1, F1, INV1.dc], lengths: [0.2 m, 0.8 m], wire: 4/0 AWG}
  - {id: W2, path: [INV1.ac-out, ACP1], length: 1 m, wire: 10 AWG}
  - {id: W3, path: [ACP1, QA, WH1], length: 3 m, wire: 14 AWG}
  - {id: W4, path: [B1-, GND], length: 1 m, carries: bond, wire: 4/0 AWG}
  - {id: W5, path: [INV1.case, GND], length: 1 m, carries: earth, wire: 1/0 AWG}
  - {id: W6, path: [ACP1, GND], length: 1 m, carries: earth, wire: 8 AWG}
"""


def test_a_30_a_breaker_on_14_awg_is_found_though_the_inverter_gives_12_a() -> None:
    """NEC 240.4(D): 14 AWG copper may have 15 A; that its source gives 12.5 A does not change that."""
    found = [(f.rule, f.at, f.found, f.limit) for f in report(INVERTER).findings if f.rule == "rt-ocpd-over-conductor"]

    assert found == [("rt-ocpd-over-conductor", ("QA",), 30.0, 15.0)]


def test_a_battery_that_only_a_bond_reaches_is_judged_without_a_crash() -> None:
    """Half a plan is a plan: what is missing is found, and nothing falls over."""
    spec = """\
rigline: 1
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah}
  GND: {kind: chassis, type: engine}
runs:
  - {id: W1, path: [B1-, GND], length: 1 m, carries: bond, wire: 6 AWG}
"""
    assert "mo-no-monitor" in {finding.rule for finding in report(spec).findings}
