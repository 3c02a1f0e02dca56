"""Why a conductor is exposed: the most specific reason, or the exception that makes it sound.

One exposed end has one cause, so one fault gives one finding. The exceptions are exact and hold for one end only:
E1 a cranking motor's cable, E2 an end that only self-limited sources reach, E3 a short tap to the first device (its
length is another rule), E5 a maker's short lead, E6 wiring inside a panel, E10 a series jumper.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from msgspec import Struct

from rigline.graph.build import Edge, SystemGraph
from rigline.kinds import Component
from rigline.kinds.converters import AcCharger, ChargeController, DcCharger, DcConverter, DcToDc, Inverter, Transformer
from rigline.kinds.loads import Load, Motor
from rigline.kinds.sources import AcSource, Battery, Bms, Generator, PvArray, ShoreInlet, Turning, VehicleBattery
from rigline.model.system import HOT_LEGS, NEGATIVE, POSITIVE, Conductor, Node
from rigline.standards.allowance import Allowance
from rigline.standards.profiles import Profile
from rigline.study.protection import EndFlow, Exposure
from rigline.study.taps import is_beyond, is_in_a_box, source_limit, taps_from

EQUAL_FRAC = 1e-9
"""Two currents this close are equal: a device exactly at the limit passes."""
FACTORY_LEAD_M = 0.178
"""A maker's own lead shorter than this needs no device of its own (E5). Source: ABYC E-11, 7 in."""
CHARGE_LINKS = frozenset({"relay", "connector", "diode-isolator", "vehicle-battery"})
"""What links two banks for charging; a selector switch between two batteries and a starter is part of its cable."""
AC_SOURCE_RULES: dict[type[Component], str] = {
    ShoreInlet: "oc-shore-main",
    Generator: "oc-generator-out",
    Inverter: "oc-inverter-ac-out",
}
"""The rule for a circuit without a device, by the source that feeds it."""


class Limits(Struct, frozen=True):
    """What one conductor may carry and may be protected by."""

    ampacity_a: float
    allowed_a: float
    uncapped_a: float
    """Largest device if the cap on small conductors did not hold."""
    allowance: Allowance | None = None
    """The rule that set `allowed_a`, with its source."""


class Cause(Struct, frozen=True):
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
    own_a: float = 0.0
    """Rating of the one device that stands in the conductor at this end; 0 if there is none."""


def exceeds(found: float, limit: float) -> bool:
    """Whether a figure is above a limit, rounding errors aside."""
    return found > limit * (1 + EQUAL_FRAC)


def causes_of(
    graph: SystemGraph,
    exposure: Exposure,
    limits: Limits,
    thicker: frozenset[str],
    ratings: Mapping[str, float | None] | None = None,
) -> tuple[Cause, ...]:
    """The cause at each end of a conductor that is not protected there, exceptions included.

    Args:
        graph: The system.
        exposure: What can flow into the conductor's ends.
        limits: What the conductor may carry.
        thicker: Ids of conductors whose largest device is at least what stands before this one.
        ratings: Ratings of devices, to tell a tap that ends in a device too large for it.
    """
    found = [_at_end(graph, exposure, end, limits, thicker, ratings or {}) for end in exposure.ends]
    return tuple(cause for cause in found if cause is not None)


def worst_cause(causes: tuple[Cause, ...]) -> Cause | None:
    """A fault before what is not known, and that before an exception."""
    faults = [cause for cause in causes if not cause.exception and not cause.missing]
    open_ones = [cause for cause in causes if cause.missing]
    return next(iter(faults or open_ones or causes), None)


def _at_end(
    graph: SystemGraph,
    exposure: Exposure,
    end: EndFlow,
    limits: Limits,
    thicker: frozenset[str],
    ratings: Mapping[str, float | None],
) -> Cause | None:
    limited = not end.feeding and not end.fed_by
    allowed = max(limits.allowed_a, limits.ampacity_a) if limited else limits.allowed_a
    # A device that stands in the conductor itself must suit it even where what feeds it happens to limit itself.
    own_a = (ratings.get(end.feeding[0]) or 0.0) if _is_own_device(graph, end) else 0.0
    if not exceeds(max(end.flow_unknown_a, own_a), allowed):
        return None
    far = exposure.other(end)
    slug, at, exception = _reason(graph, exposure, end, far, limits, thicker, own_a)
    alone = len(far.devices) == 1 and not consumers_in(graph, far.region)
    if exception == "E3" and alone and exceeds(ratings.get(far.devices[0]) or 0.0, allowed):
        slug, exception = rating_slug_of(ratings[far.devices[0]] or 0.0, limits), ""
    known = exceeds(max(end.flow_a, own_a), allowed)
    missing = () if known or exception else (end.unknown or ("ratings behind it",))
    return Cause(slug, exposure.conductor, end, at, allowed, exception, missing, own_a)


