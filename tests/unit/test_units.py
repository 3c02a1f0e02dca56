"""People's amounts are read as they meant them or refused with a question; pint is the oracle for linear units."""

import copy
import math
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigline.units import (
    LONGEST_AMOUNT_CHARACTERS,
    QUANTITIES,
    SUFFIXES,
    Amount,
    UnitProblem,
    format_amount,
    parse_amount,
    parse_voltage,
)

REGISTRY: pint.UnitRegistry[float] = pint.UnitRegistry()

PINT_NAMES = {
    "%": "percent", "°": "degree", "Ω": "ohm", "mΩ": "milliohm", "μΩ": "microohm", "mm²": "mm**2", "cm²": "cm**2",
    "VA": "volt_ampere", "kVA": "kilovolt_ampere", "days": "day", "in": "inch", "ft": "foot", "h/day": "hour/day",
    "min/day": "minute/day", "A": "ampere", "kA": "kiloampere", "mA": "milliampere", "Ah": "ampere*hour",
    "mAh": "milliampere*hour", "%/K": "percent/kelvin", "/K": "1/kelvin", "°C": "degC", "°F": "degF", "K": "kelvin",
}  # fmt: skip
PINT_BASES = {
    "v": "volt", "a": "ampere", "w": "watt", "wh": "watt*hour", "ah": "ampere*hour", "m": "metre", "mm": "millimetre",
    "mm2": "mm**2", "c": "degC", "ohm": "ohm", "kg": "kilogram", "frac": "dimensionless", "h": "hour", "s": "second",
    "h_per_day": "hour/day", "per_k": "1/kelvin", "hz": "hertz", "deg": "degree",
}  # fmt: skip
WRITTEN_UNITS = [(suffix, symbol) for suffix, quantity in QUANTITIES.items() for symbol in quantity.units]


def problem(text: object, suffix: str) -> str:
    with pytest.raises(UnitProblem) as caught:
        parse_amount(text, suffix)
    return str(caught.value)


@pytest.mark.parametrize(("suffix", "symbol"), WRITTEN_UNITS)
@given(hundredths=st.integers(min_value=0, max_value=1000))
def test_every_unit_is_worth_what_pint_says(suffix: str, symbol: str, hundredths: int) -> None:
    number = hundredths / 100 + (300 if symbol == "K" else 0)
    oracle = REGISTRY.Quantity(number, PINT_NAMES.get(symbol, symbol)).to(PINT_BASES[suffix]).magnitude
    assert parse_amount(f"{number} {symbol}", suffix) == pytest.approx(oracle, rel=1e-12, abs=1e-12)


@pytest.mark.parametrize("suffix", sorted(set(QUANTITIES) - {"price"}))
@given(number=st.floats(min_value=0.001, max_value=20_000))
def test_what_is_printed_is_read_back_within_its_three_digits(suffix: str, number: float) -> None:
    value = number / 1000 if suffix in ("h_per_day", "frac", "per_k") else number
    assert parse_amount(format_amount(value, suffix), suffix) == pytest.approx(value, rel=0.0051)


@given(text=st.text(max_size=100), suffix=st.sampled_from(sorted(QUANTITIES)))
def test_any_text_is_an_amount_or_a_unit_problem(text: str, suffix: str) -> None:
    try:
        amount = parse_amount(text, suffix)
    except UnitProblem as refused:
        assert refused.expected == QUANTITIES[suffix].expected
    else:
        assert (math.isfinite(amount), amount.text) == (True, text)


@given(
    text=st.from_regex(r"[+-]?[0-9.,' _eE]{1,12} ?[a-zA-ZµΩ°%/'\"²]{0,5}", fullmatch=True),
    suffix=st.sampled_from(sorted(QUANTITIES)),
)
def test_any_near_amount_stays_within_the_window_or_is_refused(text: str, suffix: str) -> None:
    quantity = QUANTITIES[suffix]
    try:
        amount = parse_amount(text, suffix)
    except UnitProblem as refused:
        assert str(refused) != ""
    else:
        assert quantity.lowest <= Fraction(float(amount)) <= quantity.highest


