"""The panel schedule: what every bar, fuse block and panel feeds, through which device, and the load connected to it.

Connected load is the sum of what is wired to a panel, all of it at once: no demand factor is applied.
"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from rigline.kinds import Component
from rigline.kinds.devices import Overcurrent
from rigline.kinds.distribution import AcPanel, Busbar, DcPanel, FuseBlock
from rigline.kinds.loads import Load
from rigline.model.system import HOT_LEGS, Node, Run
from rigline.notes.ways import Ways
from rigline.study.demand import leg_voltage_v, legs_of, load_draw
from rigline.study.study import Study


class Way(Struct, frozen=True):
    """One circuit of a panel."""

    device: Component | None
    """The overcurrent device that stands in it next to the panel; None if there is none."""
    run: str
    other: str
    """What it leads to, or comes from."""
    legs: tuple[str, ...]
    """L1, L2 of AC; + of DC."""
    supply: bool
    """Whether power comes in here; its load is not the panel's."""
    feeds: tuple[str, ...]
    """Loads, and converters with their rated input, behind its device."""
    load_w: float | None
    """Connected load; None if it feeds none, or one does not state its power."""
    load_a: float | None
    """Worst current of the run, charging included; None if it is not known."""


class Panel(Struct, frozen=True):
    """One bar, fuse block or panel with its circuits."""

    part: Component
    rating_a: float | None
    ways: tuple[Way, ...]
    load_w: float
    """Connected load of all circuits that state theirs."""
    load_a: tuple[tuple[str, float], ...]
    """Sum of the worst currents of its circuits, by leg (+ for DC)."""
    unstated: tuple[str, ...]
    """Loads that state neither power nor current."""
    spare: int | None
    """Ways left free; None if the panel does not say how many it has."""


def panels(study: Study) -> tuple[Panel, ...]:
    """Every bar and panel that distributes, in the order of the spec."""
    parts = study.system.components.values()
    found = [_panel(study, part) for part in parts if isinstance(part, Busbar | FuseBlock | DcPanel | AcPanel)]
    return tuple(panel for panel in found if panel.ways)


def _panel(study: Study, part: Component) -> Panel:
    runs = [run for run in study.system.runs_at.get(part.id, ()) if run.carries in ("pair", "cores", "positive")]
    ways = tuple(way for run in runs for way in _ways(study, part, run))
    out = [way for way in ways if not way.supply]
    legs = sorted({leg for way in out for leg in way.legs})
    count = getattr(part, "ways", None)
    used = sum(way.device is not None for way in out)
    return Panel(
        part,
        getattr(part, "rating_a", None),
        ways,
        sum(way.load_w or 0.0 for way in out),
        tuple((leg, sum(way.load_a or 0.0 for way in out if leg in way.legs)) for leg in legs),
        tuple(id for way in out if way.load_w is None for id in way.feeds),
        None if count is None else max(count - used, 0),
    )


def _ways(study: Study, part: Component, run: Run) -> Iterable[Way]:
    """A run's circuits at a panel: one for each side on which it goes on from there."""
    at = next(index for index, stop in enumerate(run.stops) if stop.component == part.id)
    for step in (-1, 1):
        others = run.stops[at + step :: step] if 0 <= at + step < len(run.stops) else ()
        if others:
            device = next(iter(_first_device(study, [stop.component for stop in others])), None)
            far = others[-1]
            supply = _is_supply(study, part, far.component, far.entry if step > 0 else far.exit)
            yield _way(study, run, device, far.component, at if step > 0 else at - 1, supply)


def _is_supply(study: Study, panel: Component, other: str, terminal: str) -> bool:
    """Whether power comes to a panel from what a run leads to."""
    part = study.system.components[other]
    if part.role == "converter":
        flow = next((one.flow for one in part.terminals if one.name == terminal), "both")
        return flow == "out"
    if part.role == "bus":
        depth = Ways(study).depth
        return depth.get(other, 0) < depth.get(panel.id, 0)
    return part.role in ("source", "storage")


def _first_device(study: Study, ids: Iterable[str]) -> Iterable[Component]:
    """The overcurrent device between a panel and the next thing that is not in line."""
    for id in ids:
        part = study.system.components[id]
        if part.role != "inline":
            return
        if isinstance(part, Overcurrent):
            yield part


def _way(study: Study, run: Run, device: Component | None, other: str, segment: int, supply: bool) -> Way:
    one = study.segments_by_id[run.segments[segment].id]
    feeds = () if supply else _feeds(study, device, other)
    amps = None if one.current_a is None else one.current_a
    poles = [conductor.pole for conductor in run.segments[segment].conductors]
    legs = tuple(pole for pole in poles if pole in HOT_LEGS) or ("+",)
    watts = [_load_w(study, id, amps, legs) for id in feeds]
    known = [watt for watt in watts if watt is not None]
    total = sum(known) if known and len(known) == len(watts) else None
    most = None if amps is None else max(amps, one.charge_current_a or 0.0) if supply else amps
    return Way(device, run.id, other, legs, supply, feeds, total, most)


def _feeds(study: Study, device: Component | None, other: str) -> tuple[str, ...]:
    components = study.system.components
    served = study.circuits[device.id].serves if device is not None and device.id in study.circuits else ()
    return tuple(id for id in served or (other,) if components[id].role in ("load", "converter"))


def _load_w(study: Study, id: str, run_a: float | None, poles: tuple[str, ...]) -> float | None:
    """What a load is rated for; a converter takes what its run carries."""
    load, node = study.system.components[id], _hot_node(study, id, poles)
    if node is None:
        return None
    volts = study.limits.node_volts_v(node)
    if node.pole in HOT_LEGS:
        volts = leg_voltage_v(load, study.system) * legs_of(load)
    if not isinstance(load, Load):
        return None if run_a is None or volts is None else run_a * volts
    draw = load_draw(load, volts)
    if draw is None:
        return None
    if draw.power_w is not None:
        return draw.power_w
    return draw.amps_a * volts if volts else None


def _hot_node(study: Study, id: str, poles: tuple[str, ...]) -> Node | None:
    """Where a load or the input of a converter takes its power."""
    ins = {one.name for one in study.system.components[id].terminals if one.flow != "out"}
    nodes = [node for node in study.graph.nodes_of(id) if node.pole in poles]
    return next((node for node in nodes if node.terminal in ins), None)
