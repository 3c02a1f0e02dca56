"""How much room a cable needs to turn, and where it turns: at each end, and where its run lies.

The inside of the bend may be no tighter than some diameters of the cable, and the cable itself is one diameter wide, so
the room from a terminal to the wall in front of it is their sum.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from rigline.model.system import EARTH, Segment
from rigline.standards.supplies import outside_at_most, outside_of
from rigline.standards.tables import table
from rigline.standards.wire import WireSize
from rigline.study.study import Study

CORES_ACROSS = {2: 2.0, 3: 2.155, 4: 2.414, 5: 2.701}
"""Diameter of a circle round equal cores, in diameters of one. By geometry."""
SHEATH_AT_MOST_MM = 5.0
"""What sheath and filling add at most to the diameter of a flexible cable up to 8 AWG. Source: common practice."""


class Turn(Struct, frozen=True):
    """One cable in one place."""

    segment: Segment
    at: str
    """The component where it ends there, or the run that lies there."""
    place: str
    free_mm: float | None
    """Room in the place; None if the spec does not say."""
    size: WireSize | None
    outside_mm: float | None
    """The cable's diameter; None if its size, or any figure for it, is not known."""
    is_bound: bool
    """Whether the diameter is only known to be no larger: of an unlisted size, or of a multicore cable."""
    needed_mm: float | None


def bend_diameters(profile: str, outside_mm: float) -> float:
    """Least inner bend radius of a cable, in its outside diameters.

    Source: NEC 551.47(H) in the US, EN 50525-2-31 for fixed installation elsewhere.

    >>> bend_diameters("us-rv", 14.5), bend_diameters("eu-caravan", 13.9)
    (5.0, 6.0)
    """
    figures = table("bend_radius")
    column = "us_diameters" if profile.startswith("us-") else "iec_diameters"
    return figures.number(figures.key_spanning(outside_mm), column) or 0.0


def cable_at_most_mm(size: WireSize, cores: int) -> float | None:
    """A diameter that a cable surely doesn't exceed; None above the listed sizes.

    >>> from rigline.standards.wire import parse_wire_size
    >>> round(cable_at_most_mm(parse_wire_size("12 AWG"), 3), 1)
    13.8
    """
    core = outside_at_most(size)
    if core is None or cores == 1:
        return core
    return None if cores not in CORES_ACROSS else CORES_ACROSS[cores] * core + SHEATH_AT_MOST_MM


def turning_room_mm(profile: str, outside_mm: float) -> float:
    """Room that a quarter turn takes: the inner radius and the cable.

    >>> turning_room_mm("us-rv", 14.5)
    87.0
    """
    return (bend_diameters(profile, outside_mm) + 1) * outside_mm


def turns(study: Study) -> Iterator[Turn]:
    """Every cable in every place that the spec names, each place once for a segment."""
    for segment in study.system.segments:
        run = study.system.run(segment.run)
        if segment.medium == "control" or run.spec.factory:
            continue
        spots = {run.spec.place: segment.run} if run.spec.place else {}
        for id in (segment.start.component, segment.end.component):
            place = study.system.components[id].place
            if place is not None:
                spots.setdefault(place, id)
        for place, at in spots.items():
            yield _turn(study, segment, place, at)


def _turn(study: Study, segment: Segment, place: str, at: str) -> Turn:
    known = study.system.places.get(place)
    free = None if known is None or known.free_m is None else known.free_m * 1000
    sizes = [study.wiring.size(c) for c in segment.conductors if c.pole != EARTH or segment.carries != "cores"]
    sure = [size for size in sizes if size is not None]
    size = max(sure, key=lambda one: one.area_mm2) if sure and len(sure) == len(sizes) else None
    cores = len(segment.conductors) if segment.carries == "cores" else 1
    exact = outside_of(size) if size is not None and cores == 1 else None
    outside = exact if exact is not None or size is None else cable_at_most_mm(size, cores)
    needed = None if outside is None else turning_room_mm(study.system.profile_name, outside)
    return Turn(segment, at, place, free, size, outside, exact is None, needed)
