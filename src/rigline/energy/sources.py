"""What brings energy: arrays with their controllers, and chargers with what stands behind them."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence

from msgspec import Struct

from rigline.energy.assumption import Notes
from rigline.energy.bank import Bank
from rigline.energy.sun import HOURS_OF_DAY, MONTH_DAYS, Slope, on_slope
from rigline.energy.year import HOURS_OF_YEAR, Sunshine
from rigline.graph.build import Edge
from rigline.kinds import Component
from rigline.kinds.converters import AcCharger, ChargeController, DcToDc, Inverter
from rigline.kinds.sources import AcSource, Alternator, PvArray, Turning, VehicleBattery
from rigline.model.system import Conductor, Node
from rigline.standards.energy import figure
from rigline.study.demand import CHARGER_EFFICIENCY_FRAC, charging_output_a, leg_voltage_v
from rigline.study.solar import string_on
from rigline.study.storage import chargers_of, storages
from rigline.study.study import Study

STANDARD_CELL_C = 25.0
"""Cell temperature of a module's rated power. Source: IEC 61215, standard test conditions."""
NOCT_W_PER_M2 = 800.0
"""Light at which a module's working temperature is stated. Source: IEC 61215."""
FULL_SUN_W_PER_M2 = 1000.0
"""Light of a module's rated power. Source: IEC 61215."""
ENGINE_BEGINS_H = 9
"""Hour at which sources with hours of use a day begin: after breakfast. Our own choice."""


class Array(Struct, frozen=True):
    """One solar array with its controller."""

    id: str
    controller: str
    power_w: float
    """Rated, all modules."""
    slope: Slope
    yield_frac: float
    """Share that dirt, mismatch, wires, controller and (without tracking) voltage leave, apart from heat."""
    method: str
    """mppt or pwm."""
    limit_w: float
    """Most that the controller passes on; infinite if it does not say."""
    coefficient_per_k: float
    module_w: float
    """Rated power of one module."""


class Charger(Struct, frozen=True):
    """A charger of the house battery that is not solar, with what stands behind it."""

    id: str
    name: str
    source: str
    """engine, shore or generator, or turbine."""
    source_ids: tuple[str, ...]
    output_a: float
    """Its rating, or less where its source or the battery can't give or take as much."""
    limited_by: str
    """What makes it less; empty if nothing does."""
    use_h_per_day: float | None
    """Hours on a usual day; None if the spec does not say."""
    source_w: float | None
    """Power that it takes from an AC source."""


def arrays(study: Study, bank: Bank | None, sun: Sunshine | None, notes: Notes) -> tuple[Array, ...]:
    """Every array that ends in a controller, with what it loses."""
    found: dict[str, Array] = {}
    for id, controller in sorted(study.system.components.items()):
        if isinstance(controller, ChargeController):
            ids = dict.fromkeys(id for string in string_on(study.graph, controller.id) for id in string.arrays)
            for array_id in ids:
                array = study.system.components[array_id]
                assert isinstance(array, PvArray)
                one = _array(study, array, controller, bank, sun, notes)
                if one is not None and array_id not in found:
                    found[array_id] = one
    for id, component in sorted(study.system.components.items()):
        if isinstance(component, PvArray) and study.graph.nodes_of(id) and id not in found and component.pmax_w:
            notes.unknown("what it gives", id, "a charge controller on it")
    return tuple(found.values())


def _array(
    study: Study, array: PvArray, controller: ChargeController, bank: Bank | None, sun: Sunshine | None, notes: Notes
) -> Array | None:
    power = array.pmax_w or (array.vmp_v * array.imp_a if array.vmp_v and array.imp_a else None)
    if power is None:
        notes.unknown("what it gives", array.id, "pmax, its power")
        return None
    method = _method(controller, notes)
    left = figure("soiling").value * figure("mismatch").value * figure("array wiring").value
    left *= controller.efficiency_frac or figure("tracking controller").value
    if method == "pwm":
        left *= _switched_share(array, bank, notes)
    limits = [controller.max_array_power_w or math.inf]
    if controller.output_a and bank:
        limits.append(controller.output_a * bank.charging_v)
    coefficient = array.pmax_temperature_per_k
    return Array(
        array.id, controller.id, power * array.series * array.parallel, _slope(array, sun, notes), left, method,
        min(limits), figure("power coefficient").value if coefficient is None else -abs(coefficient), power,
    )  # fmt: skip


