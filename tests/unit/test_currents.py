"""Currents of odd systems, against numbers worked out by hand beside each test (Ohm's and Kirchhoff's laws)."""

from __future__ import annotations

import pytest
from reference.worked_examples import segment, studied

from rigline.kinds.sources import Battery
from rigline.study.currents import battery_resistance_ohm
from rigline.study.study import Study

BOAT = "us-boat"


def _case(found: Study, name: str) -> dict[str, float]:
    amps = next(case.amps for case in found.cases if case.name == name)
    return {id: round(value, 3) for id, value in amps.items() if abs(value) > 1e-6}


TWO_BANKS = """
components:
  B1: {kind: battery, voltage: 12 V}
  B2: {kind: battery, voltage: 12 V}
  F1: {kind: fuse, style: terminal}
  F2: {kind: fuse, style: terminal}
  %s
  LD1: {kind: dc-load, current: 50 A}
runs:
  - {id: W1, path: [B1, F1, %s], length: 1 m}
  - {id: W2, path: [B2, F2, %s], length: 1 m}
  - {id: W3, path: [%s, LD1], length: 1 m}
"""


def test_each_bank_on_a_selector_carries_the_whole_load_when_it_stands_alone() -> None:
    found = studied(TWO_BANKS % ("S1: {kind: selector}", "S1.1", "S1.2", "S1.common"), BOAT)

    assert _case(found, "all loads on the batteries")["W1a+"] == 25
    assert _case(found, "all loads on the batteries, S1 on 1")["W1a+"] == 50
    assert "W2a+" not in _case(found, "all loads on the batteries, S1 on 1")
    assert segment(found, "W2a").current_a == pytest.approx(50)
    assert found.sizes.ratings["F1"] == 50


def test_an_open_combiner_relay_leaves_the_load_on_its_own_bank() -> None:
    found = studied(TWO_BANKS % ("K1: {kind: relay}", "K1.a", "K1.b", "K1.a"), BOAT)

    assert _case(found, "all loads on the batteries, relays open") == {
        "W1a+": 50, "W1a-": -50, "W1b+": 50, "W1b-": -50, "W3a+": 50, "W3a-": -50
    }  # fmt: skip


def test_a_diode_isolator_lets_no_battery_feed_the_other_and_all_charge_go_to_one() -> None:
    found = studied(
        """
components:
  ALT: {kind: alternator, voltage: 12 V, output: 80 A}
  D1: {kind: diode-isolator}
  B1: {kind: battery, voltage: 12 V}
  B2: {kind: battery, voltage: 12 V}
  LD1: {kind: dc-load, current: 10 A}
runs:
  - {id: W0, path: [ALT, D1.in], length: 1 m}
  - {id: W1, path: [D1.a, B1], length: 1 m, return-to: ALT}
  - {id: W2, path: [D1.b, B2], length: 1 m, return-to: ALT}
  - {id: W3, path: [B1, LD1], length: 1 m}
""",
        BOAT,
    )

    assert _case(found, "all loads on the batteries") == {"W3a+": 10, "W3a-": -10}
    assert _case(found, "every charging source at its limit")["W1a+"] == 40
    assert _case(found, "every charging source at its limit, D1 on a")["W1a+"] == 80


def test_blocks_wired_in_series_one_by_one_share_one_current_and_two_strings_halve_it() -> None:
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 12 V, short-circuit: 1 kA}
  B2: {kind: battery, voltage: 12 V, short-circuit: 1 kA}
  B3: {kind: battery, voltage: 12 V, short-circuit: 1 kA}
  B4: {kind: battery, voltage: 12 V, short-circuit: 1 kA}
  BUS1: {kind: busbar}
  LD1: {kind: dc-load, power: 240 W}
runs:
  - {id: W1, path: [B1-, B2+], length: 0.3 m, wire: 4 AWG}
  - {id: W2, path: [B3-, B4+], length: 0.3 m, wire: 4 AWG}
  - {id: W3, path: [B1+, BUS1], length: 1 m, carries: positive, wire: 4 AWG}
  - {id: W4, path: [B2-, BUS1-], length: 1 m, carries: negative, wire: 4 AWG}
  - {id: W5, path: [B3+, BUS1], length: 1 m, carries: positive, wire: 4 AWG}
  - {id: W6, path: [B4-, BUS1-], length: 1 m, carries: negative, wire: 4 AWG}
  - {id: W7, path: [BUS1, LD1], length: 5 m, wire: 10 AWG}
