"""The current a conductor may carry for good, under one rule set, with every correction that led to it.

Each rule set reads another table and corrects it in another order, so the answer carries its steps: a reader can
follow them with the printed table in hand. A size or temperature that the tables don't reach gives `NoAmpacity` with
the reason. Nothing here knows what the conductor feeds.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import cache

from msgspec import Struct

from rigline.standards.profiles import Choice, Medium, Profile
from rigline.standards.tables import SURENESS, Sure, Table, size_area_mm2, table
from rigline.standards.wire import CMIL_COMPARISON_FRAC, Material, WireSize

BASE_AMBIENT_C = 30.0
"""Ambient of every ampacity table used here. Source: the conditions of each table."""

ENGINE_SPACE_C = 50.0
"""Air in an engine space. Source: basis of the factors of 33 CFR 183.425 Table 5 note 1; elsewhere common practice."""

NOT_COPPER_FRAC = 0.75
"""Ampacity of aluminium and copper-clad over that of copper, size for size.

Source: the lowest ratio of the aluminium to the copper column of NEC Table 310.16 at 75 °C (3 AWG, 75 A to 100 A), from
memory. Their conductivities alone would give the square root of 0.61, or 0.78.
"""

THERMOPLASTIC_FRAC = 0.79
"""Ampacity of 70 °C insulation over 90 °C, size for size, reference method C.

Source: the lowest ratio of BS 7671 Table 4D1A to Table 4E1A (2.5 mm², 27 A to 34 A), from memory.
"""

THERMOSETTING_C = 90.0
"""Conductor temperature of BS 7671 Table 4E1A."""

THERMOPLASTIC_C = 70.0
"""Conductor temperature of BS 7671 Table 4D1A."""

BEYOND_TABLE_FRAC = 1.5
"""A conductor more than this much larger than the largest row is not read as that row. Source: a limit of ours."""


class Step(Struct, frozen=True):
    """One correction: a factor, a cap in amperes, or only a reading that the user should know of."""

    label: str
    factor: float | None
    cap_a: float | None
    source: str
    sure: Sure


class Ampacity(Struct, frozen=True):
    """What a conductor, or a set in parallel, may carry. `base_a` is the printed figure of one conductor."""

    value_a: float
    base_a: float
    steps: tuple[Step, ...]
    table: str
    sure: Sure


class NoAmpacity(Struct, frozen=True):
    """The tables of the rule set don't reach this conductor: what depends on it can't be assessed."""

    reason: str


class _Conditions(Struct, frozen=True):
    size: WireSize
    insulation_c: float
    ambient_c: float
    bundle: int
    engine_space: bool
    material: Material
    terminals_c: float | None
    parallel: int


class _Reading(Struct, frozen=True):
    """A printed figure and what was done to it, before parallel conductors are counted."""

    base_a: float
    table: Table
    sure: Sure
    steps: Sequence[Step]


class _Outside(Exception):
    """The tables don't reach; the message says why."""


def ampacity(
    profile: Profile,
    size: WireSize,
    *,
    volts_v: float,
    medium: Medium = "dc",
    insulation_c: float | None = None,
    ambient_c: float | None = None,
    bundle: int = 1,
    engine_space: bool = False,
    material: Material = "copper",
    terminals_c: float | None = None,
    parallel: int = 1,
) -> Ampacity | NoAmpacity:
    """What a conductor may carry continuously under a rule set.

    Args:
        insulation_c: Temperature class of the insulation; the profile's usual one when not given.
        ambient_c: Air around the conductor; the base of the table when not given. Cooler air earns no credit.
        bundle: Current-carrying conductors lying together for more than 600 mm, this one included.
        terminals_c: Temperature marking of the lugs and devices at both ends.
        parallel: Conductors of this size sharing the current.

    >>> from rigline.standards.profiles import profile
    >>> from rigline.standards.wire import parse_wire_size
    >>> ampacity(profile("us-boat"), parse_wire_size("10 AWG"), volts_v=12, engine_space=True).value_a
    51.0
    """
    conditions = _Conditions(
        size,
        profile.insulation_c.value if insulation_c is None else insulation_c,
        profile.ambient_c.value if ambient_c is None else ambient_c,
        bundle,
        engine_space,
        material,
        terminals_c,
        parallel,
    )
    return _solved(profile, profile.ampacity_rule(medium, volts_v), conditions)


