"""What each AC source can push into a short, as far as the spec says it.

By IEC 60909-0, with impedances of one leg to neutral: a supply of stated short-circuit current I″ has Z = c U / I″; a
generator of subtransient reactance x″ has Z = K x″ U² / S, with K = c / (1 + x″ sin φ); a transformer of short-circuit
impedance u has Z = u U² / S. An inverter's electronics limit its current: it has a greatest current, no impedance. What
a source does not state is missing; nothing is put in its place.
"""

from __future__ import annotations

from msgspec import Struct

from rigline.kinds import Component
from rigline.kinds.converters import Inverter, Transformer
from rigline.kinds.sources import Generator, ShoreInlet
from rigline.model.system import System
from rigline.study.demand import leg_voltage_v, legs_of

GREATEST_VOLTAGE_FACTOR, LEAST_VOLTAGE_FACTOR = 1.10, 0.90
"""Voltage behind the source over nominal, for the greatest and the least fault current, where supplies keep within
10 %. Source: IEC 60909-0:2016 Table 1, low voltage, from memory."""
GENERATOR_COS_PHI, GENERATOR_SIN_PHI = 0.8, 0.6
"""Power factor that a generator is rated at, and the reactive share that belongs to it. Source: ISO 8528-1, from
memory. One that is rated at 1 gives less into a short."""
CENTRE_TAP_TIMES = 1.5
"""Current of a short from one leg to a winding's centre tap over that from leg to leg. Source: point-to-point method of
short-circuit handbooks (NEC 110.9 practice), from memory."""


class AcFaultSource(Struct, frozen=True):
    """One source of AC fault current."""

    component: str
    volts_v: float
    """Nominal, one leg to neutral."""
    greatest_ohm: float | None = None
    """Impedance of one leg for the greatest current; None if it limits its current or does not state it."""
    least_ohm: float | None = None
    """The same for the least current."""
    earth_ohm: float | None = None
    """Impedance of the earth-fault loop ashore."""
    limit_a: float | None = None
    """Current that its electronics let into a short, per leg."""
    why: str = ""
    """Where these come from, in words with numbers."""
    missing: tuple[str, ...] = ()
    """What it does not state, as keys of a spec."""


def ac_fault_source(component: Component, system: System) -> AcFaultSource:
    """A source that stands on its own: shore inlet, generator or inverter."""
    volts = leg_voltage_v(component, system)
    if isinstance(component, ShoreInlet):
        return _shore(component, volts)
    if isinstance(component, Generator):
        return _generator(component, volts)
    return _limited(component, volts, "an inverter") if isinstance(component, Inverter) else _silent(component, volts)


def _silent(component: Component, volts: float) -> AcFaultSource:
    return AcFaultSource(component.id, volts, missing=("short-circuit",))


def _shore(inlet: ShoreInlet, volts: float) -> AcFaultSource:
    amps = inlet.short_circuit_a
    if not amps:
        return AcFaultSource(inlet.id, volts, earth_ohm=inlet.loop_impedance_ohm, missing=("short-circuit",))
    ohm = GREATEST_VOLTAGE_FACTOR * volts / amps
    factor = f"{GREATEST_VOLTAGE_FACTOR:g}"
    why = f"{inlet.id} states {amps:.4g} A at {volts:g} V, so Z = {factor} × {volts:g} V / {amps:.4g} A"
    return AcFaultSource(inlet.id, volts, ohm, ohm, inlet.loop_impedance_ohm, None, f"{why} = {_milli(ohm)}")


def _generator(generator: Generator, volts: float) -> AcFaultSource:
    if generator.self_limited:
        return _limited(generator, volts, "an inverter generator")
    kept = generator.short_circuit_a
    least = GREATEST_VOLTAGE_FACTOR * volts / kept if kept else None
    reactance, power = generator.subtransient_reactance_frac, generator.power_w
    why, greatest = f"{generator.id} keeps up {kept:.4g} A into a short" if kept else "", least
    if reactance and power:
        greatest = _generator_ohm(reactance, power, volts, legs_of(generator))
        own = f"{generator.id} has x″ = {reactance:.3g} of its rated impedance, so Z = K x″ U² / S = {_milli(greatest)}"
        why = "; ".join(part for part in (own, why) if part)
    missing = () if kept else ("short-circuit",) if greatest else ("short-circuit or subtransient-reactance",)
    return AcFaultSource(generator.id, volts, greatest, least, None, None, why, missing)


def _generator_ohm(reactance: float, power_w: float, volts_v: float, legs: int) -> float:
    """Impedance of one leg for the greatest current; a centre-tapped winding gives more to one leg than across both."""
    factor = GREATEST_VOLTAGE_FACTOR / (1 + reactance * GENERATOR_SIN_PHI)
    whole = factor * reactance * (volts_v * legs) ** 2 / (power_w / GENERATOR_COS_PHI)
    return whole if legs == 1 else whole / legs / CENTRE_TAP_TIMES


def _limited(component: Inverter | Generator, volts: float, what: str) -> AcFaultSource:
    stated, surge = component.short_circuit_a, component.surge_w
    if stated:
        why = f"{component.id} is {what} and states {stated:.4g} A into a short"
        return AcFaultSource(component.id, volts, limit_a=stated, why=why)
    if surge:
        amps = surge / volts / legs_of(component)
        why = (
            f"{component.id} is {what}: taken as its surge power, {surge:.6g} W, over {volts * legs_of(component):g} V"
        )
        return AcFaultSource(component.id, volts, limit_a=amps, why=why)
    return AcFaultSource(component.id, volts, missing=("short-circuit or surge",))


def transformer_source(
    transformer: Transformer, volts_v: float, primary_v: float, ahead: AcFaultSource, ahead_ohm: tuple[float, float]
) -> AcFaultSource:
    """A secondary as a source, given what feeds its primary.

    Args:
        transformer: The transformer.
        volts_v: Nominal secondary voltage, one leg to neutral.
        primary_v: Nominal primary voltage, one leg to neutral.
        ahead: What feeds the primary.
        ahead_ohm: Source and wires up to the primary together, for the greatest and the least current.
    """
    own, power = transformer.impedance_frac, transformer.power_w
    ratio = volts_v / primary_v
    if ahead.limit_a is not None:
        why = f"{ahead.why}; through {transformer.id} {primary_v:g} V to {volts_v:g} V"
        return AcFaultSource(transformer.id, volts_v, limit_a=ahead.limit_a / ratio, why=why)
    if not own or not power:
        missing = tuple(key for key, value in (("impedance", own), ("power", power)) if not value)
        return AcFaultSource(transformer.id, volts_v, missing=missing)
    legs = int(getattr(transformer.output_v, "legs", 1))
    winding = own * (volts_v * legs) ** 2 / power / legs
    tapped = winding if legs == 1 else winding / CENTRE_TAP_TIMES
    greatest, least = (ohm * ratio**2 for ohm in ahead_ohm)
    why = (
        f"{transformer.id} states u = {own:.3g}, so Z = u U² / S = {_milli(winding)}; {ahead.component} and the wires "
        f"ahead add {_milli(least)} on this side"
    )
    return AcFaultSource(transformer.id, volts_v, (tapped**2 + greatest**2) ** 0.5, winding + least, None, None, why)


def _milli(ohm: float) -> str:
    return f"{1000 * ohm:.4g} mΩ"