@pytest.mark.parametrize(
    ("text", "suffix", "value"),
    [
        ("1,5 m", "m", 1.5), ("0,150 m", "m", 0.15), ("150 mm", "m", 0.15), ("150mm", "m", 0.15), ("10'", "m", 3.048),
        ('18"', "m", 0.4572), ("6 ft 3 in", "m", 1.905), ("6'3\"", "m", 1.905), ("6′ 3″", "m", 1.905),
        ("10 FT", "m", 3.048), ("1 200 W", "w", 1200.0), ("1\u00a0200\u00a0W", "w", 1200.0), ("1.5 KW", "w", 1500.0),
        ("700 VA", "w", 700.0), ("195 Wp", "w", 195.0), ("1e3 W", "w", 1000.0), ("25.6", "v", 25.6), (24, "v", 24.0),
        ("230 VAC", "v", 230.0), ("12 V DC", "v", 12.0), ("24 Vdc", "v", 24.0), ("3 kA", "a", 3000.0),
        ("40 °C", "c", 40.0), ("−10 °C", "c", -10.0), ("95 F", "c", 35.0), ("308.15 K", "c", 35.0),
        ("85 %", "frac", 0.85), ("35%", "frac", 0.35), (0.85, "frac", 0.85), ("1", "frac", 1.0),
        ("2 mΩ", "ohm", 0.002), ("2 m\u2126", "ohm", 0.002), ("50 µΩ", "ohm", 0.00005), ("50 μΩ", "ohm", 0.00005),
        ("2 milliohm", "ohm", 0.002), ("24 h/day", "h_per_day", 24.0), ("90 min/d", "h_per_day", 1.5),
        ("-0.28 %/K", "per_k", -0.0028), ("−0.28 %/°C", "per_k", -0.0028), ("35 mm2", "mm2", 35.0),
        ("48 lb", "kg", 21.77243376), ("€ 120", "price", 120.0), ("120.50 EUR", "price", 120.5), ("60", "hz", 60.0),
    ],
)  # fmt: skip
def test_an_amount_is_read_as_its_author_means_it(text: object, suffix: str, value: float) -> None:
    assert parse_amount(text, suffix) == value


@pytest.mark.parametrize(
    ("text", "suffix", "message"),
    [
        ("3", "m", "give a unit, as in 3 m or 10 ft"),
        (3, "m", "give a unit, as in 3 m or 10 ft"),
        ("35", "c", "give a unit, as in 35 °C or 95 °F"),
        ("22", "kg", "give a unit, as in 22 kg or 48 lb"),
        ("85", "frac", "is it a percentage, or a share of one? give a unit, as in 85 % or 0.85"),
        ("1,200 W", "w", "is 1,200 1200 or 1.2? write it without the comma, as in 36 W or 1.5 kW"),
        ("1_200 W", "w", "write the number with one decimal point and nothing between its digits, "
                         "as in 36 W or 1.5 kW"),
        ("3 A", "v", "A is the unit of a current; give a voltage, as in 25.6 V or 230 V"),
        ("2 MΩ", "ohm", "'MΩ' isn't one of the units Ω, mΩ, μΩ; give a resistance, as in 2 mΩ or 0.05 ohm"),
        ("-3 m", "m", "a length can't be below 0 m, as in 3 m or 10 ft"),
        ("-300 °C", "c", "a temperature can't be below -273.15 °C, as in 35 °C or 95 °F"),
        ("25 h/day", "h_per_day", "a time per day can't be above 24 h/day, as in 3 h/day or 90 min/day"),
        ("3 h", "h_per_day", "h is the unit of a time; give a time per day, as in 3 h/day or 90 min/day"),
        ("1e400 W", "w", "a power can't be above 1000000000 W, as in 36 W or 1.5 kW"),
        ("12/24 V", "v", "which of the two voltages is it? give one, as in 24 V; only a supply of two legs has two, "
                         "as in 120/240 V"),
        ("6 ft 14 in", "m", "give fewer than 12 inches behind the feet, as in 3 m or 10 ft"),
        ("nan", "w", "give a power, as in 36 W or 1.5 kW"),
        (True, "v", "give a voltage, as in 25.6 V or 230 V"),
        (None, "v", "give a voltage, as in 25.6 V or 230 V"),
    ],
)  # fmt: skip
def test_a_famous_mistake_is_answered_with_the_question_it_raises(text: object, suffix: str, message: str) -> None:
    assert problem(text, suffix) == message


