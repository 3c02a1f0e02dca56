"""What each AC overcurrent device may have to open, against what it can."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from rigline.kinds import Component
from rigline.kinds.devices import Fuse, Overcurrent
from rigline.kinds.sources import ShoreInlet
from rigline.model.system import HOT_LEGS
from rigline.standards.ratings import SHORE_INTERRUPTING_A, SHORE_RATINGS_A, UNMARKED_INTERRUPTING_A
from rigline.study.demand import leg_voltage_v
from rigline.study.study import Study

MARKED_STYLES = (None, "cartridge", "thermal", "magnetic", "thermal-magnetic")
"""Styles of device that are made for alternating current and marked where they can open more than the least."""


class AcDuty(Struct, frozen=True):
    """One device with the fault current that it may have to open."""

    device: str
    source: str
    amps_a: float
    opens_a: float | None
    """What it can open; None if it does not say and nothing fixes it."""
    assumed: str
    """On what ground, if it does not say."""
    table: str
    """The table that the duty comes from, if the source's current is not stated."""


def ac_duties(study: Study) -> Iterator[AcDuty]:
    """The duty of each AC device that a source of known fault current feeds, in the order of their ids."""
    found: dict[str, AcDuty] = {}
    tabled = _tabled(study)
    for link in study.graph.links:
        device = study.system.components[link.component]
        if not (link.protects and link.a.pole in HOT_LEGS and isinstance(device, Overcurrent)):
            continue
        levels = [level for n in (link.a, link.b) if (level := study.ac_faults.levels.get(n)) is not None]
        pairs = [(level.amps_a, level.source, "") for level in levels]
        if device.id in tabled:
            pairs.append((SHORE_INTERRUPTING_A, tabled[device.id], "by the table for a shore supply"))
        for amps, source, by in pairs:
            if device.id not in found or amps > found[device.id].amps_a:
                opens, assumed = _opens_a(study, device)
                found[device.id] = AcDuty(device.id, source, amps, opens, assumed, by)
    for id in sorted(found):
        yield found[id]


def is_tabled_shore(study: Study, source: Component) -> bool:
    """Whether the boats' table says what the breakers of a shore supply of unknown fault current must open."""
    by_table = study.profile.interrupting.value == "cranking-table" and isinstance(source, ShoreInlet)
    return by_table and leg_voltage_v(source, study.system) == 120 and getattr(source, "rating_a", 0) in SHORE_RATINGS_A


def _tabled(study: Study) -> dict[str, str]:
    """Devices that such a shore supply feeds in some position of the switches, with its id."""
    shores = [id for id in study.ac_faults.missing if is_tabled_shore(study, study.system.components[id])]
    return {device: id for id in shores for mode in study.modes for device in study.neutrals.live(id, mode)}


def _opens_a(study: Study, device: Overcurrent) -> tuple[float | None, str]:
    if device.interrupting_a is not None:
        return device.interrupting_a, ""
    american = study.system.profile_name.startswith("us-")
    if not american or getattr(device, "style", None) not in MARKED_STYLES:
        return None, ""
    if isinstance(device, Fuse):
        return UNMARKED_INTERRUPTING_A["fuse"], "assumed, a fuse without a mark"
    return UNMARKED_INTERRUPTING_A["breaker"], "assumed, a breaker without a mark"