""",
        BOAT,
    )

    # 240 W at 24 V are 10 A, 5 A from each string.
    assert [segment(found, f"W{n}a").current_a for n in (1, 2, 4, 6, 7)] == pytest.approx([5, 5, 5, 5, 10])
    # 10 A x 2 x 5 m x 10.75 / 10383 cmil / 0.3048 m = 0.3397 V, of 24 V.
    assert segment(found, "W7a").drop_v == pytest.approx(0.3397, abs=1e-4)
    assert segment(found, "W7a").drop_frac == pytest.approx(0.3397 / 24, abs=1e-5)
    # At end of discharge 240 W at 20.449 V are 11.7365 A. From the ends of the strings: W7, and half of the current on
    # a positive and a negative of 1 m, 41740 cmil: 0.34817 V at 10 A in all.
    assert found.nodes["LD1"].drop_frac == pytest.approx(0.34817 * 1.17365 / 24, abs=1e-5)


def test_a_ring_shares_its_current_by_resistance() -> None:
    """12 A over 3 m of one way and 3 m of the other: 6 A each; over 2 m and 4 m: 8 A and 4 A."""
    text = """
components:
  B1: {kind: battery, voltage: 12 V}
  J1: {kind: junction}
  J2: {kind: junction}
  J3: {kind: junction}
  LD1: {kind: dc-load, current: 12 A}
runs:
  - {id: W1, path: [B1, J1], length: 1 m, wire: 10 AWG}
  - {id: W2, path: [J1, J2], length: %s m, wire: 10 AWG}
  - {id: W3, path: [J2, J3], length: 1 m, wire: 10 AWG}
  - {id: W4, path: [J3, J1], length: %s m, wire: 10 AWG}
  - {id: W5, path: [J3, LD1], length: 0 m, wire: 10 AWG}
"""

    assert segment(studied(text % (2, 3), BOAT), "W4a").current_a == pytest.approx(6)
    assert segment(studied(text % (1, 4), BOAT), "W4a").current_a == pytest.approx(4)


def test_a_load_on_a_chassis_return_is_carried_by_its_wire_and_by_the_batterys_bond() -> None:
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 12 V}
  ZCH: {kind: chassis}
  LD1: {kind: dc-load, power: 60 W}
  LD2: {kind: dc-load, power: 36 W}
runs:
  - {id: W1, path: [B1, LD1], length: 1 m, carries: positive}
  - {id: W2, path: [LD1-, ZCH], length: 1 m}
  - {id: W3, path: [B1-, ZCH], length: 1 m}
  - {id: W4, path: [B1, LD2], length: 1 m, carries: positive}
""",
        "us-rv",
    )

    # LD2 names no return; its feed carries its current all the same.
    assert _case(found, "all loads on the batteries") == {"W1a+": 5, "W2a-": 5, "W3aPE": -5, "W4a+": 3}


def test_a_converter_takes_its_rated_output_at_its_lowest_input() -> None:
    """20 A at 12 V, 90 %, from 24 V at worst 21 V: 240 / 0.9 / 21 = 12.698 A; its 60 W load takes 5 A of the output."""
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 24 V}
  DC1: {kind: dc-converter, output: 20 A, output-voltage: 12 V, efficiency: 90 %}
  LD1: {kind: dc-load, power: 60 W}
  LD2: {kind: dc-load, power: 48 W}
runs:
  - {id: W1, path: [B1, DC1.in], length: 1 m, wire: 10 AWG}
  - {id: W2, path: [DC1.out, LD1], length: 1 m, wire: 10 AWG}
  - {id: W3, path: [B1, LD2], length: 1 m, wire: 10 AWG}
