"""What is bought beside the components: terminals, tube, rolls of wire, and how a wire lands on each kind of thing.

All of it is trade practice, kept as tables so that a person can lay them beside a shop's list. It says what is sold,
never how much of it a system needs.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from rigline.standards.cables import single_core
from rigline.standards.tables import Table, table
from rigline.standards.wire import WireSize, standard_sizes

LARGEST_CRIMP_TERMINAL_MM2 = 6.7
"""Up to 10 AWG and 6 mm² a ring terminal is crimped by hand; above it a lug by a hex crimper. Source: common practice:
insulated terminals end at 12-10 AWG (6.64 mm² by UL 486A-486B, from memory)."""

TUBE_OVER_CABLE_FRAC = 1.2
"""Bore of the tube as sold, over the widest thing it must pass. Source: common practice (20 to 30 %)."""

COPPER_KG_PER_M_MM2 = 8.89e-3
"""Mass of a metre of copper of one square millimetre. Source: IEC 60028, density 8.89 g/cm³."""
LAY_FRAC = 1.02
"""Strands lie in a spiral and are that much longer. Source: NEC Chapter 9 Table 8, 1.018 to 1.026."""

LOOM_FILL_FRAC = {1: 0.53, 2: 0.31}
"""Share of a conduit's area that one and two cables may fill. Source: NEC Chapter 9 Table 1, from memory."""
LOOM_FILL_MANY_FRAC = 0.40
"""The same for three and more. Source: NEC Chapter 9 Table 1, from memory."""


class Tube(Struct, frozen=True):
    """A size of adhesive-lined heat shrink, three to one."""

    text: str
    supplied_mm: float
    recovered_mm: float


class Rolls(Struct, frozen=True):
    """The rolls that a wire is sold in, in one unit."""

    lengths: tuple[float, ...]
    """Ascending; (1,) for what is cut from the drum."""
    unit: str
    """ft or m."""
    from_drum: bool


def is_lug_size(size: WireSize) -> bool:
    """Whether an end of a size takes a tube lug and a hex crimper, not a hand-crimped terminal."""
    return size.area_mm2 > LARGEST_CRIMP_TERMINAL_MM2


def crimp_range(size: WireSize) -> tuple[str, str] | None:
    """Wire range and colour of the insulated crimp terminal for a size; None where lugs begin.

    >>> from rigline.standards.wire import parse_wire_size
    >>> crimp_range(parse_wire_size("14 AWG"))
    ('16-14 AWG (1.5-2.5 mm²)', 'blue')
    """
    figures = table("crimp_terminals")
    key = figures.key_spanning(size.area_mm2)
    words = figures.text(key, "range"), figures.text(key, "colour")
    return None if words[0] is None or words[1] is None else (words[0], words[1])


def ferrule_mm2(size: WireSize) -> float | None:
    """Section of the ferrule for a size; None where none is made. Source: DIN 46228.

    >>> from rigline.standards.wire import parse_wire_size
    >>> ferrule_mm2(parse_wire_size("14 AWG"))
    2.5
    """
    figures = table("ferrules")
    if not size.is_metric:
        return figures.number(size.text, "ferrule")
    made = {value for key in figures.rows if (value := figures.number(key, "ferrule")) is not None} | {0.75, 1.0}
    return size.area_mm2 if size.area_mm2 in made else None


def tube_over(size: WireSize) -> Tube | None:
    """The smallest tube that goes over a lug of a size; None where none is wide enough or no diameter is known.

    >>> from rigline.standards.wire import parse_wire_size
    >>> tube_over(parse_wire_size("6 AWG")).text, tube_over(parse_wire_size("35 mm²")).text
    ('1/2 in', '18/6 mm')
    """
    outside_mm = outside_at_most(size)
    if outside_mm is None:
        return None
    fits = (tube for tube in _tubes("metric" if size.is_metric else "inch")
            if tube.supplied_mm >= outside_mm * TUBE_OVER_CABLE_FRAC and tube.recovered_mm < outside_mm)  # fmt: skip
    return next(fits, None)


