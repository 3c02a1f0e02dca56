"""What a conductor may carry under each rule set, against the printed pages and their worked examples."""

import math

import pytest

from rigline.standards.ampacity import Ampacity, NoAmpacity, Step, ambient_factor, ampacity
from rigline.standards.profiles import PROFILE_NAMES, Medium, profile
from rigline.standards.wire import Material, WireSize, parse_wire_size, standard_sizes


def _ampacity(
    profile_name: str,
    size: str,
    *,
    volts_v: float = 12,
    medium: Medium = "dc",
    insulation_c: float | None = None,
    ambient_c: float | None = None,
    bundle: int = 1,
    engine_space: bool = False,
    material: Material = "copper",
    terminals_c: float | None = None,
    parallel: int = 1,
) -> Ampacity:
    found = ampacity(
        profile(profile_name),
        parse_wire_size(size),
        volts_v=volts_v,
        medium=medium,
        insulation_c=insulation_c,
        ambient_c=ambient_c,
        bundle=bundle,
        engine_space=engine_space,
        material=material,
        terminals_c=terminals_c,
        parallel=parallel,
    )
    assert isinstance(found, Ampacity), found
    return found


def _labels(found: Ampacity) -> list[str]:
    return [step.label for step in found.steps]


# Figures for 105 °C boat cable outside and inside an engine space, by 1-2, 3, 4-6 and 7-24 conductors together, as a
# maker of UL 1426 cable prints them.
BOAT_105_C = """
18   20 17.0    14.0 11.9   12.0 10.2   10.0 8.5
16   25 21.3    17.5 14.9   15.0 12.8   12.5 10.6
14   35 29.8    24.5 20.8   21.0 17.9   17.5 14.9
12   45 38.3    31.5 26.8   27.0 22.9   22.5 19.1
10   60 51.0    42.0 35.7   36.0 30.6   30.0 25.5
8    80 68.0    56.0 47.6   48.0 40.8   40.0 34.0
6    120 102.0  84.0 71.4   72.0 61.2   60.0 51.0
4    160 136.0  112.0 95.2  96.0 81.6   80.0 68.0
2    210 178.5  147.0 124.9 126.0 107.1 105.0 89.2
1    245 208.3  171.5 145.8 147.0 125.0 122.5 104.1
1/0  285 242.3  199.5 169.6 171.0 145.3 142.5 121.1
2/0  330 280.5  231.0 196.3 198.0 168.3 165.0 140.2
3/0  385 327.3  269.5 229.1 231.0 196.3 192.5 163.6
4/0  445 378.3  311.5 264.8 267.0 227.0 222.5 189.1
"""


@pytest.mark.parametrize("line", BOAT_105_C.strip().splitlines())
def test_boat_cable_of_105_c_outside_and_inside_engine_spaces(line: str) -> None:
    """33 CFR 183.425 Table 5 and ABYC E-11, as a cable maker prints them, within the last printed digit."""
    gauge, *printed = line.split()
    cases = [(bundle, inside) for bundle in (2, 3, 6, 24) for inside in (False, True)]
    for (bundle, inside), figure in zip(cases, printed, strict=True):
        found = _ampacity("us-boat", f"{gauge} AWG", bundle=bundle, engine_space=inside)
        assert math.isclose(found.value_a, float(figure), abs_tol=0.1)


def test_105_c_wire_on_a_boat_uses_its_own_column_without_a_terminal_rule() -> None:
    found = _ampacity("us-boat", "14 AWG", terminals_c=75)
    assert (found.value_a, found.steps, found.sure) == (35, (), "verified")


def test_a_boat_bundle_of_25_is_from_memory_and_says_so() -> None:
    assert _ampacity("us-boat", "10 AWG", bundle=25).sure == "from memory"


def test_warm_air_on_a_boat_outside_engine_spaces_follows_the_square_root_law() -> None:
    found = _ampacity("us-boat", "10 AWG", ambient_c=45)
    assert math.isclose(found.value_a, 60 * math.sqrt(60 / 75))
    assert "square root" in found.steps[0].label


def test_an_engine_space_hotter_than_its_basis_loses_more() -> None:
    assert _ampacity("us-boat", "10 AWG", engine_space=True, ambient_c=40).value_a == 51
    hotter = _ampacity("us-boat", "10 AWG", engine_space=True, ambient_c=70).value_a
    assert math.isclose(hotter, 60 * math.sqrt(35 / 75))


def test_a_metric_wire_on_an_american_boat_is_read_as_the_next_smaller_gauge() -> None:
    found = _ampacity("us-boat", "35 mm²")
    assert found.value_a == 210
    assert _labels(found) == ["35 mm² read as 2 AWG, the next row not larger in area"]


def test_a_gauge_on_an_iso_boat_is_read_as_the_next_smaller_metric_size() -> None:
    found = _ampacity("intl-boat", "2/0 AWG", insulation_c=105)
    assert found.value_a == 270
    assert _labels(found) == ["2/0 AWG read as 50 mm², the next row not larger in area"]


