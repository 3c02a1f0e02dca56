"""Prospective short-circuit currents of batteries, by published cell data and Ohm's law with printed resistances."""

import pytest
from reference.worked_examples import source, studied

SOURCE = source("fault_currents")


@pytest.mark.parametrize("name", SOURCE.examples)
def test_the_short_circuit_current_is_the_printed_one(name: str) -> None:
    example = SOURCE.examples[name]
    found = studied(
        f"""
components:
  B1: {{kind: battery, {example["battery"]}}}
  LD1: {{kind: dc-load, current: 1 A}}
runs:
  - {{id: W1, path: [B1, LD1], {example.get("run", "length: 1 m, wire: 6 mm²")}}}
""",
        example["profile"],
    )

    assert found.nodes[example["at"]].fault_current_a == pytest.approx(example["amps_a"], abs=example["half_a"])


def test_a_60_a_fuse_5_m_away_still_sees_five_times_its_rating() -> None:
    """SC08: 316 A are 5.3 times 60 A."""
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 12 V, internal-resistance: 5 mΩ}
  F1: {kind: fuse, style: blade, rating: 60 A}
  LD1: {kind: dc-load, current: 1 A}
runs:
  - {id: W1, path: [B1, F1, LD1], lengths: [5 m, 1 m], wire: 6 mm²}
""",
        "intl-boat",
    )
    amps = found.nodes["F1"].fault_current_a

    assert amps is not None
    assert amps / 60 == pytest.approx(5.3, abs=0.05)


def test_100_ah_of_lead_give_what_the_rule_of_thumb_allows() -> None:
    """SC09, stationary cells: k x C with k about 10 and always under 20; Rigline counts 12 A/Ah for flooded cells."""
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 12 V, chemistry: flooded, capacity: 100 Ah}
  LD1: {kind: dc-load, current: 1 A}
runs:
  - {id: W1, path: [B1, LD1], length: 1 m, wire: 6 mm²}
""",
        "us-boat",
    )
    amps = found.nodes["B1"].fault_current_a

    assert amps is not None
    assert 1000 <= amps < 2000
