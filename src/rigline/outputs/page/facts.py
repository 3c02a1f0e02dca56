"""What a page knows of each wire and component: the same numbers as the schedule, in words and exactly."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from msgspec import Struct
from msgspec.structs import fields

from rigline.checks.run import Report
from rigline.findings import Finding
from rigline.kinds import Component
from rigline.layout.text import printable
from rigline.model.describe import amount, ratings
from rigline.model.system import System
from rigline.outputs.derivation import derivations
from rigline.outputs.json_report import node_numbers, segment_numbers
from rigline.spec.fields import keys_of
from rigline.study.study import SegmentStudy, Study
from rigline.units import format_amount

Row = dict[str, Any]
"""label and text for people; key and value as the schedule's JSON has them, where it does."""

CARRIES = {
    "pair": "positive and negative",
    "cores": "AC",
    "positive": "positive only",
    "negative": "negative only",
    "link": "link between batteries",
    "bond": "bond",
    "earth": "equipment earth",
    "neutral-bond": "bond of neutral and earth",
    "sense": "sense lead",
    "data": "data",
}
"""What a run carries, in words."""
NOT_KNOWN = "not known"
MOST_LINES = 12
"""More than one component needs in a spec."""


def page_facts(study: Study, report: Report) -> dict[str, Any]:
    """Everything that a tap on the drawing can show."""
    pages = [_wire(one, study, report) for one in study.segments]
    pages += [_component(component, study, report) for component in study.system.components.values()]
    runs = {run.id: [segment.id for segment in run.segments] for run in study.system.runs}
    facts: dict[str, Any] = _printable({"items": pages, "runs": runs})
    return facts


def _printable(value: Any) -> Any:
    """The same with every text as one line of visible characters."""
    if isinstance(value, str):
        return printable(value)
    if isinstance(value, dict):
        return {key: _printable(one) for key, one in value.items()}
    return [_printable(one) for one in value] if isinstance(value, list | tuple) else value


def numbers_of(report: Report, study: Study, id: str) -> list[int]:
    """Numbers of the findings on a component or segment."""
    segment = study.system.segments_by_id.get(id)
    return [
        number
        for number, finding in enumerate(report.findings, 1)
        if (_is_on(finding, id, segment.run) if segment else id in finding.at)
    ]


def _is_on(finding: Finding, segment: str, run: str) -> bool:
    if finding.segment is not None:
        return finding.segment == segment
    return run in finding.runs or run in finding.at or segment in finding.at


def _wire(one: SegmentStudy, study: Study, report: Report) -> Row:
    segment = one.segment
    mark = study.system.run(segment.run).mark
    return {
        "id": segment.id,
        "sort": "wire",
        "title": f"{segment.start.component} to {segment.end.component}",
        "kind": CARRIES.get(segment.carries, segment.carries),
        "rows": list(_wire_rows(one, study)),
        "joins": [segment.start.component, segment.end.component],
        **_common(study, report, segment.id, mark.line),
    }


def _common(study: Study, report: Report, id: str, line: int) -> Row:
    steps = [[step.label, step.text] for part in derivations(study, id) for step in part.steps]
    return {
        "findings": numbers_of(report, study, id),
        "steps": steps,
        "line": line,
        "source": quoted(study.system, line),
    }


def quoted(system: System, line: int) -> list[str]:
    """A line of the spec with those below it that belong to it, being indented further."""
    first = system.line(line)
    lines = [first.strip()]
    while len(lines) < MOST_LINES and _indent(below := system.line(line + len(lines))) > _indent(first):
        lines.append(below.strip())
    return lines


def _indent(line: str) -> int:
    """Depth of a line; a blank one has none."""
    return len(line) - len(line.lstrip()) if line.strip() else -1


