"""The words on the drawing: what stands beside a symbol, and the tooltips with all numbers."""

from __future__ import annotations

from rigline.kinds import Component
from rigline.kinds.devices import Overcurrent
from rigline.model.describe import UNKNOWN, amount, ratings
from rigline.study.study import SegmentStudy, Study
from rigline.units import format_amount


def station_lines(component: Component, study: Study) -> tuple[str, ...]:
    """Id, name, ratings; one line each."""
    name = (component.name,) if component.name else ()
    return (component.id, *name, *_ratings(component, study))


def device_lines(component: Component, study: Study) -> tuple[str, ...]:
    """The same for a device in line: the id and the rating share a line."""
    first, *rest = [*_ratings(component, study), ""]
    name = (component.name,) if component.name else ()
    return (f"{component.id} {first}".strip(), *(line for line in rest if line), *name)


def _ratings(component: Component, study: Study) -> tuple[str, ...]:
    if not isinstance(component, Overcurrent):
        return ratings(component)
    sized = component.rating_a is None and study.rating_a(component.id) is not None
    return ratings(component, study.rating_a(component.id), sized)


def station_title(component: Component, study: Study) -> str:
    """Everything known of a component in one sentence."""
    words = [component.id, component.name or component.title, *_ratings(component, study)]
    node = study.nodes.get(component.id)
    if node is not None and node.voltage_v is not None:
        words.append(f"{node.voltage_v:.2f} V with all loads on")
    if node is not None and node.fault_current_a is not None:
        words.append(f"short-circuit current {format_amount(node.fault_current_a, 'a')}")
    return ", ".join(word for word in words if word)


def segment_title(one: SegmentStudy) -> str:
    """Everything known of a segment in one sentence."""
    segment = one.segment
    words = [f"{segment.id} from {segment.start.component} to {segment.end.component}", str(one.size or UNKNOWN)]
    words += [f"{amount(segment.length_m, 'm')} one way"] if segment.length_m is not None else []
    for label, value, suffix in (
        ("carries up to", one.current_a, "a"),
        ("charging", one.charge_current_a, "a"),
        ("ampacity", one.ampacity_a, "a"),
        ("loses", one.drop_v, "v"),
    ):
        words += [f"{label} {format_amount(value, suffix)}"] if value else []
    words += [f"protected by {', '.join(one.protected_by)}"] if one.protected_by else []
    return ", ".join(words)
