"""A solved state of a system, written down again for a general circuit simulator.

The netlist is made from the graph and the wires' resistances alone: joints, sources and loads are put together here,
not by the code that is tested; what each load asks for, and the voltage of a low or full battery, are taken from it.
Constant-power loads are behavioural current sources. A transformer's secondary holds its voltage, and its primary takes
the power that the secondary gives, as a behavioural current source too: that is what the study documents of it.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

from rigline.graph.build import Edge
from rigline.graph.links import Link
from rigline.graph.modes import Mode
from rigline.kinds.converters import DcConverter, Transformer
from rigline.kinds.sources import Battery, VehicleBattery
from rigline.model.system import Conductor, Node
from rigline.study.ac_currents import ac_draws
from rigline.study.currents import Case, DcCases, battery_resistance_ohm, dc_positions
from rigline.study.demand import leg_voltage_v
from rigline.study.operating import battery_volts_v
from rigline.study.study import Study
from rigline.study.windings import leg_volts

PACKAGE = "ngspice"
"""Debian package, and command, of the circuit simulator."""
STIFF_OHM, DIODE_OHM = 1e-4, 1e-4
"""Resistances that the study documents for sources that hold their voltage, and for conducting diodes."""
USUAL_OHM_PER_V = 1e-4
"""The documented resistance of a battery that states none, for each volt."""


@dataclass
class Circuit:
    """One netlist in the making."""

    found: Study
    poles: tuple[str, ...]
    closed: Callable[[Edge], bool]
    lines: list[str] = field(default_factory=list)
    ohms: dict[str, float] = field(default_factory=dict)
    parent: dict[Node, Node] = field(default_factory=dict)
    nodes: dict[Node, None] = field(default_factory=dict)
    """The nodes of the circuit, in the order of the graph."""

    def __post_init__(self) -> None:
        graph = self.found.graph
        metal = "-" in self.poles and any(
            n.pole in self.poles and graph.component_at(n).role == "earth" for n in graph.graph
        )
        returning = {n for n in graph.graph if n.pole == "PE" and graph.component_at(n).role == "earth" and metal}
        self.nodes = dict.fromkeys(n for n in graph.graph if n.pole in self.poles or n in returning)
        for link in graph.links:
            if link.kind in ("device", "common") and self._is_here(link) and self.closed(link):
                self.parent[self._root(link.a)] = self._root(link.b)
        first: dict[str, Node] = {}
        for node in self.nodes:
            if graph.component_at(node).role == "earth":
                self.parent[self._root(node)] = self._root(first.setdefault(node.component, node))
        self.number = {root: index for index, root in enumerate(sorted({self._root(n) for n in self.nodes}), start=1)}
        for conductor in graph.conductors:
            if conductor.a in self.nodes and conductor.b in self.nodes:
                self._conductor(conductor)

    def _is_here(self, link: Link) -> bool:
        return link.a.pole in self.poles and link.a in self.nodes and link.b in self.nodes

    def _root(self, node: Node) -> Node:
        while (up := self.parent.get(node, node)) != node:
            node = up
        return node

    def name(self, node: Node) -> str:
        """A node's name in the netlist."""
        return f"n{self.number[self._root(node)]}"

    def add(self, line: str) -> None:
        """Add an element; its number goes where the line says `#`."""
        self.lines.append(line.replace("#", str(len(self.lines) + 1), 1))

    def _conductor(self, conductor: Conductor) -> None:
        if self._root(conductor.a) != self._root(conductor.b):
            self.ohms[conductor.id] = ohm = self.found.wiring.resistance_ohm(conductor)
            self.add(f"R# {self.name(conductor.a)} {self.name(conductor.b)} {ohm:.17g}")

    def source(self, positive: Node, negative: Node, volts: float, ohm: float) -> None:
        """A voltage behind a resistance."""
        if positive in self.nodes and negative in self.nodes and self._root(positive) != self._root(negative):
            middle = f"m{len(self.lines)}"
            self.add(f"V# {middle} {self.name(negative)} {volts:.17g}")
            self.add(f"R# {middle} {self.name(positive)} {ohm:.17g}")

    def hold(self, id: str, terminal: str, volts: float, ohm: float) -> str:
        """Hold the voltage of a component's legs; what they give, as an expression of the simulator."""
        legs = [n for leg in ("L1", "L2") if (n := Node(id, terminal, leg)) in self.nodes]
        neutral = Node(id, terminal, "N")
        held = [(leg, neutral, volts if leg.pole == "L1" else -volts) for leg in legs]
        if neutral not in self.nodes:
            held = [(legs[0], legs[1], 2 * volts)]
        given = []
        for leg, back, emf in held:
            given.append(f"V({self.name(leg)},{self.name(back)})*-i(V{len(self.lines) + 1})")
            self.source(leg, back, emf, ohm)
        return "+".join(given)

    def take(self, positive: Node, negative: Node, least_v: float, watts: str) -> None:
        """Take a power that is an expression; below a least voltage a resistor, so that there is one solution."""
        a, b = self.name(positive), self.name(negative)
        self.add(
            f"B# {a} {b} I=V({a},{b})>{least_v:.17g} ? ({watts})/V({a},{b}) : ({watts})*V({a},{b})/{least_v**2:.17g}"
        )

    def load(self, positive: Node, negative: Node, amps: float, watts: float | None) -> None:
        """A load of constant current, or of constant power; below half its voltage a resistor, so that there is one
        solution, the upper one.
        """
        a, b = self.name(positive), self.name(negative)
        if watts is None:
            self.add(f"I# {a} {b} {amps:.17g}")
        else:
            half = watts / amps / 2
            self.add(
                f"B# {a} {b} I=V({a},{b})>{half:.17g} ? {watts:.17g}/V({a},{b}) : {watts / half**2:.17g}*V({a},{b})"
            )

    def islands(self) -> dict[str, str]:
        """For each node of the netlist the one that stands for its island."""
        up: dict[str, str] = {}

        def top(name: str) -> str:
            while (over := up.get(name, name)) != name:
                name = over
            return name

        for line in self.lines:
            if line[0] in "RV":
                a, b = line.split()[1:3]
                up[top(a)] = top(b)
        names = [f"n{index}" for index in self.number.values()]
        return {name: top(name) for name in names}

    def hang_together(self, first: Node, second: Node) -> bool:
        """Whether two nodes are in this circuit and in one island of it: only then is there a voltage between them."""
        if first.pole not in self.poles or second.pole not in self.poles:
            return False
        islands = self.islands()
        return islands[self.name(first)] == islands[self.name(second)]

    def solve(self) -> dict[Node, float]:
        """Potential of every node by the simulator, each island against one of its nodes."""
        if not self.nodes:
            return {}
        ties = [f"Rtie{index} {name} 0 1" for index, name in enumerate(sorted(set(self.islands().values())))]
        options = ".options reltol=1e-6 abstol=1e-9 vntol=1e-9 itl1=500"
        shown = [f"print v(n{index})" for index in self.number.values()]
        control = [".control", "set numdgt=15", "op", *shown, "quit", ".endc", ".end"]
        text = "\n".join(["* one state", options, *self.lines, *ties, *control]) + "\n"
        volts = {name: float(value) for name, value in re.findall(r"v\((n\d+)\) = (\S+)", run(text))}
        return {node: volts[self.name(node)] for node in self.nodes}


