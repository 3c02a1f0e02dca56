"""Which components of the AC system have both legs of a split-phase source."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rigline.kinds import Component
from rigline.model.stops import Reference
from rigline.model.system import Medium
from rigline.spec.document import RunSpec


def _declared(component: Component) -> bool | None:
    """True for two legs, False for one, None if the component does not say."""
    legs = getattr(component, "legs", None)
    if legs is not None:
        return bool(legs == "both")
    for name in ("output_v", "ac_voltage_v", "voltage_v"):
        volts = getattr(component, name, None)
        if volts is not None and component.kind not in ("inverter", "inverter-charger", "ac-charger"):
            return getattr(volts, "legs", 1) == 2
        if volts is not None and name != "voltage_v":
            return getattr(volts, "legs", 1) == 2
    return None


def legs_of_components(
    specs: Sequence[RunSpec],
    paths: Sequence[Sequence[Reference]],
    media: Sequence[Medium],
    components: Mapping[str, Component],
) -> frozenset[str]:
    """Ids of components with both legs: declared so, or a panel or device that hangs on one that has them."""
    both = {id for id, component in components.items() if _declared(component)}
    runs = [
        [ref.component for ref in path]
        for run, path, medium in zip(specs, paths, media, strict=True)
        if medium == "ac" and (run.cores is None or {"L1", "L2"} <= set(run.cores))
    ]
    grown = True
    while grown:
        grown = False
        for path in runs:
            ends_free = [id for id in path if id not in both and _may_inherit(components[id])]
            if ends_free and (path[0] in both or path[-1] in both):
                both.update(ends_free)
                grown = True
    return frozenset(both)


def _may_inherit(component: Component) -> bool:
    return component.role in ("bus", "inline") and _declared(component) is None
