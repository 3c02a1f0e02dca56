"""What each component takes or gives: the currents that wires and devices are chosen for.

Design currents: a load's own, at nominal voltage; an inverter's rated power over its efficiency at its lowest voltage
(NEC 706.30 and 710, input current at lowest voltage, from memory); a charger's, controller's or alternator's rated
output; 1.25 times the short-circuit current of a solar array (NEC 690.8).
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from rigline.kinds import Component
from rigline.kinds.converters import AcCharger, ChargeController, DcToDc, Inverter
from rigline.kinds.loads import Load, Receptacle
from rigline.kinds.sources import AcSource, PvArray, Turning
from rigline.model.system import System

INVERTER_EFFICIENCY_FRAC = 0.85
"""Efficiency of an inverter that states none. Source: installers' worked examples use 0.85 to 0.90; common practice."""
CHARGER_EFFICIENCY_FRAC = 0.85
"""Efficiency of a charger or converter that states none. Common practice."""
LOWEST_CELL_FRAC = {"lifepo4": 0.86, "lead": 0.875}
"""Lowest working voltage over nominal: 22 V of 25.6 V for lithium iron phosphate, 10.5 V of 12 V for lead. Common
practice."""
OUTLET_W = 180.0
"""Load counted for a general-use outlet whose load is not stated. Source: NEC 220.14(I), from memory."""
IRRADIANCE_FACTOR = 1.25
"""A solar array can give this much more than its rated short-circuit current. Source: NEC 690.8(A)."""
AC_VOLTAGE_V = {"us": 120.0, "iec": 230.0}
"""Nominal voltage of one leg where no source states it."""


class Draw(Struct, frozen=True):
    """What one component takes from (or gives to) the wires at one of its terminals."""

    component: str
    terminal: str
    amps_a: float
    flow: Literal["takes", "gives"]
    continuous: bool | None
    """Whether it can last three hours or more; None if the spec does not say."""
    start_a: float | None = None
    assumed: str = ""
    """What was assumed because the spec does not say it."""
    power_w: float | None = None
    """Power it takes whatever its voltage; None for a constant current."""


def load_draw(load: Load, volts_v: float | None) -> Draw | None:
    """A load's running and starting current at its nominal voltage; None if it states neither power nor current."""
    volts_v = load.voltage_v if volts_v is None else volts_v
    current, power, assumed = load.current_a, None, ""
    if current is None and volts_v:
        power = load.power_w
        if power is None and isinstance(load, Receptacle):
            power, assumed = OUTLET_W, "180 W for an outlet without a stated load"
        current = None if power is None else power / volts_v
    if current is None:
        return None
    start = load.start_a if load.start_a is not None else (load.start_w / volts_v if load.start_w and volts_v else None)
    watts = None if power is None else power * load.count
    return Draw(load.id, "", current * load.count, "takes", load.continuous, start, assumed, watts)


def inverter_dc_draw(inverter: Inverter, nominal_v: float | None, chemistry: str | None) -> Draw | None:
    """An inverter's DC input at rated power and lowest voltage; None without its power or voltage."""
    nominal_v = nominal_v or inverter.dc_voltage_v or inverter.voltage_v
    if inverter.power_w is None or not nominal_v:
        return None
    lowest = inverter.low_cutoff_v or nominal_v * LOWEST_CELL_FRAC["lifepo4" if chemistry == "lifepo4" else "lead"]
    efficiency = inverter.efficiency_frac or INVERTER_EFFICIENCY_FRAC
    assumed = "" if inverter.efficiency_frac else f"efficiency {INVERTER_EFFICIENCY_FRAC:.0%}"
    if inverter.low_cutoff_v is None:
        assumed = ", ".join(part for part in (assumed, f"lowest voltage {lowest:.3g} V") if part)
    watts = inverter.power_w / efficiency
    return Draw(inverter.id, "dc", watts / lowest, "takes", True, assumed=assumed, power_w=watts)


def charging_output_a(component: Component, volts_v: float | None) -> float | None:
    """Rated DC output of what charges: controller, charger, converter, alternator, turbine, inverter-charger."""
    if isinstance(component, ChargeController | AcCharger):
        return component.output_a
    if isinstance(component, DcToDc | Turning):
        if component.output_a is not None:
            return component.output_a
        return component.output_w / volts_v if component.output_w and volts_v else None
    if isinstance(component, Inverter):
        return component.charge_current_a
    return None


def converter_input_a(component: DcToDc, input_v: float | None, output_v: float | None) -> float | None:
    """Greatest input current of a DC to DC unit: its own figure, else its output power over efficiency and voltage."""
    if component.input_a is not None:
        return component.input_a
    input_v = input_v or component.input_v
    watts = converter_input_w(component, output_v)
    if watts is None or not input_v:
        return None
    return watts / (component.min_voltage_v or input_v * LOWEST_CELL_FRAC["lead"])


def converter_input_w(component: DcToDc, output_v: float | None) -> float | None:
    """Input power of a DC to DC unit at its rated output; None if it states its input current instead."""
    output_v = component.output_voltage_v or output_v
    output = charging_output_a(component, output_v)
    if component.input_a is not None or output is None or not output_v:
        return None
    return output * output_v / (component.efficiency_frac or CHARGER_EFFICIENCY_FRAC)


def array_max_current_a(array: PvArray) -> float | None:
    """Most current an array can give: 1.25 times the short-circuit current of its strings together (NEC 690.8(A))."""
    return None if array.isc_a is None else IRRADIANCE_FACTOR * array.isc_a * array.parallel


def charger_ac_input_a(component: AcCharger | Inverter, dc_v: float | None, ac_v: float) -> float | None:
    """AC input of a charger: its own figure, else its DC output power over efficiency and voltage."""
    if isinstance(component, AcCharger) and component.ac_current_a is not None:
        return component.ac_current_a
    output = charging_output_a(component, dc_v)
    own_v = component.voltage_v if isinstance(component, AcCharger) else component.dc_voltage_v or component.voltage_v
    dc_v = dc_v or own_v
    if output is None or not dc_v:
        return None
    return output * dc_v / ((component.efficiency_frac or CHARGER_EFFICIENCY_FRAC) * ac_v)


def leg_voltage_v(component: Component, system: System) -> float:
    """Nominal AC voltage between one leg and neutral at a source."""
    for name in ("output_v", "ac_voltage_v", "voltage_v"):
        volts = getattr(component, name, None)
        if volts is not None and (isinstance(component, AcSource) or name != "voltage_v"):
            return float(volts)
    return AC_VOLTAGE_V["us" if system.profile_name.startswith("us-") else "iec"]


def ac_source_limit_a(component: Component, system: System) -> float | None:
    """Rated current per leg of an AC source that limits itself; None if it has no limit (shore, most generators)."""
    volts = leg_voltage_v(component, system)
    if isinstance(component, Inverter):
        if component.power_w is None:
            return None
        return component.power_w / volts / legs_of(component)
    built_in = getattr(component, "internal_breaker_a", None)
    if built_in is not None:
        return float(built_in)
    power = getattr(component, "power_w", None)
    if getattr(component, "self_limited", None) and power:
        return float(power) / volts / legs_of(component)
    return None


def legs_of(component: Component) -> int:
    """Hot legs of an AC source: 2 for 120/240 V, else 1."""
    for name in ("output_v", "voltage_v"):
        volts = getattr(component, name, None)
        if volts is not None:
            return int(getattr(volts, "legs", 1))
    return 1
