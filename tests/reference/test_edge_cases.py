"""Cases on the edge of a limit, and facts that are easily taken for one another, each with its clause."""

from __future__ import annotations

import pytest
from helpers import report
from reference.worked_examples import circuit, segment, studied

from rigline.outputs.schedules import schedule_text
from rigline.standards.ampacity import Ampacity
from rigline.standards.wire import CMIL_COMPARISON_FRAC
from rigline.study.causes import exceeds
from rigline.study.study import SegmentStudy

AC = """
components:
  SH1: {{kind: shore-inlet, voltage: 240 V, short-circuit: 2 kA}}
  F1: {{kind: breaker{rating}}}
  LD1: {{kind: ac-load, current: {amps} A, continuous: {lasting}}}
runs:
  - {{id: W1, path: [SH1, F1, LD1], lengths: [0.1 m, 1 m], {run}}}
"""


def _ac(amps: float, run: str, *, rating: float | None = None, lasting: bool = False, profile: str = "us-cabin") -> str:
    given = "" if rating is None else f", rating: {rating} A"
    body = AC.format(amps=amps, run=run, rating=given, lasting=str(lasting).lower())
    return f"rigline: 1\nprofile: {profile}\n{body}"


def _segment(text: str, profile: str = "us-cabin") -> SegmentStudy:
    return segment(studied(text.split("\n", 2)[2], profile), "W1b")


def _rules(text: str, prefix: str) -> list[str]:
    return [f.rule for f in report(text).findings if f.rule.startswith(prefix)]


def test_a_load_and_a_device_exactly_at_the_ampacity_pass() -> None:
    """EC01 and EC09: NEC 210.19 and 240.4, "not less than"; 50 A on 8 AWG at 75 °C."""
    text = _ac(50, "wire: 8 AWG, insulation: 75 °C", rating=50)

    assert _segment(text).ampacity_a == 50
    assert _rules(text, "cd-undersized") == []
    assert _rules(text, "rt-ocpd-over") == []
    assert _rules(_ac(50, "wire: 8 AWG, insulation: 75 °C", rating=60), "rt-ocpd-over") == ["rt-ocpd-over-conductor"]


def test_limits_are_compared_within_the_rounding_of_arithmetic_and_areas_within_that_of_tables() -> None:
    """EC02."""
    assert not exceeds(1 + 1e-10, 1)
    assert exceeds(1 + 1e-6, 1)
    assert CMIL_COMPARISON_FRAC == 0.005


def test_a_hotter_insulation_is_derated_from_its_column_and_capped_by_the_terminals() -> None:
    """EC03: NEC 110.14(C); 90 °C wire at 40 °C on 75 °C terminals: min(55 x 0.91, 50) = 50 A."""
    one = _segment(_ac(1, "wire: 8 AWG, insulation: 90 °C, ambient: 40 °C"))

    assert one.ampacity_a == pytest.approx(50)


def test_wire_of_105_degrees_is_read_in_the_column_of_90_in_buildings_and_in_its_own_on_boats() -> None:
    """EC04 and EC05: NEC Table 310.16 has no 105 °C column; 33 CFR 183.425 Table 5 has."""
    building = circuit(120, 1, 1, "10 AWG, insulation: 105 °C", "us-cabin", medium="ac").conductors["W1aL1"].ampacity

    assert isinstance(building, Ampacity)
    assert building.base_a == 40
    assert segment(circuit(12, 1, 1, "10 AWG, insulation: 105 °C", "us-boat"), "W1a").ampacity_a == 60


def test_factors_for_heat_and_bundling_multiply() -> None:
    """EC06: 10 AWG at 90 °C, 40 °C ambient, five together: 40 x 0.91 x 0.80 = 29.1 A."""
    one = _segment(_ac(1, "wire: 10 AWG, insulation: 90 °C, ambient: 40 °C, bundle: 5"))

    assert one.ampacity_a == pytest.approx(40 * 0.91 * 0.80)


def test_between_two_rows_the_warmer_counts_and_four_conductors_are_four() -> None:
    """EC07: 40.5 °C reads in the bin of 41 to 45 °C (0.87); 4 to 6 conductors are 80 %."""
    one = _segment(_ac(1, "wire: 10 AWG, insulation: 90 °C, ambient: 40.5 °C, bundle: 4"))

    assert one.ampacity_a == pytest.approx(40 * 0.87 * 0.80)


def test_where_a_wire_grows_thinner_the_thinner_part_governs() -> None:
    """EC08: NEC 310.14(A)(2); 40 A ahead of 8 AWG and then 14 AWG."""
    findings = report(
        """\
rigline: 1
profile: us-cabin
components:
  SH1: {kind: shore-inlet, voltage: 120 V, short-circuit: 2 kA}
  F1: {kind: breaker, rating: 40 A}
  J1: {kind: junction}
  LD1: {kind: ac-load, current: 10 A}
runs:
  - {id: W1, path: [SH1, F1, J1], lengths: [0.1 m, 5 m], wire: 8 AWG}
  - {id: W2, path: [J1, LD1], length: 5 m, wire: 14 AWG}
"""
    ).findings

    assert [(f.runs, f.found, f.limit) for f in findings if f.rule == "oc-gauge-step"] == [(("W2",), 40, 15)]


