"""Where energy comes from: batteries, sun, engines, wind, water, shore and generators."""

from __future__ import annotations

from typing import ClassVar, Literal

from msgspec import Struct

from rigline.kinds.base import AC, Component, Role, Terminal

Chemistry = Literal["lifepo4", "agm", "gel", "flooded"]


class Bms(Struct, frozen=True, kw_only=True):
    """A lithium battery's management system: what it limits. Not an overcurrent device."""

    max_discharge_a: float | None = None
    max_charge_a: float | None = None
    low_temperature_c: float | None = None
    high_temperature_c: float | None = None
    low_voltage_v: float | None = None
    high_voltage_v: float | None = None
    alarm: bool | None = None
    charge_disable: bool | None = None
    balancing: bool | None = None
    listed: bool | None = None


class Battery(Component, frozen=True, kw_only=True):
    """A battery or a bank. Values are of one block; series and parallel multiply."""

    kind: ClassVar[str] = "battery"
    role: ClassVar[Role] = "storage"
    title: ClassVar[str] = "battery"

    chemistry: Chemistry | None = None
    """Lithium iron phosphate, or lead: agm, gel, flooded."""
    voltage_v: float | None = None
    """Nominal voltage of one block."""
    capacity_ah: float | None = None
    """Charge of one block at the 20 h rate."""
    capacity_wh: float | None = None
    """Energy of one block, if the charge is not given."""
    usable_frac: float | None = None
    """Share of its charge that is used day by day; the usual one of its chemistry if left out."""
    series: int = 1
    """Blocks in series."""
    parallel: int = 1
    """Strings in parallel."""
    age: str | None = None
    """Age, as in 3 years."""
    vented: bool | None = None
    """Whether its compartment is vented outdoors."""
    bms: Bms | bool | None = None
    """Whether it has a management system, or its limits."""
    max_discharge_a: float | None = None
    """Continuous discharge current of one block."""
    max_charge_a: float | None = None
    """Charge current of one block."""
    short_circuit_a: float | None = None
    """Prospective short-circuit current of one block."""
    internal_resistance_ohm: float | None = None
    """Internal resistance of one block."""
    cca_a: float | None = None
    """Cold cranking current of one block."""
    min_charge_temperature_c: float | None = None
    """Coldest cell temperature at which it may be charged."""
    low_cutoff_v: float | None = None
    """Voltage at which loads are cut off."""
    internal_fuse_a: float | None = None
    """Rating of a listed fuse inside the battery."""
    internal_fuse_interrupting_a: float | None = None
    """Interrupting rating of that fuse."""
    max_series: int | None = None
    """Most blocks in series the maker allows."""
    max_parallel: int | None = None
    """Most strings in parallel the maker allows."""
    bank: str | None = None
    """Name of the bank it belongs to."""
    starting: bool | None = None
    """Whether it is a starting battery."""
    restrained: bool | None = None
    """Whether it is strapped or boxed."""
    covered: bool | None = None
    """Whether its terminals are covered."""
    disconnect: bool | None = None
    """Whether it has a switch or a quick release of its own, worked without tools."""
    charge_display: bool | None = None
    """Whether it shows its own state of charge."""
    heated: bool | None = None
    """Whether it warms its cells before it is charged in frost."""
    equaliser_a: float | None = None
    """Rated current of an equaliser that keeps it alike with the other blocks of its string."""


class VehicleBattery(Component, frozen=True, kw_only=True):
    """The tow or base vehicle's own battery and alternator, seen from the house system."""

    kind: ClassVar[str] = "vehicle-battery"
    role: ClassVar[Role] = "source"
    title: ClassVar[str] = "vehicle battery"

    voltage_v: float | None = None
    """Nominal voltage."""
    output_a: float | None = None
    """Rated output of the vehicle's alternator."""
    capacity_ah: float | None = None
    """Charge at the 20 h rate."""
    cca_a: float | None = None
    """Cold cranking current."""
    short_circuit_a: float | None = None
    """Prospective short-circuit current."""
    internal_resistance_ohm: float | None = None
    """Internal resistance."""
    chemistry: Chemistry | None = None
    """Lithium iron phosphate, or lead."""
    self_limited: bool | None = None
    """Whether the source limits its own current."""
    regulator: str | None = None
    """Kind of regulator, as in internal, external, smart."""
    use_h_per_day: float | None = None
    """Hours on a usual day in which it charges, for the energy balance."""


