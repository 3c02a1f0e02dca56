"""Prospective fault currents of AC by IEC 60909-0 (simple form), and what a short at the end of a wire must open."""

from __future__ import annotations

from math import hypot

import pytest
from helpers import report
from reference.worked_examples import segment, studied

from rigline.standards.wire import conductor_resistance_ohm_per_m, parse_wire_size
from rigline.study.ac_faults import AcClearing
from rigline.study.study import Study

COLD, WARM = (
    {size: conductor_resistance_ohm_per_m(parse_wire_size(f"{size} mm²"), conductor_c=c) for size in (1.5, 2.5, 6)}
    for c in (20.0, 90.0)
)
REACTANCE = 0.08e-3
GREATEST, LEAST = 1.10, 0.90


def _both_ways(size: float, metres: float) -> float:
    """Impedance out and back of a warm cable."""
    return 2 * metres * hypot(WARM[size], REACTANCE)


SHORE = """
defaults: {{insulation: 90 °C}}
components:
  SH1: {{kind: shore-inlet, voltage: 230 V, rating: 16 A{shore}}}
  QM: {{kind: {main}, rating: 16 A, poles: 2{curve}}}
  ACP1: {{kind: ac-panel}}
  QA: {{kind: breaker, rating: 10 A, curve: B}}
  LD1: {{kind: ac-load, power: 500 W}}
runs:
  - {{id: W1, path: [SH1, QM, ACP1], lengths: [1 m, 2 m], wire: 2.5 mm²}}
  - {{id: W2, path: [ACP1, QA, LD1], lengths: [0.1 m, {metres} m], wire: 1.5 mm²}}
"""


def _shore(shore: str = ", short-circuit: 1 kA, loop-impedance: 0.8 Ω", metres: float = 10, **other: str) -> Study:
    words = {"main": "breaker", "curve": ", curve: C", **other}
    return studied(SHORE.format(shore=shore, metres=metres, **words), "eu-caravan")


def _clearing(found: Study, id: str, source: str, to: str) -> AcClearing:
    own = [one for one in segment(found, id).ac_clearings if one.least.source == source]
    (one,) = [one for one in own if (one.least.to == "earth") == (to == "earth")]
    return one


def test_at_the_inlet_the_greatest_fault_current_is_the_stated_one() -> None:
    assert segment(_shore(), "W1a").fault_current_start_a == pytest.approx(1000)


def test_the_greatest_current_takes_the_least_that_source_and_cold_wires_can_add_up_to() -> None:
    """Z = 1.1 x 230 V / 1 kA = 0.253 Ω; the wires' resistance stands at a right angle to it at the least."""
    wires = 2 * (3 * COLD[2.5] + 10.1 * COLD[1.5])

    assert segment(_shore(), "W2b").fault_current_end_a == pytest.approx(GREATEST * 230 / hypot(0.253, wires))
    assert _shore().nodes["LD1"].ac_fault_current_a == segment(_shore(), "W2b").fault_current_end_a


def test_the_least_current_to_neutral_adds_source_and_warm_wires() -> None:
    one = _clearing(_shore(), "W2b", "SH1", "neutral")
    wires = _both_ways(2.5, 3) + _both_ways(1.5, 10.1)

    assert one.least.amps_a == pytest.approx(LEAST * 230 / (0.253 + wires))
    assert (one.device, one.rating_a, one.opening.amps_a, one.opens) == ("QA", 10, 50, True)


def test_the_least_current_to_earth_adds_the_loop_ashore() -> None:
    """BS 7671 and IEC 60364-4-41: Zs = Ze + (R1 + R2), with a declared Ze of 0.8 Ω (TN-S)."""
    one = _clearing(_shore(), "W2b", "SH1", "earth")
    wires = _both_ways(2.5, 3) + _both_ways(1.5, 10.1)

    assert one.least.amps_a == pytest.approx(LEAST * 230 / (0.8 + wires))


