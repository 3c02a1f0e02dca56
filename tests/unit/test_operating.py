"""What a system settles at: constant power, batteries full and at end of discharge, starts, and loads that starve."""

from __future__ import annotations

import math

import pytest
from reference.worked_examples import segment, studied

BOAT = "us-boat"
OHM_PER_M_10_AWG = 10.75 / 10383 / 0.3048
"""10 AWG by K = 10.75 Ω·cmil/ft, as ABYC E-11 computes."""

LINE = """
components:
  B1: {kind: battery, voltage: 12 V, chemistry: agm, internal-resistance: 10 mΩ}
  LD1: {kind: dc-load, %s}
runs:
  - {id: W1, path: [B1, LD1], length: %s m, wire: 10 AWG}
"""


def _settled_v(emf_v: float, ohm: float, watts: float) -> float:
    """The upper root of V² - E V + P R = 0."""
    return (emf_v + math.sqrt(emf_v**2 - 4 * watts * ohm)) / 2


def test_a_load_given_by_its_power_takes_more_current_from_a_low_battery() -> None:
    """Lead: 10.5 V at end of discharge, 12.72 V full; 100 W over 2 x 3 m of 10 AWG and 10 mΩ."""
    found = studied(LINE % ("power: 100 W", 3), BOAT)
    ohm = 0.010 + 6 * OHM_PER_M_10_AWG
    low, full = _settled_v(10.5, ohm, 100), _settled_v(12.72, ohm, 100)

    assert found.nodes["LD1"].voltage_v == pytest.approx(low, rel=1e-4)
    assert found.nodes["LD1"].full_voltage_v == pytest.approx(full, rel=1e-4)
    assert segment(found, "W1a").running_current_a == pytest.approx(100 / low, rel=1e-4)
    assert segment(found, "W1a").current_a == pytest.approx(100 / 12)
    assert found.load_drops["LD1"].running_v == pytest.approx(100 / low * 6 * OHM_PER_M_10_AWG, rel=1e-4)
    assert found.load_drops["LD1"].case == "all loads on batteries at end of discharge"


def test_a_load_given_by_its_current_takes_the_same_whatever_the_battery() -> None:
    found = studied(LINE % ("current: 8 A", 3), BOAT)

    assert [case.amps["W1a+"] for case in found.operating] == [pytest.approx(8), pytest.approx(8)]


@pytest.mark.parametrize(("chemistry", "full_v", "end_v"), [("lifepo4", 12.48, 10.32), ("flooded", 12.72, 10.5)])
def test_a_battery_holds_the_voltage_of_its_charge(chemistry: str, full_v: float, end_v: float) -> None:
    """1.04 and 0.86 times nominal for lithium iron phosphate, 1.06 and 0.875 for lead: common practice."""
    found = studied(LINE.replace("agm", chemistry) % ("current: 0 A", 1), BOAT)

    assert found.nodes["B1"].full_voltage_v == pytest.approx(full_v)
    assert found.nodes["B1"].voltage_v == pytest.approx(end_v)


def test_a_load_that_its_wires_cannot_feed_is_named_with_what_they_can_bring() -> None:
    """10.5 V over 10 mΩ and 2 x 60 m of 10 AWG: at most 10.5² / 4R watts, whatever the load does."""
    found = studied(LINE % ("power: 100 W", 60), BOAT)
    most_w = 10.5**2 / (4 * (0.010 + 120 * OHM_PER_M_10_AWG))

    ((case, unfed),) = found.unfed
    assert (case, unfed.load, unfed.wanted_w) == ("all loads on batteries at end of discharge", "LD1", 100)
    assert unfed.most_w == pytest.approx(most_w, rel=1e-4)
    assert unfed.reason == "it would take 100 W, but its wires can bring at most 66 W from 10.5 V"
    assert found.nodes["LD1"].voltage_v is None
    assert found.load_drops["LD1"].unfed == unfed
    assert found.load_drops["LD1"].running_v >= 10.5 / 2


def test_a_load_of_constant_current_that_would_leave_no_voltage_is_named() -> None:
    found = studied(LINE % ("current: 60 A", 60), BOAT)

    assert [one.load for _, one in found.unfed] == ["LD1"]


def test_the_greedy_load_is_taken_out_and_the_modest_one_beside_it_still_runs() -> None:
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 12 V, chemistry: agm, internal-resistance: 10 mΩ}
  BUS1: {kind: busbar}
  LD1: {kind: dc-load, power: 2000 W}
  LD2: {kind: dc-load, power: 5 W}
runs:
  - {id: W1, path: [B1, BUS1], length: 3 m, wire: 10 AWG}
  - {id: W2, path: [BUS1, LD1], length: 1 m, wire: 10 AWG}
  - {id: W3, path: [BUS1, LD2], length: 1 m, wire: 16 AWG}
