"""The network of one medium in one position of the switches: conductors, joints, sources and draws, ready to solve.

Diodes are solved by trial: each one conducts until its current turns out to be backwards, then it is taken out. Loads
that the wires can't feed are found in the same way: the one that falls furthest is taken out and named.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Hashable, Mapping, Sequence
from functools import cached_property

from msgspec import Struct, field

from rigline.graph.build import Edge, SystemGraph
from rigline.graph.links import Link
from rigline.model.system import Conductor, Node
from rigline.study.elimination import Factor
from rigline.study.joints import Joints, Place, bonds_of, conductors_of, joints
from rigline.study.network import Network
from rigline.study.powered import NO_VOLTS_V, Power, Settled, most_powers_w, settle, worst_placed
from rigline.study.wiring import Wiring

DIODE_OHM = 1e-4
"""Resistance of a conducting diode in the network, so that its current can be told; its drop is not modelled."""
BALANCE_A = 1e-9
"""Currents that sum to less than this cancel."""
BACKWARDS_A = 1e-6
"""A diode that carries more than this backwards is open."""


class Unfed(Struct, frozen=True):
    """A load that gets no voltage to work with in one state of the system."""

    load: str
    terminal: str
    wanted_w: float
    """Power it would take; at its nominal voltage if it is given by its current."""
    most_w: float
    """Greatest power that its wires can bring with no other load on."""
    reason: str


class Solution(Struct):
    """The solved network."""

    amps: dict[str, float]
    """Conductor id -> current from its a to its b."""
    volts: dict[Node, float]
    """Potential of every node that a source feeds."""
    given_a: dict[Node, float] = field(default_factory=dict)
    """Positive node of each source -> current it gives."""
    taken_a: dict[Node, float] = field(default_factory=dict)
    """Positive node (negative, if that alone is wired) of each draw -> current it takes."""
    unfed: tuple[Unfed, ...] = ()
    """Loads that were taken out because they can't be fed."""


class Drawn(Struct, frozen=True):
    """What one component draws between two nodes; a pole without a wire is None."""

    positive: Node | None
    negative: Node | None
    amps: float
    """Constant current; the nominal one where the power is constant."""
    watts: float | None = None
    """Constant power."""
    is_load: bool = False
    """Whether it must have voltage to work with."""

    @property
    def node(self) -> Node:
        """The positive node, or the negative one if that alone is wired."""
        found = self.positive or self.negative
        assert found is not None
        return found


Ends = tuple[Place, Place]
"""Where a draw takes its current and puts it back."""


