"""Voltages and fault levels at the terminals of every component, in the worst state that the system settles at."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from rigline.graph.build import SystemGraph
from rigline.model.system import HOT_LEGS, NEUTRAL, Node
from rigline.study.ac_faults import AcFaultLevel
from rigline.study.currents import Case
from rigline.study.fault_current import FaultLevel
from rigline.study.potentials import Potentials, source_voltage_v
from rigline.study.windings import leg_volts


class NodeStudy(Struct, frozen=True):
    """The numbers of one component's terminals."""

    id: str
    voltage_v: float | None
    """Lowest, while all loads run and the batteries are at end of discharge; of AC, from a leg to neutral. None if no
    source feeds it or its wires can't feed it."""
    drop_frac: float | None
    """Most that is lost between source and component, over nominal voltage."""
    fault_current_a: float | None
    """Greatest prospective one, of the medium that the figures are of."""
    medium: str = "dc"
    """What the figures are of: dc, or ac if it has no DC terminals."""
    full_voltage_v: float | None = None
    """The same voltage with full batteries."""
    ac_voltage_v: float | None = None
    """Lowest AC voltage, of whatever has AC terminals."""
    ac_drop_frac: float | None = None
    """Most that is lost between AC source, or the winding that feeds it, and component."""
    ac_fault_current_a: float | None = None
    """Greatest prospective AC one."""


def node_studies(
    graph: SystemGraph,
    potentials: Potentials,
    cases: Sequence[Case],
    levels: Mapping[Node, FaultLevel],
    ac_levels: Mapping[Node, AcFaultLevel],
) -> dict[str, NodeStudy]:
    """The numbers of every component that a source feeds, by id; AC components too.

    Args:
        graph: The system.
        potentials: Nominal DC voltages.
        cases: The states that the system settles at.
        levels: Greatest prospective fault currents of DC.
        ac_levels: The same of AC.
    """
    finder = _NodeFinder(graph, potentials, levels)
    dc = [case for case in cases if case.kind in ("full", "end")]
    highest = [finder.source_volts(case) for case in dc]
    found = {id: finder.node(id, dc, highest) for id in _fed(dc)}
    ac = [case for case in cases if case.kind == "ac-running"]
    for id, (volts, drop) in _ac_nodes(graph, ac).items():
        known = found.get(id)
        amps = max((ac_levels[node].amps_a for node in graph.nodes_of(id) if node in ac_levels), default=None)
        if known is None:
            found[id] = NodeStudy(id, volts, drop, amps, "ac", None, volts, drop, amps)
        else:
            found[id] = replace(known, ac_voltage_v=volts, ac_drop_frac=drop, ac_fault_current_a=amps)
    return {id: found[id] for id in sorted(found)}


def _fed(cases: Iterable[Case]) -> list[str]:
    return sorted({node.component for case in cases for node in case.volts})


def _ac_nodes(graph: SystemGraph, cases: Sequence[Case]) -> dict[str, tuple[float | None, float | None]]:
    """Lowest voltage from a leg to neutral (or between the legs) and most that is lost, by component."""
    found: dict[str, list[tuple[float, float]]] = {}
    starved = {one.load for case in cases for one in case.unfed}
    nominal = {source: leg_volts(graph, [graph.system.components[source]]) for source in {c.source for c in cases}}
    for case in cases:
        for node, volts in case.volts.items():
            if node.pole not in HOT_LEGS or node not in nominal[case.source]:
                continue
            usual = nominal[case.source][node]
            back, other = node._replace(pole=NEUTRAL), node._replace(pole="L2" if node.pole == "L1" else "L1")
            if back in case.volts:
                across = abs(volts - case.volts[back])
            elif other in case.volts:
                across = abs(volts - case.volts[other]) / 2
            else:
                continue
            found.setdefault(node.component, []).append((across, (usual - across) / usual))
    return {
        id: (None, None) if id in starved else (min(v for v, _ in pairs), max(max(d for _, d in pairs), 0.0))
        for id, pairs in sorted(found.items())
    }


class _NodeFinder(Struct, frozen=True):
    graph: SystemGraph
    potentials: Potentials
    levels: Mapping[Node, FaultLevel]

    def source_volts(self, case: Case) -> dict[float, float]:
        """Greatest voltage at terminals of batteries, alone and in strings, and of converters, by nominal voltage."""
        found: dict[float, float] = {}
        for island, low, low_v in self._terminals(case, "-"):
            for other, high, high_v in self._terminals(case, "+"):
                if other == island and high > low:
                    nominal = round(high - low, 6)
                    found[nominal] = max(found.get(nominal, 0.0), high_v - low_v)
        for node, volts in case.volts.items():
            held = source_voltage_v(self.graph.component_at(node), node.terminal)
            back = node._replace(pole="-")
            if held is not None and node.pole == "+" and back in case.volts and self.potentials.between(node, back):
                found.setdefault(round(held, 6), volts - case.volts[back])
        return found

    def _terminals(self, case: Case, pole: str) -> list[tuple[int, float, float]]:
        """Island, nominal potential and voltage of battery terminals of one pole; the outermost of each potential."""
        best: dict[tuple[int, float], float] = {}
        for node, volts in case.volts.items():
            storage = self.graph.component_at(node).role == "storage"
            if storage and node.pole == pole and node in self.potentials.volts:
                key = self.potentials.island[node], round(self.potentials.volts[node], 6)
                outer = min if pole == "-" else max
                best[key] = outer(best.get(key, volts), volts)
        return [(island, level, volts) for (island, level), volts in best.items()]

    def node(self, id: str, cases: Sequence[Case], highest: Sequence[Mapping[float, float]]) -> NodeStudy:
        """The worst over all states in which the component is fed."""
        nodes = self.graph.nodes_of(id)
        pairs = [
            (a, b) for a in nodes if a.pole == "+" for b in nodes if b.pole == "-"
            and (b.terminal == a.terminal or not (a.terminal and b.terminal))
        ]  # fmt: skip
        found: list[tuple[str, float, float | None]] = []
        for case, source in zip(cases, highest, strict=True):
            a, b = next(((a, b) for a, b in pairs if a in case.volts and b in case.volts), (None, None))
            if a is not None and b is not None:
                volts, nominal = case.volts[a] - case.volts[b], self.potentials.between(a, b)
                known = source.get(round(nominal, 6)) if nominal else None
                found.append((case.kind, volts, None if known is None or not nominal else (known - volts) / nominal))
        level = max((self.levels[node].amps_a for node in nodes if node in self.levels), default=None)
        if any(one.load == id for case in cases for one in case.unfed):
            return NodeStudy(id, None, None, level)
        lowest = min((volts for _, volts, _ in found), default=None)
        drop = max((drop for _, _, drop in found if drop is not None), default=None)
        full = min((volts for kind, volts, _ in found if kind == "full"), default=None)
        return NodeStudy(id, lowest, drop, level, full_voltage_v=full)
