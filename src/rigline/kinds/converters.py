"""What turns one voltage into another: controllers, chargers, converters, inverters, transformers."""

from __future__ import annotations

from typing import ClassVar, Literal

from rigline.kinds.base import Component, Role, Terminal
from rigline.kinds.sources import NeutralBond


class ChargeController(Component, frozen=True, kw_only=True):
    """A solar (or turbine) charge controller."""

    kind: ClassVar[str] = "charge-controller"
    role: ClassVar[Role] = "converter"
    title: ClassVar[str] = "charge controller"
    terminals: ClassVar[tuple[Terminal, ...]] = (
        Terminal("pv", "dc", "in"),
        Terminal("battery", "dc", "out"),
        Terminal("load", "dc", "out"),
        Terminal("sense", "control"),
    )

    max_input_v: float | None = None
    """Largest voltage its input stands."""
    output_a: float | None = None
    """Rated output current."""
    max_array_current_a: float | None = None
    """Largest short-circuit current its input stands."""
    max_array_power_w: float | None = None
    """Largest array power the maker allows."""
    battery_voltage_v: float | None = None
    """Nominal battery voltage it is set to."""
    voltages: str | None = None
    """Battery voltages it supports, as in 12/24 V."""
    method: Literal["mppt", "pwm"] | None = None
    """Tracking (mppt) or switching (pwm)."""
    efficiency_frac: float | None = None
    """Output power over input power."""
    blocks_reverse: bool | None = None
    """Whether it stops current from the battery into the array."""
    battery_first: bool | None = None
    """Whether its maker forbids sun on its input while no battery is connected."""
    chemistries: str | None = None
    """Battery chemistries it supports, as in agm, gel, lifepo4."""
    absorb_v: float | None = None
    """Absorption voltage."""
    float_v: float | None = None
    """Float voltage."""
    equalise_v: float | None = None
    """Equalising voltage."""
    temperature_sensor: bool | None = None
    """Whether it senses the battery's temperature."""
    self_limited: bool | None = None
    """Whether it limits its own output current."""


class DcToDc(Component, frozen=True, kw_only=True):
    """Fields of units between two DC systems."""

    role: ClassVar[Role] = "converter"
    terminals: ClassVar[tuple[Terminal, ...]] = (
        Terminal("in", "dc", "in"),
        Terminal("out", "dc", "out"),
        Terminal("trigger", "control"),
    )

    input_a: float | None = None
    """Greatest input current."""
    input_v: float | None = None
    """Nominal input voltage."""
    output_a: float | None = None
    """Rated output current."""
    output_w: float | None = None
    """Rated output power, if the current is not given."""
    output_voltage_v: float | None = None
    """Nominal output voltage."""
    efficiency_frac: float | None = None
    """Output power over input power."""
    isolated: bool | None = None
    """Whether input and output share no pole."""
    both_ways: bool | None = None
    """Whether it also works backwards."""
    min_voltage_v: float | None = None
    """Lowest input voltage at which it works."""
    max_voltage_v: float | None = None
    """Highest input voltage it stands."""
    trigger: Literal["ignition", "alternator", "voltage", "none"] | None = None
    """What switches it on; none if nothing does."""
    self_limited: bool | None = None
    """Whether it limits its own output current."""
    absorb_v: float | None = None
    """Absorption voltage."""
    float_v: float | None = None
    """Float voltage."""


class DcCharger(DcToDc, frozen=True, kw_only=True):
    """A charger that takes DC (from an alternator or vehicle) and charges a battery."""

    kind: ClassVar[str] = "dc-charger"
    title: ClassVar[str] = "DC charger"


class DcConverter(DcToDc, frozen=True, kw_only=True):
    """A converter that feeds loads of another DC voltage."""

    kind: ClassVar[str] = "dc-converter"
    title: ClassVar[str] = "DC converter"


