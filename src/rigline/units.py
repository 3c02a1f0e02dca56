"""People write quantities with units; the rest of the program calculates with plain floats in one unit each.

This is the only place where a unit's name is read or printed. A name ends in the suffix of its unit (`length_m`,
`rating_a`); `SUFFIXES` lists them. What can be read in two ways is refused with the question it raises, because a
guess between feet and metres, or 1.2 and 1200, chooses a wrong cable. Nothing here knows specs, files or wire sizes.
"""

import math
import re
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Final

from msgspec import Struct, field

from rigline.unit_system import shown_system

LONGEST_AMOUNT_CHARACTERS: Final = 80
"""More than any amount needs; a longer text is a mistake (a whole line pasted into a field)."""

LARGEST_MAGNITUDE: Final = 10**9
"""Beyond every quantity of a small system in any base unit used here, so a larger one is a slip of the pen."""

SPLIT_LEG_V: Final = (100, 130)
"""Range of the leg voltage of a three-wire supply (100/200, 120/240 V). Common practice; 12/24 V on a label means
one or the other, and is refused."""


class UnitProblem(ValueError):
    """What an author wrote isn't an amount of the quantity asked for.

    Attributes:
        expected: What would be right, with two examples ("a length, as in 3 m or 10 ft").
    """

    def __init__(self, message: str, expected: str) -> None:
        super().__init__(message)
        self.expected = expected


class Amount(float):
    """A float in the base unit of its quantity that remembers the author's own text. Arithmetic gives plain floats.

    Attributes:
        text: As the author wrote it, for labels and messages.
        legs: 2 for a split voltage ("120/240 V", whose value is that of one leg), otherwise 1.

    Example:
        >>> Amount(0.15, "150 mm").text, Amount(0.15, "150 mm") * 2
        ('150 mm', 0.3)
    """

    text: str
    legs: int

    def __new__(cls, value: float, text: str = "", legs: int = 1) -> "Amount":
        amount = super().__new__(cls, value)
        amount.text = text
        amount.legs = legs
        return amount


class Unit(Struct, frozen=True):
    """A unit as a straight line to the base unit: base value = (written value - zero) x factor."""

    factor: Fraction
    zero: Fraction = Fraction(0)


class Quantity(Struct, frozen=True):
    """One kind of amount: which units it's written in, and what a number without unit means.

    Attributes:
        name: With its article, as it stands in a message ("a length").
        base: The unit of the float. Its symbol for people; empty where there is none.
        units: Symbol -> unit. The first spelling of each is the one shown to people.
        aliases: Other spellings (without spaces) -> symbol.
        examples: Two ways to write it.
        bare: A number without unit is in the base unit. Otherwise it's refused.
        lowest: Smallest value allowed, in base units.
        highest: Largest value allowed, in base units.
        shown: Units used for printing, largest first.
    """

    name: str
    base: str
    units: Mapping[str, Unit]
    examples: tuple[str, str]
    aliases: Mapping[str, str] = field(default_factory=dict)
    bare: bool = False
    lowest: Fraction = Fraction(0)
    highest: Fraction = Fraction(LARGEST_MAGNITUDE)
    shown: tuple[str, ...] = ()

    @property
    def as_in(self) -> str:
        """The two examples as the tail of a sentence."""
        return f"as in {self.examples[0]} or {self.examples[1]}"

    @property
    def expected(self) -> str:
        """What is asked for, with the two examples."""
        return f"{self.name}, {self.as_in}"


def _units(**factors: str) -> dict[str, Unit]:
    return {symbol: Unit(Fraction(factor)) for symbol, factor in factors.items()}


ABSOLUTE_ZERO_C: Final = Fraction("-273.15")
"""0 K in degrees Celsius, exact by definition (SI Brochure, 9th edition, 2.3.1)."""

