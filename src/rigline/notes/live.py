"""Tests with voltage on the wires, with what they must show on this system.

Voltages come from the study's solved states: a full battery with everything running, and the most that is lost on the
way to each load. At rest, with nothing running, every point of one voltage must read what its battery reads.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.kinds import Component
from rigline.kinds.converters import AcCharger, ChargeController, DcToDc, Inverter, InverterCharger
from rigline.kinds.devices import Breaker, Rcd, Shunt
from rigline.kinds.loads import AcLoad, Load, Receptacle
from rigline.kinds.sources import Battery, PvArray, ShoreInlet
from rigline.notes.entries import COMMON, Group, Measurement
from rigline.notes.ways import Ways
from rigline.notes.wording import amps, listed, named, volts
from rigline.study.operating import battery_volts_v
from rigline.study.solar import cold_v
from rigline.study.storage import storages
from rigline.study.study import SegmentStudy, Study
from rigline.units import format_amount

AT_REST_V = 0.1
"""Two points of one voltage differ by less with nothing running. Source: common practice."""
TOUCH_V = 2.0
"""Neutral stands nearly at earth where the two are joined. Source: common practice."""
SHARE_FRAC = 0.10
"""Currents of batteries in parallel differ by less. Source: common practice."""
WARM_K = 30.0
"""A good joint stays within this of the air at full load. Source: common practice, 20 to 30 K."""
RCD_S = {"us": (0.1, "ABYC E-11 for an ELCI, from memory"), "iec": (0.3, "BS 7671 643.8")}
"""A residual-current device of 30 mA opens within this at its rated residual current, and who says so."""
AC_TOLERANCE_FRAC = {"us": 0.05, "iec": 0.10}
"""A supply's voltage stays within this of nominal. Source: ANSI C84.1 range A, and EN 50160; from memory."""
ONE_LEG_MOST_V = 150.0
"""A split-phase supply has 120 V a leg, 240 V from leg to leg. Source: ANSI C84.1, from memory."""
HOT_VOC_FRAC = 0.85
"""Voltage of a hot array, open, over its rated one: 45 K above 25 °C at about -0.3 % a kelvin. Common practice."""

FIRST = "Battery and polarity, first fuses out"
BUSES = "Voltage at each bus, nothing running"
SUN = "Solar array, its disconnect open"
LOADS = "Each load, everything running"
CHARGE = "Charging"
AC = "AC, by source"
SHOCK = "Shock protection"
SOAK = "At full load for 30 to 60 minutes"


def live_tests(study: Study) -> tuple[Group, ...]:
    """Every group of tests that this system needs, in the order in which they are made."""
    ways = Ways(study)
    groups = [
        Group(FIRST, "Voltmeter, red on plus. A minus sign means reversed: stop.", tuple(_first(study, ways))),
        Group(BUSES, "Voltmeter. Compare with what the battery reads now.", tuple(_buses(study, ways))),
        Group(SUN, "Voltmeter, in daylight, array not connected to its controller.", tuple(_sun(study))),
        Group(LOADS, "Everything on that may be on together. Voltmeter at the bar, then at each load's own terminals.",
              tuple(_loads(study))),
        Group(CHARGE, "Voltmeter at the battery, clamp meter on its cable.", tuple(_charging(study))),
        Group(AC, "Multimeter and socket tester; by the electrician who does the AC part.", tuple(_ac(study))),
        Group(SHOCK, "Test button first, then a tester.", tuple(_shock(study))),
        Group(SOAK, "Everything running that may run together. Infrared thermometer, clamp meter.",
              tuple(_soak(study))),
    ]  # fmt: skip
    return tuple(group for group in groups if group.tests)


def _sane(study: Study) -> bool:
    """Whether the solved voltages mean anything."""
    return not study.unsound


# Batteries and buses


def _first(study: Study, ways: Ways) -> Iterator[Measurement]:
    for battery in ways.batteries:
        yield Measurement(f"{battery.id} + to {battery.id} −, at its posts", _battery(battery), "typical of its cells")
        for part in ways.at(battery.id).openers:
            yield Measurement(
                f"{part.id}, side of {battery.id}, to {battery.id} −", f"as {battery.id}, same sign", COMMON
            )
    for storage in storages(study):
        if len(ids := storage.ids) > 1 and storage.string_count > 1:
            yield Measurement(
                f"{listed(ids)}: voltages against each other, before they are joined",
                f"within {AT_REST_V:g} V; else charge each to full first", COMMON,
            )  # fmt: skip