def _reason(
    graph: SystemGraph,
    exposure: Exposure,
    end: EndFlow,
    far: EndFlow,
    limits: Limits,
    thicker: frozenset[str],
    own_a: float,
) -> tuple[str, tuple[str, ...], str]:
    served = consumers_in(graph, far.region)
    if is_in_a_box(graph, exposure.conductor) and not served:
        return "", (), "E6"
    if _is_factory_lead(graph, exposure.conductor):
        return "", (), "E5"
    if _is_cranking_cable(graph, end, far, served):
        return "", (), "E1"
    if _is_own_device(graph, end):
        return _rating_slug(graph, end, limits, thicker, own_a), (end.feeding[0],), ""
    fused = tuple(sorted({n.component for n in far.region if _has_own_fuse(graph.component_at(n))}))
    if (far.devices or fused) and (not served or _is_trunk(graph, far)):
        return "", far.devices or fused, "E3"
    return _missing_slug(graph, exposure, end, far, served)


def consumers_in(graph: SystemGraph, region: frozenset[Node]) -> list[Component]:
    """Sources, batteries, converters and loads with a terminal in a region, sorted by id."""
    found = {node.component: graph.component_at(node) for node in region}
    return [c for _, c in sorted(found.items()) if c.role not in ("inline", "bus", "earth") and not _has_own_fuse(c)]


def _has_own_fuse(component: Component) -> bool:
    """Whether a battery has its fuse inside, so that it stands behind a device like any other."""
    return isinstance(component, Battery) and component.internal_fuse_a is not None


def is_tap(graph: SystemGraph, exposure: Exposure, end: EndFlow, profile: Profile) -> bool:
    """Whether a conductor leads from an end straight to devices of its own, near enough to be protected by them (E3).

    A stretch whose length is not known counts as near: that it was not assessed is said where distances are judged.
    Where a battery feeds it through no device, no wire is thick enough, and how far that is allowed is another rule.
    """
    far = exposure.other(end)
    if not far.devices or _is_own_device(graph, end) or consumers_in(graph, far.region):
        return False
    if math.isinf(end.flow_a) or not is_judged_by_length(graph, end):
        return True
    taps = taps_from(graph, end.node, far.region, first=exposure.conductor)
    nearest = profile.tap_battery_warn_m
    return not any(is_beyond(tap, source_limit(profile, end.node.pole, tap.sheathed) or nearest) for tap in taps)


def is_judged_by_length(graph: SystemGraph, end: EndFlow) -> bool:
    """Whether a tap that begins at an end must be short; batteries and AC sources have distances of their own."""
    sources = [graph.system.components[id] for id in end.sources]
    return bool(end.fed_by) and not any(isinstance(c, Battery | VehicleBattery | AcSource) for c in sources)


def protection_a(
    graph: SystemGraph, exposure: Exposure, ratings: Mapping[str, float | None], profile: Profile
) -> float:
    """The device rating a conductor must stand: what flows into its ends, or the devices that a tap ends in."""
    found = [0.0]
    for end in exposure.ends:
        if not end.is_fed:
            continue
        if is_tap(graph, exposure, end, profile):
            found += [rating for device in exposure.other(end).devices if (rating := ratings.get(device)) is not None]
        elif not math.isinf(end.flow_a):
            found.append(end.flow_a)
    return max(found)


def is_cranking_only(consumers: list[Component]) -> bool:
    """Exception E1: the conductor serves a cranking motor, and at most the alternator that lands on its stud."""
    starters = [c for c in consumers if isinstance(c, Motor) and c.cranking]
    return bool(starters) and all(c in starters or isinstance(c, Turning) for c in consumers)


def _is_cranking_cable(graph: SystemGraph, end: EndFlow, far: EndFlow, served: list[Component]) -> bool:
    """E1: on the way from a battery to a starter, or back; what else hangs on it is judged on its own branch."""
    if any(isinstance(c, Motor) and c.cranking for c in served):
        first = graph.component_at(far.node)
        return first.role in ("inline", "bus") or is_cranking_only([first]) or isinstance(first, Battery)
    behind = [c for c in consumers_in(graph, end.region) if not isinstance(c, Battery)]
    links = {graph.component_at(node).kind for node in end.region | far.region} & CHARGE_LINKS
    leads_to_battery = bool(served or far.fed_by) and all(isinstance(c, Battery) for c in served)
    return is_cranking_only(behind) and not links and leads_to_battery