# Inch, foot and avoirdupois pound are exact by definition (NIST SP 811, appendix B.8).
_LENGTHS_M = _units(m="1", mm="0.001", cm="0.01", km="1000", ft="0.3048") | {"in": Unit(Fraction("0.0254"))}
_LENGTH_ALIASES = {
    "metre": "m", "metres": "m", "meter": "m", "meters": "m", "millimetres": "mm", "millimeters": "mm",
    "'": "ft", "foot": "ft", "feet": "ft", '"': "in", "''": "in", "inch": "in", "inches": "in",
}  # fmt: skip
_TIMES_H = {"h": Unit(Fraction(1)), "min": Unit(Fraction(1, 60)), "s": Unit(Fraction(1, 3600))} | _units(days="24")
_TIME_ALIASES = {
    "hr": "h", "hrs": "h", "hour": "h", "hours": "h", "mins": "min", "minute": "min", "minutes": "min",
    "sec": "s", "second": "s", "seconds": "s", "day": "days", "d": "days",
}  # fmt: skip
_PER_DAY_ALIASES = {
    f"{spelling}{per}": f"{symbol}/day"
    for spelling, symbol in {"h": "h", "min": "min", **_TIME_ALIASES}.items()
    if symbol in ("h", "min")
    for per in ("/day", "/d", "perday", "aday")
}
_UNLIMITED: Final = Fraction(-LARGEST_MAGNITUDE)


def _scaled(units: Mapping[str, Unit], factor: int) -> dict[str, Unit]:
    """The same units for a base unit that is smaller by a factor."""
    return {symbol: Unit(unit.factor * factor) for symbol, unit in units.items()}


