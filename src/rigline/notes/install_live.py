"""The installation from the battery on: one thing at a time becomes live, each behind a fuse that is put in last."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property

from msgspec import Struct

from rigline.kinds import Component
from rigline.kinds.converters import AcCharger, ChargeController, DcCharger, DcToDc, Inverter, InverterCharger
from rigline.kinds.devices import Overcurrent
from rigline.kinds.loads import Motor
from rigline.kinds.sources import AcSource, Alternator, Battery, Generator, PvArray, ShoreInlet, Turning, VehicleBattery
from rigline.model.system import HOT_LEGS
from rigline.notes import live
from rigline.notes.entries import Step, Task
from rigline.notes.ways import OPENERS, Ways
from rigline.notes.wording import amps, closes, is_fuse, listed, named, opened, rated, wire_label
from rigline.ordering.order import Order
from rigline.ordering.pieces import Piece
from rigline.study.operating import battery_volts_v
from rigline.study.storage import storages
from rigline.study.study import Study

FIRST_FUSE_A = 5.0
"""Stands in for a main fuse at the first start. Source: common practice, 5 to 10 A."""
PRECHARGE_OHM = {False: 10.0, True: 25.0}
"""Wire-wound resistor of 50 W that fills an inverter's capacitors; the second from 40 V on. Common practice."""
SIGNS = {"+": "+", "-": "−"}
"""Pole -> its sign, which can be told from a hyphen."""
HIGH_V = 40.0
"""Batteries above it take the larger resistor. Source: common practice."""