def _tubes(system: str) -> Iterator[Tube]:
    figures = table("heat_shrink")
    for key, row in figures.rows.items():
        if row["system"] == system:
            yield Tube(str(key), figures.number(key, "supplied") or 0.0, figures.number(key, "recovered") or 0.0)


def outside_of(size: WireSize) -> float | None:
    """Outside diameter of a single-core cable in mm; None where no figure is at hand."""
    body = single_core(size)
    return None if body is None else body.outside_mm


def outside_at_most(size: WireSize) -> float | None:
    """Outside diameter of a size, or of the next thicker one that is listed: what surely holds it. None above those.

    >>> from rigline.standards.wire import parse_wire_size
    >>> outside_at_most(parse_wire_size("18 AWG")), outside_at_most(parse_wire_size("3 AWG"))
    (2.8, 11.9)
    """
    series = standard_sizes("mm2" if size.is_metric else "awg")
    near = (size, *(other for other in series if other.area_mm2 > size.area_mm2))
    return next((outside for one in near if (outside := outside_of(one)) is not None), None)


def cable_kg_per_m(size: WireSize) -> float:
    """Mass of a metre of insulated single-core copper cable.

    A metric size that its table holds weighs that; any other its bare copper and what insulation adds to it.

    >>> from rigline.standards.wire import parse_wire_size
    >>> round(cable_kg_per_m(parse_wire_size("4/0 AWG")), 2), round(cable_kg_per_m(parse_wire_size("18 AWG")), 4)
    (1.22, 0.0119)
    """
    body = single_core(size)
    listed = None if body is None or body.mass_kg_per_km is None else body.mass_kg_per_km / 1000
    if listed is not None and size.is_metric:
        return listed
    bare = listed if listed is not None else COPPER_KG_PER_M_MM2 * size.area_mm2 * LAY_FRAC
    factors = table("insulation_mass")
    return bare * (factors.number(factors.key_spanning(size.area_mm2), "factor") or 1.0)


def rolls_of(size: WireSize) -> Rolls:
    """How a size is sold: in rolls, or cut to the foot or metre where a lug goes on it."""
    figures = table("sold_lengths")
    key = "mm2" if size.is_metric else "awg"
    unit = figures.text(key, "unit") or "m"
    if is_lug_size(size):
        return Rolls((1.0,), unit, from_drum=True)
    lengths = figures.cell(key, "rolls")
    return Rolls(tuple(float(x) for x in lengths) if isinstance(lengths, tuple) else (1.0,), unit, from_drum=False)


def loom_over(outside_mm: float, count: int) -> str | None:
    """The smallest loom or conduit for some cables of one diameter; None if none is wide enough.

    >>> loom_over(19.6, 2), loom_over(4.8, 1)
    ('2 in (50 mm)', '3/8 in (10 mm)')
    """
    fill = LOOM_FILL_FRAC.get(count, LOOM_FILL_MANY_FRAC)
    figures = table("loom_bores")
    return figures.text(figures.key_reaching(float((count * outside_mm**2 / fill) ** 0.5)), "name")


def landing_of(kind: str, *of: str) -> str | None:
    """How a wire lands on a kind: stud, clamp, lead, plug or rod; None where the kind doesn't tell.

    Args:
        of: What narrows it down, best first: style, then medium (dc, ac, earth).
    """
    figures = table("terminations")
    return next((found for narrow in (*of, None) if (found := figures.text((kind, narrow), "landing"))), None)


def lead_time(kind: str, *of: str) -> str | None:
    """Why a kind is ordered weeks ahead; None if it isn't."""
    figures = table("long_lead")
    return next((found for narrow in (*of, None) if (found := figures.text((kind, narrow), "why"))), None)


def colour_of(profile: str, function: str) -> str:
    """Colour of the insulation by what a conductor carries; "any colour but red and green" for a signal.

    Args:
        profile: Rule set, as in us-boat.
        function: + - bond L1 L2 N PE.

    >>> colour_of("us-boat", "-"), colour_of("us-rv", "-"), colour_of("eu-caravan", "L1")
    ('yellow', 'black', 'brown')
    """
    colours: Table = table("conductor_colours")
    rules = (profile, "us" if profile.startswith("us-") else "iec")
    return next((c for one in rules if (c := colours.text((one, function), "colour"))), "any colour but red and green")
