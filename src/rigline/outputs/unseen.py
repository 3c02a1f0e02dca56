"""What no drawing can show: the workmanship that decides whether a right plan becomes a safe system."""

from __future__ import annotations

from typing import NamedTuple


class Unseen(NamedTuple):
    """One thing to look at on the real system, and who asks for it."""

    what: str
    source: str


_EVERYWHERE = (
    Unseen("Crimps: made with the tool for that lug, each one pulled by hand, no strand outside", "common practice"),
    Unseen("Torque: every stud and screw tightened to its maker's figure, and again after a month",
           "NEC 110.14(D), from memory"),
    Unseen("Covers: a boot or cap on every stud, post and bar that is always live", "33 CFR 183.445(b)"),
    Unseen("Fuses: the one in the holder is the one of the plan, rating, style and voltage", "common practice"),
    Unseen("Labels: both ends of every wire, every fuse and switch, every source", "common practice"),
    Unseen("Battery: strapped down, its posts out of reach of tools, room for air", "common practice"),
    Unseen("Measured before the first start: polarity, continuity of every earth, no short", "common practice"),
)  # fmt: skip
_BOATS = (
    Unseen("Chafe: protected where a wire passes a bulkhead or touches an edge", "33 CFR 183.445(a)"),
    Unseen("Supports: every 450 mm, battery cables every 300 mm", "ISO 10133:2012"),
    Unseen("Water: wires and joints above the bilge, with a drip loop ahead of each device", "common practice"),
)
_VEHICLES = (
    Unseen("Chafe: a grommet wherever a wire passes metal, clear of moving parts and of heat", "common practice"),
    Unseen("Supports: clamped so that nothing swings on the road", "common practice"),
    Unseen("Gas: nothing that sparks and no battery beside gas bottles or in their locker", "common practice"),
)
_CABINS = (
    Unseen("Chafe: cables protected where they pass studs, plates and holes in metal", "NEC 300.4, from memory"),
    Unseen("Supports: cable clamped along its way and near each box", "NEC 334.30, from memory"),
    Unseen("Electrode: rods wholly in the ground, clamps made for that, resistance measured",
           "NEC 250.53, from memory"),
)  # fmt: skip
_SHOCK = Unseen("Shock protection: the test button of each RCD or GFCI pressed, outlets tried with a tester",
                "common practice")  # fmt: skip


_RULES = (
    Unseen("Thin wires behind large fuses: the maker's let-through energy against the wire's (k²S²)",
           "IEC 60364-4-43 434.5.2, from memory"),
    Unseen("Units that can work backwards: set so that they don't, and tried", "common practice"),
    Unseen("Lightning: mast, roof array or long line with what leads it off, where a storm can find it",
           "common practice"),
    Unseen("Metal that is not drawn (gas pipe, sink, frame, tank): bonded where it can become live",
           "common practice"),
)  # fmt: skip
"""What rules ask for and no spec has a field for."""


def inspection(profile: str) -> tuple[Unseen, ...]:
    """Everything to be inspected on the real system: what no drawing shows, and what no spec can say."""
    return (*unseen(profile), *_RULES)


def unseen(profile: str) -> tuple[Unseen, ...]:
    """What to look at on the real system, for one rule set."""
    own = _BOATS if "boat" in profile else _CABINS if "cabin" in profile else _VEHICLES
    return (*_EVERYWHERE, *own, _SHOCK)
