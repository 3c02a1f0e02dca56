"""Where protective earth does not lead from AC equipment back to its source: what the rules on missing earth share."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from rigline.graph.modes import Mode
from rigline.kinds import Component
from rigline.kinds.converters import AcCharger
from rigline.kinds.distribution import AcPanel
from rigline.kinds.loads import Load, Receptacle
from rigline.kinds.sources import ShoreInlet
from rigline.model.system import EARTH, HOT_LEGS, Run
from rigline.study.study import Study


class Gap(Struct, frozen=True):
    """One place where protective earth ends before the source."""

    id: str
    """The first component that lacks it."""
    source: str
    run: str
    """The AC run without an earth core; empty if each has one."""
    soil: str
    """The electrode that the component is joined to instead; empty if there is none."""

    @property
    def runs(self) -> tuple[str, ...]:
        """The run, as findings name it."""
        return (self.run,) if self.run else ()


def earth_gaps(study: Study) -> list[Gap]:
    """Every gap of every source in every position of the switches, each component and run once."""
    found: dict[tuple[str, str], Gap] = {}
    for mode in study.modes:
        for source in study.neutrals.feeding(mode):
            for gap in _gaps(study, source, mode):
                found.setdefault((gap.id, gap.run), gap)
    return list(found.values())


def _gaps(study: Study, source: str, mode: Mode) -> Iterator[Gap]:
    components, grounding = study.system.components, study.grounding
    live = study.neutrals.live(source, mode)
    earthed = {node.component for node in grounding.metallic_from(grounding.case(source))}
    bare = {id for id in live if _needs_earth(components[id])} - earthed
    if not bare or _is_separated(study, live) or _is_tt(study, source):
        return
    culprits = [run for run in study.system.runs if _lacks_earth(run, live)]
    near = [run for run in culprits if _stops(run) & bare] or culprits
    for run in near:
        first = next((stop.component for stop in reversed(run.stops) if stop.component in bare), min(bare))
        yield Gap(first, source, run.id, _soil(study, first))
    for id in sorted(bare) if not near else ():
        yield Gap(id, source, "", _soil(study, id))


def _needs_earth(component: Component) -> bool:
    if component.class_ii:
        return False
    if isinstance(component, Receptacle):
        return True
    return isinstance(component, Load | AcPanel | AcCharger) and component.metal_case is not False


def _stops(run: Run) -> set[str]:
    return {stop.component for stop in run.stops}


def _lacks_earth(run: Run, live: set[str]) -> bool:
    poles = {conductor.pole for segment in run.segments for conductor in segment.conductors}
    return bool(poles & set(HOT_LEGS)) and EARTH not in poles and bool(_stops(run) & live)


def _soil(study: Study, id: str) -> str:
    """The electrode that a case leads to."""
    reached = study.grounding.metallic_from(study.grounding.case(id))
    return min((node.component for node in reached if node.component in study.grounding.electrodes), default="")


def _is_separated(study: Study, live: set[str]) -> bool:
    """One appliance alone on a floating source outside the United States (IEC 60364-4-41 413)."""
    loads = [c for id in live if isinstance(c := study.system.components[id], Load)]
    floating = study.system.head.ac_grounding == "floating" and not study.system.profile_name.startswith("us-")
    return floating and len(loads) == 1 and loads[0].count == 1


def _is_tt(study: Study, source: str) -> bool:
    """A supply with an electrode of its own (TT) behind residual-current devices, outside the United States."""
    supply = study.system.supply
    tt = supply is not None and supply.earthing == "TT" and not study.system.profile_name.startswith("us-")
    rods = bool(study.grounding.electrodes) and study.neutrals.all_behind_rcd()
    return tt and rods and isinstance(study.system.components[source], ShoreInlet)
