"""Tests before anything is connected to a battery, with what they must show on this system.

The order is that of the trade: look, earth continuity, insulation, polarity. A meter reads a few hundredths of an ohm
in its own leads and joints, which is why a limit stands beside every computed resistance.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rigline.kinds import Component
from rigline.kinds.converters import AcCharger, Inverter
from rigline.kinds.devices import GalvanicIsolator
from rigline.kinds.distribution import AcPanel
from rigline.kinds.earthing import EarthElectrode
from rigline.kinds.loads import AcLoad, Motor, Receptacle
from rigline.kinds.sources import AcSource, ShoreInlet
from rigline.model.system import EARTH, Conductor
from rigline.notes.entries import COMMON, Group, Measurement
from rigline.notes.ways import Ways
from rigline.notes.wording import ac_off, is_fuse, listed, opened
from rigline.ordering.order import Order
from rigline.study.study import Study

JOINTS_OHM = 0.05
"""What joints and nulled leads may add to the resistance of a conductor. Source: common practice."""
AC_INSULATION = "at least 1 MΩ at 500 V DC"
"""Test voltage and least insulation of a circuit of up to 500 V. Source: IEC 60364-6 Table 6.1."""
OPEN = "open: above 1 kΩ"
"""Below this a branch is not open, whatever electronics still hang on it. Source: common practice."""
ELECTRODE_SOURCE = "NEC 250.53(A)(2), from memory"
ROD_OHM = 25.0
"""A single rod of more needs a second one. Source: NEC 250.53(A)(2), from memory."""

EARTHS = "Continuity of bonds and earths"
POLES = "No short between the poles"
CHASSIS = "One bond, and no other way to the chassis"
INSULATION = "Insulation of the AC part"
AC_POLARITY = "Polarity of the AC part, dead"


def dead_tests(study: Study, order: Order) -> tuple[Group, ...]:
    """Every group of tests that this system needs, in the order in which they are made."""
    ways = Ways(study)
    groups = [
        Group("Look and pull", "Nothing connected. Eyes, hands, a lamp.", tuple(_looks(order))),
        Group(EARTHS, "Ohmmeter, leads nulled. Both ends stay connected.", tuple(_earths(study))),
        Group(POLES, _poles_how(ways), tuple(_poles(study, ways))),
        Group(CHASSIS, "Ohmmeter. Batteries not connected.", tuple(_chassis(study))),
        Group(INSULATION, _insulation_how(study), tuple(_insulation(study))),
        Group(AC_POLARITY, f"Ohmmeter. {ac_off(study)}, outlets empty.",
              tuple(_ac_polarity(study))),
    ]  # fmt: skip
    return tuple(group for group in groups if group.tests)


def _looks(order: Order) -> Iterator[Measurement]:
    yield Measurement("Every wire against the from-to table: size, colour, both labels", "all as listed", "BS 7671 642")
    yield Measurement("Every fuse and breaker against the fuse list: rating, style, voltage", "all as listed",
                      "BS 7671 642")  # fmt: skip
    yield Measurement("Pull each crimp by hand; try to turn each lug on its stud", "nothing moves", COMMON)
    if order.cuts:
        yield Measurement("Clamps, grommets, drip loops, covers, no loose strand", "nothing chafes, nothing bare",
                          "BS 7671 642")  # fmt: skip


# Earths and bonds


def _earths(study: Study) -> Iterator[Measurement]:
    for run in study.system.runs:
        if run.carries in ("bond", "earth", "neutral-bond"):
            wires = [c for segment in run.segments for c in segment.conductors]
            ends = f"{run.stops[0].component} and {run.stops[-1].component}"
            yield Measurement(f"{run.id}: between {ends}", _ohms(study, wires), "BS 7671 643.2")
    for part in study.system.components.values():
        if (isinstance(part, AcLoad | Receptacle) and not part.class_ii and _is_ac(study, part)) or (
            isinstance(part, AcSource) and _is_ac(study, part)
        ):
            yield from _case(study, part)


def _case(study: Study, part: Component) -> Iterator[Measurement]:
    """From an earth pin back to where all earths meet: the conductor inside the cables."""
    path = study.grounding.case_path(part.id)
    pin = "earth contact" if isinstance(part, Receptacle | AcSource) else "case"
    if path is None:
        yield Measurement(f"{part.id}: {pin} to earth", "no earth is drawn: do not energise", "BS 7671 643.2")
    elif path.conductors:
        sign = {"-": " −", "+": " +"}.get(path.target.pole, "")
        yield Measurement(
            f"{part.id}: {pin} to {path.target.component}{sign}", _ohms(study, path.conductors), "BS 7671 643.2"
        )


def _ohms(study: Study, wires: Iterable[Conductor]) -> str:
    """The computed resistance and what may be read; a length or size that nobody knows gives the limit alone."""
    all = list(wires)
    if any(study.wiring.size(c) is None or c.length_m is None for c in all):
        return f"at most {read_ohm(2 * JOINTS_OHM)} (size or length not known)"
    isolators = dict.fromkeys(
        node.component for c in all for node in (c.a, c.b)
        if isinstance(study.system.components[node.component], GalvanicIsolator)
    )  # fmt: skip
    own = sum(study.wiring.resistance_ohm(c) for c in all)
    if isolators:
        return (f"the diodes of {listed(isolators)} block the meter: wires on both sides at most "
                f"{read_ohm(own + JOINTS_OHM)}, {listed(isolators)} by its maker's test")  # fmt: skip
    return f"at most {read_ohm(own + JOINTS_OHM)}, of which {1000 * own:.2g} mΩ in the wire, the rest joints and meter"


def read_ohm(value_ohm: float) -> str:
    """A small resistance as a meter shows it.

    >>> read_ohm(0.0624), read_ohm(0.05)
    ('0.06 Ω', '0.05 Ω')
    """
    return f"{value_ohm:.2f} Ω"


def _is_ac(study: Study, part: Component) -> bool:
    return any(node.pole in ("L1", "L2") for node in study.graph.nodes_of(part.id))


# DC


def _poles_how(ways: Ways) -> str:
    first = [part for battery in ways.batteries for part in ways.at(battery.id).openers]
    state = ", ".join(dict.fromkeys(opened(part) for part in first))
    return (
        "Ohmmeter, battery not connected, every fuse out, every breaker and switch off"
        + (f" ({state})" if state else "")
        + ". Electronics read low at first and rise as they charge: wait. A steady low reading is a short."
    )


def _poles(study: Study, ways: Ways) -> Iterator[Measurement]:
    for id, part in study.system.components.items():
        if part.role == "bus" and part.kind not in ("ac-panel", "junction") and _has_both(study, id):
            yield Measurement(f"{id} + to {id} −", OPEN, COMMON)
    for battery in ways.batteries:
        yield Measurement(f"The free lugs for {battery.id}, + to −", OPEN, COMMON)
    loads = [
        id for id, part in study.system.components.items()
        if part.role in ("load", "converter") and _has_both(study, id)
    ]  # fmt: skip
    for id in loads:
        winding = isinstance(study.system.components[id], Motor)
        yield Measurement(
            f"{id}, + to − of its own wires, {id} switched off",
            "open; where no switch is in between its winding reads an ohm or less, the same as by itself"
            if winding else "open, or its electronics; never near 0 Ω", COMMON,
        )  # fmt: skip


def _has_both(study: Study, id: str) -> bool:
    return {"+", "-"} <= {node.pole for node in study.graph.nodes_of(id)}


def _chassis(study: Study) -> Iterator[Measurement]:
    """Each bond lifted once: what is then still joined is a second way that nobody drew."""
    grounding = study.grounding
    if study.system.head.dc_grounding == "isolated":
        body = (
            listed((*grounding.bodies, *grounding.electrodes)) if grounding.bodies or grounding.electrodes else "earth"
        )
        yield Measurement(f"Each DC pole to {body}", OPEN, COMMON)
        return
    sign = {"+": "+", "-": "−"}[grounding.dc_pole]
    for group in grounding.bonds_by_return():
        for bond in group:
            if bond.runs:
                first = f"{bond.dc.component} {sign} to {bond.earth.component}"
                also = _shared(study)
                yield Measurement(
                    f"Lift {bond.runs[0]} at {bond.earth.component}; {first}{also}",
                    "open; a low reading is a second bond, in a wire or through a case: find it", COMMON,
                )  # fmt: skip
                yield Measurement(f"Put {bond.runs[0]} back and tighten; {first}", "as in its own line above", COMMON)
    if not grounding.bonds_by_return():
        yield Measurement("Find the bond of the DC negative", "none is drawn: see the findings", COMMON)


def _shared(study: Study) -> str:
    """Equipment whose case is tied to the return by its maker, to be taken off for this test."""
    tied = [part.id for part in study.system.components.values() if part.grounded_case]
    return f", the cases of {listed(tied)} off their earth too" if tied else ""


# AC


def _insulation_how(study: Study) -> str:
    parts = study.system.components
    bonds = dict.fromkeys(bond.at for net in study.neutrals.nets for bond in net.bonds)
    places = [at for at in bonds if not isinstance(parts.get(at), Inverter | ShoreInlet)]
    apart = "".join(
        f"{part.id}, " for part in study.system.components.values()
        if isinstance(part, Inverter | AcCharger) or part.kind == "surge-protector"
    )  # fmt: skip
    return (
        f"Insulation tester, 500 V; for the electrician who does the AC part. First take off {apart}monitors and "
        "whatever else has electronics, and unplug every appliance"
        + (f"; open the bond of neutral and earth at {listed(places)}, and close it after" if places else "")
        + ". Breakers on. Live conductors and neutral joined."
    )


def _insulation(study: Study) -> Iterator[Measurement]:
    for run in study.system.runs:
        if run.medium == "ac" and any(c.pole == EARTH for s in run.segments for c in s.conductors):
            ends = f"{run.stops[0].component} to {run.stops[-1].component}"
            yield Measurement(f"{run.id} ({ends}): L and N together to PE", AC_INSULATION, "IEC 60364-6 Table 6.1")


def _ac_polarity(study: Study) -> Iterator[Measurement]:
    for id, part in study.system.components.items():
        if isinstance(part, Receptacle) and _is_ac(study, part):
            device = next((f for f in study.circuits if id in study.circuits[f].serves and _last(study, f, id)), None)
            hot = (
                f"the live contact leads to {device}, the neutral contact to the neutral bar" if device else "as drawn"
            )
            yield Measurement(f"{id}: each contact back to its panel", f"{hot}; live to neutral open", "BS 7671 643.6")
    for id, part in study.system.components.items():
        if isinstance(part, AcPanel):
            fixed = part.neutral_bond == "fixed"
            expected = "joined, by the one bond there" if fixed else "open with every source unplugged and off"
            yield Measurement(f"{id}: neutral bar to earth bar", expected, "NEC 250.24(A), 551.54, from memory")
    for id, part in study.system.components.items():
        if isinstance(part, EarthElectrode) and part.type != "foundation":
            yield Measurement(
                f"{id}: resistance to the ground, by an earth tester", f"at most {ROD_OHM:g} Ω, or a second rod",
                ELECTRODE_SOURCE,
            )  # fmt: skip


def _last(study: Study, device: str, load: str) -> bool:
    """Whether a device is the last one before a load: it feeds the fewest."""
    counts = [len(c.serves) for c in study.circuits.values() if load in c.serves]
    return len(study.circuits[device].serves) == min(counts) and not is_fuse(study.system.components[device])
