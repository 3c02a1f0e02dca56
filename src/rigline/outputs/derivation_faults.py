"""Where fault currents come from, and whether a short opens the device that must."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rigline.model.system import Node
from rigline.outputs.derivation_text import Line, amps_text, ohms_text
from rigline.study.ac_duty import ac_duties
from rigline.study.ac_fault_sources import GREATEST_VOLTAGE_FACTOR, LEAST_VOLTAGE_FACTOR
from rigline.study.ac_faults import AcClearing, AcFaultLevel
from rigline.study.clearing import WARM_COPPER_C
from rigline.study.duty import duties, interrupting_a
from rigline.study.fault_current import COLD_COPPER_C, SHORT_CIRCUIT_PER_AH_A, FaultLevel
from rigline.study.study import SegmentStudy, Study
from rigline.study.trips import opening

SIMPLE = "IEC 60909-0, from memory"


def shorts(study: Study, one: SegmentStudy) -> Iterator[Line]:
    """The greatest fault current at each end of a wire."""
    label, segment = "Short", one.segment
    told: set[str] = set()
    for end in (0, 1):
        nodes = [(c.a, c.b)[end] for c in segment.conductors]
        where = (segment.start, segment.end)[end].component
        for text in _levels(study, where, nodes, told):
            yield Line(label, text)
            label = ""
    if segment.medium == "ac":
        ends = {segment.start.component, segment.end.component}
        for id, keys in sorted(study.ac_faults.missing.items()):
            if ends & {id, *(live for mode in study.modes for live in study.neutrals.live(id, mode))}:
                yield Line(label, f"from {id} not assessed: the spec does not state its {' and '.join(keys)}")
                label = ""
    elif label:
        yield Line(label, "no battery reaches it: what feeds it limits its own current")


def component_shorts(study: Study, id: str) -> Iterator[Line]:
    """The greatest fault currents at a component, DC and AC."""
    label = "Short"
    for text in _levels(study, id, study.graph.nodes_of(id), set()):
        yield Line(label, text)
        label = ""


def _levels(study: Study, where: str, nodes: Sequence[Node], told: set[str]) -> Iterator[str]:
    """The levels at a place; where a source's figure comes from is told once."""
    dc = [level for node in nodes if (level := study.fault_levels.get(node)) is not None]
    ac = [found for node in nodes if (found := study.ac_faults.levels.get(node)) is not None]
    if dc:
        yield _dc_words(where, max(dc, key=lambda level: level.amps_a))
    if ac:
        yield _ac_words(where, max(ac, key=lambda level: level.amps_a), told, greatest=True)


def _dc_words(where: str, level: FaultLevel) -> str:
    ways = [
        f"{way.component} {way.volts_v:.4g} V / ({ohms_text(way.battery_ohm)} battery + {ohms_text(way.cables_ohm)} "
        f"cables) = {amps_text(way.amps_a)}"
        for way in level.ways
    ]
    total = f" = {amps_text(level.amps_a)} together" if len(ways) > 1 else ""
    per_ah = ", ".join(f"{value:g} A/Ah {name}" for name, value in sorted(SHORT_CIRCUIT_PER_AH_A.items()))
    estimated = f" A battery's current is estimated from its capacity ({per_ah}; common practice)." * level.estimated
    return f"at {where}: {' + '.join(ways)}{total}. Cables out and back, copper at {COLD_COPPER_C:g} °C.{estimated}"


