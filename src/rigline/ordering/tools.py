"""The tools that a build needs, and only those, with the sizes that they must cover."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rigline.kinds.converters import Inverter
from rigline.kinds.sources import Battery, PvArray
from rigline.ordering.fittings import WireEnd, on_studs, sizes_used, wire_ends
from rigline.ordering.item import Item
from rigline.ordering.pieces import Piece
from rigline.standards.supplies import ferrule_mm2, is_lug_size
from rigline.study.study import Study

SHEARS_MM2 = 13.0
"""From 6 AWG and 16 mm² up, shears cut what side cutters only crush. Source: common practice."""
USUAL_TORQUE_N_M = (3.0, 25.0)
"""What a torque wrench for M6 to M10 covers. Source: common practice."""
GLOVES_V = 48.0
"""From this battery voltage on, insulating gloves. Source: common practice; a charged 48 V bank stands above 50 V."""


def tools(study: Study, all: Sequence[Piece]) -> list[Item]:
    """Every tool that at least one row of the lists needs."""
    found = [*_for_wire(all), *_for_studs(study, all), *_for_tests(study), *_for_you(study)]
    return [Item(what, 1, "", (), note=note) for what, note in found]


def needs_hex_crimper(all: Sequence[Piece]) -> bool:
    """Whether any lug has to be crimped."""
    return any(is_lug_size(one.size) for one in on_studs(all))


def _for_wire(all: Sequence[Piece]) -> Iterator[tuple[str, str]]:
    ends = list(wire_ends(all))
    lugs = [one for one in ends if one.end.landing == "stud" and is_lug_size(one.size)]
    small = [one for one in ends if one.end.landing in ("stud", "lead") and not is_lug_size(one.size)]
    ferrules = [one for one in ends if _takes_ferrule(one)]
    if lugs:
        yield "hex crimper, hydraulic or long-armed", f"with dies for {', '.join(sizes_used(lugs))} lugs"
    if any(one.size.area_mm2 >= SHEARS_MM2 for one in ends):
        yield "cable shears", "side cutters crush the strands"
    if small:
        yield "ratchet crimper for insulated terminals", f"for {', '.join(sizes_used(small))}"
    if ferrules:
        sections = sorted({section for one in ferrules if (section := ferrule_mm2(one.size)) is not None})
        span = f"{sections[0]:g}" + (f" to {sections[-1]:g}" if len(sections) > 1 else "")
        yield "ferrule crimper", f"for {span} mm²"
    if ends:
        yield "wire stripper with stops", f"for {sizes_used(ends)[0]} up"
        yield "test pieces", f"crimp one sample of each size first and pull: {', '.join(sizes_used(lugs + small))}"
    if lugs or small:
        yield "heat gun", "never a flame"


def _takes_ferrule(one: WireEnd) -> bool:
    return one.end.landing == "clamp" and not one.piece.solid and ferrule_mm2(one.size) is not None


def _for_studs(study: Study, all: Sequence[Piece]) -> Iterator[tuple[str, str]]:
    ends = on_studs(all)
    studs = sorted({one.end.stud for one in ends if one.end.stud is not None}, key=lambda stud: stud.across_mm)
    known = {stud.text: stud.torque_n_m for stud in studs}
    ranges = {text: range for text, range in known.items() if range is not None}
    least, most = USUAL_TORQUE_N_M
    if ends:
        low = min([least, *(low for low, _ in ranges.values())])
        high = max([most, *(high for _, high in ranges.values())])
        printed = "; ".join(f"{text} {low:g} to {high:g} N m" for text, (low, high) in ranges.items())
        note = f"{printed} in manuals; each part's own label decides" if printed else "each part's own label decides"
        yield f"torque wrench, {low:g} to {high:g} N m", note
        yield "insulated sockets and a second spanner", ", ".join(known) or "for the studs you measure"
    if any(one.end.landing == "clamp" for one in wire_ends(all)):
        yield "torque screwdriver, 1 to 6 N m", "for clamps and breakers"
    if any(isinstance(part, PvArray) for part in study.system.components.values()):
        yield "crimp tool and spanners of the PV plug family", "other jaws make plugs that burn"


def _for_tests(study: Study) -> Iterator[tuple[str, str]]:
    yield "multimeter", "with leads that can be nulled"
    yield "DC clamp meter", "current of every branch"
    if any(run.medium == "ac" for run in study.system.runs):
        yield "socket tester, and RCD or GFCI tester", "for the AC outlets"
        yield "insulation tester, 250 and 500 V", "or ask the electrician who does the AC part"
    if any(isinstance(part, Inverter) for part in study.system.components.values()):
        yield "pre-charge resistor or lamp", "before the inverter's first connection"
    if any(isinstance(part, Battery) for part in study.system.components.values()):
        yield "5 A fuse lead or bench supply", "for the first power-up"


def _for_you(study: Study) -> Iterator[tuple[str, str]]:
    yield "safety glasses; rings and watch off", ""
    batteries = [part for part in study.system.components.values() if isinstance(part, Battery)]
    if any((part.voltage_v or 0) * part.series >= GLOVES_V for part in batteries):
        yield "insulating gloves", "48 V banks charge above 50 V"
    yield "fire extinguisher, ABC or CO2", ""