def _battery(battery: Battery) -> str:
    """What a rested bank may read; a block without a stated voltage says nothing."""
    if battery.voltage_v is None:
        return "not known: the spec does not state its voltage"
    full, low = battery_volts_v(battery, "full"), battery_volts_v(battery, "end")
    return f"about {volts(full)} full, above {volts(low)}; right way round"


def _buses(study: Study, ways: Ways) -> Iterator[Measurement]:
    for id in _bars(study):
        sources = listed(ways.sources_of(id)[:1]) if ways.sources_of(id) else ""
        expected = f"within {AT_REST_V:g} V of {sources}, same sign" if sources else "no source is drawn: 0 V"
        yield Measurement(f"{id} + to {id} −", expected, COMMON)


def _bars(study: Study) -> list[str]:
    """Buses, fuse blocks and panels of DC that have both poles."""
    return [
        id for id, part in study.system.components.items()
        if part.role == "bus" and part.kind not in ("ac-panel", "junction")
        and {"+", "-"} <= {node.pole for node in study.graph.nodes_of(id)}
    ]  # fmt: skip


def _sun(study: Study) -> Iterator[Measurement]:
    for array in study.system.components.values():
        if not isinstance(array, PvArray):
            continue
        what = f"{array.id} + to {array.id} −, at the open end of its cable"
        if array.voc_v is None:
            yield Measurement(what, "not known: the spec does not state voc", "the module's label")
            continue
        rated = array.voc_v * array.series
        cold = cold_v(array, study.system.conditions.coldest_c)
        most = f"; never above {volts(cold)} (coldest morning)" if cold is not None else ""
        yield Measurement(
            what, f"{volts(HOT_VOC_FRAC * rated)} (hot) to {volts(rated)} (25 °C) in sun; right way round{most}",
            "the module's data, NEC 690.7(A)",
        )  # fmt: skip


# Loads


def _loads(study: Study) -> Iterator[Measurement]:
    for id in _bars(study) if _sane(study) else ():
        at_bar = study.nodes.get(id)
        if at_bar is not None and at_bar.full_voltage_v is not None:
            expected = f"at least {volts(at_bar.full_voltage_v)} with a full battery"
            yield Measurement(f"{id} + to {id} −", expected, "computed")
    for id, drop in study.load_drops.items() if _sane(study) else ():
        load = study.system.components[id]
        if drop.medium != "dc" or not isinstance(load, Load):
            continue
        if drop.missing:
            yield Measurement(named(load), f"not computed: {listed(drop.missing)} not known", "")
            continue
        node = study.nodes.get(id)
        left = f"at least {volts(node.full_voltage_v)} with a full battery; " if node and node.full_voltage_v else ""
        yield Measurement(
            named(load),
            f"{left}at most {volts(drop.running_v)} less than at {drop.source}", "computed",
        )  # fmt: skip
        if drop.starting_voltage_v is not None:
            need = f"; it needs {load.min_voltage_v:g} V" if load.min_voltage_v is not None else ""
            yield Measurement(
                f"{named(load)}, while it starts", f"not below {volts(drop.starting_voltage_v)}, battery low{need}",
                "computed",
            )  # fmt: skip


# Charging


def _charging(study: Study) -> Iterator[Measurement]:
    for id, part in study.system.components.items():
        if isinstance(part, ChargeController | AcCharger | DcToDc | InverterCharger):
            yield from _charger(id, part)
    for id, part in study.system.components.items():
        if isinstance(part, Battery) and part.chemistry == "lifepo4":
            limit = part.min_charge_temperature_c
            yield Measurement(
                f"{id}: charging stops when its cells are cold",
                f"below {format_amount(limit or 0.0, 'c')} no charge current; read it in the settings", COMMON,
            )  # fmt: skip
        if isinstance(part, Shunt):
            yield Measurement(
                f"{id}: sign on the monitor", "minus while a load runs, plus while a charger charges", COMMON
            )


def _charger(id: str, part: Component) -> Iterator[Measurement]:
    absorb, float_v = getattr(part, "absorb_v", None), getattr(part, "float_v", None)
    output = getattr(part, "charge_current_a", None) or getattr(part, "output_a", None)
    if absorb is not None or not isinstance(part, DcToDc):
        shown = f"absorption {volts(absorb)}" if absorb is not None else "absorption: as the battery's maker says"
        shown += f", float {volts(float_v)}" if float_v is not None else ""
        yield Measurement(f"{named(part)}: set and measured voltages", shown, "the battery's maker decides")
    if output is not None:
        yield Measurement(f"{named(part)}: current while it works hard", f"up to {amps(output)}", "its rating")
    if isinstance(part, DcToDc) and absorb is None and part.output_voltage_v is not None:
        yield Measurement(f"{named(part)}: output", f"{part.output_voltage_v:g} V, as its label says", "its rating")