@cache
def _solved(profile: Profile, rule: Choice, conditions: _Conditions) -> Ampacity | NoAmpacity:
    try:
        return _finished(_METHODS[rule.value](profile, conditions), conditions, rule.sure)
    except _Outside as reason:
        return NoAmpacity(str(reason))


def _finished(reading: _Reading, conditions: _Conditions, rule_sure: Sure) -> Ampacity:
    steps = list(reading.steps)
    if conditions.parallel > 1:
        label = f"{conditions.parallel} conductors in parallel, of equal size and length"
        steps.append(Step(label, float(conditions.parallel), None, "equal sharing of current", "common practice"))
    value_a = reading.base_a
    for step in steps:
        value_a = value_a * step.factor if step.factor is not None else value_a
        value_a = min(value_a, step.cap_a) if step.cap_a is not None else value_a
    # A reading alone and the equal sharing of parallel conductors say nothing of how sure the figures are.
    marks = [
        rule_sure,
        reading.sure,
        *(step.sure for step in reading.steps if step.factor is not None or step.cap_a is not None),
    ]
    return Ampacity(value_a, reading.base_a, tuple(steps), reading.table.source.cite, weakest(marks))


def weakest(marks: Sequence[Sure]) -> Sure:
    """The least sure of several figures decides how sure their product is."""
    return max(marks, key=SURENESS.index)


def _boat(profile: Profile, given: _Conditions) -> _Reading:
    return _small_craft(given, table("cfr_183_425_5"), table("cfr_engine_space"), table("boat_bundling"))


def _iso(profile: Profile, given: _Conditions) -> _Reading:
    return _small_craft(given, table("iso_small_craft"), table("iso_engine_space"), table("iso_bundling"))


def _small_craft(given: _Conditions, figures: Table, engine: Table, bundling: Table) -> _Reading:
    """Boats: the column of the insulation, the factor of the engine space or of warm air, the factor of the bundle."""
    key, steps = _row(figures, given.size)
    column_c, read = _insulation_column(figures, given.insulation_c)
    base_a = _printed(figures, key, column_c)
    heat = _engine_space(engine, column_c, given) if given.engine_space else _warm_air(column_c, given.ambient_c)
    steps = [*steps, *read, *_material(given.material), *heat, *_bundle(bundling, "factor", given.bundle)]
    return _Reading(base_a, figures, figures.sure_of(key), steps)


def _nec(profile: Profile, given: _Conditions) -> _Reading:
    """Buildings: as by insulation, then no more than the terminals bear (110.14(C))."""
    reading = _nec_insulation(profile, given)
    return _Reading(reading.base_a, reading.table, reading.sure, [*reading.steps, *_terminals(profile, given)])


def _nec_insulation(profile: Profile, given: _Conditions) -> _Reading:
    figures = table("nec_310_16_cu")
    key, steps = _row(figures, given.size)
    column_c, read = _insulation_column(figures, given.insulation_c)
    base_a = _printed(figures, key, column_c)
    steps = [*steps, *read, *_material(given.material), *_nec_ambient(column_c, given)]
    steps += _bundle(table("nec_bundling"), "percent", given.bundle)
    return _Reading(base_a, figures, figures.sure_of(key), steps)


def _bs7671(profile: Profile, given: _Conditions) -> _Reading:
    """IEC countries: method C, at the temperature that insulation and terminals both bear, grouped by circuits."""
    figures = table("bs7671_4e1a")
    key, steps = _row(figures, given.size)
    base_a = figures.number(key, "method_c")
    if base_a is None:
        raise _Outside(f"{figures.source.cite} has no figure for {key}")
    conductor_c, limited = _iec_conductor_c(profile, given)
    steps = [*steps, *limited, *_material(given.material), *_engine_as_air(conductor_c, given)]
    circuits = math.ceil(given.bundle / 2)
    return _Reading(base_a, figures, figures.sure_of(key), [*steps, *_bundle(table("bs7671_4c1"), "factor", circuits)])


_METHODS: dict[str, Callable[[Profile, _Conditions], _Reading]] = {
    "boat-table": _boat,
    "iso-table": _iso,
    "nec-310.16": _nec,
    "nec-310.16-insulation": _nec_insulation,
    "bs7671-4e1a": _bs7671,
}


@cache
def _row_areas(name: str) -> tuple[tuple[str, float], ...]:
    return tuple((str(key), size_area_mm2(str(key))) for key in table(name).rows)