def _method(controller: ChargeController, notes: Notes) -> str:
    if controller.method is None:
        notes.assume(
            controller.id, "it switches (pwm) and does not track, the careful reading", "give method: mppt or pwm"
        )
    return controller.method or "pwm"


def _switched_share(array: PvArray, bank: Bank | None, notes: Notes) -> float:
    """A switching controller pulls the array down to the battery's voltage and so loses the rest."""
    vmp = array.vmp_v or (array.voc_v and array.voc_v * figure("voc to vmp").value)
    if not vmp or bank is None:
        notes.unknown("what a switching controller loses", array.id, "vmp")
        return 1.0
    return min(1.0, bank.charging_v / (vmp * array.series))


def _slope(array: PvArray, sun: Sunshine | None, notes: Notes) -> Slope:
    south = bool(sun and sun.latitude_deg is not None and sun.latitude_deg < 0)
    if array.tilt_deg is None:
        notes.assume(array.id, "it lies flat", "give tilt: (and azimuth:, 180° is south) if it is tilted")
        return Slope()
    if array.azimuth_deg is None and array.tilt_deg:
        notes.assume(array.id, "it faces the equator", "give azimuth: 180° is south")
    if array.tilt_deg and (sun is None or sun.latitude_deg is None):
        notes.assume(array.id, "it lies flat, as the latitude is not known", "give conditions: latitude")
        return Slope()
    return Slope(array.tilt_deg, (0.0 if south else 180.0) if array.azimuth_deg is None else array.azimuth_deg)


def solar_year_w(arrays: Sequence[Array], sun: Sunshine) -> list[float]:
    """Power that all arrays bring to the battery's terminals in each hour of a year.

    Arrays on one controller share its limit.
    """
    total = [0.0] * HOURS_OF_YEAR
    for controller in dict.fromkeys(array.controller for array in arrays):
        mine = [array for array in arrays if array.controller == controller]
        series = [array_year_w(array, sun) for array in mine]
        limit = min(array.limit_w for array in mine)
        total = [sum_w + min(limit, sum(hour)) for sum_w, hour in zip(total, zip(*series, strict=True), strict=True)]
    return total


def array_year_w(array: Array, sun: Sunshine) -> list[float]:
    """Power that an array could bring to the battery's terminals in each hour of a year, its controller's limit apart.

    Rated power x light x what is left after losses x (1 + coefficient x (cell - 25 C)), the cell warmer than the air in
    step with the light.
    """
    light = _light(array.slope, sun)
    air = sun.air_c or (figure("air").value,) * HOURS_OF_YEAR
    rise, coefficient = figure("cell rise").value / NOCT_W_PER_M2, array.coefficient_per_k
    scale = array.power_w * array.yield_frac / FULL_SUN_W_PER_M2
    return [
        max(0.0, scale * g * (1 + coefficient * (t + rise * g - STANDARD_CELL_C))) if g > 0 else 0.0
        for g, t in zip(light, air, strict=True)
    ]


def _light(slope: Slope, sun: Sunshine) -> Sequence[float]:
    if slope.tilt_deg == 0 or sun.latitude_deg is None:
        return sun.ghi_w_per_m2
    return on_slope(sun.ghi_w_per_m2, sun.latitude_deg, slope, figure("albedo").value)


def chargers(study: Study, bank: Bank, notes: Notes) -> tuple[Charger, ...]:
    """Every charger of the house banks but the solar ones, sorted by id."""
    found: dict[str, Charger] = {}
    for storage in storages(study):
        for component in () if storage.is_starting else chargers_of(study, storage):
            if not isinstance(component, ChargeController) and component.id not in found:
                one = _charger(study, component, bank, notes)
                if one is not None:
                    found[component.id] = one
    return tuple(found[id] for id in sorted(found))


