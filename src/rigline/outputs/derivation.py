"""Where the numbers of a wire or component come from: formula, figures and source, as one would write it on paper."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from rigline.kinds.converters import ChargeController
from rigline.kinds.sources import PvArray
from rigline.model.describe import amount
from rigline.outputs.derivation_currents import currents, design, terminals_words
from rigline.outputs.derivation_earth import earth_lines
from rigline.outputs.derivation_faults import clears, component_shorts, duty_lines, shorts
from rigline.outputs.derivation_text import Line, amps_text
from rigline.standards.ampacity import Ampacity, Step
from rigline.study.segment_drop import RUNNING
from rigline.study.solar import COLD_RESERVE_PER_K, STANDARD_C, string_on
from rigline.study.study import ConductorStudy, SegmentStudy, Study
from rigline.unit_system import shown_system
from rigline.units import format_amount, in_unit

EXCEPTIONS = {
    "E1": "a cranking cable that serves nothing else needs none (ABYC E-11, exception for cranking motors)",
    "E3": "it is short enough to reach the first device without one of its own, by the distance rule",
    "E5": "a maker's own lead of less than 7 in (178 mm) needs none (ABYC E-11)",
    "E6": "it lies inside a panel or fuse block, up to the circuit's own device",
}
"""Why a conductor may do without a device at one end, by the mark that the study puts on it."""


class Derivation(NamedTuple):
    """How one segment or component comes to its numbers."""

    heading: str
    steps: tuple[Line, ...]

    @property
    def set(self) -> str:
        """As lines of text."""
        return "\n".join([self.heading, *(step.set for step in self.steps)])


def derivation(study: Study, word: str) -> str | None:
    """The derivation for a segment, a run (all its segments) or a component; None if there is no such id."""
    parts = derivations(study, word)
    return "\n\n".join(part.set for part in parts) + "\n" if parts else None


def derivations(study: Study, word: str) -> tuple[Derivation, ...]:
    """The same in steps, for pages that break their lines themselves."""
    segments = [one for one in study.segments if word in (one.segment.id, one.segment.run)]
    if not segments and word in study.system.components:
        component = study.system.components[word]
        return (Derivation(f"{component.display}, {component.title}", tuple(_component(study, word))),)
    return tuple(Derivation(_heading(one), tuple(_segment(study, one))) for one in segments)


def _heading(one: SegmentStudy) -> str:
    segment = one.segment
    size = f"{one.size}{', chosen' if one.sized else ''}" if one.size else "size not known"
    carries = " ".join("L" if c.pole == "L1" and not _is_split(one) else c.pole for c in segment.conductors)
    what = segment.carries if segment.carries in ("bond", "earth", "neutral-bond", "sense", "data") else carries
    return f"{segment.id} from {segment.start.component} to {segment.end.component}, {what}: {size}, {_length(one)}"


def _segment(study: Study, one: SegmentStudy) -> Iterator[Line]:
    segment = one.segment
    yield from _choices(study, segment.run)
    hot = [study.conductors[c.id] for c in segment.conductors if c.id in study.conductors]
    if not hot:
        yield from earth_lines(study, one)
        return
    yield from currents(study, one, hot[0])
    yield from design(study, one, hot[0])
    yield from _ampacity(hot[0])
    yield from _protection(study, one, hot[0])
    yield from _drop(study, one)
    yield from shorts(study, one)
    yield from clears(study, one)


def _is_split(one: SegmentStudy) -> bool:
    return any(c.pole == "L2" for c in one.segment.conductors)


def _length(one: SegmentStudy) -> str:
    if one.segment.length_m is not None:
        return f"{amount(one.segment.length_m, 'm')} one way"
    if one.segment.share_m is not None:
        return f"{format_amount(one.segment.share_m, 'm')} one way (an equal share of its run)"
    return "length not known"


def _choices(study: Study, subject: str) -> Iterator[Line]:
    for choice in study.sizes.choices:
        if choice.subject == subject:
            collision = f" Collision: {choice.collision}." if choice.collision else ""
            yield Line("Chosen", f"{choice.value or 'nothing'}: {choice.reason}.{collision}")


def _ampacity(hot: ConductorStudy) -> Iterator[Line]:
    found = hot.ampacity
    if not isinstance(found, Ampacity):
        yield Line("Ampacity", f"not known: {found.reason if found else 'the size is not known'}")
        return
    yield Line("Ampacity", f"{found.base_a:g} A for {hot.size} by {found.table}")
    for step in found.steps:
        yield Line("", _step(step))
    yield Line("", f"= {found.value_a:.4g} A ({found.sure})")


def _step(step: Step) -> str:
    how = (
        f"× {step.factor:g} "
        if step.factor is not None
        else f"at most {step.cap_a:g} A "
        if step.cap_a is not None
        else ""
    )
    sure = "" if step.sure == "verified" else f" ({step.sure})"
    return f"{how}{step.label}: {step.source}{sure}"


def _protection(study: Study, one: SegmentStudy, hot: ConductorStudy) -> Iterator[Line]:
    if hot.limits is not None and hot.limits.allowance is not None:
        allowed = hot.limits.allowance
        sure = "" if allowed.sure == "verified" else f" ({allowed.sure})"
        yield Line("Fuse", f"at most {allowed.value_a:.4g} A: {allowed.rule}. {allowed.source}{sure}")
    ahead = ", ".join(f"{id} ({_rating(study.rating_a(id))})" for id in one.protected_by)
    yield Line("Protected", f"by {ahead}" if ahead else "by no device")
    if hot.cause is not None and hot.cause.exception:
        why = EXCEPTIONS.get(hot.cause.exception, f"exception {hot.cause.exception}")
        yield Line("", f"No device at {hot.cause.end.node.component}: {why}.")


def _rating(amps: float | None) -> str:
    return "rating not known" if amps is None else f"{amps:g} A"


def _drop(study: Study, one: SegmentStudy) -> Iterator[Line]:
    segment = one.segment
    if one.drop_v is None or one.drop_frac is None:
        yield Line("Drop", "not known: its length, its size or a current on it is not known")
        return
    running = [case for case in study.cases if case.kind in RUNNING]
    label = "Drop"
    for conductor in segment.conductors:
        amps = max((abs(case.amps.get(conductor.id, 0.0)) for case in running), default=0.0)
        if amps > 1e-6 and conductor.length_m:
            ohm = study.wiring.resistance_ohm(conductor)
            factors = f"{amps_text(amps)} × {_ohms(conductor.length_m, ohm)}"
            yield Line(label, f"{conductor.id}: {factors} = {amps * ohm:.3g} V")
            label = ""
    if label:
        yield Line(label, "none: no current of running loads on it")
        return
    base = f" of {one.drop_v / one.drop_frac:.4g} V" if one.drop_frac else ""
    yield Line("", f"= {one.drop_v:.3g} V, {one.drop_frac:.2%}{base} nominal. {_resistance_words(study, one)}")


def _ohms(length_m: float, ohm: float) -> str:
    """A resistance as length times resistance of a metre, or of a foot."""
    unit = _metre()
    length = in_unit(length_m, "m", unit)
    return f"{length:.3g} {unit} × {1000 * ohm / length:.4g} mΩ/{unit}"


def _metre() -> str:
    return "m" if shown_system() == "metric" else "ft"


def _resistance_words(study: Study, one: SegmentStudy) -> str:
    convention, copper = study.profile.drop_k_ohm_cmil_per_ft, study.profile.drop_copper_c
    if convention is not None and one.size is not None and not one.size.is_metric:
        return f"mΩ/{_metre()} from K = {convention.value:g} Ω·cmil/ft ({convention.source})."
    return f"mΩ/{_metre()} by IEC 60228 at {copper.value:g} °C ({copper.source})."


def _component(study: Study, id: str) -> Iterator[Line]:
    component = study.system.components[id]
    yield from _choices(study, id)
    node = study.nodes.get(id)
    if node is not None and node.voltage_v is not None:
        lost = f", {node.drop_frac:.2%} lost on the way" if node.drop_frac is not None else ""
        yield Line("Voltage", f"{node.voltage_v:.2f} V at the least while all loads run{lost}")
    for words in terminals_words(study, id):
        yield Line("Current", words)
    if isinstance(component, PvArray | ChargeController):
        yield from _cold(study, id)
    yield from component_shorts(study, id)
    yield from duty_lines(study, id)


def _cold(study: Study, id: str) -> Iterator[Line]:
    """The cold voltage of every string that a controller or array has to do with."""
    controllers = [key for key, c in sorted(study.system.components.items()) if isinstance(c, ChargeController)]
    strings = [(key, string) for key in controllers for string in string_on(study.graph, key)]
    for controller, string in strings:
        if id not in (controller, *string.arrays):
            continue
        whole = " + ".join(_string_words(study, array) for array in string.arrays)
        if string.cold_v is None or string.reserve_v is None:
            yield Line("Cold", f"not assessed: {' and '.join(string.missing)} not stated")
            continue
        yield Line("Cold", f"{whole} = {string.cold_v:.4g} V on {controller} ({string.basis}; NEC 690.7(A))")
        if string.reserve_v > string.cold_v:
            reserve = f"{COLD_RESERVE_PER_K:.2%} for each kelvin below {STANDARD_C:g} °C"
            yield Line("", f"with {reserve} in reserve {string.reserve_v:.4g} V (single-diode model, CEC modules)")


def _string_words(study: Study, id: str) -> str:
    array, coldest = study.system.components[id], study.system.conditions.coldest_c
    assert isinstance(array, PvArray)
    if array.voc_v is None:
        return f"{id} ?"
    base = f"{array.series} × {array.voc_v:g} V"
    if coldest is None or array.voc_temperature_per_k is None:
        return base
    return f"{base} × (1 + {abs(array.voc_temperature_per_k):.3%}/K × {STANDARD_C - coldest:g} K)"
