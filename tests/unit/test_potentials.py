"""Nominal potentials of odd systems: what voltage stands where, and where the wiring contradicts itself."""

from __future__ import annotations

from reference.worked_examples import studied

from rigline.model.system import Node

SERIES = """
components:
  B1: {kind: battery, voltage: 12 V}
  B2: {kind: battery, voltage: 12 V}
  LD1: {kind: dc-load, power: 24 W}
runs:
  - {id: W1, path: [B1-, B2+], length: 0.3 m}
  - {id: W2, path: [B1+, LD1+], length: 1 m}
  - {id: W3, path: [B2-, LD1-], length: 1 m}
"""


def test_two_blocks_in_series_hold_24_v_across_the_load() -> None:
    found = studied(SERIES, "us-boat")

    assert found.potentials.between(Node("LD1", "", "+"), Node("LD1", "", "-")) == 24
    assert found.potentials.between(Node("B1", "", "+"), Node("B1", "", "-")) == 12
    assert found.potentials.contradictions == ()


def test_the_level_of_a_node_counts_from_the_far_end_of_its_string() -> None:
    found = studied(SERIES, "us-boat").potentials

    assert (found.level(Node("B1", "", "+")), found.level(Node("B2", "", "+"))) == (24, 12)
    assert found.level(Node("B2", "", "-")) == 24


def test_a_link_that_shorts_a_bank_is_a_contradiction() -> None:
    found = studied(SERIES + "  - {id: W4, path: [B1+, B2-], length: 0.3 m}\n", "us-boat")

    assert len(found.potentials.contradictions) >= 1


def test_a_12_v_block_beside_a_24_v_bank_is_a_contradiction() -> None:
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 24 V}
  B2: {kind: battery, voltage: 12 V}
runs:
  - {id: W1, path: [B1, B2], length: 0.3 m}
""",
        "us-boat",
    )

    assert {(round(c.first_v), round(c.second_v)) for c in found.potentials.contradictions} <= {
        (24, 12),
        (12, 24),
        (0, 12),
    }
    assert len(found.potentials.contradictions) == 1


def test_12_v_and_12_8_v_batteries_are_one_system() -> None:
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 12.8 V}
  B2: {kind: battery, voltage: 12 V}
runs:
  - {id: W1, path: [B1, B2], length: 0.3 m}
""",
        "us-boat",
    )

    assert found.potentials.contradictions == ()


def test_a_converters_output_has_its_own_voltage_on_the_common_negative() -> None:
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 24 V}
  DC1: {kind: dc-converter, output: 20 A, output-voltage: 12 V}
  LD1: {kind: dc-load, power: 60 W}
runs:
  - {id: W1, path: [B1, DC1.in], length: 1 m}
  - {id: W2, path: [DC1.out, LD1], length: 1 m}
""",
        "us-boat",
    ).potentials

    assert found.between(Node("LD1", "", "+"), Node("B1", "", "-")) == 12
    assert found.between(Node("B1", "", "+"), Node("LD1", "", "+")) == 12


def test_nothing_fixes_the_potential_between_two_isolated_systems() -> None:
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 24 V}
  DC1: {kind: dc-converter, output: 20 A, output-voltage: 12 V, isolated: true}
  LD1: {kind: dc-load, power: 60 W}
runs:
  - {id: W1, path: [B1, DC1.in], length: 1 m}
  - {id: W2, path: [DC1.out, LD1], length: 1 m}
""",
        "us-boat",
    ).potentials

    assert found.between(Node("LD1", "", "+"), Node("B1", "", "-")) is None
    assert found.between(Node("LD1", "", "+"), Node("LD1", "", "-")) == 12
