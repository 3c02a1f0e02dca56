"""The whole study on small systems: convention of the drop, voltages at loads, protection, odd and missing values."""

from __future__ import annotations

import math

import pytest
from reference.worked_examples import circuit, segment, studied

from rigline.standards.profiles import PROFILE_NAMES, profile
from rigline.standards.wire import conductor_resistance_ohm_per_m, parse_wire_size

NEGATIVE_SHUNT = """
components:
  B1: {kind: battery, voltage: 12 V, internal-resistance: 10 mΩ}
  RS1: {kind: shunt, rating: 300 A}
  LD1: {kind: dc-load, current: 10 A}
runs:
  - {id: W1, path: [B1, RS1, LD1], lengths: [1 m, 2 m], wire: 10 AWG%s}
"""


@pytest.mark.parametrize("name", PROFILE_NAMES)
def test_awg_copper_loses_by_the_rule_sets_constant_and_metric_copper_by_iec_60228(name: str) -> None:
    """10 A over 10 m one way: K x 10 A x 20 m / 0.3048 m / cmil, and 3.30 mΩ/m for 6 mm² class 5 at 20 °C."""
    rules = profile(name)
    awg, metric = (segment(circuit(12, 10, 10, wire, name), "W1a").drop_v for wire in ("10 AWG", "6 mm²"))
    warming = 1 + 0.00393 * (rules.drop_copper_c.value - 20)

    if rules.drop_k_ohm_cmil_per_ft is not None:
        cold = rules.drop_k_ohm_cmil_per_ft.value * 10 * 20 / 0.3048 / 10383
        assert awg == pytest.approx(cold, rel=1e-4)
    else:
        per_m = conductor_resistance_ohm_per_m(parse_wire_size("10 AWG"), conductor_c=rules.drop_copper_c.value)
        assert awg == pytest.approx(per_m * 200, rel=1e-9)
    assert metric == pytest.approx(0.0033 * 200 * warming, rel=1e-9)


@pytest.mark.parametrize("name", [name for name in PROFILE_NAMES if profile(name).drop_k_ohm_cmil_per_ft])
def test_the_constant_and_the_copper_temperature_of_a_rule_set_agree(name: str) -> None:
    """K = 10.371 x 1.02 x (1 + 0.00393 (T - 20)) for stranded copper, IACS; 0.3 % is the rounding of 12.9."""
    rules = profile(name)
    assert rules.drop_k_ohm_cmil_per_ft is not None

    computed = 10.371 * 1.02 * (1 + 0.00393 * (rules.drop_copper_c.value - 20))

    assert computed == pytest.approx(rules.drop_k_ohm_cmil_per_ft.value, rel=3e-3)


@pytest.mark.parametrize("carried", ["", ", carries: pair"])
def test_a_shunt_loses_nothing_and_the_loads_voltage_is_the_batterys_less_both_wires(carried: str) -> None:
    """At end of discharge: 10.5 V - 10 A x (10 mΩ + 2 x 3 m x 3.3968 mΩ/m) = 10.196 V."""
    found = studied(NEGATIVE_SHUNT % carried, "us-boat")

    assert found.nodes["B1"].voltage_v == pytest.approx(10.4)
    assert found.nodes["LD1"].voltage_v == pytest.approx(10.1962, abs=1e-4)
    assert found.nodes["LD1"].drop_frac == pytest.approx(0.2038 / 12, abs=1e-5)
    assert found.nodes["RS1"].voltage_v == pytest.approx(10.4 - 10 * 2 * 0.0033968, abs=1e-4)


def test_lengths_of_zero_lose_next_to_nothing_and_divide_by_nothing() -> None:
    found = segment(circuit(12, 10, 0, "10 AWG", "us-boat"), "W1a")

    assert found.drop_v is not None
    assert 0 < found.drop_v < 1e-3


@pytest.mark.parametrize("amps", [0, 1e-6, 1e9])
def test_no_current_however_odd_gives_a_number_that_is_none(amps: float) -> None:
    found = studied(
        f"""
components:
  B1: {{kind: battery, voltage: 12 V}}
  F1: {{kind: fuse, style: blade}}
  LD1: {{kind: dc-load, current: {amps:.9f} A}}
runs:
  - {{id: W1, path: [B1, F1, LD1], length: 1 m}}
""",
        "us-boat",
    )

    numbers = [value for one in found.segments for value in (one.current_a, one.drop_v, one.drop_frac, one.ampacity_a)]
    assert all(value is not None and math.isfinite(value) for value in numbers)


def test_what_is_unknown_is_not_computed() -> None:
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 12 V}
  F1: {kind: fuse, style: blade, rating: unknown}
  LD1: {kind: dc-load, power: 60 W}
runs:
  - {id: W1, path: [B1, F1, LD1], length: unknown, wire: unknown}
""",
        "us-boat",
    )
    one = segment(found, "W1b")

    assert (one.size, one.drop_v, one.ampacity_a, one.allowed_a) == (None, None, None, None)
    assert found.rating_a("F1") is None
    assert one.current_a == pytest.approx(5)


def test_a_load_far_down_a_selector_shows_its_lowest_voltage() -> None:
    """On the far battery alone, at end of discharge: 10.5 V - 10 A x 2 x (5 m + 1 m) x 3.3968 mΩ/m, itself 1.2 mΩ."""
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 12 V}
  B2: {kind: battery, voltage: 12 V}
  S1: {kind: selector}
  LD1: {kind: dc-load, current: 10 A}
runs:
  - {id: W1, path: [B1, S1.1], length: 1 m, wire: 10 AWG}
  - {id: W2, path: [B2, S1.2], length: 5 m, wire: 10 AWG}
  - {id: W3, path: [S1.common, LD1], length: 1 m, wire: 10 AWG}
""",
        "us-boat",
    )

    assert found.nodes["LD1"].voltage_v == pytest.approx(10.5 - 0.012 - 10 * 2 * 6 * 0.0033968, abs=1e-3)