@pytest.mark.parametrize(("curve", "times"), [("B", 5), ("C", 10), ("D", 20)])
def test_a_breaker_opens_at_once_at_the_end_of_its_band(curve: str, times: float) -> None:
    """IEC 60898-1 Table 2."""
    assert _clearing(_shore(curve=f", curve: {curve}"), "W1b", "SH1", "neutral").opening.amps_a == times * 16


def test_a_supply_that_states_nothing_is_not_assessed() -> None:
    found = _shore("")

    assert found.ac_faults.missing == {"SH1": ("short-circuit",)}
    assert segment(found, "W2b").fault_current_end_a is None
    assert segment(found, "W2b").ac_clearings == ()


def test_a_supply_without_its_earth_loop_is_not_assessed_to_earth() -> None:
    found = _shore(", short-circuit: 1 kA")

    assert [one.least.to for one in segment(found, "W2b").ac_clearings] == ["neutral"]


def test_a_weak_supply_keeps_a_c_breaker_from_opening_and_is_found() -> None:
    text = SHORE.format(
        shore=", short-circuit: 200 A, loop-impedance: 1.5 Ω", main="breaker", curve=", curve: C", metres=30
    )
    hits = [f for f in report(f"rigline: 1\nprofile: eu-caravan\n{text}").findings if f.rule == "rt-ocpd-cannot-trip"]

    assert [(f.at, f.limit) for f in hits] == [(("QM",), 160)]
    assert "to earth" in hits[0].message


def test_a_residual_current_device_opens_an_earth_fault_whatever_its_current() -> None:
    found = _shore(
        ", short-circuit: 1 kA, loop-impedance: 100 Ω", main="rcd", curve=", residual: 30 mA, overcurrent: 16 A"
    )
    one = _clearing(found, "W2b", "SH1", "earth")

    assert one.least.amps_a < 3
    assert (one.residual, one.opens) == (("QM",), True)


INVERTER = """
defaults: {{insulation: 90 °C}}
components:
  B1: {{kind: battery, voltage: 24 V, chemistry: agm, capacity: 200 Ah}}
  F1: {{kind: fuse, style: class-t, rating: 200 A}}
  INV1: {{kind: inverter, power: {power} W, output: 230 V{surge}, neutral-bond: fixed}}
  ACP1: {{kind: ac-panel}}
  QA: {{kind: breaker, rating: 10 A, poles: 2, curve: C}}
  LD1: {{kind: ac-load, power: 500 W}}
runs:
  - {{id: W0, path: [B1, F1, INV1.dc], lengths: [0.1 m, 1 m], wire: 50 mm²}}
  - {{id: W1, path: [INV1.ac-out, ACP1], length: 1 m, wire: 2.5 mm²}}
  - {{id: W2, path: [ACP1, QA, LD1], lengths: [0.1 m, 10 m], wire: 1.5 mm²}}
"""


def _inverter(power: int = 2000, surge: str = ", surge: 4000 W") -> str:
    return f"rigline: 1\nprofile: eu-caravan\n{INVERTER.format(power=power, surge=surge)}"


def _found(text: str) -> Study:
    return studied(text.split("\n", 2)[2], "eu-caravan")


def test_an_inverter_gives_its_surge_power_into_a_short_and_no_more() -> None:
    found = _found(_inverter())
    one = _clearing(found, "W2b", "INV1", "neutral")

    assert one.least.amps_a == pytest.approx(4000 / 230)
    assert (one.limited, one.opens) == (True, False)
    assert found.nodes["LD1"].ac_fault_current_a == pytest.approx(4000 / 230)


def test_an_earth_fault_on_an_inverter_comes_back_over_its_own_joint_of_neutral_and_earth() -> None:
    unbonded = _inverter().replace("neutral-bond: fixed", "neutral-bond: none")

    assert _clearing(_found(_inverter()), "W2b", "INV1", "earth").least.amps_a == pytest.approx(4000 / 230)
    assert [one.least.to for one in segment(_found(unbonded), "W2b").ac_clearings] == ["neutral"]


