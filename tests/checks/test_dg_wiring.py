"""Whether a plan makes sense as a circuit. Cases from practice."""

from __future__ import annotations

from helpers import found, report

BANKS = """\
rigline: 1
profile: us-boat
body: plastic
components:
  B1: {kind: battery, name: House, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 1.5 kA}
  B2: {kind: battery, name: Bow, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 1.5 kA}
  F1: {kind: fuse, style: terminal, rating: 60 A}
  F2: {kind: fuse, style: terminal, rating: 60 A}
  F3: {kind: fuse, style: terminal, rating: 30 A}
  M1: {kind: motor, name: 24 V pump, voltage: 24 V, current: 10 A, continuous: false}
  GND: {kind: chassis}
runs:
  - {id: W1, path: [B1+, F1, F2, B2+], lengths: [100 mm, 2 m, 100 mm], wire: 6 AWG}
  - {id: W2, path: [B1-, B2-], length: 2 m, wire: 6 AWG}
  - {id: W3, path: [B1+, B2-], length: 1 m, wire: 6 AWG}
  - {id: W4, path: [B2+, F3, M1+], lengths: [100 mm, 1 m], wire: 10 AWG}
  - {id: W5, path: [M1-, B1-], length: 1 m, wire: 10 AWG}
  - {id: W6, path: [B1-, GND], length: 0.5 m, wire: 6 AWG}
"""


def test_a_bank_in_series_and_in_parallel_at_once_is_a_short_circuit() -> None:
    """Two banks paralleled for charging and in series for a pump short one of them (case from practice)."""
    said = found(BANKS)
    assert [
        one for one in said if one[:2] in (("dg-short-circuit", "danger"), ("dg-voltage-net-conflict", "danger"))
    ] != []


def test_a_plan_that_is_a_short_circuit_has_no_currents() -> None:
    """Rules on currents say that they could not judge, not that all is well."""
    silent = {one.rule for one in report(BANKS).not_assessed}
    assert {"cd-undersized", "rt-ocpd-under-continuous"} <= silent


PARALLEL = """\
rigline: 1
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 1.5 kA}
  B2: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 1.5 kA}
  F1: {kind: fuse, style: terminal, rating: 60 A}
  F2: {kind: fuse, style: terminal, rating: 60 A}
  BUS1: {kind: busbar, rating: 200 A}
  GND: {kind: chassis}
runs:
  - {id: W1, path: [B1+, F1, BUS1+], lengths: [100 mm, 0.5 m], wire: 6 AWG}
  - {id: W2, path: [B1-, BUS1-], length: 0.5 m, wire: 6 AWG}
  - {id: W3, path: [PLUS, F2, BUS1+], lengths: [100 mm, 0.5 m], wire: 6 AWG}
  - {id: W4, path: [MINUS, BUS1-], length: 0.5 m, wire: 6 AWG}
  - {id: W5, path: [BUS1-, GND], length: 0.5 m, wire: 6 AWG}
"""


def test_a_battery_the_wrong_way_round_is_named() -> None:
    """A block whose plus lies on the common minus is reversed; the other way round it is sound."""
    right = PARALLEL.replace("PLUS", "B2+").replace("MINUS", "B2-")
    wrong = PARALLEL.replace("PLUS", "B2-").replace("MINUS", "B2+")
    assert [one for one in found(right) if one[0].startswith("dg-")] == []
    assert [one for one in found(wrong) if one[0].startswith("dg-")] == [("dg-polarity-reversed", "danger", ("B2",))]


def test_blocks_in_series_are_sound() -> None:
    """Plus to minus between two blocks is how a 24 V bank is made."""
    text = """\
rigline: 1
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 1.5 kA}
  B2: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 1.5 kA}
  F1: {kind: fuse, style: terminal, rating: 30 A}
  M1: {kind: motor, voltage: 24 V, current: 10 A, continuous: false}
  GND: {kind: chassis}
runs:
  - {id: W1, path: [B1+, B2-], length: 0.3 m, wire: 6 AWG}
  - {id: W2, path: [B2+, F1, M1+], lengths: [100 mm, 1 m], wire: 10 AWG}
  - {id: W3, path: [M1-, B1-], length: 1 m, wire: 10 AWG}
  - {id: W4, path: [B1-, GND], length: 0.5 m, wire: 6 AWG}
"""
    assert [one for one in found(text) if one[0].startswith("dg-")] == []


def test_chassis_return_is_for_vehicles() -> None:
    """A lamp may return through the chassis of an RV (NEC 552.10(B)(1)), and not through a boat."""
    text = """\
rigline: 1
profile: PROFILE
body: metal
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 10 A}
  LT1: {kind: dc-load, current: 2 A, continuous: false}
  GND: {kind: chassis}
runs:
  - {id: W1, path: [B1+, F1, LT1+], lengths: [100 mm, 2 m], wire: 14 AWG}
  - {id: W2, path: [LT1-, GND], length: 0.3 m, wire: 14 AWG}
  - {id: W3, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}
"""
    at = ("gb-hull-as-return", "danger", ("LT1",))
    assert (at in found(text.replace("PROFILE", "us-rv")), at in found(text.replace("PROFILE", "us-boat"))) == (
        False,
        True,
    )
