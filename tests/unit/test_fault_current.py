"""Prospective short-circuit current in banks of several batteries: I = V / (sum of resistances)."""

from __future__ import annotations

import pytest
from reference.worked_examples import studied

SERIES = """
components:
  B1: {kind: battery, voltage: 12 V, internal-resistance: 5 mΩ}
  B2: {kind: battery, voltage: 12 V, internal-resistance: 5 mΩ}
  LD1: {kind: dc-load, power: 24 W}
runs:
  - {id: W1, path: [B1-, B2+], length: 0 m, wire: 4/0 AWG}
  - {id: W2, path: [B1+, LD1+], length: 10 m, wire: 6 mm²}
  - {id: W3, path: [B2-, LD1-], length: 10 m, wire: 6 mm²}
"""


def test_blocks_in_series_add_their_voltages_and_resistances() -> None:
    """24 V over 10 mΩ and a positive of 33 mΩ: 558 A; the negative, a run of its own, isn't counted: the safe side."""
    found = studied(SERIES, "intl-boat")

    assert found.nodes["B1"].fault_current_a == pytest.approx(2400, abs=0.5)
    assert found.nodes["LD1"].fault_current_a == pytest.approx(24 / 0.043, abs=0.5)


def test_strings_in_parallel_add_their_currents() -> None:
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 12 V, internal-resistance: 5 mΩ}
  B2: {kind: battery, voltage: 12 V, internal-resistance: 6 mΩ}
runs:
  - {id: W1, path: [B1, B2], length: 0 m, wire: 4/0 AWG}
""",
        "intl-boat",
    )

    # 2400 A and 2000 A, less 0.4 % for the millimetre that joins them.
    assert found.nodes["B1"].fault_current_a == pytest.approx(4400, rel=0.005)


@pytest.mark.parametrize(("chemistry", "amps"), [("lifepo4", 5000), ("agm", 2500), ("flooded", 1200)])
def test_a_battery_that_states_nothing_is_estimated_from_its_capacity(chemistry: str, amps: float) -> None:
    """50, 25 and 12 A for each ampere-hour: common practice, on the high side."""
    found = studied(
        f"""
components:
  B1: {{kind: battery, voltage: 12 V, chemistry: {chemistry}, capacity: 100 Ah}}
  LD1: {{kind: dc-load, power: 24 W}}
runs:
  - {{id: W1, path: [B1, LD1], length: 1 m, wire: 10 AWG}}
""",
        "us-boat",
    )

    assert found.nodes["B1"].fault_current_a == pytest.approx(amps)
    assert all(level.estimated for level in found.fault_levels.values())
