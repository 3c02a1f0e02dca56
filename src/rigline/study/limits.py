"""What each conductor may carry and may be protected by, under the conditions it lies in."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

from msgspec import Struct

from rigline.graph.build import Edge, SystemGraph
from rigline.kinds.converters import Inverter
from rigline.kinds.loads import Receptacle
from rigline.kinds.sources import AcSource, PvArray
from rigline.model.system import HOT_LEGS, Conductor, Node, Run
from rigline.standards.allowance import Allowance, largest_device
from rigline.standards.ampacity import Ampacity, NoAmpacity, ampacity
from rigline.standards.profiles import Medium, Profile
from rigline.standards.wire import WireSize
from rigline.study.causes import Limits, consumers_in
from rigline.study.demand import AC_VOLTAGE_V
from rigline.study.potentials import Potentials
from rigline.study.protection import Exposure
from rigline.study.windings import leg_volts


class Circumstances(Struct, frozen=True):
    """Everything besides its size that decides what a conductor of a run may carry."""

    insulation_c: float | None
    ambient_c: float | None
    bundle: int
    engine_space: bool
    material: str
    terminals_c: float | None
    conductors: int


class LimitFinder(Struct, frozen=True, dict=True):
    """Looks up ampacities and allowances for the conductors of one system."""

    graph: SystemGraph
    profile: Profile
    potentials: Potentials

    @cached_property
    def _volts(self) -> dict[str, float]:
        return {}

    def circumstances(self, run: Run) -> Circumstances:
        """What a run says of itself, else its place, else the defaults and conditions of the system."""
        system, spec = self.graph.system, run.spec
        place = system.places.get(spec.place or "")
        ambient = spec.ambient_c
        if ambient is None and place is not None:
            ambient = place.max_c
        return Circumstances(
            insulation_c=spec.insulation_c or system.defaults.insulation_c,
            ambient_c=system.conditions.ambient_c if ambient is None else ambient,
            bundle=spec.bundle or 1,
            engine_space=bool(place and place.engine) if spec.engine_space is None else spec.engine_space,
            material=spec.material or system.defaults.material or "copper",
            terminals_c=spec.terminals_c or system.defaults.terminals_c,
            conductors=spec.conductors,
        )

    def medium(self, conductor: Conductor) -> Medium:
        """AC for legs and neutral, else DC."""
        return "ac" if conductor.pole in (*HOT_LEGS, "N", "N-PE") else "dc"

    def volts_v(self, conductor: Conductor) -> float:
        """Nominal voltage of a conductor's circuit: of its DC island or solar array, or of one AC leg."""
        found = self._volts.get(conductor.id)
        if found is None:
            found = self._volts[conductor.id] = self._circuit_volts_v(conductor)
        return found

    def _circuit_volts_v(self, conductor: Conductor) -> float:
        if self.medium(conductor) == "ac":
            return self._leg_volts.get(conductor.a) or self._leg_volts.get(conductor.b) or self._usual_leg_v
        ends = (conductor.a, conductor.b)
        # An in-line device has one pole only; its island's level may be another voltage on the same negative.
        across = [volts for node in ends if (volts := self._across_v(node)) is not None]
        found = across or [volts for node in ends if (volts := self.node_volts_v(node)) is not None]
        return max(found, default=self.usual_volts_v)

    def node_volts_v(self, node: Node) -> float | None:
        """DC voltage of a node against the other pole: of its own component, else of its whole island or solar array.

        A battery block that is one of a series string counts with its string.
        """
        return self._across_v(node) or self.potentials.level(node) or self._array_volts.get(node)

    def _across_v(self, node: Node) -> float | None:
        """DC voltage between a node and the other pole of its own component; None for batteries and one-pole parts."""
        if self.graph.component_at(node).role == "storage":
            return None
        other = "+" if node.pole == "-" else "-"
        for terminal in dict.fromkeys((node.terminal, "")):
            between = self.potentials.between(node, Node(node.component, terminal, other))
            if between:
                return abs(between)
        return None

    @cached_property
    def _array_volts(self) -> dict[Node, float]:
        """Working voltage of the strings on each node that only solar arrays feed."""
        found: dict[Node, float] = {}
        for id, array in sorted(self.graph.system.components.items()):
            if isinstance(array, PvArray) and (module := array.vmp_v or array.voc_v):
                for start in (Node(id, "", "+"), Node(id, "", "-")):
                    for node in self.graph.reach(start, _passes_on) if start in self.graph.graph else ():
                        found[node] = max(found.get(node, 0.0), module * array.series)
        return found

    @cached_property
    def _leg_volts(self) -> dict[Node, float]:
        """Nominal voltage of one leg at each AC node, from the source or transformer that feeds it."""
        components = (c for _, c in sorted(self.graph.system.components.items()))
        return leg_volts(self.graph, [c for c in components if isinstance(c, AcSource | Inverter)])

    @property
    def _usual_leg_v(self) -> float:
        return AC_VOLTAGE_V["us" if self.profile.name.startswith("us-") else "iec"]

    @cached_property
    def usual_volts_v(self) -> float:
        """Highest nominal DC voltage in the system; 12 V if no source states one."""
        found = [abs(volts) for volts in self.potentials.volts.values() if volts]
        return max(found, default=12.0)

    def ampacity_of(self, run: Run, conductor: Conductor, size: WireSize) -> Ampacity | NoAmpacity:
        """What a conductor of a size may carry where its run lies."""
        around = self.circumstances(run)
        return ampacity(
            self.profile,
            size,
            volts_v=self.volts_v(conductor),
            medium=self.medium(conductor),
            insulation_c=around.insulation_c,
            ambient_c=around.ambient_c,
            bundle=around.bundle,
            engine_space=around.engine_space,
            material=around.material,  # type: ignore[arg-type]
            terminals_c=around.terminals_c,
            parallel=around.conductors,
        )

    def allowance_of(
        self,
        run: Run,
        conductor: Conductor,
        exposure: Exposure | None,
        size: WireSize,
        found: Ampacity,
        ratings: Mapping[str, float | None],
    ) -> Allowance:
        """The largest device that may protect a conductor of a size; without its exposure, as a plain branch."""
        return largest_device(
            self.profile,
            found,
            size,
            volts_v=self.volts_v(conductor),
            medium=self.medium(conductor),
            receptacles_many=exposure is not None and self._many_receptacles(exposure),
            feeder=exposure is not None and self._is_feeder(exposure, found, ratings),
            material=self.circumstances(run).material,  # type: ignore[arg-type]
        )

    def limits_of(
        self, run: Run, exposure: Exposure, size: WireSize, found: Ampacity, ratings: Mapping[str, float | None]
    ) -> Limits:
        """Ampacity and allowance together, with what the allowance would be without the cap on small conductors."""
        allowed = self.allowance_of(run, exposure.conductor, exposure, size, found, ratings)
        return Limits(found.value_a, allowed.value_a, max(found.value_a, allowed.value_a), allowed)

    def _many_receptacles(self, exposure: Exposure) -> bool:
        regions = exposure.a.region | exposure.b.region
        outlets = [c for c in consumers_in(self.graph, regions) if isinstance(c, Receptacle)]
        return len(outlets) > 1 or any(outlet.count > 1 for outlet in outlets)

    def _is_feeder(self, exposure: Exposure, found: Ampacity, ratings: Mapping[str, float | None]) -> bool:
        """Whether all that hangs behind a conductor stands behind devices of at most its ampacity each."""
        end = max(exposure.ends, key=lambda one: one.flow_a)
        far = exposure.other(end)
        if consumers_in(self.graph, far.region) or not far.devices:
            return False
        sizes = [ratings.get(device) for device in far.devices if device not in end.devices]
        return bool(sizes) and all(size is not None and size <= found.value_a for size in sizes)


def _passes_on(edge: Edge, node: Node) -> bool:
    """Whether an edge joins two nodes of one voltage: a conductor between like poles, or a way along one pole."""
    return edge.a.pole == edge.b.pole and (isinstance(edge, Conductor) or edge.kind in ("device", "one-way"))