@pytest.mark.parametrize("number", [math.inf, -math.inf, math.nan, 10**400, -1.0])
def test_a_number_no_small_system_has_is_refused(number: float) -> None:
    assert "a power" in problem(number, "w")


def test_a_whole_page_in_a_field_is_refused_for_its_length() -> None:
    expected = f"an amount has at most {LONGEST_AMOUNT_CHARACTERS} characters, as in 3 m or 10 ft"
    assert problem("9" * 100_000, "m") == expected


def test_a_split_voltage_is_that_of_one_leg() -> None:
    voltage = parse_voltage("120/240 V")
    assert (voltage, voltage.legs, voltage.text) == (120.0, 2, "120/240 V")


def test_a_plain_voltage_has_one_leg() -> None:
    assert parse_voltage("230 V").legs == 1


@pytest.mark.parametrize("text", ["12/24 V", "24/48 V", "230/400 V", "120/208 V", "100-240 V"])
def test_two_voltages_that_are_not_two_legs_are_refused(text: str) -> None:
    assert "give" in problem(text, "v")


def test_an_amount_keeps_its_authors_text_through_a_copy_and_loses_it_in_arithmetic() -> None:
    amount = parse_amount("150 mm", "m")
    assert (copy.deepcopy(amount).text, type(amount * 2)) == ("150 mm", float)
    assert isinstance(amount, Amount)


@pytest.mark.parametrize(
    ("value", "suffix", "text"),
    [
        (0.15, "m", "150 mm"), (1.5, "m", "1.5 m"), (0.9996, "m", "1 m"), (0.0, "m", "0 m"), (12.5, "a", "12.5 A"),
        (1200.0, "w", "1.2 kW"), (999.6, "w", "1 kW"), (0.85, "frac", "85 %"), (3000.0, "a", "3 kA"),
        (0.002, "ohm", "2 mΩ"), (1234.0, "ah", "1234 Ah"), (-10.0, "c", "-10 °C"), (-0.0028, "per_k", "-0.28 %/K"),
        (30.0, "deg", "30°"), (120.5, "price", "120.50"), (120.0, "price", "120"), (0.5, "h", "30 min"),
        (5.0, "h_per_day", "5 h/day"), (-5.0, "a", "-5 A"), (2560.0, "wh", "2.56 kWh"), (1e-9, "a", "0.000001 mA"),
    ],
)  # fmt: skip
def test_an_amount_is_printed_as_a_person_would_write_it(value: float, suffix: str, text: str) -> None:
    assert format_amount(value, suffix) == text


def test_every_quantity_has_a_described_suffix() -> None:
    assert set(SUFFIXES) == set(QUANTITIES)


@pytest.mark.parametrize("suffix", sorted(QUANTITIES))
def test_the_examples_in_a_message_are_themselves_accepted(suffix: str) -> None:
    examples = QUANTITIES[suffix].examples
    assert [parse_amount(example, suffix).text for example in examples] == list(examples)


@pytest.mark.parametrize("suffix", sorted(QUANTITIES))
def test_every_other_spelling_names_a_unit_of_its_quantity(suffix: str) -> None:
    quantity = QUANTITIES[suffix]
    assert set(quantity.aliases.values()) | set(quantity.shown) <= set(quantity.units)


def test_a_whole_number_too_long_to_print_is_refused() -> None:
    assert problem(10**5000, "w") == "a power can't be above 1000000000 W, as in 36 W or 1.5 kW"
