"""Ratings by style, typical figures, profiles, cables and cold correction."""

import math

import pytest
from msgspec import structs

from rigline.standards.ampacity import Ampacity, NoAmpacity
from rigline.standards.cables import caravan_lead_least_mm2, cord_ampacity, single_core, usual_studs
from rigline.standards.profiles import PROFILE_NAMES, ProfileProblem, profile, read_profile
from rigline.standards.ratings import (
    Typical,
    boat_interrupting,
    listed_ratings,
    standard_ratings,
    styles,
    typical_interrupting,
    typical_voltage,
)
from rigline.standards.solar import cold_voltage_factor
from rigline.standards.tables import DATA, table
from rigline.standards.wire import parse_wire_size, standard_sizes

SPEC_STYLES = ("class-t", "terminal", "anl", "bolt-down", "blade", "cartridge", "gpv", "thermal", "magnetic")


@pytest.mark.parametrize("style", SPEC_STYLES)
def test_every_style_has_ascending_ratings(style: str) -> None:
    ratings = standard_ratings(style)
    assert list(ratings) == sorted(set(ratings)) and len(ratings) > 5


def test_without_a_style_the_ratings_are_those_of_the_nec() -> None:
    assert standard_ratings(None) == listed_ratings("nec-240.6")
    assert listed_ratings("iec")[0] == 2


def test_an_unknown_style_is_refused() -> None:
    with pytest.raises(KeyError):
        standard_ratings("spaghetti")


@pytest.mark.parametrize(("volts_v", "value_a"), [(12, 10000), (14, 10000), (14.6, 5000), (29.2, 5000), (58, 2000)])
def test_a_terminal_fuse_interrupts_less_at_a_higher_voltage(volts_v: float, value_a: float) -> None:
    found = typical_interrupting("terminal", volts_v)
    assert found is not None and found.value_a == value_a and found.at_v >= volts_v


def test_no_interrupting_rating_holds_above_its_own_voltage() -> None:
    assert typical_interrupting("terminal", 58.4) is None
    assert typical_interrupting("blade", 48) is None
    assert typical_interrupting("cartridge", 12) is None


def test_a_class_t_fuse_interrupts_20_ka_at_125_v() -> None:
    found = typical_interrupting("class-t", 58.4)
    assert found is not None and (found.value_a, found.at_v, found.sure) == (20000, 125, "verified")


@pytest.mark.parametrize("style", styles())
def test_a_typical_interrupting_rating_stays_within_the_rated_voltage(style: str) -> None:
    rated = typical_voltage(style)
    for key in table("style_interrupting").rows:
        assert isinstance(key, tuple)
        if key[0] == style:
            assert rated is not None and isinstance(key[1], float) and key[1] <= rated.value_v


def test_a_device_of_32_v_is_never_taken_for_48_v() -> None:
    """A 48 V lithium bank charges at 58.4 V (common practice): strips, blades and terminal fuses stop below it."""
    voltages = {style: typical_voltage(style) for style in ("blade", "bolt-down", "anl", "terminal", "class-t")}
    enough = [style for style, found in voltages.items() if found is not None and found.value_v >= 58.4]
    assert enough == ["class-t"]


@pytest.mark.parametrize(
    ("cranking_a", "main_a", "branch_a"), [(650, 1500, 750), (800, 3000, 1500), (1100, 3000, 1500), (2200, 5000, 2500)]
)
def test_interrupting_duty_by_cranking_current(cranking_a: float, main_a: float, branch_a: float) -> None:
    """ABYC E-11: an 800 CCA battery asks 1500 A of a branch device, more than a 1000 A blade fuse has."""
    main, branch = boat_interrupting(cranking_a, main=True), boat_interrupting(cranking_a, main=False)
    assert isinstance(main, Typical) and isinstance(branch, Typical)
    assert (main.value_a, branch.value_a) == (main_a, branch_a)


def test_the_cranking_table_stops_at_2200_cca() -> None:
    assert boat_interrupting(2201, main=True) is None


@pytest.mark.parametrize("name", PROFILE_NAMES)
def test_a_profile_names_a_source_for_every_limit(name: str) -> None:
    rules = profile(name)
    limits = [value for field, value in structs.asdict(rules).items() if field not in ("name", "title", "edition")]
    assert all(limit is None or isinstance(limit, str) or (limit.source and limit.sure) for limit in limits)
    assert rules.drop_critical_frac.value <= rules.drop_general_frac.value
    assert rules.continuous_factor_frac.value == 1.25


@pytest.mark.parametrize("name", PROFILE_NAMES)
def test_every_profile_that_ships_is_one_that_the_program_knows(name: str) -> None:
    assert sorted(path.stem for path in (DATA / "profiles").glob("*.toml")) == sorted(PROFILE_NAMES)
    assert profile(name) is profile(name)


