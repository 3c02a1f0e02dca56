"""Device ratings against ampacity, by published examples for boats (ABYC E-11) and buildings (NEC 240.4, 110.14)."""

import pytest
from helpers import report
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


def test_a_blade_fuse_is_no_branch_device_of_a_800_cca_battery_on_a_boat() -> None:
    """OC11, ABYC E-11: 651 to 1100 A of cranking current ask for 1500 A of a branch device; blades open 1000 A."""
    findings = report(
        """\
rigline: 1
profile: us-boat
components:
  B1: {kind: battery, chemistry: flooded, voltage: 12 V, capacity: 90 Ah, cca: 800 A}
  F1: {kind: fuse, style: terminal, rating: 100 A}
  BUS1: {kind: busbar}
  F2: {kind: fuse, style: blade, rating: 15 A, interrupting: 1 kA}
  LD1: {kind: dc-load, current: 5 A}
runs:
  - {id: W1, path: [B1, F1, BUS1], lengths: [0.1 m, 1 m], wire: 4 AWG}
  - {id: W2, path: [BUS1, F2, LD1], lengths: [0.1 m, 3 m], wire: 14 AWG}
"""
    ).findings
    hits = [(f.at[0], f.found, f.limit) for f in findings if f.rule == "oc-interrupting-rating"]

    assert hits == [("F2", 1000, 1500)]


def test_a_3000_w_inverter_on_12_v_may_have_400_a_on_4_0_and_250_a_on_2_0() -> None:
    """IN04, a maker's installation guide (2008): 75 °C cable, 4/0 with 400 A at most, never below 2/0 with 250 A.

    Single cable in free air at 75 °C carries 360 A and 265 A (33 CFR 183.425 Table 5, as NEC Table 310.17).
    """
    for wire, ampacity, device in (("4/0 AWG", 360, 400), ("2/0 AWG", 265, 250)):
        found = studied(
            f"""
components:
  B1: {{kind: battery, voltage: 12 V}}
  F1: {{kind: fuse, style: class-t, rating: {device} A}}
  INV1: {{kind: inverter, power: 3000 W}}
runs:
  - {{id: W1, path: [B1, F1, INV1.dc], lengths: [0.1 m, 2.9 m], wire: {wire}, insulation: 75 °C}}
""",
            "us-boat",
        )
        one = segment(found, "W1b")

        assert one.ampacity_a == ampacity
        assert one.allowed_a is not None
        assert one.allowed_a >= device
