"""Devices against their wires, loads and parts. Cases from practice, with the clause that decides them."""

from __future__ import annotations

import pytest
from helpers import found, report

INVERTER = """\
rigline: 1
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah, short-circuit: 3 kA}
  F1: {kind: fuse, style: class-t, rating: 175 A}
  LT1: {kind: dc-load, name: Inverter input, current: 110 A, continuous: true, drop-class: critical}
  GND: {kind: chassis}
runs:
  - {id: W1, path: [B1, F1, LT1], lengths: [100 mm, 1 m], wire: WIRE, engine-space: ENGINE}
  - {id: W2, path: [B1-, GND], length: 0.5 m, wire: 2 AWG}
"""


@pytest.mark.parametrize(
    ("wire", "engine", "sound"),
    [("2 AWG", "true", True), ("2 AWG", "false", True), ("4 AWG", "true", False), ("4 AWG", "false", True)],
)
def test_a_fuse_for_the_load_must_still_fit_the_wire(wire: str, engine: str, sound: bool) -> None:
    """175 A on 4 AWG is above 136 A in an engine space; outside it is the next standard rating above 160 A.

    33 CFR 183.425 Table 5 (105 °C) and 183.455(c): next standard rating, at most 150 %. Case from practice.
    """
    said = found(INVERTER.replace("WIRE", wire).replace("ENGINE", engine))
    assert [at for rule, _, at in said if rule == "rt-ocpd-over-conductor"] == ([] if sound else [("F1",)])


FAN = """\
rigline: 1
profile: PROFILE
body: BODY
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 10 A}
  FN1: {kind: dc-load, current: AMPS A, LASTS}
  GND: {kind: chassis}
runs:
  - {id: W1, path: [B1, F1, FN1], lengths: [100 mm, 1 m], wire: 12 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}
"""


def fan(profile: str, amps: float, lasts: str) -> str:
    """A load behind a 10 A fuse."""
    return FAN.replace("PROFILE", profile).replace("AMPS", str(amps)).replace("LASTS", lasts).replace("BODY", "metal")


@pytest.mark.parametrize(
    ("profile", "amps", "severity"),
    [
        ("us-rv", 8, []),
        ("us-rv", 8.1, ["fault"]),
        ("us-boat", 8.1, ["advice"]),
        ("intl-boat", 8.1, ["advice"]),
        ("intl-boat", 10.1, ["fault"]),
    ],
)
def test_what_lasts_needs_a_quarter_in_hand(profile: str, amps: float, severity: list[str]) -> None:
    """125 % of what lasts is a rule of the NEC (210.20(A)) and advice elsewhere; less than the load is a fault."""
    said = found(fan(profile, amps, "continuous: true"))
    assert [how for rule, how, _ in said if rule == "rt-ocpd-under-continuous"] == severity


def _asked(amps: float) -> list[tuple[str, ...]]:
    answer = report(fan("us-rv", amps, "use: 8 h/day"))
    return [one.at for one in answer.not_assessed if one.rule == "rt-ocpd-under-continuous"]


def test_how_long_a_load_runs_is_asked_where_it_decides() -> None:
    """9 A behind 10 A are sound for an hour and not for a night; 5 A are sound either way."""
    assert (_asked(9), _asked(5)) == ([("F1",)], [])


SWITCH = """\
rigline: 1
profile: us-rv
body: metal
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 1.5 kA}
  Q1: {kind: switch, name: Battery switch, SWITCH}
  F1: {kind: fuse, style: class-t, rating: 150 A}
  BUS1: {kind: busbar, BAR}
  F2: {kind: fuse, style: class-t, rating: 20 A}
  LT1: {kind: dc-load, current: 10 A, continuous: false}
  GND: {kind: chassis}
runs:
  - {id: W1, path: [B1, Q1, F1, BUS1], lengths: [100 mm, 100 mm, 0.5 m], wire: 2/0 AWG}
  - {id: W2, path: [BUS1, F2, LT1], lengths: [100 mm, 1 m], wire: 12 AWG}
  - {id: W3, path: [B1-, GND], length: 0.5 m, wire: 2/0 AWG}
"""


@pytest.mark.parametrize(
    ("switch", "bar", "at"),
    [
        ("rating: 150 A", "rating: 150 A", []),
        ("rating: 140 A", "rating: 150 A", [("Q1", "F1")]),
        ("rating: 150 A", "rating: 100 A", [("BUS1", "F1")]),
    ],
)
def test_a_switch_in_front_of_the_fuse_is_limited_by_it(switch: str, bar: str, at: list[tuple[str, ...]]) -> None:
    """What stands right before or behind the main fuse must carry what it lets through (NEC 110.10)."""
    said = found(SWITCH.replace("SWITCH", switch).replace("BAR", bar))
    assert [place for rule, _, place in said if rule == "rt-ocpd-over-passives"] == at


def test_a_switch_without_a_rating_is_not_passed() -> None:
    """Without its rating nobody can say that a switch stands its fuse."""
    answer = report(SWITCH.replace("SWITCH", "rating: unknown").replace("BAR", "rating: 200 A"))
    assert ("Q1",) in [one.at for one in answer.not_assessed if one.rule == "rt-ocpd-over-passives"]


STRING = """\
rigline: 1
profile: us-cabin
body: wood
components:
  B1: {kind: battery, chemistry: flooded, voltage: 48 V, capacity: 200 Ah, short-circuit: 3 kA}
  F1: {kind: fuse, style: class-t, rating: 60 A}
  PV1: {kind: pv-array, series: COUNT, voc: 37 V, isc: 9 A, frame: none, disconnect: true}
  SC1: {kind: charge-controller, max-input: 150 V, output: 40 A}
runs:
  - {id: W1, path: [PV1, SC1], length: 10 m, wire: 10 AWG}
  - {id: W2, path: [SC1, F1, B1], lengths: [1 m, 100 mm], wire: 4 AWG}
"""


@pytest.mark.parametrize(("count", "verdict"), [(2, ["pv-mppt-start"]), (3, []), (4, ["pv-voc-cold"])])
def test_three_modules_suit_a_48_v_bank_on_a_150_v_controller(count: int, verdict: list[str]) -> None:
    """Four modules of 37 V rise above 150 V in the cold, two can't charge 48 V (case from practice; NEC 690.7)."""
    said = found(STRING.replace("COUNT", str(count)))
    assert [rule for rule, _, _ in said if rule.startswith("pv-")] == verdict
