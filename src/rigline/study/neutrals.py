"""Where AC neutral and earth are joined, for every position of the switches and every source.

There must be exactly one joint on the neutral that is in use: with none, a fault to a case opens no breaker; with two,
part of the neutral's current flows through earth wires and cases. Which joints count depends on what feeds whom.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from functools import cached_property

from msgspec import Struct

from rigline.graph.build import Edge, SystemGraph
from rigline.graph.modes import Mode
from rigline.kinds import Component
from rigline.kinds.converters import AcCharger, Autotransformer, Inverter, Transformer
from rigline.kinds.devices import Overcurrent
from rigline.kinds.distribution import AcPanel
from rigline.kinds.loads import Load
from rigline.kinds.sources import AcSource, Generator, ShoreInlet
from rigline.model.system import HOT_LEGS, NEUTRAL, Conductor, Node, System
from rigline.study.grounding import CABINS

_LIVE = (*HOT_LEGS, NEUTRAL)


class NeutralBond(Struct, frozen=True):
    """One joint of neutral and earth."""

    at: str
    """Component, or run, that makes it."""
    words: str
    certain: bool = True
    """False for a joint that is only there while a source that idles here is plugged in."""


class NeutralNet(Struct, frozen=True):
    """The neutral that one source, or several at once, use in one or more positions of the switches."""

    sources: tuple[str, ...]
    loads: tuple[str, ...]
    """What uses power on it, sorted."""
    devices: tuple[str, ...]
    """Overcurrent devices in its hot conductors, sorted."""
    bonds: tuple[NeutralBond, ...]
    unknown: tuple[str, ...]
    """Components that do not say whether they join neutral and earth."""
    positions: tuple[tuple[str, str], ...] = ()
    """The positions in which it is so."""

    @property
    def certain(self) -> int:
        """Joints that are there in any case."""
        return sum(bond.certain for bond in self.bonds)

    @property
    def mode(self) -> str | None:
        """The positions in words; None if it is so in every position."""
        words = {"pass": "passing through", "inverting": "inverting"}
        return ", ".join(f"{of} {words.get(which, 'on ' + which)}" for of, which in self.positions) or None


class Neutrals(Struct, frozen=True, dict=True):
    """The neutrals of one system in all its modes."""

    graph: SystemGraph
    modes: tuple[Mode, ...]

    @property
    def system(self) -> System:
        """The system that is looked at."""
        return self.graph.system

    @property
    def countable(self) -> bool:
        """Whether there were few enough positions to look at each."""
        return not any(mode.everything for mode in self.modes)

    @cached_property
    def nets(self) -> tuple[NeutralNet, ...]:
        """One per group of sources and set of joints, with the positions that all its modes have in common."""
        found: dict[tuple[object, ...], tuple[NeutralNet, set[tuple[str, str]]]] = {}
        for mode in self.modes if self.countable else ():
            for net in self._nets_in(mode):
                key = net.sources, net.bonds, net.unknown
                if key in found:
                    found[key][1].intersection_update(mode.positions)
                else:
                    found[key] = net, set(mode.positions)
        return tuple(
            NeutralNet(n.sources, n.loads, n.devices, n.bonds, n.unknown, tuple(sorted(positions)))
            for n, positions in found.values()
        )

    def bonds_of(self, source: str, mode: Mode) -> tuple[NeutralBond, ...]:
        """The joints on the neutral that one source uses in a mode; none if it is not used, or joins nothing."""
        nets = self._nets_in(mode)
        return next((net.bonds for net in nets if source in net.sources), ())

    def _nets_in(self, mode: Mode) -> Iterator[NeutralNet]:
        left = [(id, nodes) for id, nodes in self._sources(mode) if self._is_used(id, nodes, mode)]
        while left:
            _, nodes = left[0]
            net = self.joined(nodes, mode)
            here = [(other, places) for other, places in left if places & net]
            left = [pair for pair in left if pair not in here]
            yield self._net(tuple(other for other, _ in here), frozenset(net), mode)

    def _net(self, sources: tuple[str, ...], net: frozenset[Node], mode: Mode) -> NeutralNet:
        live = {id for source in sources for id in self.live(source, mode)}
        components = self.system.components
        bonds, unknown = self._bonds(net, sources, mode)
        return NeutralNet(
            sources,
            tuple(sorted(id for id in live if self.is_load(components[id]))),
            tuple(sorted(id for id in live if isinstance(components[id], Overcurrent))),
            bonds,
            unknown,
        )

    # What feeds whom

    def _sources(self, mode: Mode) -> Iterator[tuple[str, frozenset[Node]]]:
        """Every AC source of a mode with its neutral nodes."""
        for id in self.possible_sources:
            nodes = frozenset(n for n in self.source_nodes(id, mode) if n.pole == NEUTRAL)
            if nodes:
                yield id, nodes

    @cached_property
    def possible_sources(self) -> tuple[str, ...]:
        """Components that feed AC in some mode, sorted."""
        found = (id for id, c in self.system.components.items() if isinstance(c, AcSource | Inverter | Transformer))
        return tuple(sorted(found))

    def source_nodes(self, id: str, mode: Mode) -> list[Node]:
        """The nodes at which a component feeds AC in a mode; none if it does not."""
        component = self.system.components[id]
        terminals: tuple[str, ...] = ()
        if isinstance(component, AcSource):
            terminals = ("",)
        elif isinstance(component, Inverter) and not component.grid_tied and mode.inverting(id):
            terminals = "ac-out", "ac-out2"
        elif isinstance(component, Transformer) and not isinstance(component, Autotransformer):
            terminals = ("secondary",)
        return [node for node in self.graph.nodes_of(id) if node.terminal in terminals and node.pole in _LIVE]

    def feeding(self, mode: Mode) -> list[str]:
        """Components that feed something with AC in a mode, sorted."""
        return [id for id in self.possible_sources if self.live(id, mode)]

    def live(self, id: str, mode: Mode, *, past: Callable[[Component], bool] = lambda _: True) -> set[str]:
        """Components that a source's hot conductors reach in a mode through devices that `past` accepts, not itself."""

        def passes(edge: Edge, node: Node) -> bool:
            hot = edge.a.pole in HOT_LEGS and edge.b.pole in HOT_LEGS
            if isinstance(edge, Conductor) or not hot:
                return hot
            return edge.kind == "device" and mode.closed(edge) and past(self.system.components[edge.component])

        found: set[Node] = set()
        for node in self.source_nodes(id, mode):
            if node.pole in HOT_LEGS:
                found |= self.graph.reach(node, passes)
        return {node.component for node in found} - {id}

    @staticmethod
    def is_load(component: Component) -> bool:
        """Whether a component uses AC: a load, or a charger."""
        return isinstance(component, (Load, AcCharger))

    def _is_used(self, id: str, nodes: frozenset[Node], mode: Mode) -> bool:
        """Whether anything hangs on a source; an idle one whose contacts are open is no case to look at."""
        live = [self.system.components[other] for other in self.live(id, mode)]
        passing = any(isinstance(c, Inverter) and not mode.inverting(c.id) for c in live)
        return passing or any(self.is_load(c) or isinstance(c, (AcPanel, Transformer)) for c in live)

    def joined(self, nodes: Iterable[Node], mode: Mode) -> set[Node]:
        """All nodes that the neutral leads to from some nodes in a mode."""

        def passes(edge: Edge, node: Node) -> bool:
            neutral = edge.a.pole == NEUTRAL and edge.b.pole == NEUTRAL
            return neutral and (isinstance(edge, Conductor) or (edge.kind == "device" and mode.closed(edge)))

        found: set[Node] = set()
        for node in sorted(nodes):
            found |= self.graph.reach(node, passes)
        return found

    def all_behind_rcd(self) -> bool:
        """Whether no load is fed by any source past its residual-current device."""
        components = self.system.components
        return not any(
            self.is_load(components[id])
            for mode in self.modes
            for source in self.feeding(mode)
            for id in self.live(source, mode, past=lambda c: getattr(c, "residual_a", None) is None and c.kind != "rcd")
        )

    # Joints

    def _bonds(
        self, net: frozenset[Node], sources: tuple[str, ...], mode: Mode
    ) -> tuple[tuple[NeutralBond, ...], tuple[str, ...]]:
        """All joints on a neutral, and the components that do not say whether they make one."""
        bonds: list[NeutralBond] = []
        unknown: list[str] = []
        for id in sorted({node.component for node in net}):
            said = self._bond_of(self.system.components[id], net, id in sources, mode)
            if said is None:
                unknown.append(id)
            else:
                bonds += said
        for conductor in self.graph.conductors:
            ends = {conductor.a, conductor.b}
            if conductor.pole == "N-PE" and ends & net and not self._made_twice(conductor, bonds):
                bonds.append(NeutralBond(conductor.run, f"run {conductor.run}"))
        return self._one_service(tuple(bonds)), tuple(unknown)

    @staticmethod
    def _made_twice(conductor: Conductor, bonds: list[NeutralBond]) -> bool:
        """A run from neutral to earth inside a component that already says so is the same joint."""
        return conductor.a.component == conductor.b.component and any(b.at == conductor.a.component for b in bonds)

    def _one_service(self, bonds: tuple[NeutralBond, ...]) -> tuple[NeutralBond, ...]:
        """In a cabin on a combined earth-neutral (TN-C-S), the panel's joint is where the supply is bonded."""
        supply = self.system.supply
        if self.system.profile_name not in CABINS or supply is None or supply.earthing != "TN-C-S":
            return bonds
        panel = any(isinstance(self.system.components.get(bond.at), AcPanel) for bond in bonds)
        upstream = [b for b in bonds if isinstance(self.system.components.get(b.at), ShoreInlet)]
        return tuple(bond for bond in bonds if not (panel and bond in upstream))

    def _bond_of(
        self, component: Component, net: frozenset[Node], feeding: bool, mode: Mode
    ) -> list[NeutralBond] | None:
        """Joints that a component makes on a neutral; None if it does not say."""
        id = component.id
        if isinstance(component, ShoreInlet):
            return self._shore(component, feeding)
        if isinstance(component, Generator):
            return _stated(component.neutral_bond, id, feeding, feeding or not component.portable)
        if isinstance(component, Inverter):
            if component.grid_tied or not any(Node(id, out, NEUTRAL) in net for out in ("ac-out", "ac-out2")):
                return []
            return _stated(component.neutral_bond, id, mode.inverting(id))
        if isinstance(component, AcPanel):
            if component.neutral_bond is None and "neutral-bond" not in component.unknown:
                return []
            return _stated(component.neutral_bond, id, True)
        if isinstance(component, Transformer) and Node(id, "secondary", NEUTRAL) in net:
            if isinstance(component, Autotransformer):
                return []
            return _stated({"secondary": "fixed", "none": "none"}.get(component.bond or ""), id, True)
        return []

    def _shore(self, inlet: ShoreInlet, feeding: bool) -> list[NeutralBond] | None:
        supply = self.system.supply
        found = [NeutralBond(inlet.id, f"{inlet.id} aboard")] if inlet.neutral_bond == "fixed" else []
        if supply is not None and "bonded" in supply.unknown:
            return None
        if supply is not None and (supply.bonded is False or (supply.bonded is None and supply.earthing == "IT")):
            return found
        return [*found, NeutralBond(inlet.id, f"the supply that {inlet.id} plugs into", feeding)]


def _stated(bond: str | None, id: str, relay_closed: bool, certain: bool = True) -> list[NeutralBond] | None:
    """What a component's own statement means: fixed is always a joint, a relay while it is closed."""
    if bond is None:
        return None
    if bond == "fixed" or (bond == "relay" and relay_closed):
        return [NeutralBond(id, id, certain)]
    return []