# AC


def _ac(study: Study) -> Iterator[Measurement]:
    tolerance = AC_TOLERANCE_FRAC["us" if study.profile.name.startswith("us-") else "iec"]
    points = [
        part for part in study.system.components.values()
        if isinstance(part, Receptacle | AcLoad) and any(n.pole in ("L1", "L2") for n in study.graph.nodes_of(part.id))
    ]  # fmt: skip
    for net in study.neutrals.nets:
        state = f"{listed(net.sources)} feeding" + (f" ({net.mode})" if net.mode else "")
        bond = listed(bond.words for bond in net.bonds)
        yield Measurement(
            f"{state}: neutral to earth at the panel, nothing running",
            f"below {TOUCH_V:g} V; joined once, by {bond}" if net.certain == 1 and not net.unknown
            else "not sure from the spec: see the findings before anybody uses it", "NEC 250.30, 551.54, from memory",
        )  # fmt: skip
        for part in points:
            if part.id in net.loads and (nominal := _nominal_v(study, part)) is not None:
                low, high = (1 - tolerance) * nominal, (1 + tolerance) * nominal
                yield Measurement(
                    f"{state}: {named(part)}, {_contacts(study, part)}",
                    f"{volts(low)} to {volts(high)}{_right_way(part, nominal)}", "ANSI C84.1 or EN 50160, from memory",
                )  # fmt: skip


def _nominal_v(study: Study, part: Component) -> float | None:
    """Nominal voltage across a load: of one leg, or of both."""
    drop = study.load_drops.get(part.id)
    if drop is None or drop.medium != "ac":
        return None
    # A drop is judged from leg to neutral where there is one.
    return float(round(drop.nominal_v)) * (2 if _on_both(study, part) and drop.nominal_v < ONE_LEG_MOST_V else 1)


def _on_both(study: Study, part: Component) -> bool:
    poles = {node.pole for node in study.graph.nodes_of(part.id)}
    return {"L1", "L2"} <= poles and getattr(part, "legs", None) in ("both", None)


def _contacts(study: Study, part: Component) -> str:
    return "leg to leg" if _on_both(study, part) else "live to neutral"


def _right_way(part: Component, nominal_v: float) -> str:
    return "; the same from live to earth; socket tester: correct" if isinstance(part, Receptacle) and nominal_v else ""


def _shock(study: Study) -> Iterator[Measurement]:
    for id, part in study.system.components.items():
        if isinstance(part, Receptacle) and part.gfci:
            yield Measurement(f"{id}: test button, then a tester", "opens each time and is reset",
                              "UL 943: opens at 4 to 6 mA, from memory")  # fmt: skip
        residual = getattr(part, "residual_a", None)
        if isinstance(part, Rcd | Breaker) and residual is not None:
            seconds, source = RCD_S["us" if study.profile.name.startswith("us-") else "iec"]
            yield Measurement(
                f"{id}: test button, then a tester at {amps(residual)}", f"opens within {seconds * 1000:.0f} ms", source
            )
    inverting = any(isinstance(part, Inverter) for part in study.system.components.values())
    for id, part in study.system.components.items():
        if isinstance(part, ShoreInlet) and inverting:
            yield Measurement(f"{id}: pins of the inlet, unplugged, inverter running", "0 V on every pin",
                              COMMON)  # fmt: skip


# Soak


def _soak(study: Study) -> Iterator[Measurement]:
    yield Measurement("Every stud, lug, fuse and breaker, by thermometer", f"within {WARM_K:g} K of the air", COMMON)
    for storage in storages(study):
        if storage.string_count > 1:
            yield Measurement(
                f"Currents of {listed(storage.ids)}", f"alike within {SHARE_FRAC * 100:.0f} %, sharing one load", COMMON
            )
    for part in study.system.components.values():
        if isinstance(part, Inverter) and _inverter_a(study, part) is not None:
            yield Measurement(
                f"{part.id}: DC current at its full load", f"about {amps(_inverter_a(study, part) or 0.0)}", "computed"
            )
    yield Measurement("Draw of the battery with every switch off", "write it down; compare in a year", COMMON)


def _inverter_a(study: Study, part: Component) -> float | None:
    """Worst current of an inverter's DC run, as the from-to table has it."""
    found = [
        one.current_a for run in study.system.runs_at.get(part.id, ()) for one in _segments(study, run.id)
        if run.medium == "dc" and run.carries == "pair" and one.current_a is not None
    ]  # fmt: skip
    return max(found, default=None)


def _segments(study: Study, run: str) -> list[SegmentStudy]:
    """The numbers of a run's segments."""
    return [one for one in study.segments if one.segment.run == run]