""",
        BOAT,
    )

    assert _case(found, "all loads on the batteries") == {
        "W1a+": 12.698, "W1a-": -12.698, "W2a+": 5, "W2a-": -5, "W3a+": 2, "W3a-": -2
    }  # fmt: skip
    # The 12 V side is counted from the converter: 5 A x 2 m of 10 AWG = 0.0340 V of 12 V.
    assert found.nodes["LD1"].drop_frac == pytest.approx(0.0340 / 12, abs=1e-4)


SPLIT = """
components:
  SH1: {kind: shore-inlet, voltage: 120/240 V, rating: 50 A%s}
  ACP1: {kind: ac-panel}
  LD1: {kind: ac-load, power: 4800 W, legs: both}
  LD2: {kind: ac-load, power: 1200 W, legs: L1}
  LD3: {kind: ac-load, power: 600 W, legs: L2}
runs:
  - {id: W1, path: [SH1, ACP1], length: 6 m, wire: 6 AWG}
  - {id: W2, path: [ACP1, LD1], length: 10 m, cores: [L1, L2, PE], wire: 10 AWG}
  - {id: W3, path: [ACP1, LD2], length: 10 m, cores: [L1, N, PE], wire: 12 AWG}
  - {id: W4, path: [ACP1, LD3], length: 10 m, cores: [L2, N, PE], wire: 12 AWG}
"""


def test_a_split_phase_neutral_carries_the_difference_of_the_legs() -> None:
    """4800 W at 240 V: 20 A; L1 has 10 A more, L2 5 A more; the neutral 5 A."""
    found = studied(SPLIT % "", "us-cabin")

    amps = _case(found, "SH1 with the only position")
    assert (amps["W1aL1"], amps["W1aL2"], amps["W1aN"]) == (30, -25, -5)
    # 20 A x 2 x 10 m x 12.9 / 10383 cmil / 0.3048 m = 1.6305 V of 240 V.
    assert segment(found, "W2a").drop_v == pytest.approx(1.6305, abs=1e-3)
    assert segment(found, "W2a").drop_frac == pytest.approx(1.6305 / 240, abs=1e-5)


def test_the_neutral_of_two_legs_in_phase_carries_their_sum() -> None:
    found = studied(SPLIT % ", in-phase: true", "us-cabin")

    amps = _case(found, "SH1 with the only position")
    assert (amps["W1aL1"], amps["W1aL2"], amps["W1aN"]) == (10, 5, -15)


def test_a_transformers_primary_carries_what_its_secondary_gives() -> None:
    found = studied(
        """
components:
  SH1: {kind: shore-inlet, voltage: 230 V, rating: 16 A}
  T1: {kind: transformer, type: isolation, power: 3600 W}
  LD1: {kind: ac-load, power: 2300 W}
runs:
  - {id: W1, path: [SH1, T1.primary], length: 3 m, wire: 2.5 mm²}
  - {id: W2, path: [T1.secondary, LD1], length: 3 m, wire: 2.5 mm²}
""",
        "intl-boat",
    )

    assert _case(found, "SH1 with the only position") == {"W1aL1": 10, "W1aN": -10, "W2aL1": 10, "W2aN": -10}


def test_an_inverter_charger_takes_load_and_charge_from_shore_and_feeds_the_load_alone_without() -> None:
    """50 A x 12 V / 0.85 / 120 V = 5.882 A of charging, and 600 W / 120 V = 5 A of load."""
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 12 V}
  SH1: {kind: shore-inlet, voltage: 120 V, rating: 30 A}
  INV1: {kind: inverter-charger, power: 1000 W, charge-current: 50 A}
  LD1: {kind: ac-load, power: 600 W}
runs:
  - {id: W1, path: [B1, INV1.dc], length: 1 m, wire: 1/0 AWG}
  - {id: W2, path: [SH1, INV1.ac-in], length: 1 m, wire: 10 AWG}
  - {id: W3, path: [INV1.ac-out, LD1], length: 1 m, wire: 12 AWG}
""",
        "us-rv",
    )

    assert _case(found, "SH1 with INV1 passing through")["W2aL1"] == 10.882
    assert _case(found, "INV1 with INV1 inverting") == {"W3aL1": 5, "W3aN": -5}
    assert _case(found, "every charging source at its limit") == {"W1a+": -50, "W1a-": 50}