def test_insulation_between_two_columns_takes_the_cooler_column() -> None:
    found = _ampacity("us-boat", "10 AWG", insulation_c=85)
    assert found.value_a == 50
    assert _labels(found) == ["85 °C insulation read in the 80 °C column"]


@pytest.mark.parametrize(
    ("size", "bundle", "insulation_c", "expected_a"),
    [("12 AWG", 9, 90, 21.0), ("12 AWG", 8, 90, 21.0), ("10 AWG", 12, 90, 20.0), ("12 AWG", 4, 90, 24.0)],
)
def test_nec_bundles_are_adjusted_from_the_90_c_column(
    size: str, bundle: int, insulation_c: float, expected_a: float
) -> None:
    """NEC 310.15(C)(1): nine 12 AWG 30 A x 0.70 = 21 A; twelve 10 AWG 40 A x 0.50 = 20 A (trade question columns)."""
    found = _ampacity("us-cabin", size, volts_v=120, medium="ac", insulation_c=insulation_c, bundle=bundle)
    assert math.isclose(found.value_a, expected_a)


def test_an_8_awg_at_40_c_on_75_c_terminals_carries_50_a() -> None:
    """NEC 110.14(C) and 310.15(B): min(55 x 0.91, 50) = 50 A."""
    found = _ampacity("us-cabin", "8 AWG", volts_v=120, medium="ac", ambient_c=40, terminals_c=75)
    assert found.value_a == 50
    assert [step.factor for step in found.steps] == [0.91, None]
    assert found.steps[1].cap_a == 50


def test_terminals_that_nobody_named_are_assumed_at_75_c_and_said_so() -> None:
    found = _ampacity("us-cabin", "2/0 AWG", volts_v=120, medium="ac")
    assert (found.base_a, found.value_a) == (195, 175)
    assert _labels(found) == ["terminals 75 °C (assumed)"]


def test_terminals_of_60_c_hold_a_wire_to_the_60_c_column() -> None:
    """NEC 110.14(C)(1)(a)."""
    assert _ampacity("us-cabin", "6 AWG", volts_v=120, medium="ac", terminals_c=60).value_a == 55


def test_105_c_wire_in_a_cabin_is_read_in_the_90_c_column() -> None:
    """NEC Table 310.16 has no column for 105 °C."""
    found = _ampacity("us-cabin", "10 AWG", insulation_c=105)
    assert found.base_a == 40
    assert _labels(found)[0] == "105 °C insulation read in the 90 °C column"


def test_a_small_wire_without_a_terminal_column_is_held_to_240_4_d() -> None:
    assert _ampacity("us-cabin", "18 AWG").value_a == 7


def test_air_between_two_bins_takes_the_warmer_bin() -> None:
    """NEC Table 310.15(B)(1)(1): 40.5 °C counts as 41 to 45 °C."""
    assert math.isclose(_ampacity("us-rv", "10 AWG", ambient_c=40.5).value_a, 40 * 0.87)


def test_four_conductors_are_in_the_row_of_four_to_six() -> None:
    assert math.isclose(_ampacity("us-rv", "10 AWG", bundle=4).value_a, 40 * 0.80)


def test_ambient_and_bundle_multiply() -> None:
    """NEC 310.15: 10 AWG 90 °C at 45 °C among four, 40 x 0.87 x 0.80 = 27.84 A."""
    assert math.isclose(_ampacity("us-rv", "10 AWG", ambient_c=45, bundle=4).value_a, 27.84)


def test_rv_low_voltage_has_no_terminal_cap_but_rv_ac_has() -> None:
    assert _ampacity("us-rv", "10 AWG").value_a == 40
    assert _ampacity("us-rv", "10 AWG", volts_v=120, medium="ac").value_a == 35
    assert _ampacity("us-rv", "10 AWG", volts_v=60).value_a == 35


def test_an_engine_space_without_a_rule_of_its_own_counts_as_50_c() -> None:
    found = _ampacity("us-rv", "10 AWG", engine_space=True)
    assert math.isclose(found.value_a, 40 * 0.82)
    assert _labels(found)[1] == "engine space taken as 50 °C"


def test_cool_air_earns_no_credit() -> None:
    assert _ampacity("us-rv", "10 AWG", ambient_c=5).value_a == 40
    assert _ampacity("us-boat", "10 AWG", ambient_c=5).value_a == 60


def test_iso_boats_take_table_a1_with_its_own_factors_all_from_memory() -> None:
    found = _ampacity("intl-boat", "16 mm²", bundle=4, engine_space=True)
    assert math.isclose(found.value_a, 100 * 0.82 * 0.7)
    assert found.sure == "from memory"