def _row(figures: Table, size: WireSize) -> tuple[str, list[Step]]:
    """The row of a size; for a size that isn't printed, the next smaller one, which is named in a step."""
    key = row_for(figures, size)
    if key is None:
        raise _Outside(f"{size} lies outside {figures.source.cite}")
    if key == size.text:
        return key, []
    label = f"{size} read as {key}, the next row not larger in area"
    return key, [Step(label, None, None, figures.source.cite, figures.source.sure)]


def row_for(figures: Table, size: WireSize) -> str | None:
    """The key of the row of a size, or of the next row not larger in copper area; None outside the table."""
    if size.text in figures.rows:
        return size.text
    fitting = [
        (key, area_mm2)
        for key, area_mm2 in _row_areas(figures.name)
        if area_mm2 <= size.area_mm2 * (1 + CMIL_COMPARISON_FRAC)
    ]
    if not fitting:
        return None
    key, area_mm2 = fitting[-1]
    beyond = key == _row_areas(figures.name)[-1][0] and size.area_mm2 > area_mm2 * BEYOND_TABLE_FRAC
    return None if beyond else key


@cache
def _column_temperatures_c(name: str) -> tuple[int, ...]:
    return tuple(int(column[2:-1]) for column in table(name).units if column.startswith("a_") and column.endswith("c"))


def _insulation_column(figures: Table, insulation_c: float) -> tuple[int, list[Step]]:
    """The warmest column that the insulation bears."""
    borne = [column_c for column_c in _column_temperatures_c(figures.name) if column_c <= insulation_c]
    if not borne:
        raise _Outside(f"{figures.source.cite} has no column for {insulation_c:g} °C insulation")
    if borne[-1] == insulation_c:
        return borne[-1], []
    label = f"{insulation_c:g} °C insulation read in the {borne[-1]} °C column"
    return borne[-1], [Step(label, None, None, figures.source.cite, figures.source.sure)]


def _printed(figures: Table, key: str, column_c: int) -> float:
    value_a = figures.number(key, f"a_{column_c}c")
    if value_a is None:
        raise _Outside(f"{figures.source.cite} has no figure for {key} at {column_c} °C")
    return value_a


def _material(material: Material) -> list[Step]:
    if material == "copper":
        return []
    source = "lowest ratio of aluminium to copper in NEC Table 310.16"
    return [Step(f"{material} instead of copper", NOT_COPPER_FRAC, None, source, "from memory")]


def ambient_factor(conductor_c: float, ambient_c: float) -> float | None:
    """What warmer air leaves of an ampacity printed for 30 °C; None where nothing is left.

    The heat a conductor may shed goes with its temperature above the air, and that with the square of its current.
    It is the law behind NEC Table 310.15(B)(1)(1), which it reproduces to the printed digit.

    >>> round(ambient_factor(90, 50), 2)
    0.82
    """
    if ambient_c <= BASE_AMBIENT_C:
        return 1.0
    if ambient_c >= conductor_c:
        return None
    return math.sqrt((conductor_c - ambient_c) / (conductor_c - BASE_AMBIENT_C))


def _warm_air(conductor_c: float, ambient_c: float) -> list[Step]:
    factor = ambient_factor(conductor_c, ambient_c)
    if factor is None:
        raise _Outside(f"air at {ambient_c:g} °C leaves nothing of {conductor_c:g} °C insulation")
    if factor == 1:
        return []
    label = f"ambient {ambient_c:g} °C, square root of ({conductor_c:g} - {ambient_c:g})/({conductor_c:g} - 30)"
    return [Step(label, factor, None, "law behind NEC Table 310.15(B)(1)(1)", "verified")]


def _engine_space(engine: Table, column_c: int, given: _Conditions) -> list[Step]:
    """The printed factor; in an engine space hotter than its basis, the law of warm air if that leaves less."""
    factor = engine.number(float(column_c), "factor")
    if factor is None:
        raise _Outside(f"{engine.source.cite} has no factor for {column_c} °C insulation")
    hotter = _warm_air(column_c, given.ambient_c) if given.ambient_c > ENGINE_SPACE_C else []
    if hotter and hotter[0].factor is not None and hotter[0].factor < factor:
        return hotter
    return [Step("engine space", factor, None, engine.source.cite, engine.sure_of(float(column_c)))]


