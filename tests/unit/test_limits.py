"""The voltage and the circumstances that decide what a conductor may carry."""

from __future__ import annotations

import pytest
from reference.worked_examples import segment, studied


def test_a_solar_run_is_counted_at_the_voltage_of_its_strings() -> None:
    """12.75 A x 2 x 4 m x 10.75 / 10383 cmil / 0.3048 m = 0.3465 V of 2 x 20.4 V."""
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 24 V}
  PV1: {kind: pv-array, series: 2, isc: 10.2 A, vmp: 20.4 V, voc: 24.4 V}
  SC1: {kind: charge-controller, output: 20 A}
runs:
  - {id: W1, path: [PV1, SC1.pv], length: 4 m, wire: 10 AWG}
  - {id: W2, path: [SC1.battery, B1], length: 1 m, wire: 10 AWG}
""",
        "us-boat",
    )

    assert segment(found, "W1a").drop_frac == pytest.approx(0.3465 / 40.8, abs=1e-5)


def test_a_230_v_inverter_in_a_us_rig_loses_its_share_of_230_v() -> None:
    """10 A x 2 x 5 m x 12.9 / 6530 cmil / 0.3048 m = 0.6482 V of 230 V."""
    found = studied(
        """
components:
  INV1: {kind: inverter, power: 3000 W, output: 230 V}
  LD1: {kind: ac-load, current: 10 A}
runs:
  - {id: W1, path: [INV1.ac-out, LD1], length: 5 m, wire: 12 AWG}
""",
        "us-rv",
    )

    assert segment(found, "W1a").drop_frac == pytest.approx(0.6482 / 230, abs=1e-5)


def test_each_side_of_a_converter_has_its_own_voltage() -> None:
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 24 V}
  DC1: {kind: dc-converter, output: 20 A, output-voltage: 12 V}
  LD1: {kind: dc-load, power: 60 W}
runs:
  - {id: W1, path: [B1, DC1.in], length: 1 m, wire: 10 AWG}
  - {id: W2, path: [DC1.out, LD1], length: 1 m, wire: 10 AWG}
""",
        "us-boat",
    )

    volts = {one.segment.id: found.limits.volts_v(one.segment.conductors[0]) for one in found.segments}
    assert volts == {"W1a": 24, "W2a": 12}


@pytest.mark.parametrize("grounding", ["negative", "positive", "isolated"])
def test_the_pole_that_is_bonded_changes_no_voltage(grounding: str) -> None:
    found = studied(
        f"""
dc-grounding: {grounding}
components:
  B1: {{kind: battery, voltage: 12 V}}
  F1: {{kind: fuse, style: blade, rating: 15 A}}
  LD1: {{kind: dc-load, power: 60 W}}
runs:
  - {{id: W1, path: [B1, F1, LD1], lengths: [0.1 m, 2 m], wire: 12 AWG}}
""",
        "us-boat",
    )
    one = segment(found, "W1b")

    assert {found.limits.volts_v(conductor) for conductor in one.segment.conductors} == {12}
    # 33 CFR 183.425 Table 5: 12 AWG of 105 °C carries 45 A outside engine spaces.
    assert one.current_a == pytest.approx(5)
    assert (one.ampacity_a, one.protected_by) == (45, ("F1",))


def test_an_engine_space_takes_its_share_of_the_ampacity() -> None:
    """33 CFR 183.425 Table 5 note 1: 0.85 of 60 A for 10 AWG of 105 °C."""
    found = studied(
        """
places: {engine bay: {engine: true}}
components:
  B1: {kind: battery, voltage: 12 V}
  LD1: {kind: dc-load, power: 60 W}
runs:
  - {id: W1, path: [B1, LD1], length: 1 m, wire: 10 AWG, place: engine bay}
""",
        "us-boat",
    )

    assert segment(found, "W1a").ampacity_a == pytest.approx(51)


def test_a_thinner_return_is_what_the_segment_may_carry() -> None:
    """33 CFR 183.425 Table 5, 105 °C: 10 AWG 60 A, 14 AWG 35 A."""
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 12 V}
  LD1: {kind: dc-load, power: 60 W}
runs:
  - {id: W1, path: [B1, LD1], length: 1 m, wire: 10 AWG, return-wire: 14 AWG}
""",
        "us-boat",
    )

    assert segment(found, "W1a").ampacity_a == 35


HOT_PLACE = """
places:
  engine: {max: 50 °C}
components:
  B1: {kind: battery, voltage: 12 V, chemistry: flooded, capacity: 100 Ah}
  F1: {kind: fuse, style: blade, rating: 15 A}
  LD1: {kind: dc-load, current: 10 A}
runs:
  - {id: W1, path: [B1, F1, LD1], length: 1 m, wire: 14 AWG, insulation: 105 °C%s}
"""


@pytest.mark.parametrize(("place", "ampacity_a"), [("", 35), (", place: engine", 29.972)])
def test_a_wire_in_a_hot_place_carries_less(place: str, ampacity_a: float) -> None:
    """33 CFR 183.425 Table 5: 14 AWG of 105 °C carries 35 A at 30 °C; NEC 310.15(B)(1): the root of 55 K / 75 K of it
    at 50 °C, which is 0.856."""
    found = studied(HOT_PLACE % place, "us-boat")
    limits = found.conductors["W1b+"].limits

    assert limits is not None
    assert limits.ampacity_a == pytest.approx(ampacity_a, abs=1e-3)