def test_an_inverter_that_cannot_open_a_breaker_is_a_fault_only_if_the_wire_cannot_carry_its_current() -> None:
    """2 kW are 8.7 A, which 1.5 mm² carries for ever; of 12 kW, 60 A of surge open no 10 A breaker of curve C."""
    small = report(_inverter())
    large = report(_inverter(12_000, ", surge: 13.8 kW"))
    unknown = report(_inverter(12_000, ""))

    def hits(which: object) -> list[object]:
        return [(f.at, f.found) for f in which.findings if f.rule == "rt-ocpd-cannot-trip"]  # type: ignore[attr-defined]

    assert hits(small) == []
    assert hits(large) == [(("QA",), pytest.approx(60))]
    assert hits(unknown) == []
    assert [one.missing for one in unknown.not_assessed if one.rule == "rt-ocpd-cannot-trip"] == [
        "short-circuit or surge of INV1"
    ]


GENERATOR = """
components:
  GEN1: {{kind: generator, voltage: {volts}, power: 6 kW, neutral-bond: fixed{more}}}
  QA: {{kind: breaker, rating: 20 A}}
  LD1: {{kind: ac-load, power: 500 W}}
runs:
  - {{id: W1, path: [GEN1, QA, LD1], lengths: [1 m, 2 m], wire: 2.5 mm²}}
"""


def test_a_generators_greatest_current_comes_from_its_subtransient_reactance() -> None:
    """IEC 60909-0: I″ = c U / (K x″ U² / S), K = c / (1 + x″ sin φ); so In (1 / x″ + sin φ), with S = P / 0.8."""
    text = GENERATOR.format(volts="230 V", more=", subtransient-reactance: 15 %")
    found = studied(text, "iec-cabin")
    rated = 6000 / 0.8 / 230

    assert segment(found, "W1a").fault_current_start_a == pytest.approx(rated * (1 / 0.15 + 0.6))
    assert segment(found, "W1b").ac_clearings == ()
    assert found.ac_faults.missing == {}
    assert found.ac_faults.missing_least == {"GEN1": ("short-circuit",)}


def test_one_leg_of_a_centre_tapped_generator_gives_half_as_much_again_as_both() -> None:
    found = studied(GENERATOR.format(volts="120/240 V", more=", subtransient-reactance: 15 %"), "us-cabin")

    assert found.ac_faults.levels[("GEN1", "", "L1")].amps_a == pytest.approx(  # type: ignore[index]
        1.5 * 6000 / 0.8 / 240 * (1 / 0.15 + 0.6)
    )


def test_a_generators_breaker_must_open_on_the_current_that_it_keeps_up() -> None:
    found = studied(GENERATOR.format(volts="230 V", more=", short-circuit: 75 A"), "iec-cabin")
    source = GREATEST * 230 / 75

    assert _clearing(found, "W1b", "GEN1", "neutral").least.amps_a == pytest.approx(
        LEAST * 230 / (source + _both_ways(2.5, 3))
    )


TRANSFORMER = """
defaults: {insulation: 90 °C}
components:
  SH1: {kind: shore-inlet, voltage: 230 V, rating: 16 A, short-circuit: 1 kA}
  TR1: {kind: transformer, power: 3600 W, voltage: 230 V, output: 115 V, bond: secondary, impedance: 4 %}
  QA: {kind: breaker, rating: 20 A, curve: B}
  LD1: {kind: ac-load, power: 500 W}
runs:
  - {id: W1, path: [SH1, TR1.primary], length: 5 m, wire: 2.5 mm²}
  - {id: W2, path: [TR1.secondary, QA, LD1], lengths: [0.1 m, 10 m], wire: 6 mm²}
"""


def test_a_transformer_adds_its_own_impedance_and_turns_the_one_ahead_by_its_ratio_squared() -> None:
    """Z = u U² / S = 0.04 x 115² / 3600 = 0.147 Ω; ahead (0.253 Ω and the wires) / 4."""
    found = studied(TRANSFORMER, "iec-cabin")
    own = 0.04 * 115**2 / 3600
    most = hypot(own, 0.253 / 4, 10 * COLD[2.5] / 4)
    least = own + (0.253 + _both_ways(2.5, 5)) / 4

    assert segment(found, "W2a").fault_current_start_a == pytest.approx(GREATEST * 115 / most)
    for to in ("neutral", "earth"):
        assert _clearing(found, "W2b", "TR1", to).least.amps_a == pytest.approx(
            LEAST * 115 / (least + _both_ways(6, 10.1))
        )