def _air_c(given: _Conditions) -> tuple[float, list[Step]]:
    """The air to correct for where a rule set has no factor for engine spaces of its own."""
    if not given.engine_space or given.ambient_c >= ENGINE_SPACE_C:
        return given.ambient_c, []
    label = f"engine space taken as {ENGINE_SPACE_C:g} °C"
    return ENGINE_SPACE_C, [Step(label, None, None, "basis of 33 CFR 183.425 Table 5 note 1", "common practice")]


def _engine_as_air(conductor_c: float, given: _Conditions) -> list[Step]:
    air_c, steps = _air_c(given)
    return [*steps, *_warm_air(conductor_c, air_c)]


def _nec_ambient(column_c: int, given: _Conditions) -> list[Step]:
    """The printed factor of the bin; between two bins the warmer one."""
    figures = table("nec_ambient")
    air_c, steps = _air_c(given)
    if air_c <= BASE_AMBIENT_C:
        return steps
    factor = figures.number(figures.key_spanning(air_c), f"f_{column_c}c")
    if factor is None:
        raise _Outside(f"{figures.source.cite} has no factor for {column_c} °C insulation at {air_c:g} °C")
    label = f"ambient {air_c:g} °C, {column_c} °C column"
    return [*steps, Step(label, factor, None, figures.source.cite, figures.source.sure)]


def _bundle(figures: Table, column: str, count: int) -> list[Step]:
    """The factor of conductors (or circuits) lying together; none where the table prints 1."""
    key = figures.key_spanning(count)
    printed = figures.number(key, column)
    if printed is None:
        raise _Outside(f"{figures.source.cite} has no factor for {count}")
    factor = printed / 100 if column == "percent" else printed
    if factor == 1:
        return []
    counted = next(iter(figures.units))
    return [Step(f"{count} {counted} together", factor, None, figures.source.cite, figures.sure_of(key))]


def _terminals(profile: Profile, given: _Conditions) -> list[Step]:
    """No more than the printed figure of the terminals' own column, uncorrected (NEC 110.14(C))."""
    figures = table("nec_310_16_cu")
    marked_c = given.terminals_c
    assumed = "" if marked_c is not None else " (assumed)"
    if marked_c is None:
        marked_c = profile.terminals_c.value if profile.terminals_c else given.insulation_c
    # Terminals marked above 75 °C are rare and their devices are tested at 75 °C: the 75 °C column is the last used.
    column_c = 75 if marked_c >= 75 else 60
    if marked_c < column_c:
        raise _Outside(f"no column of {figures.source.cite} for terminals of {marked_c:g} °C")
    key, _ = _row(figures, given.size)
    cap_a = figures.number(key, f"a_{column_c}c")
    source = f"NEC 110.14(C), {figures.source.location}"
    if cap_a is None:
        column_c, cap_a, source = 75, table("nec_240_4_d").number(key, "copper"), "NEC 240.4(D), no terminal column"
    if cap_a is None:
        raise _Outside(f"{figures.source.cite} has no figure for terminals of {marked_c:g} °C at {key}")
    cap_a *= 1.0 if given.material == "copper" else NOT_COPPER_FRAC
    return [Step(f"terminals {marked_c:g} °C{assumed}", None, cap_a, source, figures.source.sure)]


def _iec_conductor_c(profile: Profile, given: _Conditions) -> tuple[float, list[Step]]:
    """The temperature that insulation and terminals both bear, 90 °C or 70 °C, and what the cooler one costs."""
    terminals_c = given.terminals_c
    assumed = "" if terminals_c is not None else " (assumed)"
    if terminals_c is None:
        terminals_c = profile.terminals_c.value if profile.terminals_c else THERMOSETTING_C
    borne_c = min(given.insulation_c, terminals_c)
    method = Step("reference method C", None, None, "BS 7671 Table 4E1A", "verified")
    if borne_c >= THERMOSETTING_C:
        return THERMOSETTING_C, [method]
    if borne_c < THERMOPLASTIC_C:
        raise _Outside(f"no table for conductors held to {borne_c:g} °C")
    why = f"terminals {terminals_c:g} °C{assumed}" if terminals_c < given.insulation_c else "thermoplastic insulation"
    step = Step(
        f"{why}: held to 70 °C", THERMOPLASTIC_FRAC, None, "ratio of BS 7671 Tables 4D1A and 4E1A", "from memory"
    )
    return THERMOPLASTIC_C, [method, step]
