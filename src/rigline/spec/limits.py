"""How large a spec may be, and amounts that are well written and can't be meant: a battery of 0 V, air of 35 K.

The limits say what is senseless, not what is unsafe: that is the checks' business. They keep a slip of the pen from
reaching a division or from passing as a fact, and a file of another kind, or one that means harm, from taking all the
time and memory there is. Every limit on the form of a spec is stated here.
"""

from __future__ import annotations

from typing import Final

from rigline.units import LARGEST_MAGNITUDE, LONGEST_AMOUNT_CHARACTERS

LARGEST_FILE_BYTES: Final = 2_000_000
"""Twenty times the largest spec a person would write.

Ten megabytes of comment alone take far over ten seconds to read."""

DEEPEST_NESTING: Final = 50
"""Levels of lists within lists; a spec needs about five."""

MOST_VALUES: Final = 20_000
"""Keys and values in one spec, aliases counted as often as they are used; a large spec has some thousands."""

MOST_COMPONENTS: Final = 5_000
"""Largest number of components, and of entries in any list at the top (runs, waivers, revisions, parts files)."""

LONGEST_ID_CHARACTERS: Final = 40
"""What a wire label of ordinary length takes; common practice is under ten."""

LONGEST_TEXT_CHARACTERS: Final = 300
"""More than any name or note needs; a longer one does not fit a drawing."""

MOST_OF_ONE: Final = 10_000
"""Largest count (of modules, ways, conductors) that is taken for meant."""

LARGEST_STAGE: Final = 99
"""More stages than anyone builds in."""

MOST_PROBLEMS: Final = 100
"""Problems with control characters that are listed at once; a file of another kind would give one for each line."""

LIMITS: Final = (
    ("size of a file", f"{LARGEST_FILE_BYTES // 1_000_000} MB"),
    ("values, each key and each entry of a list counted", f"{MOST_VALUES}"),
    ("levels of lists within lists", f"{DEEPEST_NESTING}"),
    ("components", f"{MOST_COMPONENTS}"),
    ("runs; waivers; revisions; parts files", f"{MOST_COMPONENTS}"),
    ("length of an id", f"{LONGEST_ID_CHARACTERS} characters"),
    ("length of a name, note or other text", f"{LONGEST_TEXT_CHARACTERS} characters"),
    ("length of an amount", f"{LONGEST_AMOUNT_CHARACTERS} characters"),
    ("an amount, in the unit its key is listed with", f"{LARGEST_MAGNITUDE}"),
    ("a count or a plain number", f"{MOST_OF_ONE}"),
    ("a stage", f"{LARGEST_STAGE}"),
)
"""What is limited, and how much it may be, for the docs."""

COLDEST_AIR_C: Final = -89.2
"""Lowest air temperature measured on the ground. Source: World Meteorological Organization (Vostok, 1983)."""

MOST_LATITUDE_DEG: Final = 90.0
"""The poles; by definition."""

MOST_ANGLE_DEG: Final = 360.0
"""A full turn; by definition."""

_MAY_BE_ZERO: Final = frozenset({"drop_v"})
"""The voltages that can be nothing: a drop."""

_NEVER_ZERO: Final = frozenset(
    {"rating_a", "capacity_ah", "capacity_wh", "internal_resistance_ohm", "efficiency_frac", "short_circuit_a",
     "interrupting_a", "loop_impedance_ohm", "subtransient_reactance_frac", "impedance_frac",
     "usable_frac", "autonomy_h"}
)  # fmt: skip
"""Other fields where nothing is no value: a rating of 0 A is no rating, and unknown is written so."""


def senseless(value: float, field: str, suffix: str) -> str:
    """What is wrong with a value that can't be meant, as a requirement; empty if it can be.

    Example:
        >>> senseless(9.0, "efficiency_frac", "frac"), senseless(0.9, "efficiency_frac", "frac")
        ('a share is at most 100 %', '')
    """
    if value == 0 and (field in _NEVER_ZERO or (suffix == "v" and field not in _MAY_BE_ZERO)):
        return "it can't be zero; write unknown if nobody knows it"
    if suffix == "frac" and value > 1:
        return "a share is at most 100 %"
    if suffix == "c" and value < COLDEST_AIR_C:
        return f"no air on earth is colder than {COLDEST_AIR_C} °C"
    if suffix == "deg" and abs(value) > (MOST_LATITUDE_DEG if field == "latitude_deg" else MOST_ANGLE_DEG):
        return f"give an angle of at most {MOST_LATITUDE_DEG if field == 'latitude_deg' else MOST_ANGLE_DEG:.0f}°"
    return ""