def test_a_transfer_switch_feeds_the_panel_from_one_source_at_a_time() -> None:
    found = studied(
        """
components:
  SH1: {kind: shore-inlet, voltage: 120 V, rating: 30 A}
  GEN: {kind: generator, voltage: 120 V, power: 3000 W}
  TS1: {kind: transfer-switch}
  ACP1: {kind: ac-panel}
  SUB: {kind: ac-panel}
  LD1: {kind: ac-load, power: 1200 W}
runs:
  - {id: W1, path: [SH1, TS1.a], length: 1 m, wire: 10 AWG}
  - {id: W2, path: [GEN, TS1.b], length: 1 m, wire: 10 AWG}
  - {id: W3, path: [TS1.out, ACP1], length: 1 m, wire: 10 AWG}
  - {id: W4, path: [ACP1, SUB], length: 1 m, wire: 10 AWG}
  - {id: W5, path: [SUB, LD1], length: 1 m, wire: 12 AWG}
""",
        "us-rv",
    )

    hot = {case.name: {id for id, amps in case.amps.items() if abs(amps - 10) < 1e-6} for case in found.cases}
    assert hot["SH1 with TS1 on a"] == {"W1aL1", "W3aL1", "W4aL1", "W5aL1"}
    assert hot["GEN with TS1 on b"] == {"W2aL1", "W3aL1", "W4aL1", "W5aL1"}
    assert hot["SH1 with TS1 on b"] == set()


def test_two_controllers_on_one_array_share_it() -> None:
    """2 x 10 A x 1.25 = 25 A of sun, half to each; 20 A and 30 A of output go to the battery."""
    found = studied(
        """
components:
  PV1: {kind: pv-array, isc: 10 A, voc: 40 V, parallel: 2}
  J1: {kind: junction}
  SC1: {kind: charge-controller, output: 20 A}
  SC2: {kind: charge-controller, output: 30 A}
  BUS1: {kind: busbar}
  B1: {kind: battery, voltage: 12 V}
runs:
  - {id: W0, path: [PV1, J1], length: 1 m, wire: 8 AWG}
  - {id: W1, path: [J1, SC1.pv], length: 1 m, wire: 8 AWG}
  - {id: W2, path: [J1, SC2.pv], length: 1 m, wire: 8 AWG}
  - {id: W3, path: [SC1.battery, BUS1], length: 1 m, wire: 8 AWG}
  - {id: W4, path: [SC2.battery, BUS1], length: 1 m, wire: 8 AWG}
  - {id: W5, path: [B1, BUS1], length: 1 m, wire: 4 AWG}
""",
        BOAT,
    )

    amps = _case(found, "every charging source at its limit")
    assert [amps[f"W{n}a+"] for n in range(6)] == [25, 12.5, 12.5, 20, 30, -50]


def test_an_island_without_a_source_carries_nothing() -> None:
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 12 V}
  LD1: {kind: dc-load, current: 5 A}
  BUS2: {kind: busbar}
  LD2: {kind: dc-load, current: 7 A}
runs:
  - {id: W1, path: [B1, LD1], length: 1 m, wire: 10 AWG}
  - {id: W2, path: [BUS2, LD2], length: 1 m, wire: 10 AWG}
""",
        BOAT,
    )

    assert _case(found, "all loads on the batteries") == {"W1a+": 5, "W1a-": -5}
    assert sorted(found.nodes) == ["B1", "LD1"]


@pytest.mark.parametrize(("blocks", "ohm"), [("", 0.004), (", series: 2", 0.008), (", parallel: 2", 0.002)])
def test_blocks_in_series_add_their_resistance_and_strings_in_parallel_share_it(blocks: str, ohm: float) -> None:
    """12 V / 3 kA are 4 mΩ a block."""
    found = studied(
        f"""
components:
  B1: {{kind: battery, voltage: 12 V, short-circuit: 3 kA{blocks}}}
  LD1: {{kind: dc-load, current: 1 A}}
runs:
  - {{id: W1, path: [B1, LD1], length: 1 m}}
""",
        "us-boat",
    )
    battery = found.system.components["B1"]
    assert isinstance(battery, Battery)

    assert battery_resistance_ohm(battery) == pytest.approx(ohm)
