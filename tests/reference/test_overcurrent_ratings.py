"""Device ratings against ampacity, by published examples for boats (ABYC E-11) and buildings (NEC 240.4, 110.14)."""

import pytest
from reference.worked_examples import segment, source, studied

SOURCE = source("overcurrent_ratings")


@pytest.mark.parametrize("name", SOURCE.examples)
def test_the_ampacity_and_the_largest_device_are_the_printed_ones(name: str) -> None:
    example = SOURCE.examples[name]
    supply = (
        "B1: {kind: battery, voltage: 12 V}"
        if example["load"] == "dc-load"
        else "B1: {kind: shore-inlet, voltage: 120 V}"
    )
    found = studied(
        f"""
components:
  {supply}
  F1: {{kind: breaker, rating: 15 A}}
  LD1: {{kind: {example["load"]}, current: 1 A}}
runs:
  - {{id: W1, path: [B1, F1, LD1], length: 1 m, wire: {example["wire"]}, {example["run"]}}}
""",
        example["profile"],
    )
    one = segment(found, "W1b")

    assert one.ampacity_a == pytest.approx(example["ampacity_a"])
    assert one.allowed_a == pytest.approx(example["allowed_a"])


def test_a_feeder_of_2_0_on_a_boat_may_have_150_percent_of_330_a() -> None:
    """OC01: 495 A, and the next size down is used; every circuit behind the bus has a device of at most 330 A."""
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 12 V}
  F1: {kind: fuse, style: anl, rating: 400 A}
  BUS1: {kind: busbar}
  F2: {kind: breaker, rating: 300 A}
  LD1: {kind: dc-load, current: 200 A}
  F3: {kind: breaker, rating: 100 A}
  LD2: {kind: dc-load, current: 50 A}
runs:
  - {id: W1, path: [B1, F1, BUS1], length: 1 m, wire: 2/0 AWG, insulation: 105 °C}
  - {id: W2, path: [BUS1, F2, LD1], length: 1 m, wire: 2/0 AWG}
  - {id: W3, path: [BUS1, F3, LD2], length: 1 m, wire: 4 AWG}
""",
        "us-boat",
    )
    feeder = segment(found, "W1b")

    assert feeder.ampacity_a == 330
    assert feeder.allowed_a == 495


def test_a_lasting_80_a_load_on_4_awg_gets_a_device_between_100_a_and_150_a() -> None:
    """OC03, with 160 A ampacity; the brief takes 125 A of that range, Rigline the smallest that will do, 100 A."""
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 12 V}
  F1: {kind: fuse, style: terminal}
  LD1: {kind: dc-load, current: 80 A, continuous: true}
runs:
  - {id: W1, path: [B1, F1, LD1], length: 1 m, wire: 4 AWG, insulation: 105 °C}
""",
        "us-boat",
    )

    assert segment(found, "W1b").ampacity_a == 160
    assert found.sizes.ratings["F1"] == 100


def test_a_circuit_of_several_receptacles_gets_no_device_above_its_ampacity() -> None:
    """OC02, second half: 2 AWG at 75 °C is 115 A, so 110 A is the largest standard device for several outlets."""
    found = studied(
        """
components:
  SH1: {kind: shore-inlet, voltage: 120 V}
  F1: {kind: breaker, rating: 110 A}
  RC1: {kind: receptacle, rating: 20 A, count: 4}
runs:
  - {id: W1, path: [SH1, F1, RC1], length: 1 m, wire: 2 AWG, insulation: 75 °C}
""",
        "us-cabin",
    )

    assert segment(found, "W1b").allowed_a == 115