QUANTITIES: Final[Mapping[str, Quantity]] = {
    "v": Quantity(
        "a voltage", "V", _units(V="1", mV="0.001", kV="1000"), ("25.6 V", "230 V"),
        {"volt": "V", "volts": "V", "VDC": "V", "VAC": "V", "V~": "V", "kVAC": "kV", "kVDC": "kV", "mVDC": "mV"},
        bare=True, shown=("kV", "V", "mV"),
    ),
    "a": Quantity(
        "a current", "A", _units(A="1", mA="0.001", kA="1000"), ("20 A", "3 kA"),
        {"amp": "A", "amps": "A", "ampere": "A", "amperes": "A", "ADC": "A", "AAC": "A"},
        bare=True, shown=("kA", "A", "mA"),
    ),
    # Apparent power is counted as active power: the larger current of the two readings is then the one assumed.
    "w": Quantity(
        "a power", "W", _units(W="1", mW="0.001", kW="1000", VA="1", kVA="1000"), ("36 W", "1.5 kW"),
        {"watt": "W", "watts": "W", "Wp": "W", "kWp": "kW"}, bare=True, shown=("kW", "W", "mW"),
    ),
    "wh": Quantity(
        "an energy", "Wh", _units(Wh="1", kWh="1000"), ("640 Wh", "2.5 kWh"), {"W·h": "Wh", "kW·h": "kWh"},
        bare=True, shown=("kWh", "Wh"),
    ),
    "ah": Quantity(
        "a capacity", "Ah", _units(Ah="1", mAh="0.001"), ("100 Ah", "7.2 Ah"), {"A·h": "Ah", "amphours": "Ah"},
        bare=True, shown=("Ah", "mAh"),
    ),
    "m": Quantity("a length", "m", _LENGTHS_M, ("3 m", "10 ft"), _LENGTH_ALIASES, shown=("m", "mm")),
    "mm": Quantity("a length", "mm", _scaled(_LENGTHS_M, 1000), ("90 mm", "3.5 in"), _LENGTH_ALIASES, shown=("mm",)),
    "mm2": Quantity(
        "an area", "mm²", {"mm²": Unit(Fraction(1)), "cm²": Unit(Fraction(100))}, ("35 mm²", "35 mm2"),
        {"mm2": "mm²", "mm^2": "mm²", "sqmm": "mm²", "cm2": "cm²"}, shown=("mm²",),
    ),
    "c": Quantity(
        "a temperature", "°C",
        {"°C": Unit(Fraction(1)), "°F": Unit(Fraction(5, 9), zero=Fraction(32)),
         "K": Unit(Fraction(1), zero=-ABSOLUTE_ZERO_C)},
        ("35 °C", "95 °F"),
        {"C": "°C", "degC": "°C", "celsius": "°C", "F": "°F", "degF": "°F", "fahrenheit": "°F", "kelvin": "K"},
        lowest=ABSOLUTE_ZERO_C, shown=("°C",),
    ),
    "ohm": Quantity(
        "a resistance", "Ω", _units(Ω="1", mΩ="0.001", μΩ="0.000001"), ("2 mΩ", "0.05 ohm"),
        {"ohm": "Ω", "ohms": "Ω", "mohm": "mΩ", "mohms": "mΩ", "milliohm": "mΩ", "milliohms": "mΩ", "uohm": "μΩ",
         "uΩ": "μΩ", "μohm": "μΩ", "microohm": "μΩ", "microohms": "μΩ"},
        shown=("Ω", "mΩ", "μΩ"),
    ),
    "kg": Quantity(
        "a mass", "kg", _units(kg="1", g="0.001", lb="0.45359237"), ("22 kg", "48 lb"),
        {"lbs": "lb", "pound": "lb", "pounds": "lb", "gram": "g", "grams": "g", "kilogram": "kg", "kilograms": "kg"},
        shown=("kg", "g"),
    ),
    "frac": Quantity(
        "a share", "", {"%": Unit(Fraction(1, 100))}, ("85 %", "0.85"), {"percent": "%"}, bare=True, shown=("%",),
    ),
    "h": Quantity("a time", "h", _TIMES_H, ("3 h", "45 min"), _TIME_ALIASES, shown=("h", "min", "s")),
    "s": Quantity("a time", "s", _scaled(_TIMES_H, 3600), ("30 s", "5 min"), _TIME_ALIASES, shown=("s",)),
    "h_per_day": Quantity(
        "a time per day", "h/day", {"h/day": Unit(Fraction(1)), "min/day": Unit(Fraction(1, 60))},
        ("3 h/day", "90 min/day"), _PER_DAY_ALIASES, highest=Fraction(24), shown=("h/day",),
    ),
    "per_k": Quantity(
        "a temperature coefficient", "/K", {"%/K": Unit(Fraction(1, 100)), "/K": Unit(Fraction(1))},
        ("-0.28 %/K", "-0.0028 /K"),
        {"%/°C": "%/K", "%/C": "%/K", "%/degC": "%/K", "1/K": "/K", "/°C": "/K", "/C": "/K", "1/°C": "/K"},
        lowest=_UNLIMITED, shown=("%/K",),
    ),
    "hz": Quantity("a frequency", "Hz", _units(Hz="1"), ("50 Hz", "60 Hz"), {"hertz": "Hz"}, bare=True, shown=("Hz",)),
    "deg": Quantity(
        "an angle", "°", {"°": Unit(Fraction(1))}, ("30°", "30 deg"), {"deg": "°", "degree": "°", "degrees": "°"},
        bare=True, lowest=_UNLIMITED, shown=("°",),
    ),
    "price": Quantity("a price", "", {}, ("120", "120 EUR"), bare=True),
}  # fmt: skip
"""Suffix of a name -> what it measures and how people write it. The authority on units."""

SUFFIXES: Final[Mapping[str, str]] = {
    "v": "volt",
    "a": "ampere",
    "w": "watt (and volt-ampere, counted as watt)",
    "wh": "watt-hour",
    "ah": "ampere-hour",
    "m": "metre",
    "mm": "millimetre",
    "mm2": "square millimetre",
    "c": "degree Celsius",
    "ohm": "ohm",
    "kg": "kilogram",
    "frac": "share of one (0.85 is 85 %)",
    "h": "hour",
    "s": "second",
    "h_per_day": "hour per day, at most 24",
    "per_k": "share of one per kelvin (-0.0028 is -0.28 %/K)",
    "hz": "hertz",
    "deg": "degree of angle",
    "price": "amount of money in the author's currency",
}
"""Suffix of a name -> the unit it stands for. Suffixes may be joined by `_per_`, as in `resistance_ohm_per_m`."""