class PvArray(Component, frozen=True, kw_only=True):
    """Solar modules that share one pair of wires. Values are of one module at standard test conditions."""

    kind: ClassVar[str] = "pv-array"
    role: ClassVar[Role] = "source"
    title: ClassVar[str] = "solar array"

    series: int = 1
    """Modules in series in a string."""
    parallel: int = 1
    """Strings in parallel."""
    pmax_w: float | None = None
    """Power of one module."""
    vmp_v: float | None = None
    """Voltage at greatest power."""
    imp_a: float | None = None
    """Current at greatest power."""
    voc_v: float | None = None
    """Open-circuit voltage."""
    isc_a: float | None = None
    """Short-circuit current."""
    voc_temperature_per_k: float | None = None
    """Change of the open-circuit voltage per kelvin, as in -0.28 %/K."""
    vmp_temperature_per_k: float | None = None
    """Change of the voltage at greatest power per kelvin."""
    pmax_temperature_per_k: float | None = None
    """Change of the power per kelvin, as in -0.35 %/K."""
    max_series_fuse_a: float | None = None
    """Largest series fuse the maker allows."""
    max_voltage_v: float | None = None
    """Largest system voltage the maker allows."""
    tilt_deg: float | None = None
    """Angle to the horizontal."""
    azimuth_deg: float | None = None
    """Compass direction it faces."""
    frame: Literal["metal", "none", "plastic"] | None = None
    """Frame of the modules."""
    combiner: bool | None = None
    """Whether parallel strings meet in a combiner with a fuse for each."""
    string_fuse_a: float | None = None
    """Rating of the fuse in each string, if there is one."""
    ground_mounted: bool | None = None
    """Whether it stands on the ground and no run enters a building."""
    rapid_shutdown: bool | None = None
    """Whether its conductors in a building are made harmless from outside."""
    ground_fault_protection: bool | None = None
    """Whether a fault from it to earth is found and interrupted."""
    arc_fault_protection: bool | None = None
    """Whether an arc in its wiring is found and interrupted."""
    disconnect: bool | None = None
    """Whether a load-break switch belongs to it, as in its combiner."""


class Turning(Component, frozen=True, kw_only=True):
    """Fields of machines that charge: alternators and turbines."""

    role: ClassVar[Role] = "source"

    voltage_v: float | None = None
    """Nominal voltage."""
    output_a: float | None = None
    """Rated output current."""
    output_w: float | None = None
    """Rated output power, if the current is not given."""
    self_limited: bool | None = None
    """Whether the machine limits its own current."""
    regulator: str | None = None
    """Kind of regulator, as in internal, external, smart."""
    capacity_ah: float | None = None
    """Charge of a battery that belongs to it."""
    temperature_sensor: bool | None = None
    """Whether its regulator senses temperature."""
    surge_clamp: bool | None = None
    """Whether it survives losing its battery."""
    setpoint_v: float | None = None
    """Regulated voltage."""
    use_h_per_day: float | None = None
    """Hours on a usual day in which it charges, for the energy balance."""


class Alternator(Turning, frozen=True, kw_only=True):
    """An engine's alternator with its regulator."""

    kind: ClassVar[str] = "alternator"
    title: ClassVar[str] = "alternator"


class WindTurbine(Turning, frozen=True, kw_only=True):
    """A wind turbine with its rectifier."""

    kind: ClassVar[str] = "wind-turbine"
    title: ClassVar[str] = "wind turbine"


class HydroTurbine(Turning, frozen=True, kw_only=True):
    """A water turbine with its rectifier."""

    kind: ClassVar[str] = "hydro-turbine"
    title: ClassVar[str] = "hydro turbine"


NeutralBond = Literal["none", "fixed", "relay"]


class AcSource(Component, frozen=True, kw_only=True):
    """Fields of sources of alternating current."""

    role: ClassVar[Role] = "source"
    terminals: ClassVar[tuple[Terminal, ...]] = AC

    rating_a: float | None = None
    """Rated current of the inlet, or of the generator's main breaker."""
    power_w: float | None = None
    """Rated power."""
    surge_w: float | None = None
    """Power for starting."""
    voltage_v: float | None = None
    """Voltage; 120/240 V has two legs."""
    poles: int | None = None
    """Live and neutral pins."""
    frequency_hz: float | None = None
    """Frequency."""
    neutral_bond: NeutralBond | None = None
    """Where the source joins neutral and earth: none, fixed, relay."""
    internal_breaker_a: float | None = None
    """Rating of a breaker that the maker built in."""
    in_phase: bool | None = None
    """Whether both legs are in phase."""
    use_h_per_day: float | None = None
    """Hours on a usual day in which it charges, for the energy balance."""
    interlock: str | None = None
    """Name of the interlock that lets only one of its members connect."""


class ShoreInlet(AcSource, frozen=True, kw_only=True):
    """Where the shore or site cord plugs in."""

    kind: ClassVar[str] = "shore-inlet"
    title: ClassVar[str] = "shore inlet"

    cord_a: float | None = None
    """Rating of the cord."""
    length_of_cord_m: float | None = None
    """Length of the cord."""
    short_circuit_a: float | None = None
    """Prospective short-circuit current of the supply at the inlet, one leg to neutral."""
    loop_impedance_ohm: float | None = None
    """Impedance of the supply's earth-fault loop at the inlet, cord included."""


class Generator(AcSource, frozen=True, kw_only=True):
    """An engine generator of alternating current."""

    kind: ClassVar[str] = "generator"
    title: ClassVar[str] = "generator"

    portable: bool | None = None
    """Whether it is carried and plugged in."""
    self_limited: bool | None = None
    """Whether electronics limit its current."""
    short_circuit_a: float | None = None
    """Current it keeps up into a short, one leg to neutral."""
    subtransient_reactance_frac: float | None = None
    """Subtransient reactance of its winding, as a share of its rated impedance."""
