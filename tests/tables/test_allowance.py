"""The largest device ahead of a conductor, against printed rules and worked examples."""

import math

import pytest

from rigline.standards.allowance import Allowance, largest_device, small_conductor_cap
from rigline.standards.ampacity import Ampacity, ampacity
from rigline.standards.profiles import PROFILE_NAMES, Medium, profile
from rigline.standards.ratings import listed_ratings, next_rating_down, next_rating_up, standard_ratings
from rigline.standards.wire import Material, parse_wire_size, standard_sizes


def _known(value_a: float) -> Ampacity:
    return Ampacity(value_a, value_a, (), "an invented table", "verified")


def _allowed(
    profile_name: str,
    size: str,
    ampacity_a: float | None = None,
    *,
    volts_v: float = 12,
    medium: Medium = "dc",
    receptacles_many: bool = False,
    feeder: bool = False,
    ratings: tuple[float, ...] | None = None,
    material: Material = "copper",
    bundle: int = 1,
) -> Allowance:
    rules, wire = profile(profile_name), parse_wire_size(size)
    looked_up = ampacity(rules, wire, volts_v=volts_v, medium=medium, bundle=bundle, material=material)
    known = looked_up if ampacity_a is None else _known(ampacity_a)
    assert isinstance(known, Ampacity)
    return largest_device(
        rules,
        known,
        wire,
        volts_v=volts_v,
        medium=medium,
        receptacles_many=receptacles_many,
        feeder=feeder,
        ratings=ratings,
        material=material,
    )


def test_a_boat_feeder_of_2_0_may_stand_behind_150_percent() -> None:
    """33 CFR 183.455(c)(1): 330 A x 1.5 = 495 A; down to 450 A in NEC 240.6(A), 400 A in the usual large-strip list."""
    allowed = _allowed("us-boat", "2/0 AWG", feeder=True)
    assert allowed.value_a == 495
    assert next_rating_down(allowed.value_a, listed_ratings()) == 450
    assert next_rating_down(allowed.value_a, (60, 100, 200, 300, 350, 400, 500)) == 400


def test_a_2_awg_of_115_a_may_stand_behind_125_a_but_not_ahead_of_many_receptacles() -> None:
    """NEC 240.4(B)."""
    assert _allowed("us-cabin", "2 AWG", volts_v=120, medium="ac").value_a == 125
    many = _allowed("us-cabin", "2 AWG", volts_v=120, medium="ac", receptacles_many=True)
    assert many.value_a == 115
    assert next_rating_down(many.value_a, listed_ratings()) == 110


def test_a_load_of_80_a_on_4_awg_boat_cable_leaves_room_for_a_125_a_fuse() -> None:
    """A DC equipment supplier's note on fuse selection: 4 AWG carries 160 A; least 80 x 1.25 = 100 A, choice 125 A."""
    allowed = _allowed("us-boat", "4 AWG")
    assert allowed.value_a == 175
    assert 80 * 1.25 <= 125 <= allowed.value_a


@pytest.mark.parametrize(("size", "bundle", "device_a"), [("12 AWG", 9, 20), ("12 AWG", 8, 20)])
def test_nine_12_awg_conductors_stand_behind_20_a(size: str, bundle: int, device_a: float) -> None:
    """NEC 310.15(C)(1) and 240.4(D): 21 A rounds up to 25 A, the cap of 12 AWG holds it to 20 A."""
    assert _allowed("us-cabin", size, volts_v=120, medium="ac", bundle=bundle).value_a == device_a


def test_twelve_10_awg_conductors_may_not_stand_behind_30_a() -> None:
    """NEC 310.15(C)(1): 40 A x 0.50 = 20 A, a standard rating, so no rounding up."""
    assert _allowed("us-cabin", "10 AWG", volts_v=120, medium="ac", bundle=12).value_a == 20


def test_an_ampacity_that_is_a_standard_rating_is_not_rounded_up() -> None:
    """NEC 240.4(B): 8 AWG at 75 °C carries exactly 50 A; a 50 A device passes, 60 A doesn't."""
    assert _allowed("us-cabin", "8 AWG", volts_v=120, medium="ac").value_a == 50


def test_14_awg_is_a_15_a_wire_in_a_cabin_and_a_35_a_wire_on_a_boat() -> None:
    """NEC 240.4(D) against 33 CFR 183.425 Table 5 and 183.455(c)(1)."""
    assert _allowed("us-cabin", "14 AWG").value_a == 15
    assert _allowed("us-boat", "14 AWG").value_a == 35
    feeder = _allowed("us-boat", "14 AWG", feeder=True)
    assert feeder.value_a == 52.5
    assert next_rating_down(feeder.value_a, listed_ratings()) == 50