_LOOK_ALIKES = str.maketrans(
    {
        "\u00b5": "μ", "\u2126": "Ω", "\u2212": "-", "\u2010": "-", "\u2013": "-", "\u00a0": " ", "\u202f": " ",
        "\u2009": " ", "\u2007": " ", "\u00ba": "°", "\u2032": "'", "\u2019": "'", "\u2033": '"', "\u201d": '"',
        "\u2103": "°C", "\u2109": "°F", "\u22c5": "·", "\t": " ",
    }
)  # fmt: skip
"""Characters that look like the ones used here, as word processors and data sheets write them."""

# Space between groups of three digits is allowed by the SI Brochure (9th edition, 5.4.4); point and comma are both
# decimal markers there.
_NUMBER = r"[+-]?(?:[0-9]{1,3}(?: [0-9]{3})+(?:[.,][0-9]+)?|[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?:[eE][+-]?[0-9]{1,3})?"
_AMOUNT = re.compile(rf"(?P<number>{_NUMBER}) *(?P<unit>[^0-9]?.*)")
_THOUSANDS_COMMA = re.compile(r"[+-]?(?P<whole>[1-9][0-9]{0,2}),(?P<rest>[0-9]{3})(?![0-9])")
_BROKEN_NUMBER = re.compile(r"[+-]?[0-9][0-9.,_]*[.,_][0-9]+[.,_][0-9]|[+-]?[0-9]+_")
_FEET_AND_INCHES = re.compile(
    r"(?P<feet>[0-9]+) *(?:ft|foot|feet|') *-? *(?P<inches>[0-9]+(?:[.,][0-9]+)?) *(?:in|inch|inches|\"|'')", re.I
)
_SPLIT = re.compile(r"(?P<leg>[0-9]+(?:\.[0-9]+)?) */ *(?P<both>[0-9]+(?:\.[0-9]+)?) *(?P<unit>[^0-9/]*)")
_MONEY = re.compile(rf"(?:[A-Z]{{3}}|[€£$¥])? *(?P<number>{_NUMBER}) *(?:[A-Z]{{3}}|[€£$¥])?")


def parse_amount(text: object, suffix: str) -> Amount:
    """What an author wrote, as a float in the base unit of the suffix.

    The decimal marker is a point or a comma; a comma before exactly three digits is refused (1,200: 1200 or 1.2?),
    groups of three digits may be set apart by spaces (1 200 W). An int or float counts as a number without unit.

    Raises:
        UnitProblem: It isn't such an amount, its unit is missing and could be one of two, it is negative where that
            makes no sense, or too large to be meant.

    Example:
        >>> parse_amount("150 mm", "m"), parse_amount("120/240 V", "v").legs
        (0.15, 2)
    """
    quantity = QUANTITIES[suffix]
    if isinstance(text, str):
        return _parse_text(text, quantity)
    if isinstance(text, bool) or not isinstance(text, int | float):
        raise UnitProblem(f"give {quantity.expected}", quantity.expected)
    return Amount(_bare(_fraction(text, quantity), quantity), _number_text(text))


def parse_voltage(text: object) -> Amount:
    """A voltage, plain or split: "120/240 V" is 120 V in each of two legs.

    Raises:
        UnitProblem: As for `parse_amount`; also for pairs that aren't one leg and twice that.
    """
    return parse_amount(text, "v")


_FROM_FEET_M: Final = 0.6096
"""From two feet up a length is told in feet, below in inches. Our own choice."""
_US_UNITS: Final[Mapping[str, str]] = {"mm": "in", "kg": "lb", "c": "°F"}


def length_unit(*lengths_m: float) -> str:
    """The unit in which lengths that are compared with each other are printed: m, or ft, or in where one is short."""
    if shown_system() == "metric":
        return "m"
    return "in" if min(lengths_m) < _FROM_FEET_M else "ft"


def in_unit(value: float, suffix: str, symbol: str) -> float:
    """A value of the suffix's base unit in another of its units.

    Example:
        >>> round(in_unit(0.3048, "m", "ft"), 6), in_unit(40.0, "c", "°F")
        (1.0, 104.0)
    """
    unit = QUANTITIES[suffix].units[symbol]
    return value / float(unit.factor) + float(unit.zero)


