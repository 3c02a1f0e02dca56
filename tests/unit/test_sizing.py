"""What is chosen where the spec leaves it open, and what is said where nothing fits."""

from __future__ import annotations

import pytest
from reference.worked_examples import segment, studied

from rigline.study.study import Study

ONE = """
components:
  B1: {kind: battery, voltage: 12 V, chemistry: flooded, capacity: 100 Ah}
  F1: {kind: fuse, style: %s}
  LD1: {kind: %s}
runs:
  - {id: W1, path: [B1, F1, LD1], length: 1 m%s}
"""


def _collision(found: Study, subject: str) -> str:
    return next(choice.collision for choice in found.sizes.choices if choice.subject == subject)


def test_a_load_without_power_leaves_its_fuse_and_wire_unchosen() -> None:
    found = studied(ONE % ("blade", "dc-load", ""), "us-boat")

    assert found.sizes.ratings == {"F1": None}
    assert found.sizes.wires == {}
    assert _collision(found, "W1") == "the current of LD1 is not known"
    assert segment(found, "W1a").current_a is None


def test_no_blade_fuse_carries_300_a() -> None:
    found = studied(ONE % ("blade", "dc-load, current: 300 A, continuous: false", ""), "us-boat")

    assert _collision(found, "F1") == "300 A needed, but the largest is 40 A"


def test_no_bolt_down_fuse_is_small_enough_for_16_awg() -> None:
    """The strip starts at 30 A; a 16 AWG wire of 105 °C carries 25 A, which is itself a standard rating."""
    found = studied(ONE % ("bolt-down", "dc-load, current: 5 A", ", wire: 16 AWG"), "us-boat")

    assert _collision(found, "F1") == "16 AWG may have at most 25 A ahead, but the smallest is 30 A"


def test_a_billion_amperes_collide_with_the_largest_wire() -> None:
    found = studied(ONE % ("class-t", "dc-load, current: 1000000000 A", ""), "us-boat")

    assert found.sizes.wires["W1"].text == "4/0 AWG"
    assert _collision(found, "W1").startswith("even 4/0 AWG fails")


def test_a_starters_cable_carries_its_cranking_current() -> None:
    """33 CFR 183.425 Table 5, 105 °C: 1/0 AWG 285 A, 1 AWG 245 A; cranking counts as lasting (our choice)."""
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 12 V}
  M1: {kind: motor, cranking: true, current: 100 A, start: 250 A}
runs:
  - {id: W1, path: [B1, M1], length: 1 m}
""",
        "us-boat",
    )

    assert found.sizes.wires["W1"].text == "1/0 AWG"
    assert segment(found, "W1a").current_a == pytest.approx(0, abs=1e-9)


def test_a_negative_cable_and_a_jumper_are_as_thick_as_the_fuse_of_their_circuit_asks() -> None:
    """150 A through class T 200 A: 2 AWG (210 A) carries it, so every cable of the loop is at least that thick."""
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 12 V}
  B2: {kind: battery, voltage: 12 V}
  F1: {kind: fuse, style: class-t, rating: 200 A}
  BUS1: {kind: busbar}
  F2: {kind: fuse, style: class-t, rating: 175 A}
  LD1: {kind: dc-load, current: 150 A}
runs:
  - {id: W1, path: [B1-, B2+], length: 0.3 m}
  - {id: W2, path: [B1+, F1, BUS1], length: 0.5 m, carries: positive}
  - {id: W3, path: [B2-, BUS1-], length: 0.5 m, carries: negative}
  - {id: W4, path: [BUS1, F2, LD1], length: 1 m}
""",
        "us-boat",
    )

    # The main fuse is what a short across the bus passes. 4 AWG carries 160 A but may stand behind 175 A at most (the
    # NEC 240.6 step above 160 A), so 200 A asks for 2 AWG.
    assert {id: size.text for id, size in found.sizes.wires.items()} == {
        "W1": "2 AWG", "W2": "2 AWG", "W3": "2 AWG", "W4": "4 AWG"
    }  # fmt: skip


def test_breakers_of_an_iec_rule_set_have_iec_ratings() -> None:
    """14.5 A asks for 16 A of IEC 60898-1; NEC 240.6 would give 15 A."""
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 12 V}
  F1: {kind: breaker}
  LD1: {kind: dc-load, current: 14.5 A, continuous: false}
runs:
  - {id: W1, path: [B1, F1, LD1], length: 1 m}
""",
        "intl-boat",
    )

    assert found.sizes.ratings["F1"] == 16


def test_lasting_ac_loads_count_125_percent() -> None:
    found = studied(
        """
