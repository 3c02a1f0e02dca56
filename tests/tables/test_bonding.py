"""Least sizes of grounding and bonding conductors, against the printed tables."""

import pytest

from rigline.standards.bonding import (
    SizeMinimum,
    dc_bond_minimum,
    egc_minimum,
    gec_minimum,
    inverter_case_minimum,
)
from rigline.standards.profiles import PROFILE_NAMES, profile
from rigline.standards.wire import parse_wire_size


def _size(found: SizeMinimum | None) -> str:
    assert found is not None
    return found.size.text


@pytest.mark.parametrize(
    ("device_a", "expected"),
    [(15, "14 AWG"), (20, "12 AWG"), (30, "10 AWG"), (60, "10 AWG"), (70, "8 AWG"), (250, "4 AWG"), (400, "3 AWG")],
)
def test_an_equipment_grounding_conductor_follows_the_device_ahead(device_a: float, expected: str) -> None:
    """NEC Table 250.122: between two rows the larger rating counts."""
    assert _size(egc_minimum(profile("us-cabin"), device_a, parse_wire_size("4/0 AWG"))) == expected


def test_an_equipment_grounding_conductor_need_not_exceed_the_circuit() -> None:
    """NEC 250.122(A)."""
    assert _size(egc_minimum(profile("us-cabin"), 60, parse_wire_size("14 AWG"))) == "14 AWG"


def test_a_60_a_circuit_grown_from_6_to_4_awg_grows_its_ground_from_10_to_8_awg() -> None:
    """NEC 250.122(B): 41740/26240 x 10380 = 16511 cmil against 16510 for 8 AWG, equal within 0.5 %."""
    found = egc_minimum(profile("us-cabin"), 60, parse_wire_size("4 AWG"), parse_wire_size("6 AWG"))
    assert _size(found) == "8 AWG"


def test_a_20_a_circuit_grown_from_12_to_8_awg_grows_its_ground_to_8_awg() -> None:
    """NEC 250.122(B)."""
    assert _size(egc_minimum(profile("us-cabin"), 20, parse_wire_size("8 AWG"), parse_wire_size("12 AWG"))) == "8 AWG"


def test_a_device_above_the_table_has_no_minimum() -> None:
    assert egc_minimum(profile("us-cabin"), 1600, parse_wire_size("500 kcmil")) is None


@pytest.mark.parametrize(
    ("line", "expected"),
    [("2.5 mm²", "2.5 mm²"), ("16 mm²", "16 mm²"), ("25 mm²", "16 mm²"), ("35 mm²", "16 mm²"), ("70 mm²", "35 mm²")],
)
def test_an_iec_protective_conductor_follows_the_line_conductor(line: str, expected: str) -> None:
    """BS 7671 Table 54.7, IEC 60364-5-54 Table 54.2."""
    assert _size(egc_minimum(profile("iec-cabin"), 32, parse_wire_size(line))) == expected


@pytest.mark.parametrize(
    ("line", "expected"),
    [("6 AWG", "8 AWG"), ("2 AWG", "8 AWG"), ("1/0 AWG", "6 AWG"), ("2/0 AWG", "4 AWG"), ("4/0 AWG", "2 AWG")],
)
def test_a_grounding_electrode_conductor_follows_the_largest_line(line: str, expected: str) -> None:
    """NEC Table 250.66."""
    assert _size(gec_minimum(profile("us-cabin"), parse_wire_size(line))) == expected


def test_parallel_sets_count_by_their_sum_and_a_rod_needs_no_more_than_6_awg() -> None:
    """NEC Table 250.66: two 250 kcmil count as 500 kcmil, so 1/0 AWG; 250.66(A) for the rod."""
    sum_of_two = parse_wire_size("500 kcmil")
    assert _size(gec_minimum(profile("us-cabin"), sum_of_two)) == "1/0 AWG"
    assert _size(gec_minimum(profile("us-cabin"), sum_of_two, rod_only=True)) == "6 AWG"


def test_an_iec_earthing_conductor_is_at_least_6_mm2() -> None:
    """IEC 60364-5-54 542.3.1, from memory."""
    assert _size(gec_minimum(profile("iec-cabin"), parse_wire_size("2.5 mm²"))) == "6 mm²"


@pytest.mark.parametrize(
    ("name", "positive", "expected"),
    [
        ("us-rv", "2/0 AWG", "2/0 AWG"),
        ("us-rv", "10 AWG", "8 AWG"),
        ("us-boat", "2/0 AWG", "1/0 AWG"),
        ("us-boat", "16 AWG", "16 AWG"),
        ("us-cabin", "4/0 AWG", "3/0 AWG"),
        ("us-cabin", "12 AWG", "8 AWG"),
        ("intl-boat", "70 mm²", "35 mm²"),
        ("intl-boat", "2.5 mm²", "4 mm²"),
    ],
)
def test_the_bond_of_the_dc_negative_follows_the_largest_positive(name: str, positive: str, expected: str) -> None:
    """NEC 552.10(C); ABYC E-9 (1990) 9.21.2.1, now E-11; NEC 250.166; IEC 60364-5-54, the last two from memory."""
    assert _size(dc_bond_minimum(profile(name), parse_wire_size(positive))) == expected


@pytest.mark.parametrize("name", PROFILE_NAMES)
def test_a_thicker_positive_never_needs_a_thinner_bond(name: str) -> None:
    bonds = [dc_bond_minimum(profile(name), parse_wire_size(each)) for each in ("14 AWG", "6 AWG", "2 AWG", "4/0 AWG")]
    areas = [bond.size.area_mm2 for bond in bonds if bond is not None]
    assert areas == sorted(areas) and len(areas) == 4


def test_the_case_of_an_inverter_is_bonded_for_the_device_of_its_battery_side() -> None:
    """ABYC A-31: one size below 4/0; NEC 551.20(C): at least 8 AWG; NEC Table 250.122: 3 AWG for 400 A."""
    positive = parse_wire_size("4/0 AWG")
    assert _size(inverter_case_minimum(profile("us-boat"), positive, 400)) == "3/0 AWG"
    assert _size(inverter_case_minimum(profile("us-rv"), positive, 20)) == "8 AWG"
    assert _size(inverter_case_minimum(profile("us-cabin"), positive, 400)) == "3 AWG"