def run(netlist: str) -> str:
    """What the simulator prints for a netlist."""
    command = shutil.which(PACKAGE)
    assert command is not None, f"install the Debian package {PACKAGE}: apt-get install {PACKAGE}"
    done = subprocess.run(
        [command, "-b", "/dev/stdin"], input=netlist, capture_output=True, text=True, timeout=60, check=False
    )
    assert "v(n" in done.stdout, done.stdout + done.stderr
    return done.stdout


def dc_circuits(found: Study) -> Iterable[tuple[Case, Circuit]]:
    """Every operating DC state with its netlist."""
    positions = dc_positions(found.graph)
    states = [("full", positions[0]), *(("end", position) for position in positions)]
    cases = [case for case in found.operating if case.kind in ("full", "end")]
    for (state, position), case in zip(states, cases, strict=True):
        circuit = Circuit(found, ("+", "-"), position.closed)
        first: list[tuple[Node, Node]] = []
        for id, component in sorted(found.system.components.items()):
            if isinstance(component, Battery | VehicleBattery):
                nominal = (component.voltage_v or 0.0) * getattr(component, "series", 1)
                ohm = battery_resistance_ohm(component) or max(nominal, 1.0) * USUAL_OHM_PER_V
                first.append((Node(id, "", "+"), Node(id, "", "-")))
                circuit.source(*first[-1], battery_volts_v(component, state), ohm)
            elif isinstance(component, DcConverter):
                first.append((Node(id, "out", "+"), Node(id, "out", "-")))
                circuit.source(*first[-1], component.output_voltage_v or 0.0, STIFF_OHM)
        unfed, island = {one.load for one in case.unfed}, circuit.islands()
        for draw in DcCases(found.graph, found.wiring, found.potentials).loads():
            poles = Node(draw.component, draw.terminal, "+"), Node(draw.component, draw.terminal, "-")
            ends = _ends(circuit, island, *poles, first)
            if ends is not None and draw.component not in unfed:
                circuit.load(*ends, draw.amps_a, draw.power_w)
        yield case, circuit


