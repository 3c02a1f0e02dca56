"""The report and the schedule as JSON, for programs."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Sequence
from typing import Any

from rigline.checks.run import Report
from rigline.errors import Problem
from rigline.findings import Finding, Severity
from rigline.study.nodes import NodeStudy
from rigline.study.study import SegmentStudy, Study


def report_json(report: Report) -> str:
    """The report as one object."""
    return dumped(_report(report))


def reports_json(reports: Iterable[Report | tuple[str, Sequence[Problem]]]) -> str:
    """Many reports as an array; a spec that is wrong stands there with its problems instead of findings."""
    return dumped([_report(one) if isinstance(one, Report) else _wrong(*one) for one in reports])


def _wrong(spec: str, problems: Sequence[Problem]) -> dict[str, Any]:
    return {"spec": spec, "problems": [problem.text() for problem in problems]}


def _report(report: Report) -> dict[str, Any]:
    head = report.system.head
    return {
        "spec": report.system.file,
        "title": head.title,
        "revision": head.revision,
        "profile": head.profile,
        "stage": report.system.stage,
        "findings": [finding_json(finding) for finding in report.findings],
        "not_assessed": [
            {"rule": entry.rule, "at": list(entry.at), "missing": entry.missing} for entry in report.not_assessed
        ],
        "counts": {severity.value: report.count(severity) for severity in Severity},
        "rules_run": report.rules_run,
    }


def schedule_json(study: Study) -> str:
    """Every segment and node with its numbers."""
    return dumped(
        {
            "segments": [segment_numbers(one) for one in study.segments],
            "nodes": [node_numbers(study.nodes[id]) for id in sorted(study.nodes)],
        }
    )


def dumped(value: object) -> str:
    """An object as text, its numbers finite."""
    return json.dumps(value, ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def _number(value: float | None, digits: int = 6) -> float | None:
    """A number that JSON can hold; unlimited currents have none."""
    return None if value is None or math.isinf(value) else float(f"{value:.{digits}g}")


def finding_json(finding: Finding) -> dict[str, Any]:
    """A finding as an object."""
    return {
        "rule": finding.rule,
        "family": finding.family,
        "severity": finding.severity.value,
        "at": list(finding.at),
        "runs": list(finding.runs),
        "segment": finding.segment,
        "mode": finding.mode,
        "file": finding.file,
        "line": finding.line,
        "column": finding.column,
        "found": _number(finding.found),
        "limit": _number(finding.limit),
        "unit": finding.unit,
        "message": finding.message,
        "remedy": finding.remedy,
        "source": finding.source,
        "waived": finding.waived,
        "folded": list(finding.folded),
    }


def segment_numbers(one: SegmentStudy) -> dict[str, Any]:
    """One segment's line of the schedule; None where a number is not known or there is none."""
    segment = one.segment
    return {
        "id": segment.id,
        "run": segment.run,
        "from": segment.start.component,
        "to": segment.end.component,
        "carries": segment.carries,
        "wire": None if one.size is None else str(one.size),
        "sized": one.sized,
        "length_m": _number(segment.length_m),
        "current_a": _number(_clean(one.current_a)),
        "charge_current_a": _number(_clean(one.charge_current_a)),
        "ampacity_a": _number(one.ampacity_a),
        "largest_device_a": _number(one.allowed_a),
        "drop_v": _number(_clean(one.drop_v)),
        "drop_percent": _number(None if one.drop_frac is None else _clean(one.drop_frac * 100)),
        "fault_current_a": _number(one.fault_current_a),
        "protected_by": list(one.protected_by),
        "stud": list(one.stud),
    }


def _clean(value: float | None) -> float | None:
    """Rounding noise of the solver shown as zero."""
    return value if value is None or abs(value) > 1e-6 else 0.0


def node_numbers(node: NodeStudy) -> dict[str, Any]:
    """One component's line of the schedule."""
    return {
        "id": node.id,
        "voltage_v": _number(node.voltage_v),
        "drop_percent_from_source": _number(None if node.drop_frac is None else _clean(node.drop_frac * 100)),
        "fault_current_a": _number(node.fault_current_a),
    }