""",
        BOAT,
    )

    assert [one.load for _, one in found.unfed] == ["LD1"]
    assert found.nodes["LD2"].voltage_v == pytest.approx(10.48, abs=0.01)
    assert all(math.isfinite(amps) for case in found.operating for amps in case.amps.values())


def test_a_compressor_starts_on_top_of_all_that_runs() -> None:
    """10.5 V - (5 A + 20 A) x (10 mΩ + 2 x 3 m of 10 AWG): the other load shares the cable."""
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 12 V, chemistry: agm, internal-resistance: 10 mΩ}
  BUS1: {kind: busbar}
  LD1: {kind: dc-load, current: 5 A}
  FR1: {kind: dc-load, current: 4 A, start: 20 A}
runs:
  - {id: W1, path: [B1, BUS1], length: 3 m, wire: 10 AWG}
  - {id: W2, path: [BUS1, LD1], length: 0 m, wire: 10 AWG}
  - {id: W3, path: [BUS1, FR1], length: 0 m, wire: 10 AWG}
""",
        BOAT,
    )

    (case,) = found.starting
    assert (case.kind, case.starting, case.name) == ("start", "FR1", "FR1 starts")
    lowest = 10.5 - 25 * (0.010 + 6 * OHM_PER_M_10_AWG)
    assert found.load_drops["FR1"].starting_voltage_v == pytest.approx(lowest, abs=1e-3)
    assert found.load_drops["FR1"].starting_v == pytest.approx(25 * 6 * OHM_PER_M_10_AWG, abs=1e-3)


def test_charging_brings_the_highest_voltage() -> None:
    """12.8 V of lithium iron phosphate at 1.14: 14.59 V; 30 A over 10 mΩ more at the battery's posts."""
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 12.8 V, chemistry: lifepo4, internal-resistance: 10 mΩ}
  AC1: {kind: ac-charger, output: 30 A}
runs:
  - {id: W1, path: [AC1.dc, B1], length: 0 m, wire: 4 AWG}
""",
        BOAT,
    )
    volts = {str(node): volts for node, volts in found.charged.volts.items()}

    assert volts["B1 +"] - volts["B1 -"] == pytest.approx(1.14 * 12.8 + 30 * 0.010)


TRANSFORMER = """
components:
  SH1: {kind: shore-inlet, voltage: 230 V, rating: 16 A}
  T1: {kind: transformer, type: isolation, power: 3600 W, output: 120 V}
  LD1: {kind: ac-load, power: 1200 W}
runs:
  - {id: W1, path: [SH1, T1.primary], length: 20 m, wire: 2.5 mm²}
  - {id: W2, path: [T1.secondary, LD1], length: 10 m, wire: 2.5 mm²}
"""


def test_a_load_behind_a_transformer_takes_its_current_at_the_windings_voltage() -> None:
    """1200 W at 120 V: 10 A; the primary carries 1200 W at 230 V: 5.217 A."""
    found = studied(TRANSFORMER, "intl-boat")

    assert segment(found, "W2a").current_a == pytest.approx(10)
    assert segment(found, "W1a").current_a == pytest.approx(1200 / 230)
    assert found.nodes["LD1"].medium == "ac"
    assert found.nodes["LD1"].voltage_v == pytest.approx(120 - 10 * 20 * 0.00821 * 1.04, abs=0.6)


def test_what_is_lost_ahead_of_a_transformer_counts_at_the_load() -> None:
    found = studied(TRANSFORMER, "intl-boat")
    primary, secondary = (segment(found, id).drop_frac for id in ("W1a", "W2a"))

    assert primary is not None
    assert secondary is not None
    assert found.load_drops["LD1"].running_frac == pytest.approx(primary + secondary, rel=0.03)


def test_both_poles_of_an_isolated_system_are_hot() -> None:
    """NEC 240.15(A): a device in each ungrounded conductor. The fuse here is in the positive alone."""
    text = """
components:
  B1: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  F1: {kind: fuse, style: blade, rating: 15 A}
  LD1: {kind: dc-load, power: 60 W}
runs:
  - {id: W1, path: [B1+, F1, LD1+], lengths: [100 mm, 2 m], wire: 14 AWG, carries: positive}
  - {id: W2, path: [B1-, LD1-], length: 2 m, wire: 14 AWG, carries: negative}
"""
    grounded, isolated = studied(text, BOAT), studied(f"dc-grounding: isolated\n{text}", BOAT)

    assert sorted(grounded.exposures) == ["W1a+", "W1b+"]
    assert sorted(isolated.exposures) == ["W1a+", "W1b+", "W2a-"]
    cause = isolated.conductors["W2a-"].cause
    assert (cause is not None and cause.exception, isolated.exposures["W2a-"].a.flow_a) == ("", math.inf)


def test_a_load_on_blocks_wired_in_series_loses_by_both_its_wires() -> None:
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 12 V}
  B2: {kind: battery, voltage: 12 V}
  LD1: {kind: dc-load, current: 10 A}
runs:
  - {id: W1, path: [B1-, B2+], length: 0 m, wire: 4/0 AWG}
  - {id: W2, path: [B1+, LD1+], length: 3 m, wire: 10 AWG}
  - {id: W3, path: [B2-, LD1-], length: 3 m, wire: 10 AWG}
""",
        BOAT,
    )

    assert found.load_drops["LD1"].running_v == pytest.approx(10 * 6 * OHM_PER_M_10_AWG, abs=1e-3)
    assert found.load_drops["LD1"].nominal_v == 24