@pytest.mark.parametrize(("wire", "cap"), [("14 AWG", 15), ("12 AWG", 20), ("10 AWG", 30)])
def test_small_conductors_are_capped_after_all_rounding(wire: str, cap: float) -> None:
    """EC10: NEC 240.4(D)."""
    assert _segment(_ac(1, f"wire: {wire}, insulation: 90 °C")).allowed_a == cap


def test_where_no_standard_size_fits_between_load_and_ampacity_the_next_above_is_taken() -> None:
    """EC11: NEC 240.4(B); 51 A on 6 AWG, 65 x 0.80 = 52 A: 60 A is chosen and allowed."""
    text = _ac(51, "wire: 6 AWG, insulation: 75 °C, bundle: 4")
    found = studied(text.split("\n", 2)[2], "us-cabin")

    assert segment(found, "W1b").ampacity_a == pytest.approx(52)
    assert found.sizes.ratings["F1"] == 60
    assert _rules(text, "rt-ocpd-over") == []


def test_lengths_are_one_way_and_every_table_says_so() -> None:
    """EC12."""
    found = circuit(12, 10, 5, "10 AWG", "us-boat")

    assert "Lengths are one way." in schedule_text(found)
    assert segment(found, "W1a").drop_v == pytest.approx(10.75 * 10 * (2 * 5 / 0.3048) / 10383, rel=1e-3)


def test_a_share_of_the_voltage_is_of_the_nominal_one() -> None:
    """EC13: volts are told too."""
    one = segment(circuit(12.8, 10, 5, "10 AWG", "us-rv"), "W1a")

    assert one.drop_v is not None
    assert one.drop_frac == pytest.approx(one.drop_v / 12.8)


@pytest.mark.parametrize(("wire", "rules"), [("1/0 AWG", []), ("2 AWG", ["oc-parallel-conductors"])])
def test_conductors_in_parallel_are_at_least_1_0(wire: str, rules: list[str]) -> None:
    """EC14: NEC 310.10(G)."""
    text = _ac(100, f"wire: {wire}, insulation: 75 °C, conductors: 2", rating=150)

    assert _rules(text, "oc-parallel-conductors") == rules


@pytest.mark.parametrize(
    ("bank", "rated", "fails"),
    [
        ("chemistry: lifepo4, voltage: 12.8 V", 32, False),
        ("chemistry: lifepo4, voltage: 51.2 V", 32, True),
        ("chemistry: lifepo4, voltage: 51.2 V", 58, True),
        ("chemistry: lifepo4, voltage: 51.2 V", 70, False),
        ("chemistry: agm, voltage: 48 V", 58, True),
    ],
)
def test_a_device_must_stand_the_charging_voltage(bank: str, rated: float, fails: bool) -> None:
    """EC15: 14.6, 58.4 V for lithium iron phosphate, 60 V for lead; common practice."""
    text = f"""\
rigline: 1
profile: us-cabin
components:
  B1: {{kind: battery, {bank}, capacity: 100 Ah}}
  F1: {{kind: fuse, style: class-t, rating: 40 A, voltage: {rated} V}}
  LD1: {{kind: dc-load, current: 10 A}}
runs:
  - {{id: W1, path: [B1, F1, LD1], lengths: [0.1 m, 1 m], wire: 8 AWG}}
"""
    assert bool(_rules(text, "oc-voltage-rating")) == fails


def test_an_interrupting_rating_that_is_not_stated_is_told_as_assumed() -> None:
    """EC16: a blade fuse opens 1000 A by ISO 8820-3."""
    findings = report(
        """\
rigline: 1
profile: us-cabin
components:
  B1: {kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 100 Ah, short-circuit: 5 kA}
  F1: {kind: fuse, style: blade, rating: 30 A}
  LD1: {kind: dc-load, current: 10 A}
runs:
  - {id: W1, path: [B1, F1, LD1], lengths: [0.1 m, 1 m], wire: 8 AWG}
"""
    ).findings
    (one,) = [f for f in findings if f.rule == "oc-interrupting-rating"]

    assert one.found == 1000
    assert "assumed" in one.message


def test_an_ampacity_carries_its_steps() -> None:
    """EC06: each factor can be followed."""
    found = studied(_ac(1, "wire: 10 AWG, insulation: 90 °C, ambient: 40 °C, bundle: 5").split("\n", 2)[2], "us-cabin")
    ampacity = found.conductors["W1bL1"].ampacity

    assert isinstance(ampacity, Ampacity)
    assert {step.factor for step in ampacity.steps} >= {0.91, 0.8}