def test_a_transformer_that_states_no_impedance_is_not_assessed() -> None:
    found = studied(TRANSFORMER.replace(", impedance: 4 %", ""), "iec-cabin")

    assert found.ac_faults.missing == {"TR1": ("impedance",)}
    assert segment(found, "W2a").fault_current_start_a is None


def test_a_ring_final_circuit_has_its_least_current_in_the_middle() -> None:
    """Two ways of 20 m: half the resistance of one."""
    text = """
defaults: {insulation: 90 °C}
components:
  SH1: {kind: shore-inlet, voltage: 230 V, rating: 32 A, short-circuit: 1 kA}
  QA: {kind: breaker, rating: 32 A, curve: B}
  J1: {kind: junction}
  LD1: {kind: ac-load, power: 500 W}
runs:
  - {id: W0, path: [SH1, QA, J1], lengths: [0 m, 0 m], wire: 6 mm²}
  - {id: W1, path: [J1, LD1], length: 20 m, wire: 2.5 mm²}
  - {id: W2, path: [J1, LD1], length: 20 m, wire: 2.5 mm²}
"""
    one = _clearing(studied(text, "iec-cabin"), "W1a", "SH1", "neutral")

    assert one.least.amps_a == pytest.approx(LEAST * 230 / (0.253 + _both_ways(2.5, 10)), rel=1e-3)


PASSING = """
defaults: {insulation: 90 °C}
components:
  SH1: {kind: shore-inlet, voltage: 120 V, rating: 30 A, short-circuit: 2 kA}
  QS: {kind: breaker, rating: 30 A, poles: 2}
  B1: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 200 Ah}
  INV1: {kind: inverter-charger, power: 1500 W, surge: 3000 W, output: 120 V, neutral-bond: relay}
  QA: {kind: breaker, rating: 15 A, interrupting: 1 kA}
  LD1: {kind: ac-load, power: 500 W}
runs:
  - {id: W0, path: [B1, INV1.dc], length: 1 m, wire: 4/0 AWG}
  - {id: W1, path: [SH1, QS, INV1.ac-in], lengths: [1 m, 1 m], wire: 10 AWG}
  - {id: W2, path: [INV1.ac-out, QA, LD1], lengths: [0.5 m, 3 m], wire: 14 AWG}
"""


def test_behind_an_inverter_charger_the_shores_current_counts_while_it_passes_through() -> None:
    found = studied(PASSING, "us-rv")
    level = found.ac_faults.levels[("QA", "in", "L1")]  # type: ignore[index]

    assert (level.source, level.mode) == ("SH1", "INV1 passing through")
    assert {one.least.source for one in segment(found, "W2b").ac_clearings} == {"SH1", "INV1"}


def test_a_breaker_that_opens_less_than_the_shore_gives_is_found() -> None:
    findings = report(f"rigline: 1\nprofile: us-rv\n{PASSING}").findings
    hits = [f for f in findings if f.rule == "oc-interrupting-rating"]

    assert [(f.at, f.found, f.severity.value) for f in hits] == [(("QA", "SH1"), 1000, "danger")]
    assert 1300 < (hits[0].limit or 0) < 2000


@pytest.mark.parametrize(("opens", "rules"), [("3 kA", []), ("2.5 kA", [("QA", "SH1")])])
def test_on_us_boats_the_table_says_what_shore_breakers_must_open(opens: str, rules: list[tuple[str, str]]) -> None:
    """ABYC E-11: 3000 A on a 120 V shore supply of 30 A, main and branch."""
    text = PASSING.replace(", short-circuit: 2 kA", "").replace("interrupting: 1 kA", f"interrupting: {opens}")
    findings = report(f"rigline: 1\nprofile: us-boat\n{text}").findings

    assert [f.at for f in findings if f.rule == "oc-interrupting-rating"] == rules
