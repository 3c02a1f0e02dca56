"""Where the numbers of a wire or component come from: formula, figures and source, as one would write it on paper."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from rigline.model.describe import amount
from rigline.model.system import Segment
from rigline.standards.ampacity import Ampacity, Step
from rigline.study.segment_drop import RUNNING
from rigline.study.study import ConductorStudy, SegmentStudy, Study
from rigline.units import format_amount

WIDTH = 80


def derivation(study: Study, word: str) -> str | None:
    """The derivation for a segment, a run (all its segments) or a component; None if there is no such id."""
    segments = [one for one in study.segments if word in (one.segment.id, one.segment.run)]
    if segments:
        return "\n\n".join("\n".join(_segment(study, one)) for one in segments) + "\n"
    if word in study.system.components:
        return "\n".join(_component(study, word)) + "\n"
    return None


def _wrapped(label: str, text: str) -> str:
    return textwrap.fill(text, WIDTH, initial_indent=f"  {label:11}", subsequent_indent=" " * 13)


def _segment(study: Study, one: SegmentStudy) -> Iterator[str]:
    segment = one.segment
    size = f"{one.size}{', chosen' if one.sized else ''}" if one.size else "size not known"
    length = f"{amount(segment.length_m, 'm')} one way" if segment.length_m is not None else "length not known"
    yield f"{segment.id} from {segment.start.component} to {segment.end.component}, {segment.carries}: {size}, {length}"
    yield from _choices(study, segment.run)
    hot = [study.conductors[c.id] for c in segment.conductors if c.id in study.conductors]
    if not hot:
        yield _wrapped("", "It carries no current in normal use; its size follows the circuit that it protects.")
        return
    yield from _currents(study, segment, hot[0])
    yield from _ampacity(hot[0])
    yield from _protection(study, one, hot[0])
    yield from _drop(study, one)
    if one.fault_current_a is not None:
        yield _wrapped("Short", f"{format_amount(one.fault_current_a, 'a')} at its better fed end, with cold copper: "
                       "voltage over the resistance of battery and cables, out and back.")  # fmt: skip


def _choices(study: Study, subject: str) -> Iterator[str]:
    for choice in study.sizes.choices:
        if choice.subject == subject:
            collision = f" Collision: {choice.collision}." if choice.collision else ""
            yield _wrapped("Chosen", f"{choice.value or 'nothing'}: {choice.reason}.{collision}")


def _currents(study: Study, segment: Segment, hot: ConductorStudy) -> Iterator[str]:
    for case in study.cases:
        amps = max((abs(case.amps.get(c.id, 0.0)) for c in segment.conductors), default=0.0)
        if amps > 1e-6:
            yield _wrapped("Current", f"{amps:.3g} A: {case.name}")
    yield _wrapped(
        "Design", f"{hot.needed_a:.3g} A: the worst of these with 125 % of what lasts three hours or charges."
    )


def _ampacity(hot: ConductorStudy) -> Iterator[str]:
    found = hot.ampacity
    if not isinstance(found, Ampacity):
        yield _wrapped("Ampacity", f"not known: {found.reason if found else 'the size is not known'}")
        return
    yield _wrapped("Ampacity", f"{found.base_a:g} A for {hot.size} by {found.table}")
    for step in found.steps:
        yield _wrapped("", _step(step))
    yield _wrapped("", f"= {found.value_a:.4g} A ({found.sure})")


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


def _protection(study: Study, one: SegmentStudy, hot: ConductorStudy) -> Iterator[str]:
    if hot.limits is not None and hot.limits.allowance is not None:
        allowed = hot.limits.allowance
        sure = "" if allowed.sure == "verified" else f" ({allowed.sure})"
        yield _wrapped("Fuse", f"at most {allowed.value_a:.4g} A: {allowed.rule}. {allowed.source}{sure}")
    ahead = ", ".join(f"{id} ({study.rating_a(id) or '?'} A)" for id in one.protected_by)
    yield _wrapped("Protected", f"by {ahead}" if ahead else "by no device")
    if hot.cause is not None and hot.cause.exception:
        yield _wrapped("", f"Exception {hot.cause.exception} holds at {hot.cause.end.node.component}.")


def _drop(study: Study, one: SegmentStudy) -> Iterator[str]:
    segment = one.segment
    if one.drop_v is None or one.drop_frac is None:
        yield _wrapped("Drop", "not known: its length or size is not known")
        return
    running = [case for case in study.cases if case.kind in RUNNING]
    for conductor in segment.conductors:
        amps = max((abs(case.amps.get(conductor.id, 0.0)) for case in running), default=0.0)
        if amps > 1e-6 and conductor.length_m:
            ohm = study.wiring.resistance_ohm(conductor)
            yield _wrapped(
                "Drop" if conductor is segment.conductors[0] else "",
                f"{conductor.id}: {amps:.3g} A × {ohm * 1000:.4g} mΩ ({conductor.length_m:g} m) = {amps * ohm:.3g} V",
            )
    convention = study.profile.drop_k_ohm_cmil_per_ft
    by = f"K = {convention.value:g} Ω·cmil/ft for American sizes; " if convention else ""
    yield _wrapped("", f"= {one.drop_v:.3g} V, {one.drop_frac:.2%} of nominal. {by}metric copper by IEC 60228 at "
                   f"{study.profile.drop_copper_c.value:g} °C.")  # fmt: skip


def _component(study: Study, id: str) -> Iterator[str]:
    component = study.system.components[id]
    yield f"{component.display}, {component.title}"
    yield from _choices(study, id)
    node = study.nodes.get(id)
    if node is not None and node.voltage_v is not None:
        lost = f", {node.drop_frac:.2%} lost on the way" if node.drop_frac is not None else ""
        yield _wrapped("Voltage", f"{node.voltage_v:.2f} V while all loads run{lost}")
    if node is not None and node.fault_current_a is not None:
        yield _wrapped("Short", f"{format_amount(node.fault_current_a, 'a')} prospective short-circuit current")