def test_iso_insulation_of_60_c_has_no_place_in_an_engine_space() -> None:
    found = ampacity(profile("intl-boat"), parse_wire_size("16 mm²"), volts_v=12, insulation_c=60, engine_space=True)
    assert isinstance(found, NoAmpacity) and "no factor for 60 °C" in found.reason


def test_iec_wires_are_taken_at_method_c_and_held_to_70_c_terminals_unless_marked_90_c() -> None:
    """BS 7671 Table 4E1A method C: 2.5 mm² 34 A; held to 70 °C it is the 27 A of Table 4D1A (from memory) or less."""
    marked = _ampacity("iec-cabin", "2.5 mm²", volts_v=230, medium="ac", terminals_c=90)
    assumed = _ampacity("iec-cabin", "2.5 mm²", volts_v=230, medium="ac")
    assert (marked.value_a, marked.sure) == (34, "verified")
    assert assumed.value_a <= 27
    assert _labels(assumed) == ["reference method C", "terminals 70 °C (assumed): held to 70 °C"]


def test_iec_grouping_counts_circuits_of_two_conductors() -> None:
    """BS 7671 Table 4C1: three circuits together 0.70."""
    found = _ampacity("eu-caravan", "4 mm²", terminals_c=90, bundle=6)
    assert math.isclose(found.value_a, 46 * 0.70)


def test_parallel_conductors_multiply_after_every_cap() -> None:
    found = _ampacity("us-cabin", "1/0 AWG", volts_v=120, medium="ac", parallel=2)
    assert found.value_a == 300


@pytest.mark.parametrize("material", ["aluminium", "copper-clad"])
def test_aluminium_carries_no_more_than_the_nec_prints(material: Material) -> None:
    """NEC Table 310.16, 75 °C aluminium from memory: 6 AWG 50, 4 AWG 65, 2 AWG 90, 1/0 AWG 120, 4/0 AWG 180 A."""
    for size, printed_a in (("6 AWG", 50), ("4 AWG", 65), ("2 AWG", 90), ("1/0 AWG", 120), ("4/0 AWG", 180)):
        found = _ampacity("us-cabin", size, volts_v=120, medium="ac", material=material)
        assert found.value_a <= printed_a


@pytest.mark.parametrize(
    ("profile_name", "size", "reason"),
    [
        ("us-boat", "22 AWG", "lies outside"),
        ("us-boat", "500 kcmil", "lies outside"),
        ("us-boat", "240 mm²", "lies outside"),
        ("intl-boat", "0.5 mm²", "lies outside"),
        ("iec-cabin", "0.75 mm²", "lies outside"),
    ],
)
def test_a_size_outside_the_table_is_not_assessed(profile_name: str, size: str, reason: str) -> None:
    found = ampacity(profile(profile_name), parse_wire_size(size), volts_v=12)
    assert isinstance(found, NoAmpacity) and reason in found.reason


def test_air_hotter_than_the_table_is_not_assessed() -> None:
    for name in ("us-rv", "us-boat", "intl-boat", "iec-cabin"):
        assert isinstance(ampacity(profile(name), parse_wire_size("10 AWG"), volts_v=12, ambient_c=110), NoAmpacity)


def test_insulation_below_every_column_is_not_assessed() -> None:
    for name in PROFILE_NAMES:
        assert isinstance(ampacity(profile(name), parse_wire_size("10 AWG"), volts_v=12, insulation_c=40), NoAmpacity)


@pytest.mark.parametrize("name", PROFILE_NAMES)
def test_a_thicker_wire_never_carries_less(name: str) -> None:
    sizes: list[WireSize] = sorted([*standard_sizes("awg"), *standard_sizes("mm2")], key=lambda size: size.order)
    for medium, volts_v in (("dc", 12.0), ("ac", 230.0)):
        found = [ampacity(profile(name), size, medium=medium, volts_v=volts_v) for size in sizes]  # type: ignore[arg-type]
        values_a = [each.value_a for each in found if isinstance(each, Ampacity)]
        assert values_a == sorted(values_a) and len(values_a) > 20


@pytest.mark.parametrize("name", PROFILE_NAMES)
def test_heat_and_company_never_help(name: str) -> None:
    plain = _ampacity(name, "10 AWG").value_a
    assert _ampacity(name, "10 AWG", ambient_c=45).value_a <= plain
    assert _ampacity(name, "10 AWG", bundle=8).value_a < plain
    assert _ampacity(name, "10 AWG", engine_space=True).value_a <= plain


def test_the_law_of_warm_air_leaves_nothing_at_the_temperature_of_the_insulation() -> None:
    assert ambient_factor(90, 90) is None
    assert ambient_factor(90, 20) == 1


def test_every_step_names_its_source() -> None:
    found = _ampacity("us-boat", "35 mm²", insulation_c=85, engine_space=True, bundle=5, parallel=2)
    assert len(found.steps) == 5
    assert all(isinstance(step, Step) and step.source for step in found.steps)