components:
  SH1: {kind: shore-inlet, voltage: 120 V, rating: 30 A}
  F1: {kind: breaker}
  LD1: {kind: ac-load, current: 16 A, continuous: true}
runs:
  - {id: W1, path: [SH1, F1, LD1], length: 1 m}
""",
        "us-cabin",
    )

    assert found.sizes.ratings["F1"] == 20


def test_a_charging_run_loses_at_most_2_percent() -> None:
    """30 A over 3 m at 12 V, 0.24 V: 10.75 x 30 x 6 / 0.3048 / 0.24 = 26452 cmil, so 4 AWG (41740); 6 AWG has 26240."""
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 12 V}
  SC1: {kind: charge-controller, output: 30 A}
runs:
  - {id: W1, path: [SC1.battery, B1], length: 3 m}
""",
        "us-boat",
    )

    assert found.sizes.wires["W1"].text == "4 AWG"


def test_a_wire_given_as_unknown_is_not_chosen() -> None:
    found = studied(ONE % ("blade", "dc-load, current: 5 A", ", wire: unknown"), "us-boat")

    assert found.sizes.wires == {}
    assert segment(found, "W1a").drop_v is None
    assert segment(found, "W1a").current_a == pytest.approx(5)


SUN = """
components:
  B1: {kind: battery, voltage: 12 V, chemistry: flooded, capacity: 100 Ah, short-circuit: 1 kA}
  F1: {kind: fuse, style: bolt-down, rating: 40 A}
  SC1: {kind: charge-controller, max-input: 100 V, output: 20 A}
  F2: {kind: fuse, style: gpv}
  PV1: {kind: pv-array, pmax: 200 W, vmp: 30 V, voc: 36 V%s}
runs:
  - {id: W1, path: [B1, F1, SC1.battery], length: 1 m, wire: 6 AWG}
  - {id: W2, path: [PV1, F2, SC1.pv], length: 6 m}
"""


@pytest.mark.parametrize("currents", ["", ", isc: unknown", ", imp: unknown, isc: unknown"])
def test_nothing_is_sized_from_an_array_whose_current_is_unknown(currents: str) -> None:
    """A wire can't be chosen by length and voltage alone: the current of the sun decides its ampacity."""
    found = studied(SUN % currents, "us-boat")

    assert "W2" not in found.sizes.wires
    assert found.sizes.ratings.get("F2") is None
    assert _collision(found, "W2") == "the current of PV1 is not known"


def test_the_same_array_has_a_wire_once_its_currents_are_stated() -> None:
    """NEC 690.8(A)(1), 690.9(B): 1.25 x 1.25 x 7 A = 10.9 A; the next gPV fuse of IEC 60269-6 (from memory) is 12 A."""
    found = studied(SUN % ", imp: 6.6 A, isc: 7 A", "us-boat")

    assert list(found.sizes.wires) == ["W2"]
    assert found.sizes.ratings["F2"] == 12.0


def test_a_given_wire_too_thin_for_its_load_collides_with_the_fuse() -> None:
    """33 CFR 183.425 Table 5, 105 °C: 14 AWG carries 35 A, so no device above 35 A, and 39 A are wanted."""
    found = studied(ONE % ("blade", "dc-load, current: 39 A, continuous: false", ", wire: 14 AWG"), "us-boat")

    assert found.sizes.ratings == {"F1": 35}
    assert _collision(found, "F1") == "39 A needed, but 14 AWG may have at most 35 A ahead"


def test_a_load_that_allows_10_a_collides_with_its_own_12_a() -> None:
    """NEC 110.3(B): the device that the maker's words allow is the most."""
    load = "dc-load, current: 12 A, continuous: false, max-protection: 10 A"
    found = studied(ONE % ("blade", load, ", wire: 10 AWG"), "us-boat")

    assert found.sizes.ratings == {"F1": 10}
    assert _collision(found, "F1") == "12 A needed, but LD1 allows at most 10 A"


def test_the_fuse_of_a_motor_passes_half_of_its_starting_current() -> None:
    """A slow fuse passes twice its rating for the second of a start; half of 200 A are 100 A (our choice)."""
    found = studied(ONE % ("anl", "motor, current: 20 A, start: 200 A, continuous: false", ""), "us-boat")

    assert found.sizes.ratings == {"F1": 100}
    assert [c.reason for c in found.sizes.choices if c.subject == "F1"] == ["half of the starting current"]


def test_a_start_of_30_a_asks_no_more_of_a_fuse_than_the_20_a_that_last() -> None:
    found = studied(ONE % ("blade", "motor, current: 20 A, start: 30 A, continuous: false", ""), "us-boat")

    assert found.sizes.ratings == {"F1": 20}