@pytest.mark.parametrize(
    ("size", "cap_a"), [("18 AWG", 7), ("16 AWG", 10), ("14 AWG", 15), ("12 AWG", 20), ("10 AWG", 30)]
)
def test_small_wires_are_capped_after_rounding(size: str, cap_a: float) -> None:
    """NEC 240.4(D)."""
    assert _allowed("us-cabin", size, 40).value_a == cap_a


@pytest.mark.parametrize(
    ("size", "cap_a"),
    [("2.5 mm²", 15), ("4 mm²", 20), ("6 mm²", 30), ("8 mm²", 30), ("1 mm²", 7), ("1.5 mm²", 10)],
)
def test_metric_wires_take_the_cap_of_the_gauge_not_larger(size: str, cap_a: float) -> None:
    cap = small_conductor_cap("nec_240_4_d", parse_wire_size(size))
    assert cap is not None and cap.value_a == cap_a


def test_from_8_awg_up_nothing_caps() -> None:
    assert small_conductor_cap("nec_240_4_d", parse_wire_size("8 AWG")) is None
    assert small_conductor_cap("nec_240_4_d", parse_wire_size("10 mm²")) is None


def test_aluminium_of_12_awg_is_capped_at_15_a() -> None:
    """NEC 240.4(D)(4), from memory."""
    cap = small_conductor_cap("nec_240_4_d", parse_wire_size("12 AWG"), "aluminium")
    assert cap is not None and (cap.value_a, cap.sure) == (15, "from memory")


@pytest.mark.parametrize(
    ("size", "device_a"), [("18 AWG", 6), ("16 AWG", 8), ("14 AWG", 15), ("12 AWG", 20), ("10 AWG", 30)]
)
def test_rv_low_voltage_wires_have_devices_by_gauge(size: str, device_a: float) -> None:
    """NEC Table 552.10(E)(1), from memory."""
    allowed = _allowed("us-rv", size)
    assert (allowed.value_a, allowed.sure) == (device_a, "from memory")


def test_rv_low_voltage_wires_above_10_awg_stand_behind_their_ampacity() -> None:
    assert _allowed("us-rv", "2/0 AWG").value_a == 195


def test_rv_wires_cut_down_by_a_bundle_are_not_saved_by_the_table_of_gauges() -> None:
    assert math.isclose(_allowed("us-rv", "14 AWG", bundle=12).value_a, 12.5)


def test_rv_ac_follows_the_rules_of_buildings() -> None:
    assert _allowed("us-rv", "12 AWG", volts_v=120, medium="ac").value_a == 20
    assert _allowed("us-rv", "1/0 AWG", volts_v=120, medium="ac").value_a == 150


@pytest.mark.parametrize("name", ["intl-boat", "uk-inland-boat", "eu-caravan", "iec-cabin"])
def test_no_rounding_up_outside_the_united_states(name: str) -> None:
    """ISO 13297:2020 13.1.5 and IEC 60364-4-43 433.1."""
    assert _allowed(name, "16 mm²", 73.3, volts_v=12, medium="dc").value_a == 73.3
    assert _allowed(name, "16 mm²", 73.3, volts_v=230, medium="ac").value_a == 73.3


def test_a_boat_never_rounds_up_beyond_150_percent() -> None:
    """33 CFR 183.455(c): from 3.5 A the next standard rating, 6 A, is 171 %."""
    assert _allowed("us-boat", "18 AWG", 3.5).value_a == 3.5
    assert _allowed("us-boat", "18 AWG", 4.0).value_a == 6
    assert _allowed("us-boat", "6 AWG", 102, volts_v=120, medium="ac", feeder=True).value_a == 110


def test_rounding_uses_the_ratings_of_the_style_when_given() -> None:
    assert _allowed("us-boat", "2/0 AWG", 310, ratings=standard_ratings("anl")).value_a == 325


def test_above_800_a_nothing_is_rounded_up() -> None:
    """NEC 240.4(B)(3) and (C)."""
    assert _allowed("us-cabin", "500 kcmil", 760).value_a == 800
    assert _allowed("us-cabin", "500 kcmil", 820).value_a == 820


def test_an_allowance_built_on_a_figure_from_memory_says_so() -> None:
    assert _allowed("us-boat", "10 AWG", bundle=30).sure == "from memory"


def test_the_next_rating_exists_only_within_the_list() -> None:
    assert next_rating_up(10000, listed_ratings()) is None
    assert next_rating_down(0.5, listed_ratings()) is None
    assert next_rating_up(110 * (1 + 1e-12), listed_ratings()) == 110


@pytest.mark.parametrize("name", PROFILE_NAMES)
def test_a_thicker_wire_is_never_allowed_a_smaller_device(name: str) -> None:
    for system in ("awg", "mm2"):
        rules, values_a = profile(name), []
        for size in standard_sizes(system):
            known = ampacity(rules, size, volts_v=12)
            if isinstance(known, Ampacity):
                values_a.append(largest_device(rules, known, size, volts_v=12).value_a)
        assert values_a == sorted(values_a) and len(values_a) > 8