class PoleNetwork(Struct, dict=True):
    """Collects sources and draws, then solves."""

    graph: SystemGraph
    wiring: Wiring
    poles: tuple[str, ...]
    closed: Callable[[Edge], bool]
    sources: list[tuple[Node, Node, float, float]] = field(default_factory=list)
    draws: list[Drawn] = field(default_factory=list)
    within: Container[Node] | None = None
    """Only conductors between these nodes; all if it is not given."""

    @cached_property
    def _factors(self) -> dict[Hashable, list[Factor[Place]]]:
        return {}

    def fresh(self) -> PoleNetwork:
        """The same conductors and joints without sources and draws."""
        other = PoleNetwork(self.graph, self.wiring, self.poles, self.closed, within=self.within)
        for name in ("conductors", "_wires", "_idle"):
            other.__dict__[name] = getattr(self, name)
        other._factors = self._factors
        return other

    def source(self, positive: Node, negative: Node, volts: float, ohm: float) -> None:
        """A component that holds its voltage."""
        if positive in self.graph.graph and negative in self.graph.graph:
            self.sources.append((positive, negative, volts, ohm))

    def draw(self, positive: Node, negative: Node, amps: float, watts: float | None = None) -> None:
        """A current from + to - through a component, negative where the component gives; or a constant power.

        A pole that no conductor reaches counts as joined to the source, so that the other pole still shows its current.
        """
        self._draw(positive, negative, amps, watts, False)

    def load(self, positive: Node, negative: Node, amps: float, watts: float | None) -> None:
        """A load: of constant power if its power is given, else of constant current. It must have voltage to work."""
        self._draw(positive, negative, amps, watts, True)

    def _draw(self, positive: Node, negative: Node, amps: float, watts: float | None, is_load: bool) -> None:
        ends = [node if node in self.graph.graph else None for node in (positive, negative)]
        if any(end is not None for end in ends):
            self.draws.append(Drawn(ends[0], ends[1], amps, watts, is_load))

    @cached_property
    def conductors(self) -> tuple[Conductor, ...]:
        """Conductors of the medium; in DC also the bonds that lie in a return through the chassis."""
        own = conductors_of(self.graph, self.poles)
        if self.within is not None:
            own = tuple(c for c in own if c.a in self.within and c.b in self.within)
        return (*own, *bonds_of(self.graph, self.poles))

    @cached_property
    def _idle(self) -> dict[str, float]:
        """No current in any conductor of the medium."""
        every = (*conductors_of(self.graph, self.poles), *self.conductors)
        return dict.fromkeys((c.id for c in every), 0.0)

    @cached_property
    def _joints(self) -> Joints:
        return joints(self.graph, self.poles, self.closed)

    @property
    def _place(self) -> Mapping[Node, Place]:
        """Each node with the number of all that is joined to it without resistance."""
        return self._joints.place

    def _negatives(self, network: Network[Place]) -> list[Place]:
        return [place for place in network.conductance_s if place in self._joints.negative]

    def solve(self) -> Solution:
        """Currents and potentials; no diode carries current backwards, and loads that can't be fed are taken out."""
        blocked: set[str] = set()
        unfed: dict[int, Unfed] = {}
        while True:
            network = self._network(blocked)
            fixed, powers = self._apply_draws(network, unfed)
            negatives = self._negatives(network)
            settled = settle(network, list(powers.values()), negatives, self._known(network, blocked))
            starved = self._starved(network, fixed, powers, settled, negatives)
            if starved is not None:
                unfed[starved] = self._unfed(starved, network, negatives, {**fixed, **self._ends_of(powers)})
                continue
            assert settled is not None
            back = {d.id for d in self._joints.diodes if d.id not in blocked and self._is_backwards(d, settled)}
            if not back:
                return self._solution(network, settled, fixed, powers, tuple(unfed.values()))
            blocked |= back

    def _known(self, network: Network[Place], blocked: set[str]) -> list[Factor[Place]]:
        """The elimination of the same resistances for other voltages and draws, if there was one."""
        places = tuple((positive, negative, ohm) for positive, negative, _, ohm in self.sources)
        return self._factors.setdefault((frozenset(blocked), places, frozenset(network.conductance_s)), [])

    def _is_backwards(self, diode: Link, settled: Settled[Place]) -> bool:
        return settled.drop_v(self._place[diode.a], self._place[diode.b]) / DIODE_OHM < -BACKWARDS_A

    @staticmethod
    def _ends_of(powers: dict[int, Power[Place]]) -> dict[int, Ends]:
        return {index: (one.positive, one.negative) for index, one in powers.items()}

    def _starved(
        self,
        network: Network[Place],
        fixed: dict[int, Ends],
        powers: dict[int, Power[Place]],
        settled: Settled[Place] | None,
        negatives: list[Place],
    ) -> int | None:
        """The load that is worst off where not all of them can be fed."""
        if settled is None:
            return list(powers)[worst_placed(network, list(powers.values()), negatives)]
        loads = [index for index in fixed if self.draws[index].is_load and self.draws[index].amps > 0]
        left = {index: settled.drop_v(*fixed[index]) for index in loads}
        dry = [index for index in loads if left[index] <= 0 and self._is_forward(fixed[index], network, negatives)]
        return min(dry, key=lambda index: left[index], default=None)

    @staticmethod
    def _is_forward(ends: Ends, network: Network[Place], negatives: list[Place]) -> bool:
        """Whether a load that is off has its positive pole above its negative one."""
        bare = Network(network.conductance_s, network.diagonal_s, network.emf_a)
        volts = bare.solve(negatives)
        return volts[ends[0]] - volts[ends[1]] > 0

    def _unfed(self, index: int, network: Network[Place], negatives: list[Place], ends: dict[int, Ends]) -> Unfed:
        one = self.draws[index]
        bare = Network(network.conductance_s, network.diagonal_s, network.emf_a)
        volts = bare.solve(negatives)
        across = abs(volts[ends[index][0]] - volts[ends[index][1]])
        wanted = one.amps * across if one.watts is None else one.watts
        most = most_powers_w(bare, [Power(*ends[index], wanted)], negatives)[0]
        why = (
            f"it would take {wanted:.4g} W, but its wires can bring at most {most:.4g} W from {across:.4g} V"
            if wanted > most
            else f"its wires can bring {most:.4g} W to it alone, but not its {wanted:.4g} W and what other loads take"
        )
        return Unfed(one.node.component, one.node.terminal, wanted, most, why)

    def _solution(
        self,
        network: Network[Place],
        settled: Settled[Place],
        fixed: dict[int, Ends],
        powers: dict[int, Power[Place]],
        unfed: tuple[Unfed, ...],
    ) -> Solution:
        place = self._place
        amps = dict(self._idle)
        for c in self.conductors:
            if place[c.a] != place[c.b]:
                amps[c.id] = settled.drop_v(place[c.a], place[c.b]) / self.wiring.resistance_ohm(c)
        live = self._live(network)
        volts = {node: settled.volts[at] for node, at in place.items() if at in live}
        given: dict[Node, float] = {}
        for positive, negative, emf, ohm in self.sources:
            if place[positive] != place[negative]:
                lost = emf - (settled.volts[place[positive]] - settled.volts[place[negative]])
                fine = settled.fine[place[positive]] - settled.fine[place[negative]]
                given[positive] = given.get(positive, 0.0) + (lost - fine) / ohm
        taken: dict[Node, float] = {}
        for index in fixed:
            node = self.draws[index].node
            taken[node] = taken.get(node, 0.0) + self.draws[index].amps
        for index, one in powers.items():
            node, across = self.draws[index].node, settled.drop_v(one.positive, one.negative)
            taken[node] = taken.get(node, 0.0) + (one.watts / across if abs(across) >= NO_VOLTS_V else 0.0)
        return Solution(amps, volts, given, taken, unfed)

    def short_circuits_a(self, pairs: Sequence[tuple[Node, Node]]) -> dict[tuple[Node, Node], float]:
        """Current through a short between two nodes, for many pairs at once, draws left out.

        By Thévenin's theorem it is the open voltage over the resistance between the two, which the inverse of the
        matrix has; that the inverse has an entry for each pair, the pair is joined by a conductance of nothing.
        """
        network, place = self._network(set()), self._place
        places = {pair: (place[pair[0]], place[pair[1]]) for pair in pairs}
        for a, b in places.values():
            # A pole that no conductor reaches, as of a load fed by one wire, is no part of the network.
            if a != b and a in network.conductance_s and b in network.conductance_s:
                network.conductance_s[a].setdefault(b, 0.0)
                network.conductance_s[b].setdefault(a, 0.0)
        live = self._live(network)
        grounds = network.grounds(self._negatives(network))
        factor = network.factor(grounds)
        volts = {**dict.fromkeys(grounds, 0.0), **factor.solve(network.injected_a)}
        inverse = factor.inverse()
        found = {}
        for pair, (a, b) in places.items():
            own = [inverse[n][n] if n in inverse else 0.0 for n in (a, b)]
            ohm = sum(own) - 2 * inverse.get(a, {}).get(b, 0.0)
            if a in live and b in live and ohm > 0:
                found[pair] = (volts[a] - volts[b]) / ohm
        return found

    @cached_property
    def _wires(self) -> Network[Place]:
        """The conductors alone."""
        place, network = self._place, Network[Place]()
        for conductor in self.conductors:
            network.resistor(place[conductor.a], place[conductor.b], self.wiring.resistance_ohm(conductor))
        return network

    def _network(self, blocked: set[str]) -> Network[Place]:
        place, network = self._place, self._wires.copy()
        for diode in self._joints.diodes:
            network.node(place[diode.a])
            network.node(place[diode.b])
            if diode.id not in blocked:
                network.resistor(place[diode.a], place[diode.b], DIODE_OHM)
        for positive, negative, volts, ohm in self.sources:
            network.node(place[positive])
            network.voltage(place[positive], place[negative], volts, ohm)
        for drawn in self.draws:
            for node in (drawn.positive, drawn.negative):
                if node is not None:
                    network.node(place[node])
        network.emf_a = dict(network.injected_a)
        return network

    def islands(self) -> tuple[dict[Place, int], dict[int, Ends]]:
        """The island of each joined node, and a source's poles in each island that has one."""
        network = self._network(set())
        return self._islands(network)

    def _islands(self, network: Network[Place]) -> tuple[dict[Place, int], dict[int, Ends]]:
        island = {node: index for index, group in enumerate(network.islands()) for node in group}
        home: dict[int, Ends] = {}
        for positive, negative, _, _ in self.sources:
            home.setdefault(island[self._place[positive]], (self._place[positive], self._place[negative]))
        return island, home

    def is_live(self, node: Node) -> bool:
        """Whether a source feeds a node."""
        island, home = self.islands()
        return island.get(self._place.get(node, -1), -1) in home

    def _live(self, network: Network[Place]) -> set[Place]:
        island, home = self._islands(network)
        return {node for node, index in island.items() if index in home}

    def _apply_draws(
        self, network: Network[Place], without: Container[int]
    ) -> tuple[dict[int, Ends], dict[int, Power[Place]]]:
        """Apply constant currents, except in islands that no source feeds and whose draws do not cancel.

        Returns:
            Where each of them stands, and the constant-power loads in islands that a source feeds, by number of draw.
        """
        island, home = self._islands(network)
        place = self._place
        joined = {
            index: (None if one.positive is None else place[one.positive],
                    None if one.negative is None else place[one.negative])
            for index, one in enumerate(self.draws) if index not in without
        }  # fmt: skip
        totals: dict[int, float] = {}
        for index, (positive, _) in joined.items():
            if positive is not None:
                totals[island[positive]] = totals.get(island[positive], 0.0) + self.draws[index].amps
        fixed: dict[int, Ends] = {}
        powers: dict[int, Power[Place]] = {}
        for index, (positive, negative) in joined.items():
            one, ends = self.draws[index], self._ends(positive, negative, island, home)
            if ends is None:
                continue
            if one.watts is not None:
                if island[ends[0]] in home and ends[0] != ends[1]:
                    powers[index] = Power(*ends, one.watts)
            elif island[ends[0]] in home or abs(totals[island[ends[0]]]) < BALANCE_A:
                network.current(*ends, one.amps)
                fixed[index] = ends
        return fixed, powers

    @staticmethod
    def _ends(
        positive: Place | None, negative: Place | None, island: dict[Place, int], home: dict[int, Ends]
    ) -> Ends | None:
        """Where a draw takes its current and puts it back; the source of its island where a pole leads nowhere."""
        own = island[positive] if positive is not None else island[negative] if negative is not None else -1
        if own not in home:
            return (positive, negative) if positive is not None and negative is not None else None
        if positive is None:
            return (home[own][0], negative) if negative is not None else None
        if negative is None or island[negative] != own:
            return positive, home[own][1]
        return positive, negative
