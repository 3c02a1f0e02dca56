"""The least fault current at the far end of a wire, against the device that must open."""

from __future__ import annotations

import pytest
from reference.worked_examples import segment, studied

from rigline.standards.wire import conductor_resistance_ohm_per_m, parse_wire_size

TEXT = """
defaults: {insulation: 90 °C}
components:
  B1: {kind: battery, voltage: 12 V, chemistry: agm, internal-resistance: 5 mΩ}
  F1: {kind: fuse, style: blade, rating: 60 A}
  LD1: {kind: dc-load, current: 1 A}
runs:
  - {id: W1, path: [B1, F1, LD1], lengths: [1 m, 4 m], wire: 6 mm²}
"""
COLD, WARM = (conductor_resistance_ohm_per_m(parse_wire_size("6 mm²"), conductor_c=c) for c in (20.0, 90.0))


def test_each_end_of_a_wire_has_its_own_greatest_fault_current() -> None:
    found = studied(TEXT, "intl-boat")
    near, far = (12 / (0.005 + 2 * metres * COLD) for metres in (1, 5))

    assert segment(found, "W1a").fault_current_start_a == pytest.approx(2400)
    assert segment(found, "W1a").fault_current_end_a == pytest.approx(near)
    assert segment(found, "W1b").fault_current_start_a == pytest.approx(near)
    assert segment(found, "W1b").fault_current_end_a == pytest.approx(far)
    assert segment(found, "W1b").fault_current_a == pytest.approx(near)


def test_the_least_fault_current_counts_a_low_battery_and_warm_copper() -> None:
    """10.5 V over 5 mΩ and 2 x 5 m of 6 mm² at 90 °C."""
    found = segment(studied(TEXT, "intl-boat"), "W1b").clearing

    assert found is not None
    least = 10.5 / (0.005 + 10 * WARM)
    assert (found.device, found.rating_a) == ("F1", 60)
    assert found.least_fault_a == pytest.approx(least, rel=1e-6)
    assert found.ratio == pytest.approx(least / 60, rel=1e-6)


def test_nothing_clears_a_wire_ahead_of_the_first_device() -> None:
    assert segment(studied(TEXT, "intl-boat"), "W1a").clearing is None


RING = """
defaults: {insulation: 90 °C}
components:
  B1: {kind: battery, voltage: 12 V, chemistry: agm, internal-resistance: 5 mΩ}
  F1: {kind: fuse, style: blade, rating: 60 A}
  J1: {kind: junction}
  J2: {kind: junction}
  J3: {kind: junction}
  LD1: {kind: dc-load, current: 1 A}
runs:
  - {id: W0, path: [B1, F1, J1], lengths: [0 m, 0 m], wire: 4/0 AWG}
  - {id: W1, path: [J1, J2], length: 6 m, wire: 6 mm²}
  - {id: W2, path: [J1, J3], length: 3 m, wire: 6 mm²}
  - {id: W3, path: [J3, J2], length: 3 m, wire: 6 mm²}
  - {id: W4, path: [J2, LD1], length: 1 m, wire: 6 mm²}
"""


def test_a_ring_is_solved_exactly_for_clearing_and_by_its_best_way_for_interrupting() -> None:
    """Two ways of 6 m each: half the resistance of one. The sum-of-paths figure takes one of them, cold."""
    found = studied(RING, "intl-boat")
    clearing = segment(found, "W4a").clearing

    assert clearing is not None
    assert clearing.least_fault_a == pytest.approx(10.5 / (0.005 + 2 * (3 + 1) * WARM), rel=2e-3)


def test_two_batteries_share_one_cable_exactly_where_the_sum_of_paths_counts_it_twice() -> None:
    """5 mΩ each: 2.5 mΩ together. The safe figure for interrupting adds two currents as if each had its own cable."""
    text = """
defaults: {insulation: 90 °C}
components:
  B1: {kind: battery, voltage: 12 V, chemistry: agm, internal-resistance: 5 mΩ}
  B2: {kind: battery, voltage: 12 V, chemistry: agm, internal-resistance: 5 mΩ}
  F1: {kind: fuse, style: blade, rating: 60 A}
  LD1: {kind: dc-load, current: 1 A}
runs:
  - {id: W0, path: [B1, B2], length: 0 m, wire: 4/0 AWG}
  - {id: W1, path: [B1, F1, LD1], lengths: [0 m, 5 m], wire: 6 mm²}
"""
    found = segment(studied(text, "intl-boat"), "W1b")

    assert found.clearing is not None
    assert found.clearing.least_fault_a == pytest.approx(10.5 / (0.0025 + 10 * WARM), rel=5e-3)
    assert found.fault_current_end_a == pytest.approx(2 * 12 / (0.005 + 10 * COLD), rel=5e-3)


def test_a_wire_that_no_battery_feeds_has_nothing_that_could_clear() -> None:
    """The wire of a solar array behind a controller that lets nothing back: what is left there is rounding."""
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 12.8 V, chemistry: lifepo4, capacity: 300 Ah}
  F1: {kind: fuse, style: class-t, rating: 100 A}
  PV1: {kind: pv-array, voc: 25 V, vmp: 20 V, isc: 10 A}
  QPV: {kind: breaker, rating: 20 A, poles: 2}
  SC1: {kind: charge-controller, output: 20 A}
runs:
  - {id: W1, path: [PV1, QPV, SC1.pv], lengths: [4 m, 0.5 m], wire: 6 mm²}
  - {id: W2, path: [SC1.battery, F1, B1], lengths: [1 m, 0.1 m], wire: 6 mm²}
""",
        "intl-boat",
    )

    assert segment(found, "W1a").clearing is None
    assert segment(found, "W1b").clearing is None
    assert segment(found, "W2a").clearing is not None
