"""ABYC E-11: CM = K x I x L / E with K = 10.75 and L out and back, a retailer's worked example and ten of ours.

The us-boat rule set computes with this K. Tolerance 0.1 %: the examples use printed circular mils (4110 for 14 AWG),
which are rounded from the diameter law (4107).
"""

import pytest
from reference.worked_examples import circuit, segment, source, studied

SOURCE = source("boat_voltage_drop")
VECTORS = [name for name, example in SOURCE.examples.items() if "drop_v" in example]


@pytest.mark.parametrize("name", VECTORS)
def test_a_drop_by_the_constant_10_75_is_the_computed_one(name: str) -> None:
    example = SOURCE.examples[name]
    found = circuit(example["volts_v"], example["amps_a"], example["length_ft"] * 0.3048, example["least"], "us-boat")
    one = segment(found, "W1a")

    assert one.drop_v == pytest.approx(example["drop_v"], rel=1e-3)
    assert one.drop_frac is not None
    assert 100 * one.drop_frac == pytest.approx(example["drop_percent"], rel=1e-3)


@pytest.mark.parametrize("name", SOURCE.examples)
def test_the_smallest_gauge_that_keeps_the_drop_and_carries_the_current_is_chosen(name: str) -> None:
    example = SOURCE.examples[name]
    found = studied(
        f"""
components:
  B1: {{kind: battery, voltage: {example["volts_v"]} V}}
  LD1: {{kind: dc-load, current: {example["amps_a"]} A}}
runs:
  - {{id: W1, path: [B1, LD1], length: {example["length_ft"]} ft, drop-limit: {example["limit_percent"]} %}}
""",
        "us-boat",
    )

    assert found.sizes.wires["W1"].text == example.get("chosen", example["least"])


@pytest.mark.parametrize("name", ["VD01", "VD02"])
def test_the_bilge_pump_loses_more_than_its_class_on_the_next_thinner_gauge(name: str) -> None:
    example = SOURCE.examples[name]
    drops = {
        wire: segment(circuit(12, 10, 10.5 * 0.3048, wire, "us-boat"), "W1a").drop_frac
        for wire in (example["least"], example["too_thin"])
    }

    assert [100 * (drop or 0) <= example["limit_percent"] for drop in drops.values()] == [True, False]


@pytest.mark.parametrize(("name", "allowed_v"), [("VD01", 0.36), ("VD02", 1.2)])
def test_the_area_that_the_formula_asks_for_loses_the_allowed_volts(name: str, allowed_v: float) -> None:
    example = SOURCE.examples[name]
    found = circuit(12, 10, 10.5 * 0.3048, f"{example['needed_cmil'] / 1000} kcmil", "us-boat")

    assert segment(found, "W1a").drop_v == pytest.approx(allowed_v, rel=2e-4)
