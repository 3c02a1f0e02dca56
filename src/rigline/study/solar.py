"""The voltage of solar strings in the cold and in the heat, at the controllers they end in."""

from __future__ import annotations

from msgspec import Struct

from rigline.graph.build import SystemGraph
from rigline.graph.kept import kept
from rigline.kinds.sources import PvArray
from rigline.model.system import Conductor, Node
from rigline.standards.solar import cold_voltage_factor
from rigline.study.currents import link_is_passive
from rigline.study.sides import Marks, Sides
from rigline.units import format_amount

STANDARD_C = 25.0
"""Cell temperature of a module's rated figures. Source: IEC 61215, standard test conditions."""
HOT_CELL_C = 70.0
"""Cell temperature on a hot bright day. Common practice."""
VMP_PER_K = -0.0037
"""Change of the voltage at greatest power of crystalline modules per kelvin, where none is stated. Common practice."""
VMP_OVER_VOC = 0.81
"""Voltage at greatest power over open-circuit voltage of crystalline modules. Common practice."""
UNKNOWN_COLD_FACTOR = 1.25
"""Reserve where the coldest temperature is not stated. Source: modules' installation manuals."""
COLD_RESERVE_PER_K = 0.0009
"""Share of the rated open-circuit voltage, for each kelvin below 25 °C, that a string's input should stand on top of
the computed voltage. NEC 690.7(A) asks for no such reserve; but its coefficient is a straight line through measurements
at 25 °C and above. Against the single-diode model the line is too low for nine modules of ten, by 1.2 % for the middle
one at -25 °C; with this reserve for two of a hundred. Source: 1000 modules of the CEC database with the model of Dobos
2012 in the library pvlib; tests/oracles compares them."""


class SolarString(Struct, frozen=True):
    """One string, or several arrays in series, at a controller's input."""

    arrays: tuple[str, ...]
    cold_v: float | None
    """Open-circuit voltage at the coldest temperature; None if it can't be told."""
    reserve_v: float | None
    """The same with the reserve for what coefficients leave out."""
    hot_v: float | None
    """Voltage at greatest power on a hot day; None if a module states neither that nor its open-circuit voltage."""
    mild_v: float | None
    """The same with cells at 25 °C."""
    basis: str
    """What the cold figure was computed with."""
    module_limit_v: float | None
    """Lowest system voltage that the modules allow."""
    missing: tuple[str, ...] = ()
    """What is not known for the cold figure."""


def string_on(graph: SystemGraph, controller: str) -> list[SolarString]:
    """The strings on a controller's input, arrays wired plus to minus as one string."""
    seen: set[str] = set()
    found = []
    for array in _arrays(graph, controller):
        if array.id not in seen:
            chain = _chain(graph, array)
            seen |= {one.id for one in chain}
            found.append(_string(graph, chain))
    return found


@kept
def pole_sides(graph: SystemGraph) -> Sides:
    """The network along single poles, through everything that passes current on."""
    return Sides(graph, lambda edge: edge.a.pole == edge.b.pole and link_is_passive(edge))


@kept
def _array_nodes(graph: SystemGraph) -> Marks:
    return pole_sides(graph).marks(lambda node: isinstance(graph.component_at(node), PvArray))


def _arrays(graph: SystemGraph, controller: str) -> list[PvArray]:
    sides = pole_sides(graph)
    inputs = [node for pole in "+-" if (node := Node(controller, "pv", pole)) in graph.graph]
    near = {n.component for node in inputs for n in sides.among(sides.whole(node), _array_nodes(graph))}
    return [c for id in sorted(near) if isinstance(c := graph.system.components[id], PvArray)]


def _chain(graph: SystemGraph, first: PvArray) -> list[PvArray]:
    chain, queue = {first.id}, [first.id]
    while queue:
        for node in graph.nodes_of(queue.pop()):
            for edge, other in graph.edges_at(node):
                crossed = isinstance(edge, Conductor) and edge.a.pole != edge.b.pole
                if crossed and isinstance(graph.component_at(other), PvArray) and other.component not in chain:
                    chain.add(other.component)
                    queue.append(other.component)
    return [c for id in sorted(chain) if isinstance(c := graph.system.components[id], PvArray)]


def _string(graph: SystemGraph, chain: list[PvArray]) -> SolarString:
    coldest = graph.system.conditions.coldest_c
    cold = [cold_v(array, coldest) for array in chain]
    missing = tuple(_missing(array) for array, volts in zip(chain, cold, strict=True) if volts is None)
    below_k = 0.0 if coldest is None else max(STANDARD_C - coldest, 0.0)
    extra_v = sum(COLD_RESERVE_PER_K * below_k * (array.voc_v or 0.0) * array.series for array in chain)
    whole_v = None if missing else sum(volts for volts in cold if volts is not None)
    hot = [_power_v(array, HOT_CELL_C) for array in chain]
    mild = [_power_v(array, STANDARD_C) for array in chain]
    limits = [array.max_voltage_v for array in chain if array.max_voltage_v is not None]
    own = all(array.voc_temperature_per_k is not None for array in chain)
    how = "the modules' coefficient" if own else "NEC Table 690.7(A)"
    cold_words = "1.25 times, as the coldest temperature is not stated"
    basis = cold_words if coldest is None else f"{format_amount(coldest, 'c')}, {how}"
    return SolarString(
        tuple(array.id for array in chain),
        whole_v,
        None if whole_v is None else whole_v + extra_v,
        None if None in hot else sum(v for v in hot if v is not None),
        None if None in mild else sum(v for v in mild if v is not None),
        basis,
        min(limits, default=None),
        missing,
    )


def _missing(array: PvArray) -> str:
    if array.voc_v is None:
        return f"open-circuit voltage (voc) of {array.id}"
    return f"voc-temperature of {array.id}: NEC Table 690.7(A) ends at -40 °C"


def cold_v(array: PvArray, coldest_c: float | None) -> float | None:
    """Open-circuit voltage of a string on the coldest morning: by the module's coefficient, else by NEC Table 690.7(A).

    Returns:
        1.25 times the rated voltage if the coldest temperature is not stated; None if the module does not state its
        voltage, or states no coefficient where it is colder than the table.
    """
    if array.voc_v is None:
        return None
    if coldest_c is None:
        factor: float | None = UNKNOWN_COLD_FACTOR
    elif array.voc_temperature_per_k is not None:
        factor = 1 + abs(array.voc_temperature_per_k) * (STANDARD_C - coldest_c)
    else:
        factor = cold_voltage_factor(coldest_c)
    return None if factor is None else array.voc_v * array.series * factor


def _power_v(array: PvArray, cell_c: float) -> float | None:
    vmp = array.vmp_v if array.vmp_v is not None else array.voc_v and array.voc_v * VMP_OVER_VOC
    if not vmp:
        return None
    slope = VMP_PER_K if array.vmp_temperature_per_k is None else -abs(array.vmp_temperature_per_k)
    return vmp * array.series * (1 + slope * (cell_c - STANDARD_C))