class AcCharger(Component, frozen=True, kw_only=True):
    """A battery charger fed with alternating current."""

    kind: ClassVar[str] = "ac-charger"
    role: ClassVar[Role] = "converter"
    title: ClassVar[str] = "AC charger"
    terminals: ClassVar[tuple[Terminal, ...]] = (
        Terminal("ac", "ac", "in"),
        Terminal("dc", "dc", "out"),
        Terminal("dc1", "dc", "out"),
        Terminal("dc2", "dc", "out"),
        Terminal("dc3", "dc", "out"),
    )

    output_a: float | None = None
    """Rated output current."""
    voltage_v: float | None = None
    """Nominal DC output voltage."""
    dc_voltage_v: float | None = None
    """The same, where `voltage` is used for the input."""
    ac_voltage_v: float | None = None
    """Nominal AC input voltage."""
    ac_current_a: float | None = None
    """Greatest AC input current."""
    outputs: int = 1
    """Number of DC outputs."""
    efficiency_frac: float | None = None
    """Output power over input power."""
    absorb_v: float | None = None
    """Absorption voltage."""
    float_v: float | None = None
    """Float voltage."""
    equalise_v: float | None = None
    """Equalising voltage."""
    temperature_sensor: bool | None = None
    """Whether it senses the battery's temperature."""
    self_limited: bool | None = None
    """Whether it limits its own output current."""


class Inverter(Component, frozen=True, kw_only=True):
    """An inverter: DC in, AC out."""

    kind: ClassVar[str] = "inverter"
    role: ClassVar[Role] = "converter"
    title: ClassVar[str] = "inverter"
    terminals: ClassVar[tuple[Terminal, ...]] = (
        Terminal("dc", "dc", "in"),
        Terminal("ac-out", "ac", "out"),
        Terminal("ac-in", "ac", "in"),
        Terminal("ac-out2", "ac", "out"),
    )

    power_w: float | None = None
    """Continuous output power."""
    surge_w: float | None = None
    """Output power for starting."""
    short_circuit_a: float | None = None
    """Greatest current it gives into a short of its output, per leg."""
    output_v: float | None = None
    """Output voltage; 120/240 V has two legs."""
    dc_voltage_v: float | None = None
    """Nominal DC voltage."""
    voltage_v: float | None = None
    """Nominal DC voltage (the kind's own side)."""
    ac_voltage_v: float | None = None
    """Output voltage, if `output` is not given."""
    efficiency_frac: float | None = None
    """Output power over input power."""
    idle_w: float | None = None
    """Power it takes without a load."""
    on_demand: bool | None = None
    """Whether it is on (or wakes from a search mode) only while something on it runs."""
    low_cutoff_v: float | None = None
    """DC voltage at which it stops."""
    charge_current_a: float | None = None
    """Greatest DC current it charges with."""
    transfer_rating_a: float | None = None
    """Rating of its transfer relay."""
    neutral_bond: NeutralBond | None = None
    """Where it joins neutral and earth: none, fixed, relay."""
    internal_breaker_a: float | None = None
    """Rating of a breaker in its AC output that the maker built in."""
    internal_receptacles: bool | None = None
    """Whether outlets on its own case are its only output."""
    grid_tied: bool | None = None
    """Whether it needs another source to follow."""
    frequency_shift: bool | None = None
    """Whether it throttles a grid-tied inverter by frequency."""
    in_phase: bool | None = None
    """Whether both legs are in phase."""
    frequency_hz: float | None = None
    """Output frequency."""
    gfci: bool | None = None
    """Whether its own outlets have shock protection."""
    soft_start: bool | None = None
    """Whether it charges its capacitors slowly."""
    max_cable_m: float | None = None
    """Longest cable to its battery that the maker allows, one way."""
    clearance_m: float | None = None
    """Free space round its vents."""
    absorb_v: float | None = None
    """Absorption voltage."""
    float_v: float | None = None
    """Float voltage."""


class InverterCharger(Inverter, frozen=True, kw_only=True):
    """An inverter that passes AC through and charges from it."""

    kind: ClassVar[str] = "inverter-charger"
    title: ClassVar[str] = "inverter-charger"


class Transformer(Component, frozen=True, kw_only=True):
    """A transformer with separate windings."""

    kind: ClassVar[str] = "transformer"
    role: ClassVar[Role] = "converter"
    title: ClassVar[str] = "transformer"
    terminals: ClassVar[tuple[Terminal, ...]] = (Terminal("primary", "ac", "in"), Terminal("secondary", "ac", "out"))

    power_w: float | None = None
    """Rated power."""
    type: Literal["isolation", "polarisation"] | None = None
    """What it is for."""
    bond: Literal["none", "secondary"] | None = None
    """Where its secondary joins neutral and earth."""
    voltage_v: float | None = None
    """Primary voltage."""
    output_v: float | None = None
    """Secondary voltage."""
    impedance_frac: float | None = None
    """Short-circuit impedance of its windings, as a share of its rated impedance."""


class Autotransformer(Transformer, frozen=True, kw_only=True):
    """A transformer with one tapped winding."""

    kind: ClassVar[str] = "autotransformer"
    title: ClassVar[str] = "autotransformer"
