"""The cautions of this system: only what it really has, with its own figures."""

from __future__ import annotations

from collections.abc import Iterator

from rigline.kinds.converters import Inverter
from rigline.kinds.sources import Battery, Generator, PvArray, ShoreInlet, VehicleBattery
from rigline.notes.wording import amps, listed, volts
from rigline.study.operating import battery_volts_v
from rigline.study.solar import cold_v
from rigline.study.study import Study
from rigline.units import format_amount

TOUCH_DC_V = 60.0
"""DC above it is commonly taken as dangerous to touch. Source: IEC 60364-4-41 414 (120 V dry, 60 V usual), memory."""
LEAD = ("agm", "gel", "flooded")


def cautions_of(study: Study) -> tuple[str, ...]:
    """What can hurt whoever builds this system, beside what every sheet says."""
    return (*_batteries(study), *_solar(study), *_ac(study), *_vehicle(study))


def _batteries(study: Study) -> Iterator[str]:
    for id, part in study.system.components.items():
        if not isinstance(part, Battery):
            continue
        level = study.nodes.get(id)
        if level is not None and level.fault_current_a is not None:
            yield f"{id} delivers {amps(level.fault_current_a)} into a short at its posts: cover one post while you " \
                  "work on the other, insulated tools, rings and watch off."  # fmt: skip
        if part.voltage_v is not None and (top := battery_volts_v(part, "charged")) > TOUCH_DC_V:
            yield f"{id} stands at up to {volts(top)} while it charges: that is above what may be touched."
    lead = [p.id for p in study.system.components.values() if isinstance(p, Battery) and p.chemistry in LEAD]
    lithium = [p.id for p in study.system.components.values() if isinstance(p, Battery) and p.chemistry == "lifepo4"]
    if lead:
        yield f"{listed(lead)} can give off hydrogen: air the compartment before you connect, no spark, eye protection."
    if lithium:
        freezing = format_amount(0.0, "c")
        yield f"{listed(lithium)}: never charge below {freezing}, and never bypass the battery management system."
    yield "A battery can't be switched off: work on its posts is live work."


def _solar(study: Study) -> Iterator[str]:
    for id, part in study.system.components.items():
        if isinstance(part, PvArray):
            cold = cold_v(part, study.system.conditions.coldest_c)
            shown = f", up to {volts(cold)}" if cold is not None else ""
            yield f"{id} is live in any light{shown}: cover it. Its plugs are never made or parted under load; a DC " \
                  "arc does not go out by itself."  # fmt: skip


def _ac(study: Study) -> Iterator[str]:
    parts = study.system.components.values()
    sources = [part.id for part in parts if isinstance(part, Inverter | ShoreInlet | Generator)]
    if sources:
        itself = " An inverter starts by itself." if any(isinstance(part, Inverter) for part in parts) else ""
        yield f"AC comes from {listed(sources)}: off, unplugged and kept so while anybody works on it.{itself}"
        yield "One joint of neutral and earth at a time. Permit, inspection and who may do this: ask the local " \
              "authority and your insurer first."  # fmt: skip


def _vehicle(study: Study) -> Iterator[str]:
    found = [part.id for part in study.system.components.values() if isinstance(part, VehicleBattery)]
    if found:
        yield f"{listed(found)}: take off the vehicle's negative cable before you touch its positive; put it back last."