class LiveSteps(Struct, frozen=True, dict=True):
    """The steps of one system; what an earlier step has closed is not closed again by a later one."""

    study: Study
    order: Order
    ways: Ways

    def steps(self) -> Iterator[Step]:
        """Battery, first voltage, main fuse, inverter, controllers, branches, AC, other sources, soak, record."""
        yield Step("The battery, last", _LAST, tuple(self._connect()))
        yield Step("First voltage", "Still every fuse out.", (Task(f"Live tests, “{live.FIRST}”."),))
        yield Step(
            "The main fuse", f"A {FIRST_FUSE_A:g} A fuse lead finds a short without a bang.", tuple(self._mains())
        )
        yield Step("Inverters and their capacitors", "Empty capacitors take thousands of amperes for an instant: the "
                   "spark welds contacts.", tuple(self._precharge()))  # fmt: skip
        yield Step("Solar: battery first, then sun", "A controller must know its battery before it sees the sun. Taken "
                   "out of use the other way round: sun first.", tuple(self._controllers()))  # fmt: skip
        yield Step("Branch by branch", "Fuse in, measure, run the load, look for warmth; then the next.",
                   tuple(self._branches()))  # fmt: skip
        yield Step("AC, from the inverter", "Breakers off, nothing plugged in. For whoever did the AC part.",
                   tuple(self._inverters()))  # fmt: skip
        yield Step("Other sources, one at a time", "Each alone first; then check that no two feed one wire.",
                   tuple(self._machines()))  # fmt: skip
        yield Step("Full load", "", (Task(f"Live tests, “{live.LOADS}” and “{live.SOAK}”."),))
        yield Step("Record", "What nobody wrote down is unknown in a year.", _RECORD)

    # What is closed in which step

    @cached_property
    def mains(self) -> dict[str, Component]:
        """The device that switches a battery on: the largest overcurrent device next to it, else a switch."""
        found = {}
        for battery in self.ways.batteries:
            near = [part for part in self.ways.at(battery.id).openers if part.id not in self._of_chargers]
            devices = [part for part in near if isinstance(part, Overcurrent)]
            mains = sorted(devices or near, key=lambda part: -(self._rating_a(part) or 0.0))
            if mains:
                found[battery.id] = mains[0]
        return found

    @cached_property
    def _of_chargers(self) -> set[str]:
        """What opens the line of something that charges: no main, whatever its rating."""
        groups = [*self.of_controllers.values(), *self.of_machines.values(),
                  *self._converter_openers(DcToDc, "in").values(),
                  *self._converter_openers(AcCharger, "dc").values()]  # fmt: skip
        return {part.id for group in groups for part in group}

    def _rating_a(self, part: Component) -> float | None:
        rating = self.study.rating_a(part.id) if isinstance(part, Overcurrent) else getattr(part, "rating_a", None)
        return None if rating is None else float(rating)

    def _converter_openers(self, kind: type[Component], terminal: str) -> dict[str, tuple[Component, ...]]:
        parts = self.study.system.components.values()
        return {part.id: self._before(part.id, terminal, OPENERS) for part in parts if isinstance(part, kind)}

    def _before(self, id: str, terminal: str, stops: tuple[type[Component], ...]) -> tuple[Component, ...]:
        """What opens a converter's side. Where it shares a bar with others, only what stands at a battery counts."""
        near = self.ways.at(id, terminal, stops)
        if not near.bare:
            return near.openers
        first = {part.id for battery in self.ways.batteries for part in self.ways.at(battery.id).openers}
        return tuple(part for part in near.openers if part.id in first)

    @cached_property
    def of_inverters(self) -> dict[str, tuple[Component, ...]]:
        """The fuse or breaker before the DC side of each inverter, whatever switch lies between."""
        parts = self.study.system.components.values()
        return {p.id: self._before(p.id, "dc", (Overcurrent,)) for p in parts if isinstance(p, Inverter)}

    @cached_property
    def of_controllers(self) -> dict[str, tuple[Component, ...]]:
        """What opens the battery side of each controller."""
        return self._converter_openers(ChargeController, "battery")

    @cached_property
    def of_machines(self) -> dict[str, tuple[Component, ...]]:
        """What opens the line of each engine, turbine or vehicle."""
        return {part.id: self.ways.at(part.id).openers for part in self.ways.machines if not isinstance(part, AcSource)}

    @cached_property
    def chargers(self) -> dict[str, tuple[Component, ...]]:
        """What opens the DC sides of each charger, the side of what it charges first."""
        sides = {DcCharger: ("out", "in"), AcCharger: ("dc", "dc1", "dc2", "dc3")}
        found: dict[str, tuple[Component, ...]] = {}
        for part in self.study.system.components.values():
            for kind, terminals in sides.items():
                if isinstance(part, kind):
                    near = [device for terminal in terminals for device in self._before(part.id, terminal, OPENERS)]
                    found[part.id] = tuple({device.id: device for device in near}.values())
        return found

    def _done(self) -> set[str]:
        """Devices that are closed in a step of their own, and so not as a branch."""
        groups = [*self.of_inverters.values(), *self.of_controllers.values(), *self.of_machines.values(),
                  *self.chargers.values()]  # fmt: skip
        return {part.id for part in self.mains.values()} | {part.id for group in groups for part in group}

    # Battery

    def _connect(self) -> Iterator[Task]:
        for battery in self.ways.batteries:
            near = self.ways.at(battery.id)
            name = named(battery)
            held = "" if battery.restrained else ", strapped down so that it can't move"
            yield Task(f"{name}: in its place{held}, vents free, one post covered.")
            if near.openers:
                yield Task(f"Look once more: {', '.join(opened(part) for part in near.openers)}.")
            yield from self._bare(battery, near.bare)
            yield from self._blocks(battery)
            pieces = [piece for piece in self.order.cuts if self.ways.source_of(piece) == battery.id]
            ends = [piece for piece in pieces if piece.medium == "dc"]
            last = [piece for piece in ends if piece.pole == self.ways.back]
            first = [piece for piece in ends if piece not in last]
            for device in self._on_post(near.openers, ends):
                yield Task(f"Holder of {device.id} on {battery.id} {SIGNS[self.ways.hot]}, {_state(device)}.")
            for piece in (*first, *last):
                yield Task(
                    f"{wire_label(piece.id)} on {_post(piece, battery.id)}"
                    + (", last" if piece in last[-1:] else "")
                    + "."
                )

    @staticmethod
    def _on_post(openers: Sequence[Component], ends: Sequence[Piece]) -> list[Component]:
        """Devices that no wire leads to from the battery, since they sit on its post."""
        wired = {end.component for piece in ends for end in piece.ends}
        return [part for part in openers if part.id not in wired and isinstance(part, Overcurrent)]

    def _bare(self, battery: Battery, bare: Sequence[Component]) -> Iterator[Task]:
        """What goes live at once with a battery. A starter may; anything else needs a fuse first."""
        motors = [part.id for part in bare if isinstance(part, Motor) and part.cranking]
        others = [part.id for part in bare if part.id not in motors and part.role not in ("storage", "earth")]
        if motors:
            yield Task(f"{listed(motors)} is live as soon as {battery.id} is connected: gear out, key off.")
        if others:
            yield Task(f"Nothing that can be opened stands between {battery.id} and {listed(others)}: leave that wire "
                       "off until a fuse is there.", stops=True)  # fmt: skip

    def _blocks(self, battery: Battery) -> Iterator[Task]:
        if battery.series > 1:
            yield Task(f"{battery.id}: link its {battery.series} blocks in series, the last link last; one open link "
                       "keeps the string dead.")  # fmt: skip
        if battery.parallel > 1:
            yield Task(f"{battery.id}: charge its {battery.parallel} strings to the same voltage, within "
                       f"{live.AT_REST_V:g} V, before you join them.")  # fmt: skip

    def _mains(self) -> Iterator[Task]:
        yield from self._equal()
        closed: dict[str, str] = {}
        for battery, main in self.mains.items():
            if main.id in closed.values():
                continue
            partner = next((other for other in closed if self._share_a_bus(battery, other)), None)
            if not isinstance(main, Overcurrent):
                yield self._switched(battery, main)
            elif partner is not None:
                yield Task(
                    f"Voltage across {main.id} ({_state(main)}): within {live.AT_REST_V:g} V of zero; about twice that "
                    f"of {partner} means that {battery} is reversed: stop. {closes(self.study, main)}."
                )
            else:
                yield from self._first_closed(main)
            closed[battery] = main.id
        if self.mains:
            yield Task(f"Live tests, “{live.BUSES}”.")

    def _share_a_bus(self, one: str, other: str) -> bool:
        """Whether two batteries stand in different strings of one storage: side by side, not in series."""
        strings = [
            {id: string for string in storage.strings for id in [block.id for block in string.blocks]}
            for storage in storages(self.study)
        ]  # fmt: skip
        return any(one in of and other in of and of[one] is not of[other] for of in strings)

    def _first_closed(self, main: Component) -> Iterator[Task]:
        """How a main is closed on a bus that was never live: by a small fuse that finds a short."""
        charging = {device.id: inverter for inverter, near in self.of_inverters.items() for device in near}
        if main.id in charging:
            inverter = self.study.system.components[charging[main.id]]
            assert isinstance(inverter, Inverter)
            yield Task(f"No other fuse stands before {inverter.id}, so its capacitors are filled at {main.id}. "
                       "Every switch between them ON. " + self._filled(inverter, main))  # fmt: skip
            return
        switches = listed(part.id for part in self._behind(main)) if self._behind(main) else ""
        shut = f", then {switches} ON" if switches else ""
        yield Task(f"{FIRST_FUSE_A:g} A fuse lead across {main.id} ({_state(main)}){shut}: "
                   "no spark, no current but that of a monitor. The small fuse blows: find the short.")  # fmt: skip
        back, again = (f"{switches} OFF, the lead off. ", f", {switches} ON") if switches else ("The lead off. ", "")
        yield Task(f"{back}{closes(self.study, main)}{again}.")

    def _switched(self, battery: str, switch: Component) -> Task:
        """A battery that a switch alone cuts off, as a starter's may be."""
        if getattr(self.study.system.components[battery], "starting", None):
            shut = _lower(closes(self.study, switch))
            return Task(f"{battery} starts an engine and has a switch, no fuse, there: {shut}; "
                        "nothing sparks, nothing gets warm.")  # fmt: skip
        return Task(f"No fuse stands between {battery} and {switch.id}: leave it open until there is one.", stops=True)

    def _equal(self) -> Iterator[Task]:
        """Batteries that their mains will join."""
        for storage in storages(self.study):
            if len(storage.ids) > 1 and storage.string_count > 1:
                yield Task(f"{listed(storage.ids)} are joined by their mains: voltages within {live.AT_REST_V:g} V of "
                           "each other first, else charge each to full by itself.")  # fmt: skip

    def _behind(self, main: Component) -> tuple[Component, ...]:
        """Switches on the far side of a main fuse."""
        near = {part.id for battery in self.ways.batteries for part in self.ways.at(battery.id).openers}
        found = {part.id: part for terminal in ("in", "out") for part in self.ways.at(main.id, terminal).openers}
        return tuple(part for id, part in found.items() if id not in near and not isinstance(part, Overcurrent))

    # Converters

    def _precharge(self) -> Iterator[Task]:
        for id, near in self.of_inverters.items():
            inverter = self.study.system.components[id]
            assert isinstance(inverter, Inverter)
            device = near[0] if near else next(iter(self.mains.values()), None)
            if device is None:
                yield Task(f"{id}: no fuse stands before it; leave its cable off.", stops=True)
            elif not near:
                yield Task(f"{id}: no fuse stands before it; leave its cable off until there is one.", stops=True)
            elif device.id not in self._main_ids:
                yield Task(self._filled(inverter, device))
            for more in near[1:]:
                yield Task(f"{id}: {closes(self.study, more)}.")

    def _filled(self, inverter: Inverter, device: Component) -> str:
        """How an inverter's capacitors are filled before its device is closed."""
        if inverter.soft_start:
            shut = _lower(closes(self.study, device))
            return f"{named(inverter)} fills its own capacitors slowly. Its switch off: {shut}."
        return self._resistor(inverter, device)

    def _resistor(self, inverter: Inverter, device: Component) -> str:
        top = max((battery_volts_v(b, "charged") for b in self.ways.batteries if b.voltage_v), default=0.0)
        ohm = PRECHARGE_OHM[top > HIGH_V]
        first = f" (first {amps(top / ohm)})" if top else ""
        return (
            f"{named(inverter)}, its switch off: {ohm:g} Ω, 50 W, wire-wound, held across {device.id} "
            f"({_state(device)}) for 2 to 3 s{first}, until {inverter.id} + stands within 1 V "
            f"of the bus. Then at once: {_lower(closes(self.study, device))}. A voltage that does not rise is a "
            "short: stop."
        )

    def _controllers(self) -> Iterator[Task]:
        parts = self.study.system.components
        for id, near in self.of_controllers.items():
            controller = parts[id]
            shut = "; ".join(_lower(closes(self.study, part)) for part in near if part.id not in self._main_ids)
            yield Task(f"{named(controller)}: {shut or 'its battery side is live with the bus'}. Set the battery's "
                       "kind and voltages.")  # fmt: skip
        for array in (part for part in parts.values() if isinstance(part, PvArray)):
            cuts = [parts[i].id for i in sorted(self.ways.solar) if not isinstance(parts[i], PvArray)]
            off = f"{listed(cuts)} OFF" if cuts else "its own disconnect open" if array.disconnect else "it covered"
            on = f"{listed(cuts)} ON" if cuts else "close it" if array.disconnect else "uncover it"
            yield Task(f"{named(array)}, {off}: live tests, “{live.SUN}”; then plug it in, then {on}: "
                       f"live tests, “{live.CHARGE}”.")  # fmt: skip

    @cached_property
    def _main_ids(self) -> set[str]:
        return {part.id for part in self.mains.values()}

    # Branches

    def _branches(self) -> Iterator[Task]:
        done, depth = self._done() | self.ways.solar, self.ways.depth
        devices = [
            part for part in self.study.system.components.values()
            if isinstance(part, Overcurrent) and part.id not in done and not self._is_ac(part)
            and part.id in self.study.system.runs_at
        ]  # fmt: skip
        for part in sorted(devices, key=lambda part: depth.get(part.id, 0)):
            circuit = self.study.circuits.get(part.id)
            serves = circuit.serves if circuit is not None else ()
            own = [id for id in serves if self._has_own(part.id, id)]
            if self.study.rating_a(part.id) is None:
                yield Task(f"{part.id}: its rating is not known; leave it out.", stops=True)
            elif own:
                yield Task(f"{closes(self.study, part)}: feeds {listed(serves)}, their own fuses still out. Measure.")
            else:
                yield Task(f"{closes(self.study, part)}. {self._tried(part, serves)}.")

    def _tried(self, device: Component, serves: Sequence[str]) -> str:
        """What is done behind a device that was just closed."""
        if not serves:
            return f"Measure at {self._beside(device)}"
        converters = [id for id in serves if self.study.system.components[id].role == "converter"]
        if len(converters) == len(serves):
            return f"{listed(serves)} on: measure its output"
        return f"Run {listed(serves)}{self._draws(device.id)}"

    def _has_own(self, device: str, load: str) -> bool:
        circuits = self.study.circuits
        return any(load in c.serves and len(c.serves) < len(circuits[device].serves) for c in circuits.values())

    def _beside(self, device: Component) -> str:
        """What a device without a load of its own leads to, from the batteries outward."""
        sides = [self.ways.at(device.id, terminal).bare for terminal in ("in", "out")]
        found = [part.id for side in sides for part in side if part.role == "converter"]
        return listed(found) if found else "its far side"

    def _draws(self, device: str) -> str:
        load_a = self.study.circuits[device].load_a
        return f": about {amps(load_a)}" if load_a else ""

    def _is_ac(self, part: Component) -> bool:
        return any(node.pole in HOT_LEGS for node in self.study.graph.nodes_of(part.id))

    # AC and other sources

    def _inverters(self) -> Iterator[Task]:
        for id in self.of_inverters:
            yield Task(f"{named(self.study.system.components[id])} on, every breaker behind it off: no hum, no alarm. "
                       f"Live tests, “{live.AC}”, neutral to earth while {id} feeds.")  # fmt: skip
        if self.of_inverters:
            yield from self._outlets()

    def _outlets(self) -> Iterator[Task]:
        if devices := self._ac_devices():
            names = listed(rated(self.study, part) for part in devices)
            yield Task(f"Switch on {names}" + (", one by one" if len(devices) > 1 else "") + "; at what each feeds, "
                       f"the other lines of “{live.AC}” while {listed(self.of_inverters)} feeds.")  # fmt: skip
        yield Task(f"Live tests, “{live.SHOCK}”.")

    def _ac_devices(self) -> list[Component]:
        """Breakers behind the inverters, those that feed other breakers first."""
        nets = [net for net in self.study.neutrals.nets if set(net.sources) & set(self.of_inverters)]
        ids = {id for net in nets for id in net.devices}
        found = [part for id, part in self.study.system.components.items() if id in ids]
        circuits = self.study.circuits
        return sorted(found, key=lambda part: part.id in circuits and bool(circuits[part.id].serves))

    def _machines(self) -> Iterator[Task]:
        closed = {device.id for near in self.of_machines.values() for device in near} | self._main_ids
        for id, near in self.chargers.items():
            devices = [device for device in near if device.id not in closed]
            closed |= {device.id for device in devices}
            shut = "; ".join(_lower(closes(self.study, device)) for device in devices)
            if shut:
                part = self.study.system.components[id]
                still = "engine off" if isinstance(part, DcCharger) else "its AC side off"
                yield Task(f"{named(part)}, {still}: {shut}. Set the battery's kind and voltages.")
        yield from self._fed()

    def _fed(self) -> Iterator[Task]:
        sources = [part for part in self.ways.machines if isinstance(part, AcSource)]
        for part in self.ways.machines:
            near = self.of_machines.get(part.id, ())
            shut = "; ".join(closes(self.study, device) for device in near if device.id not in self._main_ids)
            if isinstance(part, VehicleBattery):
                pieces = [p for p in self.order.cuts if self.ways.source_of(p) == part.id and p.medium == "dc"]
                ends = listed(wire_label(piece.id) for piece in pieces)
                yield Task(
                    f"{named(part)}: engine off, the vehicle's negative cable off. {ends} on its posts; the "
                    f"negative cable back last. {shut + '. ' if shut else ''}Engine on: live tests, “{live.CHARGE}”."
                )
            elif isinstance(part, ShoreInlet):
                yield Task(f"{named(part)}: try the outlet there with a socket tester first. Plug "
                           f"in{self._further(part)}: {self._measured(part)}.")  # fmt: skip
            elif isinstance(part, Generator):
                others = "".join(f"{one.id} unplugged, " for one in sources if isinstance(one, ShoreInlet))
                yield Task(f"{named(part)}: outdoors, {others}breakers off; start "
                           f"it{self._further(part)}: {self._measured(part)}.")  # fmt: skip
            elif isinstance(part, Turning):
                still = "engine off" if isinstance(part, Alternator) else "standing still or braked"
                yield Task(f"{named(part)}: {still}. {shut + '. ' if shut else ''}Let it turn: live "
                           f"tests, “{live.CHARGE}”. Never open its line while it turns.")  # fmt: skip
            if sources and part is sources[0] and not self.of_inverters:
                yield Task(f"Live tests, “{live.SHOCK}”.")

    def _measured(self, source: Component) -> str:
        """The tests that a source of AC is put into use with, those of charging where it charges a battery."""
        parts = self.study.system.components.values()
        charges = any(isinstance(part, AcCharger | InverterCharger) for part in parts)
        return f"live tests, “{live.AC}”, lines of {source.id}" + (f", and “{live.CHARGE}”" if charges else "")

    def _further(self, source: Component) -> str:
        """Breakers that no earlier source has needed."""
        nets = self.study.neutrals.nets
        before = {id for net in nets if set(net.sources) & set(self.of_inverters) for id in net.devices}
        mine = {id for net in nets if source.id in net.sources for id in net.devices} - before
        parts = self.study.system.components
        words = [rated(self.study, parts[id]) for id in parts if id in mine]
        if not words:
            return ", then its breakers on"
        return f", then {listed(words)} on" + (", one by one" if len(words) > 1 else "")


def _state(device: Component) -> str:
    return "empty" if is_fuse(device) else "OFF"


def _post(piece: Piece, battery: str) -> str:
    end = next(end for end in piece.ends if end.component == battery)
    return f"{end.component} {SIGNS.get(end.pole, end.pole)}"


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]


_LAST = (
    "Insulated tools, glasses, rings off, the other post covered. The hot pole first, the grounded pole last; taken "
    "off the other way round."
)
_RECORD = (
    Task("Tighten every stud again to its maker's torque and mark it with paint."),
    Task("Photograph each panel and each battery with its covers off, then put the covers on."),
    Task("Write down settings, firmware, serial numbers and every reading; keep them with the spec."),
    Task("Say in the spec what was built otherwise, and make these notes anew."),
)