def _ends(
    circuit: Circuit, island: Mapping[str, str], positive: Node, negative: Node, sources: list[tuple[Node, Node]]
) -> tuple[Node, Node] | None:
    """Where a load stands; a pole without a wire counts as joined to the first source of the other's island."""
    home = {island[circuit.name(p)]: (p, n) for p, n in reversed(sources) if p in circuit.nodes and n in circuit.nodes}
    known = positive if positive in circuit.nodes else negative
    if known not in circuit.nodes or island[circuit.name(known)] not in home:
        return None
    source = home[island[circuit.name(known)]]
    if positive not in circuit.nodes:
        return source[0], negative
    if negative not in circuit.nodes or island[circuit.name(negative)] != island[circuit.name(positive)]:
        return positive, source[1]
    return positive, negative


def ac_circuits(found: Study) -> Iterable[tuple[Case, Circuit]]:
    """Every operating AC state with its netlist, effective values as direct ones."""
    modes = {mode.name: mode for mode in found.modes}
    for case in found.operating:
        if case.kind == "ac-running":
            mode = modes[case.name.removeprefix(f"{case.source} with ").removesuffix(", running")]
            yield case, _ac_circuit(found, case, mode)


def _ac_circuit(found: Study, case: Case, mode: Mode) -> Circuit:
    circuit = Circuit(found, ("L1", "L2", "N"), lambda edge: mode.closed(edge) and not _is_winding(found, edge))
    source = found.system.components[case.source]
    terminal = "ac-out" if source.kind.startswith("inverter") else ""
    circuit.hold(source.id, terminal, leg_voltage_v(source, found.system), STIFF_OHM)
    live = {_island(circuit, source.id, terminal)}
    unfed = {one.load for one in case.unfed}
    _transform(circuit, live, leg_volts(found.graph, [source]), unfed)
    for draw, leg, other in ac_draws(found.graph, found.potentials, source):
        first, second = Node(draw.component, draw.terminal, leg), Node(draw.component, draw.terminal, other)
        if draw.component not in unfed and circuit.islands()[circuit.name(first)] in live:
            turned = leg == "L2" and other == "N"
            circuit.load(*((second, first) if turned else (first, second)), draw.amps_a, draw.power_w)
    return circuit


def _is_winding(found: Study, edge: Edge) -> bool:
    return isinstance(edge, Link) and isinstance(found.graph.component_at(edge.a), Transformer)


def _island(circuit: Circuit, id: str, terminal: str) -> str:
    return circuit.islands()[circuit.name(Node(id, terminal, "L1"))]


def _transform(circuit: Circuit, live: set[str], legs: Mapping[Node, float], unfed: set[str]) -> None:
    """Let every transformer whose primary is live hold its secondary, one behind the other.

    One whose primary the study took out, because its wires can't feed it, takes nothing.
    """
    waiting = {id for id, c in circuit.found.system.components.items() if isinstance(c, Transformer)}
    grown = True
    while grown:
        grown = False
        for id in sorted(waiting):
            primary, secondary = Node(id, "primary", "L1"), Node(id, "secondary", "L1")
            if {primary, secondary} <= circuit.nodes.keys() and _island(circuit, id, "primary") in live:
                waiting.remove(id)
                watts = circuit.hold(id, "secondary", legs[secondary], STIFF_OHM)
                other = Node(id, "primary", "L2")
                both = other in circuit.nodes
                nominal = circuit.found.system.components[id].voltage_v or legs[primary]  # type: ignore[attr-defined]
                back = other if both else Node(id, "primary", "N")
                if id not in unfed:
                    circuit.take(primary, back, nominal * (2 if both else 1) / 3, watts)
                live.add(_island(circuit, id, "secondary"))
                grown = True
