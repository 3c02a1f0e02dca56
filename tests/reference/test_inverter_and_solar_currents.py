"""Input currents of inverters and NEC 690.8 for solar circuits, by installers' worked examples and an open course text.

Each example is a spec with an open breaker, whose rating is chosen from NEC 240.6(A).
"""

from typing import Any

import pytest
from reference.worked_examples import segment, source, studied

from rigline.study.study import Study

SOURCE = source("inverter_and_solar_currents")


def _inverter(example: dict[str, Any]) -> str:
    return f"""
components:
  B1: {{kind: battery, voltage: {example["bank_v"]} V}}
  F1: {{kind: breaker}}
  INV1: {{kind: inverter, power: {example["power_w"]} W, efficiency: {example["efficiency_percent"]} %,
          low-cutoff: {example["lowest_v"]} V}}
runs:
  - {{id: W1, path: [B1, F1, INV1.dc], length: 1 m}}
"""


def _array(example: dict[str, Any]) -> str:
    return f"""
components:
  B1: {{kind: battery, voltage: 24 V}}
  PV1: {{kind: pv-array, voc: 49.5 V, vmp: 41 V, isc: {example["isc_a"]} A}}
  F1: {{kind: breaker}}
  SC1: {{kind: charge-controller, output: 20 A}}
runs:
  - {{id: W1, path: [PV1, F1, SC1.pv], length: 1 m}}
  - {{id: W2, path: [SC1.battery, B1], length: 1 m}}
"""


def _controller(example: dict[str, Any]) -> str:
    return f"""
components:
  B1: {{kind: battery, voltage: 24 V}}
  F1: {{kind: breaker}}
  SC1: {{kind: charge-controller, output: {example["output_a"]} A}}
runs:
  - {{id: W1, path: [SC1.battery, F1, B1], length: 1 m}}
"""


def _studied(example: dict[str, Any]) -> Study:
    text = {"inverter": _inverter, "array": _array, "controller": _controller}[example["kind"]](example)
    return studied(text, "us-cabin")


@pytest.mark.parametrize("name", SOURCE.examples)
def test_the_current_and_its_125_percent_are_the_printed_ones(name: str) -> None:
    example = SOURCE.examples[name]
    found = _studied(example)
    one = segment(found, "W1a")
    hot = next(conductor for conductor in one.segment.conductors if conductor.pole == "+")

    assert max(one.current_a or 0, one.charge_current_a or 0) == pytest.approx(
        example["current_a"], abs=example["half_a"]
    )
    assert found.conductors[hot.id].needed_a == pytest.approx(example["needed_a"], abs=example["half_a"])


@pytest.mark.parametrize("name", SOURCE.examples)
def test_the_chosen_device_is_the_next_standard_rating(name: str) -> None:
    assert _studied(SOURCE.examples[name]).sizes.ratings["F1"] == SOURCE.examples[name]["rating_a"]


def test_32_a_of_lasting_inverter_output_get_a_40_a_device_and_8_awg_copper() -> None:
    """PV13 of the course text: 8 AWG carries 50 A in the 75 °C column, 10 AWG 35 A."""
    found = studied(
        """
components:
  INV1: {kind: inverter, power: 7680 W, output: 240 V}
  QA: {kind: breaker}
  LD1: {kind: ac-load, current: 32 A, continuous: true}
runs:
  - {id: W1, path: [INV1.ac-out, QA, LD1], length: 1 m}
""",
        "us-cabin",
    )

    assert found.sizes.ratings["QA"] == 40
    assert found.sizes.wires["W1"].text == "8 AWG"
    assert segment(found, "W1a").ampacity_a == 50


def test_a_hot_inverter_cable_is_derated_for_its_current_and_not_for_its_125_percent() -> None:
    """IN01, second half: the source derates 167 A, the current with its 125 %, for 45 °C and comes to 300 kcmil.

    NEC 215.2(A)(1) applies the two one at a time: 167 A against the column as printed, 134 A against it derated. At
    60 °C both ask for 4/0 AWG (195 A; 195 x 0.71 = 138 A), the right answer and the one tested.
    """
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 24 V}
  F1: {kind: breaker}
  INV1: {kind: inverter, power: 2500 W, efficiency: 85 %, low-cutoff: 22 V}
runs:
  - {id: W1, path: [B1, F1, INV1.dc], length: 1 m, insulation: 60 °C, ambient: 45 °C}
""",
        "us-cabin",
    )

    assert found.sizes.wires["W1"].text == "4/0 AWG"