def _is_factory_lead(graph: SystemGraph, conductor: Conductor) -> bool:
    length = conductor.length_m
    return bool(graph.system.run(conductor.run).spec.factory) and length is not None and length < FACTORY_LEAD_M


def _is_trunk(graph: SystemGraph, far: EndFlow) -> bool:
    """Whether a conductor ends on a bus: what hangs there without a device is judged on its own branch."""
    starts_branches = graph.component_at(far.node).role in ("bus", "inline")
    return starts_branches and any(graph.component_at(node).role == "bus" for node in far.region)


def _is_own_device(graph: SystemGraph, end: EndFlow) -> bool:
    """Whether one device feeds this end and nothing branches off between the two."""
    if len(end.feeding) != 1 or end.sources or math.isinf(end.flow_a):
        return False
    return not any(graph.component_at(node).role not in ("inline",) for node in end.region)


def _rating_slug(graph: SystemGraph, end: EndFlow, limits: Limits, thicker: frozenset[str], own_a: float) -> str:
    upstream = {
        conductor.id for node in end.region for conductor in graph.conductors_at(node) if conductor.id in thicker
    }
    return "oc-gauge-step" if upstream else rating_slug_of(max(end.flow_unknown_a, own_a), limits)


def rating_slug_of(rating_a: float, limits: Limits) -> str:
    """The rule that a device too large for its wire breaks: the cap on small conductors, or the ampacity."""
    return "rt-ocpd-over-conductor" if exceeds(rating_a, limits.uncapped_a) else "rt-small-conductor-cap"


def _missing_slug(
    graph: SystemGraph, exposure: Exposure, end: EndFlow, far: EndFlow, served: list[Component]
) -> tuple[str, tuple[str, ...], str]:
    if end.sources and not end.fed_by and exposure.conductor.pole not in HOT_LEGS:
        return _source_slug(graph, end), end.sources, ""
    batteries = tuple(c.id for c in served if isinstance(c, Battery | VehicleBattery))
    if batteries and any(_is_battery(graph, id) for id in end.fed_by):
        return _battery_slug(graph, exposure), batteries, ""
    rest = [c for c in served if c.id not in batteries]
    if batteries and not rest:
        return _source_slug(graph, end), (*end.sources, *batteries) or batteries, ""
    at = tuple(c.id for c in rest) or (exposure.conductor.b.component,)
    slugs = {_slug_of(component, far) for component in rest}
    if len(slugs) == 1 and "load" not in slugs:
        return slugs.pop(), at, ""
    if slugs == {"load"} and not _branches(graph, far):
        return _load_slug(graph, exposure, end), at, ""
    return "oc-unprotected-conductor", at, ""


def _is_battery(graph: SystemGraph, id: str) -> bool:
    return isinstance(graph.system.components[id], Battery | VehicleBattery)


def _battery_slug(graph: SystemGraph, exposure: Exposure) -> str:
    """Two batteries of one bank, or two banks with a relay, selector or plug between."""
    return link_slug(graph, exposure.a.region | exposure.b.region) or "oc-parallel-battery-each"


def link_slug(graph: SystemGraph, region: frozenset[Node]) -> str:
    """The rule for a link between two banks through what lies in a region; empty if nothing there parts them."""
    between = {graph.component_at(node).kind for node in region}
    if {"vehicle-battery", "connector"} <= between:
        return "oc-tow-charge-line"
    return "oc-both-ends" if between & {"relay", "selector", "connector", "diode-isolator", "vehicle-battery"} else ""


def _source_slug(graph: SystemGraph, end: EndFlow) -> str:
    """The rule for a battery's lead that other sources than batteries can overload."""
    kinds = [graph.system.components[id] for id in end.sources]
    if kinds and all(isinstance(c, Turning) for c in kinds):
        return "oc-alternator-run"
    if kinds and all(isinstance(c, ChargeController | AcCharger) for c in kinds):
        return "oc-charger-battery-end"
    return "oc-unprotected-conductor"


def _slug_of(component: Component, far: EndFlow) -> str:
    terminals = {node.terminal for node in far.region if node.component == component.id}
    if isinstance(component, Turning):
        return "oc-alternator-run"
    if isinstance(component, ChargeController | AcCharger) and terminals <= {"battery", "dc", "dc1", "dc2", "dc3"}:
        return "oc-charger-battery-end"
    if isinstance(component, DcConverter) and terminals == {"out"}:
        return "oc-charger-battery-end"
    if isinstance(component, DcCharger | DcToDc):
        return "oc-dcdc-runs"
    if isinstance(component, Inverter) and terminals == {"dc"}:
        return "oc-inverter-dc"
    if isinstance(component, PvArray):
        return "oc-pv-string-fuse"
    if isinstance(component, AcSource | Transformer):
        return "oc-unprotected-conductor"
    return "load"