def format_amount(value: float, suffix: str) -> str:
    """An amount as an author would write it: three significant digits, whole numbers whole, the handiest unit.

    Example:
        >>> format_amount(0.15, "m"), format_amount(1234.0, "w"), format_amount(0.002, "ohm")
        ('150 mm', '1.23 kW', '2 mΩ')
    """
    quantity = QUANTITIES[suffix]
    if shown_system() == "us" and (suffix in _US_UNITS or suffix == "m"):
        symbol = length_unit(abs(value)) if suffix == "m" else _US_UNITS[suffix]
        return f"{_digits(in_unit(value, suffix, symbol))} {symbol}"
    if not quantity.shown:
        return f"{value:.2f}".removesuffix(".00")
    symbol = _shown_unit(value, quantity)
    number = _digits(value / float(quantity.units[symbol].factor))
    return f"{number}{symbol}" if symbol == "°" else f"{number} {symbol}"


def _parse_text(text: str, quantity: Quantity) -> Amount:
    if len(text) > LONGEST_AMOUNT_CHARACTERS:
        raise UnitProblem(
            f"an amount has at most {LONGEST_AMOUNT_CHARACTERS} characters, {quantity.as_in}", quantity.expected
        )
    plain = text.translate(_LOOK_ALIKES).strip()
    _refuse_unclear_number(plain, quantity)
    if quantity.base == "V" and (split := _SPLIT.fullmatch(plain)):
        return _split_voltage(split, text, quantity)
    if "ft" in quantity.units and (compound := _FEET_AND_INCHES.fullmatch(plain)):
        return Amount(_feet_and_inches(compound, quantity), text)
    if not quantity.units:
        money = _MONEY.fullmatch(plain)
        plain = money["number"] if money else plain
    return Amount(_number_and_unit(plain, quantity), text)


def _number_and_unit(plain: str, quantity: Quantity) -> float:
    match = _AMOUNT.fullmatch(plain)
    if not match:
        raise UnitProblem(f"give {quantity.expected}", quantity.expected)
    number = _read_number(match["number"])
    if not match["unit"]:
        return _bare(number, quantity)
    return _base_value(number, _find_unit(match["unit"], quantity), quantity)


def _read_number(digits: str) -> Fraction:
    """The number in a text that `_NUMBER` has matched."""
    return Fraction(digits.replace(" ", "").replace(",", "."))


def _refuse_unclear_number(plain: str, quantity: Quantity) -> None:
    if comma := _THOUSANDS_COMMA.match(plain):
        whole, rest = comma["whole"], comma["rest"]
        small = f"{whole}.{rest}".rstrip("0").rstrip(".")
        raise UnitProblem(
            f"is {whole},{rest} {whole}{rest} or {small}? write it without the comma, {quantity.as_in}",
            quantity.expected,
        )
    if _BROKEN_NUMBER.match(plain):
        raise UnitProblem(
            f"write the number with one decimal point and nothing between its digits, {quantity.as_in}",
            quantity.expected,
        )


def _split_voltage(split: re.Match[str], text: str, quantity: Quantity) -> Amount:
    """Both voltages of a three-wire supply; the value is that from one leg to neutral."""
    unit = _find_unit(split["unit"] or "V", quantity)
    leg_v, both_v = (Fraction(split[part]) * unit.factor for part in ("leg", "both"))
    if not SPLIT_LEG_V[0] <= leg_v <= SPLIT_LEG_V[1] or both_v != 2 * leg_v:
        raise UnitProblem(
            "which of the two voltages is it? give one, as in 24 V; only a supply of two legs has two, as in 120/240 V",
            quantity.expected,
        )
    return Amount(float(leg_v), text, legs=2)


def _feet_and_inches(compound: re.Match[str], quantity: Quantity) -> float:
    inches_in_a_foot = 12
    inches = _read_number(compound["inches"])
    if inches >= inches_in_a_foot:
        raise UnitProblem(f"give fewer than 12 inches behind the feet, {quantity.as_in}", quantity.expected)
    return _base_value(int(compound["feet"]) * inches_in_a_foot + inches, quantity.units["in"], quantity)