def _ac_words(where: str, level: AcFaultLevel, told: set[str], *, greatest: bool) -> str:
    why = f" {level.why}." if level.why and level.why not in told else ""
    told.add(level.why)
    factor = GREATEST_VOLTAGE_FACTOR if greatest else LEAST_VOLTAGE_FACTOR
    to = {"neutral": "to neutral", "leg": "from leg to leg", "earth": "to earth"}[level.to]
    mode = f", {level.mode}" if level.mode else ""
    if level.source_ohm is None:
        amps = factor * level.volts_v / level.wires_ohm if level.wires_ohm else level.amps_a
        wires = f" The wires alone, {ohms_text(level.wires_ohm)}, would let {amps_text(amps)} through."
        given = f"{amps_text(level.amps_a)} at {where} {to}, fed by {level.source}{mode}, which limits it.{why}"
        return given + wires * bool(level.wires_ohm)
    own, wires = ohms_text(level.source_ohm), ohms_text(level.wires_ohm)
    total = f"√(({own})² + ({wires})²)" if greatest else f"({own} + {wires})"
    volts = f"{factor:.2f} × {level.volts_v:g} V / {total}"
    return (
        f"{volts} = {amps_text(level.amps_a)} at {where} {to}, fed by {level.source}{mode}: source and wires out and "
        f"back ({SIMPLE}).{why}"
    )


def clears(study: Study, one: SegmentStudy) -> Iterator[Line]:
    """Whether a short at the far end opens what must open."""
    if one.clearing is not None:
        found = one.clearing
        needed = sum(_opening_a(study, id) for id in found.devices)
        device = study.system.components[found.device]
        why = opening(device, study.rating_a(found.device) or 0.0).why
        who = " and ".join(f"{id} ({study.rating_a(id) or 0:g} A)" for id in found.devices)
        warm = study.limits.circumstances(study.run_of(one.segment.conductors[0])).insulation_c or WARM_COPPER_C
        yield Line(
            "Clears",
            f"A short at {found.node.component} draws at least {amps_text(found.least_fault_a)}: batteries at end of "
            f"discharge over the whole network, copper at {warm:g} °C. {who} open{'s' * (len(found.devices) == 1)} at "
            f"{amps_text(needed)}, {why}: {_verdict(found.least_fault_a >= needed)}.",
        )
    elif one.segment.medium == "dc" and one.fault_current_a is not None:
        yield Line("Clears", "not assessed: no device ahead of it, or its wire, length or return is not known")
    nodes = [node for c in one.segment.conductors for node in (c.a, c.b)]
    told = {level.why for node in nodes if (level := study.ac_faults.levels.get(node)) is not None}
    for ac in one.ac_clearings:
        yield Line("Clears", _ac_clears(ac, told))
    if one.segment.medium == "ac" and not one.ac_clearings and one.fault_current_a is not None:
        yield Line("Clears", "not assessed: no device ahead of it, or a wire or length on the way is not known")


def _opening_a(study: Study, id: str) -> float:
    return opening(study.system.components[id], study.rating_a(id) or 0.0).amps_a


def _verdict(opens: bool) -> str:
    return "it opens" if opens else "it may not open"


def _ac_clears(one: AcClearing, told: set[str]) -> str:
    least = _ac_words(one.node.component, one.least, told, greatest=False)
    needs = f"{one.device} ({one.rating_a:g} A) opens at {amps_text(one.opening.amps_a)}, {one.opening.why}"
    if one.least.to == "earth" and one.residual:
        return f"At least {least} {', '.join(one.residual)} opens by residual current whatever it is."
    verdict = _verdict(one.opens)
    if one.limited and not one.opens:
        verdict += f"; {one.least.source} must switch off by itself"
    return f"At least {least} {needs}: {verdict}."


def duty_lines(study: Study, id: str) -> Iterator[Line]:
    """What an overcurrent device must be able to open, and what it can."""
    for duty in duties(study):
        if duty.device.id == id:
            opens, assumed = interrupting_a(study, duty.device, duty.node)
            sources = ", ".join(f"{name} {amps_text(amps)}" for name, amps in duty.parts)
            yield Line("Opens", _duty(opens, assumed, duty.amps_a, sources))
    for ac in ac_duties(study):
        if ac.device == id:
            yield Line("Opens", _duty(ac.opens_a, ac.assumed, ac.amps_a, f"{ac.source} {ac.table}".strip()))


def _duty(opens_a: float | None, assumed: str, must_a: float, sources: str) -> str:
    can = "not known" if opens_a is None else f"{amps_text(opens_a)}{f' ({assumed})' if assumed else ''}"
    return f"{can}; must open {amps_text(must_a)} from {sources} (NEC 110.9)"
