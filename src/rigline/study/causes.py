"""Why a conductor is exposed: the most specific reason, or the exception that makes it sound.

One exposed end has one cause, so one fault gives one finding. The exceptions are exact and hold for one end only:
E1 a cranking motor's cable, E2 an end that only self-limited sources reach, E3 a short tap to the first device (its
length is another rule), E6 wiring inside a panel, E10 a series jumper.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from rigline.graph.build import SystemGraph
from rigline.kinds import Component
from rigline.kinds.converters import AcCharger, ChargeController, DcCharger, DcConverter, Inverter
from rigline.kinds.loads import Motor
from rigline.kinds.sources import AcSource, Battery, PvArray, Turning, VehicleBattery
from rigline.model.system import Conductor, Node
from rigline.standards.allowance import Allowance
from rigline.study.protection import EndFlow, Exposure
from rigline.study.taps import is_in_a_box

EQUAL_FRAC = 1e-9
"""Two currents this close are equal: a device exactly at the limit passes."""


@dataclass(frozen=True)
class Limits:
    """What one conductor may carry and may be protected by."""

    ampacity_a: float
    allowed_a: float
    uncapped_a: float
    """Largest device if the cap on small conductors did not hold."""
    allowance: Allowance | None = None
    """The rule that set `allowed_a`, with its source."""


@dataclass(frozen=True)
class Cause:
    """Why one conductor is not protected at one end."""

    slug: str
    conductor: Conductor
    end: EndFlow
    at: tuple[str, ...]
    """Components that the finding points to, the chief one first."""
    limit_a: float
    exception: str = ""
    """E1, E3, ...: the exception that holds; then it is no fault."""
    missing: tuple[str, ...] = ()
    """What must be known to decide; then it is neither."""


def exceeds(found: float, limit: float) -> bool:
    """Whether a figure is above a limit, rounding errors aside."""
    return found > limit * (1 + EQUAL_FRAC)


def cause_of(graph: SystemGraph, exposure: Exposure, limits: Limits, thicker: frozenset[str]) -> Cause | None:
    """The cause at the worse end of a conductor; None if both ends are protected.

    Args:
        graph: The system.
        exposure: What can flow into the conductor's ends.
        limits: What the conductor may carry.
        thicker: Ids of conductors whose largest device is at least what stands before this one.
    """
    found = [_at_end(graph, exposure, end, limits, thicker) for end in exposure.ends]
    causes = [cause for cause in found if cause is not None]
    faults = [cause for cause in causes if not cause.exception and not cause.missing]
    open_ones = [cause for cause in causes if cause.missing]
    return next(iter(faults or open_ones or causes), None)


def _at_end(
    graph: SystemGraph, exposure: Exposure, end: EndFlow, limits: Limits, thicker: frozenset[str]
) -> Cause | None:
    allowed = limits.allowed_a if end.feeding else max(limits.allowed_a, limits.ampacity_a)
    if not exceeds(end.flow_unknown_a, allowed):
        return None
    far = exposure.other(end)
    slug, at, exception = _reason(graph, exposure, end, far, limits, thicker)
    known = exceeds(end.flow_a, allowed)
    missing = () if known or exception else (end.unknown or ("ratings behind it",))
    return Cause(slug, exposure.conductor, end, at, allowed, exception, missing)


def _reason(
    graph: SystemGraph, exposure: Exposure, end: EndFlow, far: EndFlow, limits: Limits, thicker: frozenset[str]
) -> tuple[str, tuple[str, ...], str]:
    consumers = consumers_in(graph, far.region)
    if is_in_a_box(graph, exposure.conductor) and not consumers:
        return "", (), "E6"
    if consumers and is_cranking_only(consumers):
        return "", (), "E1"
    if _is_own_device(graph, end):
        return _rating_slug(graph, end, limits, thicker), (end.feeding[0],), ""
    if not consumers and far.devices:
        return "", far.devices, "E3"
    return _missing_slug(graph, exposure, end, far, consumers)


def consumers_in(graph: SystemGraph, region: frozenset[Node]) -> list[Component]:
    """Sources, batteries, converters and loads with a terminal in a region, sorted by id."""
    found = {node.component: graph.component_at(node) for node in region}
    return [c for _, c in sorted(found.items()) if c.role not in ("inline", "bus", "earth")]


def is_tap(graph: SystemGraph, exposure: Exposure, end: EndFlow) -> bool:
    """Whether a conductor leads from an end straight to devices of its own, which then protect it (E3)."""
    far = exposure.other(end)
    return bool(far.devices) and not _is_own_device(graph, end) and not consumers_in(graph, far.region)


def protection_a(graph: SystemGraph, exposure: Exposure, ratings: Mapping[str, float | None]) -> float:
    """The device rating a conductor must stand: what flows into its ends, or the devices that a tap ends in."""
    found = [0.0]
    for end in exposure.ends:
        if not end.is_fed:
            continue
        if is_tap(graph, exposure, end):
            found += [rating for device in exposure.other(end).devices if (rating := ratings.get(device)) is not None]
        elif not math.isinf(end.flow_a):
            found.append(end.flow_a)
    return max(found)


def is_cranking_only(consumers: list[Component]) -> bool:
    """Exception E1: the conductor serves a cranking motor, and at most the alternator that lands on its stud."""
    starters = [c for c in consumers if isinstance(c, Motor) and c.cranking]
    return bool(starters) and all(c in starters or isinstance(c, Turning) for c in consumers)


def _is_own_device(graph: SystemGraph, end: EndFlow) -> bool:
    """Whether one device feeds this end and nothing branches off between the two."""
    if len(end.feeding) != 1 or end.sources or math.isinf(end.flow_a):
        return False
    return not any(graph.component_at(node).role not in ("inline",) for node in end.region)


def _rating_slug(graph: SystemGraph, end: EndFlow, limits: Limits, thicker: frozenset[str]) -> str:
    upstream = {
        conductor.id for node in end.region for conductor in graph.conductors_at(node) if conductor.id in thicker
    }
    if upstream:
        return "oc-gauge-step"
    if not exceeds(end.flow_unknown_a, limits.uncapped_a):
        return "rt-small-conductor-cap"
    return "rt-ocpd-over-conductor"


def _missing_slug(
    graph: SystemGraph, exposure: Exposure, end: EndFlow, far: EndFlow, consumers: list[Component]
) -> tuple[str, tuple[str, ...], str]:
    at = tuple(c.id for c in consumers) or (exposure.conductor.b.component,)
    batteries = [c for c in consumers if isinstance(c, Battery | VehicleBattery)]
    if batteries:
        return _battery_slug(graph, exposure), tuple(c.id for c in batteries), ""
    slugs = {_slug_of(component, far) for component in consumers}
    if len(slugs) == 1 and "load" not in slugs:
        return slugs.pop(), at, ""
    if slugs == {"load"} and not _branches(graph, far):
        return _load_slug(graph, end), at, ""
    return "oc-unprotected-conductor", at, ""


def _battery_slug(graph: SystemGraph, exposure: Exposure) -> str:
    """Two batteries of one bank, or two banks with a relay, selector or plug between."""
    whole = exposure.a.region | exposure.b.region
    between = {graph.component_at(node).kind for node in whole}
    return "oc-both-ends" if between & {"relay", "selector", "connector", "vehicle-battery"} else "oc-parallel-battery-each"


def _slug_of(component: Component, far: EndFlow) -> str:
    terminals = {node.terminal for node in far.region if node.component == component.id}
    if isinstance(component, Turning):
        return "oc-alternator-run"
    if isinstance(component, ChargeController | AcCharger) and terminals <= {"battery", "dc", "dc1", "dc2", "dc3"}:
        return "oc-charger-battery-end"
    if isinstance(component, DcConverter) and terminals == {"out"}:
        return "oc-charger-battery-end"
    if isinstance(component, DcCharger):
        return "oc-dcdc-runs"
    if isinstance(component, Inverter) and terminals == {"dc"}:
        return "oc-inverter-dc"
    if isinstance(component, PvArray):
        return "oc-charger-battery-end"
    if isinstance(component, AcSource):
        return "oc-unprotected-conductor"
    return "load"


def _load_slug(graph: SystemGraph, end: EndFlow) -> str:
    if any(isinstance(graph.system.components[id], AcSource) for id in end.sources):
        return "oc-shore-main"
    if len(end.feeding) > 1 or (end.feeding and end.sources):
        return "oc-unprotected-conductor"
    kinds = {graph.component_at(node).kind for node in end.region}
    if len(end.feeding) == 1 and not kinds & {"busbar", "fuse-block", "dc-panel", "ac-panel"}:
        return "oc-gauge-step"
    return "oc-branch-missing"


def _branches(graph: SystemGraph, far: EndFlow) -> bool:
    """Whether the conductor feeds a bus with more than loads behind it."""
    return any(graph.component_at(node).role == "bus" for node in far.region) and bool(far.devices)