def _load_slug(graph: SystemGraph, exposure: Exposure, end: EndFlow) -> str:
    sources = [graph.system.components[id] for id in end.sources]
    for kind, slug in AC_SOURCE_RULES.items():
        if any(isinstance(source, kind) for source in sources) and exposure.conductor.pole in HOT_LEGS:
            return slug
    if _passes_inverter(graph, end):
        return AC_SOURCE_RULES[Inverter]
    if _leaves_cranking_cable(graph, exposure, end):
        return "oc-cranking-exemption-misused"
    if _taps_string(graph, end):
        return "oc-series-tap"
    if _passes_main_switch(graph, exposure, end):
        return "oc-bypass-load-unfused"
    if (len(end.feeding) > 1 or (end.feeding and end.sources)) and not math.isinf(end.flow_a):
        return "oc-unprotected-conductor"
    kinds = {graph.component_at(node).kind for node in end.region}
    on_bus = bool(kinds & {"busbar", "fuse-block", "dc-panel", "ac-panel"})
    if len(end.feeding) == 1 and not math.isinf(end.flow_a) and not on_bus:
        return "oc-gauge-step"
    if sources and all(_limits_itself(source) for source in sources):
        return "oc-bms-not-ocpd"
    return "oc-branch-missing"


def _taps_string(graph: SystemGraph, end: EndFlow) -> bool:
    """Whether a circuit begins at the plus of a block that another block stands on."""
    posts = [node for node in end.region if node.pole == POSITIVE and isinstance(graph.component_at(node), Battery)]
    links = [c for post in posts for c in graph.conductors_at(post) if c.pole == "link"]
    others = [node for link in links for node in (link.a, link.b) if node.pole == NEGATIVE]
    return any(isinstance(graph.component_at(node), Battery) for node in others)


def _passes_main_switch(graph: SystemGraph, exposure: Exposure, end: EndFlow) -> bool:
    """Whether a load that is to stay on hangs by wire alone on a battery whose other circuits have a switch."""
    far = exposure.other(end)
    loads = [c for c in consumers_in(graph, far.region) if isinstance(c, Load)]
    if not any(load.always_on or load.safety for load in loads):
        return False

    own = {stop.component for stop in graph.system.run(exposure.conductor.run).stops}

    def passes(edge: Edge, node: Node, wire_only: bool) -> bool:
        is_own = isinstance(edge, Conductor) or edge.component in own
        return edge is not exposure.conductor and edge.a.pole == edge.b.pole and (is_own or not wire_only)

    by_wire = graph.reach(end.node, lambda edge, node: passes(edge, node, wire_only=True))
    anyhow = graph.reach(end.node, lambda edge, node: passes(edge, node, wire_only=False))
    on_battery = any(isinstance(graph.component_at(node), Battery) for node in by_wire)
    return on_battery and any(
        graph.component_at(n).kind in ("switch", "selector") and n.component not in own for n in anyhow
    )


def _passes_inverter(graph: SystemGraph, end: EndFlow) -> bool:
    """Whether a circuit hangs on an inverter's output, whatever feeds that through it."""
    outputs = [node for node in end.region if node.terminal.startswith("ac-out")]
    return any(isinstance(graph.component_at(node), Inverter) for node in outputs)


def _limits_itself(source: Component) -> bool:
    """Whether a battery's management system states a limit that its owner may take for protection."""
    return isinstance(source, Battery) and isinstance(source.bms, Bms) and source.bms.max_discharge_a is not None


def _leaves_cranking_cable(graph: SystemGraph, exposure: Exposure, end: EndFlow) -> bool:
    """Whether a branch starts on a cranking cable beyond the battery's own post."""
    nodes = end.region

    def passes(edge: Edge, node: Node) -> bool:
        through = edge.b if edge.a == node else edge.a
        joined = isinstance(edge, Conductor) or edge.kind == "device"
        return edge is not exposure.conductor and joined and through in nodes and not _is_battery(graph, node.component)

    reached = graph.reach(end.node, passes)
    return any(isinstance(c := graph.component_at(node), Motor) and c.cranking for node in reached)


def _branches(graph: SystemGraph, far: EndFlow) -> bool:
    """Whether the conductor feeds a bus with more than loads behind it."""
    return any(graph.component_at(node).role == "bus" for node in far.region) and bool(far.devices)