@pytest.mark.parametrize(
    ("name", "bare_m", "sheathed_m"),
    [("us-boat", 7 * 0.0254, 72 * 0.0254), ("us-rv", 18 * 0.0254, 18 * 0.0254), ("intl-boat", 0.2, 1.8)],
)
def test_the_first_device_stands_close_to_the_battery(name: str, bare_m: float, sheathed_m: float) -> None:
    """33 CFR 183.455(b) and ABYC E-11: 7 and 72 in; NEC 552.10(E)(4): 18 in; ISO 13297 from memory: 0.2 and 1.8 m."""
    bare, sheathed = profile(name).tap_battery_bare_m, profile(name).tap_battery_sheathed_m
    assert bare is not None and math.isclose(bare.value, bare_m, abs_tol=0.002)
    assert sheathed is not None and math.isclose(sheathed.value, sheathed_m, abs_tol=0.002)


def test_a_profile_that_leaves_a_rule_out_is_refused() -> None:
    text = (DATA / "profiles" / "us-boat.toml").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if not line.startswith("ambient_c")]
    with pytest.raises(ProfileProblem, match="ambient_c"):
        read_profile("us-boat", "\n".join(lines))


def test_a_profile_rule_without_a_source_is_refused() -> None:
    text = (DATA / "profiles" / "us-boat.toml").read_text(encoding="utf-8")
    with pytest.raises(ProfileProblem, match="ambient_c"):
        read_profile("us-boat", text.replace('ambient_c = ["30", ', 'ambient_c = ["30", "", '))


def test_an_unknown_profile_is_refused_by_name() -> None:
    with pytest.raises(KeyError, match="us-submarine"):
        profile("us-submarine")


@pytest.mark.parametrize(
    ("coldest_c", "factor"), [(25, 1.0), (24, 1.02), (-5, 1.12), (-5.5, 1.14), (-10, 1.14), (-40, 1.25)]
)
def test_a_cold_module_gives_more_voltage(coldest_c: float, factor: float) -> None:
    """NEC Table 690.7(A)."""
    assert cold_voltage_factor(coldest_c) == factor


def test_colder_than_the_table_is_not_assessed() -> None:
    assert cold_voltage_factor(-45) is None


def test_a_30_a_shore_cord_of_10_awg_carries_exactly_30_a() -> None:
    """NEC Table 400.5(A)(1): column B; a 6 AWG cord at 120/240 V carries 55 A, its neutral isn't counted."""
    for size, value_a in (("10 AWG", 30), ("6 AWG", 55)):
        found = cord_ampacity(parse_wire_size(size), 2)
        assert isinstance(found, Ampacity) and found.value_a == value_a
    assert isinstance(cord_ampacity(parse_wire_size("10 AWG"), 4), NoAmpacity)


def test_a_16_a_caravan_lead_has_2_5_mm2() -> None:
    """IEC 60364-7-721."""
    assert caravan_lead_least_mm2(16) == 2.5
    assert caravan_lead_least_mm2(10) == 2.5
    assert caravan_lead_least_mm2(125) is None


def test_bare_copper_mass_is_area_times_density() -> None:
    """IEC 60028: 8.89 g/cm3."""
    for size in standard_sizes("awg")[1:]:
        printed = table("cable_awg").number(size.text, "bare_copper_mass")
        assert printed is not None and math.isclose(printed, 8.89 * size.area_mm2, rel_tol=0.003)


def test_cables_have_a_diameter_and_a_mass_where_known() -> None:
    metric, gauge = single_core(parse_wire_size("35 mm²")), single_core(parse_wire_size("2/0 AWG"))
    assert metric is not None and (metric.outside_mm, metric.mass_kg_per_km) == (11.7, 375)
    assert gauge is not None and (gauge.outside_mm, gauge.mass_kg_per_km) == (16.0, 599.5)
    assert single_core(parse_wire_size("7 AWG")) is None


@pytest.mark.parametrize(
    ("size", "studs"),
    [
        ("16 AWG", ("M4", "M5")),
        ("10 AWG", ("M5", "M6")),
        ("35 mm²", ("M8", "M10")),
        ("1/0 AWG", ("M8", "M10")),
        ("2/0 AWG", ("M10", "M12")),
        ("4/0 AWG", ("M10", "M12")),
    ],
)
def test_lugs_usually_fit_these_studs(size: str, studs: tuple[str, ...]) -> None:
    assert usual_studs(parse_wire_size(size)) == studs


def test_metric_lugs_stay_in_their_own_range() -> None:
    """Lug makers' size charts: 25 to 50 mm² on M8 and M10, 70 to 95 mm² and 120 to 150 mm² on M10 and M12."""
    studs = {size.text: usual_studs(size)[0] for size in standard_sizes("mm2") if size.area_mm2 >= 1.5}
    small = {"1.5 mm²": "M4", "2.5 mm²": "M4", "4 mm²": "M5", "6 mm²": "M5", "10 mm²": "M6", "16 mm²": "M6"}
    middle = {"25 mm²": "M8", "35 mm²": "M8", "50 mm²": "M8"}
    assert studs == small | middle | dict.fromkeys(("70 mm²", "95 mm²", "120 mm²", "150 mm²"), "M10")


def test_wire_thinner_than_16_awg_has_no_tube_lug() -> None:
    assert usual_studs(parse_wire_size("18 AWG")) == ()
