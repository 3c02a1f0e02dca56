"""Grounding and bonding conductors by printed examples: NEC 250.122, 551, 552; ABYC E-9; BS 7671 Table 54.7."""

from __future__ import annotations

import pytest

from rigline.standards.bonding import SizeMinimum, dc_bond_minimum, egc_minimum, inverter_case_minimum
from rigline.standards.profiles import profile
from rigline.standards.wire import parse_wire_size


def _text(found: SizeMinimum | None) -> str:
    assert found is not None
    return found.size.text


def test_a_60_a_circuit_of_6_awg_grown_to_4_awg_has_a_ground_of_8_awg() -> None:
    """GR01: the printed 16511 cmil exceed 8 AWG by the tables' rounding only."""
    found = egc_minimum(profile("us-cabin"), 60, parse_wire_size("4 AWG"), parse_wire_size("6 AWG"))

    assert _text(found) == "8 AWG"


@pytest.mark.parametrize(("positive", "least"), [("2/0 AWG", "1/0 AWG"), ("6 AWG", "8 AWG"), ("14 AWG", "16 AWG")])
def test_a_boats_dc_grounding_conductor_is_one_size_under_its_supply(positive: str, least: str) -> None:
    """GR10: ABYC E-9 (1990) 9.21.2.1, and at least 16 AWG."""
    assert _text(dc_bond_minimum(profile("us-boat"), parse_wire_size(positive))) == least


def test_the_case_of_an_inverter_on_2_0_may_have_1_0() -> None:
    """GR12: the same rule for the case of an inverter or charger."""
    assert _text(inverter_case_minimum(profile("us-boat"), parse_wire_size("2/0 AWG"), 300)) == "1/0 AWG"


def test_a_small_converter_case_in_an_rv_has_8_awg() -> None:
    """GR13 and GR14: NEC 551.20(C) and 551.56(C), 8 AWG copper at least."""
    assert _text(inverter_case_minimum(profile("us-rv"), parse_wire_size("10 AWG"), 30)) == "8 AWG"


@pytest.mark.parametrize(("positive", "least"), [("10 AWG", "8 AWG"), ("2 AWG", "2 AWG")])
def test_an_rvs_battery_is_bonded_with_8_awg_and_no_less_than_its_positive(positive: str, least: str) -> None:
    """GR15: NEC 552.10(C)."""
    assert _text(dc_bond_minimum(profile("us-rv"), parse_wire_size(positive))) == least


@pytest.mark.parametrize(("line", "least"), [("10 mm²", "10 mm²"), ("25 mm²", "16 mm²"), ("70 mm²", "35 mm²")])
def test_a_protective_conductor_follows_the_line_conductor(line: str, least: str) -> None:
    """GR16: S up to 16 mm², 16 mm² up to 35 mm², then half."""
    assert _text(egc_minimum(profile("iec-cabin"), 63, parse_wire_size(line))) == least