def _charger(study: Study, component: Component, bank: Bank, notes: Notes) -> Charger | None:
    output = charging_output_a(component, bank.charging_v)
    if output is None:
        notes.unknown("how fast it charges", component.id, "output")
        return None
    behind = _sources_behind(study, component)
    limits = [(output, "")]
    if bank.max_charge_a < output:
        limits.append((bank.max_charge_a, "what the battery takes"))
    if isinstance(component, Alternator):
        limits.append((output * figure("hot alternator").value, "a hot alternator"))
    source_w = None
    if isinstance(component, AcCharger | Inverter):
        eta = _ac_efficiency(component)
        source_w = min(output, bank.max_charge_a) * bank.charging_v / eta
        supplies = [w for source in behind if (w := _supply_w(study, source)) is not None]
        if supplies and min(supplies) < source_w:
            limits.append((min(supplies) * eta / bank.charging_v, "the supply on its AC side"))
            source_w = min(supplies)
    amps, limited = min(limits)
    use = [hours for source in (component, *behind) if (hours := getattr(source, "use_h_per_day", None)) is not None]
    return Charger(
        component.id, component.name or "", _kind_of_source(component, behind), tuple(s.id for s in behind), amps,
        limited, max(use, default=None), source_w,
    )  # fmt: skip


def _ac_efficiency(component: AcCharger | Inverter) -> float:
    """An inverter-charger's figure is that of inverting; charging is taken as a charger's."""
    stated = component.efficiency_frac if isinstance(component, AcCharger) else None
    return stated or CHARGER_EFFICIENCY_FRAC


def _kind_of_source(component: Component, behind: Sequence[Component]) -> str:
    if isinstance(component, Turning) and not isinstance(component, Alternator):
        return component.title
    kinds = {source.kind for source in behind}
    if isinstance(component, DcToDc | Alternator) or kinds & {"alternator", "vehicle-battery"}:
        return "engine"
    words = [word for kind, word in (("shore-inlet", "shore"), ("generator", "generator")) if kind in kinds]
    return " or ".join(words) or "shore or generator"


def _supply_w(study: Study, source: Component) -> float | None:
    if not isinstance(source, AcSource):
        return None
    volts = leg_voltage_v(source, study.system)
    by_rating = source.rating_a * volts if source.rating_a else None
    return min((w for w in (source.power_w, by_rating) if w is not None), default=None)


def _sources_behind(study: Study, component: Component) -> tuple[Component, ...]:
    """The engine's, shore's or generator's part on the input of a charger, sorted by id."""
    found: dict[str, Component] = {}
    for node in study.graph.nodes_of(component.id):
        if node.terminal in ("in", "ac", "ac-in") and node.pole in ("+", "L1", "L2"):
            for reached in study.graph.reach(node, _upstream):
                other = study.graph.component_at(reached)
                if isinstance(other, AcSource | VehicleBattery | Alternator) and other.id != component.id:
                    found[other.id] = other
    return tuple(found[id] for id in sorted(found))


def _upstream(edge: Edge, node: Node) -> bool:
    if isinstance(edge, Conductor):
        return edge.a.pole == node.pole == edge.b.pole
    return edge.kind in ("device", "one-way") and edge.a.pole == node.pole


def other_year_w(chargers: Sequence[Charger], bank: Bank, in_use: Collection[int]) -> list[float]:
    """Power of the chargers with stated hours of use, each hour of a year, from 9 h on, in the months of use."""
    hours = [0.0] * HOURS_OF_DAY
    for charger in chargers:
        left, hour = charger.use_h_per_day or 0.0, ENGINE_BEGINS_H
        while left > 0:
            hours[hour % HOURS_OF_DAY] += min(1.0, left) * charger.output_a * bank.charging_v
            left, hour = left - 1.0, hour + 1
    off = [0.0] * HOURS_OF_DAY
    return [watts for month, days in enumerate(MONTH_DAYS) for watts in (hours if month in in_use else off) * days]