LIKE_MEGA = ("M", "\u039c")
"""The Latin and the Greek capital; nobody can tell them apart."""


def _find_unit(written: str, quantity: Quantity) -> Unit:
    """The unit of that spelling.

    Capitals don't matter where they can't change the meaning. They do for a capital M: it would be mega, and the
    units here that start with m are milli, metre and minute. The Greek capital looks the same, and its small letter is
    micro.
    """
    spelling = written.replace(" ", "")
    known = {**quantity.aliases, **{symbol: symbol for symbol in quantity.units}}
    symbol = known.get(spelling)
    if symbol is None and not spelling.startswith(LIKE_MEGA):
        symbol = {name.casefold(): known[name] for name in known}.get(spelling.casefold())
    if symbol is None:
        raise UnitProblem(_unknown_unit(written, spelling, quantity), quantity.expected)
    return quantity.units[symbol]


def _unknown_unit(written: str, spelling: str, quantity: Quantity) -> str:
    if not quantity.units:
        return f"give {quantity.expected}"
    for other in QUANTITIES.values():
        if spelling in other.units or spelling in other.aliases:
            return f"{written} is the unit of {other.name}; give {quantity.expected}"
    return f"{written!r} isn't one of the units {', '.join(quantity.units)}; give {quantity.expected}"


def _bare(number: Fraction, quantity: Quantity) -> float:
    """The base value of a number without unit."""
    if not quantity.bare:
        raise UnitProblem(f"give a unit, {quantity.as_in}", quantity.expected)
    if "%" in quantity.units and number > 1:
        raise UnitProblem(f"is it a percentage, or a share of one? give a unit, {quantity.as_in}", quantity.expected)
    return _base_value(number, Unit(Fraction(1)), quantity)


def _base_value(number: Fraction, unit: Unit, quantity: Quantity) -> float:
    """The float nearest to the exact value, so 35 % is 0.35 and 150 mm is 0.15."""
    value = (number - unit.zero) * unit.factor
    if value < quantity.lowest:
        limit = _limit_text(quantity.lowest, quantity)
        raise UnitProblem(f"{quantity.name} can't be below {limit}, {quantity.as_in}", quantity.expected)
    if value > quantity.highest:
        limit = _limit_text(quantity.highest, quantity)
        raise UnitProblem(f"{quantity.name} can't be above {limit}, {quantity.as_in}", quantity.expected)
    return float(value)


def _limit_text(limit: Fraction, quantity: Quantity) -> str:
    return f"{float(limit):.12g} {quantity.base}".rstrip()


def _fraction(number: float, quantity: Quantity) -> Fraction:
    if isinstance(number, float) and not math.isfinite(number):
        raise UnitProblem(f"give {quantity.expected}", quantity.expected)
    return Fraction(repr(number)) if isinstance(number, float) else Fraction(number)


def _number_text(number: float) -> str:
    return repr(number).removesuffix(".0")


def _shown_unit(value: float, quantity: Quantity) -> str:
    """The largest printed unit of which there is at least one, after rounding to three digits."""
    rounded = abs(float(f"{value:.3g}"))
    smallest = quantity.base if value == 0 and quantity.base in quantity.shown else quantity.shown[-1]
    return next((symbol for symbol in quantity.shown if rounded >= float(quantity.units[symbol].factor)), smallest)


def _digits(value: float) -> str:
    """Three significant digits without trailing zeros or exponent; whole digits are never rounded away."""
    if math.isinf(value):
        return "∞" if value > 0 else "-∞"
    # What two ways of adding up leave beyond the ninth digit must not decide which way a half is rounded.
    value = float(f"{value:.9g}")
    whole_digits_only = 1000
    if abs(value) >= whole_digits_only:
        return f"{value:.0f}"
    shown = format(Decimal(f"{value:.3g}"), "f")
    return "0" if float(shown) == 0 else shown