def _wire_rows(one: SegmentStudy, study: Study) -> Iterator[Row]:
    numbers = segment_numbers(one)
    segment = one.segment
    chosen = " (chosen by Rigline)" if one.sized else ""
    count = len(segment.conductors) * study.system.run(segment.run).spec.conductors
    size = NOT_KNOWN if one.size is None else f"{one.size}{chosen}"
    yield {"label": "Size", "text": size, "key": "wire", "value": numbers["wire"]}
    yield {"label": "Conductors", "text": str(count)}
    yield _row("Length, one way", amount(segment.length_m, "m"), "length_m", numbers)
    if not any(conductor.id in study.conductors for conductor in segment.conductors):
        return
    for label, key, value in (
        ("Current", "current_a", one.current_a),
        ("Charging current", "charge_current_a", one.charge_current_a),
        ("Ampacity", "ampacity_a", one.ampacity_a),
        ("Largest fuse or breaker", "largest_device_a", one.allowed_a),
        ("Short-circuit current", "fault_current_a", one.fault_current_a),
    ):
        yield _row(label, _shown(value, numbers[key], "a"), key, numbers)
    by = ", ".join(one.protected_by) or "no device"
    yield {"label": "Protected by", "text": by, "key": "protected_by", "value": by}
    yield _row("Voltage drop", _shown(one.drop_v, numbers["drop_v"], "v"), "drop_v", numbers)
    percent = numbers["drop_percent"]
    yield _row("Voltage drop, of nominal", "" if percent is None else f"{percent:.1f} %", "drop_percent", numbers)
    if one.stud:
        yield {"label": "Studs", "text": ", ".join(one.stud)}


def _row(label: str, text: str, key: str, numbers: Row) -> Row:
    return {"label": label, "text": text or NOT_KNOWN, "key": key, "value": numbers[key]}


def _shown(value: float | None, number: float | None, suffix: str) -> str:
    """An amount for people; the schedule's number stands in where the solver left rounding noise."""
    if value is None:
        return ""
    return format_amount(value if number is None else number, suffix)


def _component(component: Component, study: Study, report: Report) -> Row:
    id = component.id
    mark = study.system.mark(id)
    wires = [one.id for run in study.system.runs_at.get(id, ()) for one in run.segments
             if id in (one.start.component, one.end.component)]  # fmt: skip
    return {
        "id": id,
        "sort": "component",
        "title": component.name or component.title,
        "kind": component.title,
        "rows": list(_component_rows(component, study)),
        "given": [[key, text] for key, text in _given(component)],
        "joins": wires,
        **_common(study, report, id, mark.line),
    }


def _component_rows(component: Component, study: Study) -> Iterator[Row]:
    chosen = getattr(component, "rating_a", None) is None and study.rating_a(component.id) is not None
    lines = ratings(component, study.rating_a(component.id), chosen)
    if lines:
        yield {"label": "Ratings", "text": ", ".join(lines)}
    if component.place:
        yield {"label": "Place", "text": component.place}
    if (node := study.nodes.get(component.id)) is None:
        return
    numbers = node_numbers(node)
    if node.voltage_v is not None:
        yield _row("Voltage, all loads on", f"{node.voltage_v:.2f} V", "voltage_v", numbers)
    if numbers["drop_percent_from_source"] is not None:
        percent = numbers["drop_percent_from_source"]
        yield _row("Lost on the way", f"{percent:.1f} %", "drop_percent_from_source", numbers)
    if node.fault_current_a is not None:
        shown = format_amount(node.fault_current_a, "a")
        yield _row("Short-circuit current", shown, "fault_current_a", numbers)


_SHOWN_ELSEWHERE = frozenset({"id", "name", "place", "unknown"})


def _given(component: Component) -> Iterator[tuple[str, str]]:
    """Every key that the spec gives for a component, with its value as written."""
    for key, field, text in _told(component):
        if field not in _SHOWN_ELSEWHERE:
            yield key, text
    for key in sorted(component.unknown):
        yield key, NOT_KNOWN


def _told(record: Struct) -> Iterator[tuple[str, str, str]]:
    """Key, field and text of everything in a record that is not as it would be if its author had left it out."""
    declaration: type[Struct] = type(record)
    left_out = {field.name: field.default for field in fields(declaration)}
    for key, forms in keys_of(declaration).items():
        for form in forms:
            value = getattr(record, form.field)
            if value != left_out[form.field] and (text := _written(value, form.suffix)):
                yield key, form.field, text


def _written(value: object, suffix: str) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float) and suffix:
        return amount(value, suffix)
    if isinstance(value, tuple):
        return ", ".join(_written(one, suffix) for one in value)
    if isinstance(value, Struct):
        return ", ".join(f"{key} {text}" for key, _, text in _told(value)) or "yes"
    return str(value)
