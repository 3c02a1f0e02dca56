"""The report of a check as SARIF, so that editors and build services show each finding at its line.

Source: OASIS, Static Analysis Results Interchange Format (SARIF) Version 2.1.0. A `fix` of that format is a change of
text; our remedies are words, so they stand in the message and among the properties instead.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from pathlib import PurePath
from typing import Any
from urllib.parse import quote

from rigline.checks.check import Check
from rigline.checks.registry import all_checks, why_of
from rigline.checks.run import Report
from rigline.errors import Problem
from rigline.findings import Finding, NotAssessed, Severity
from rigline.model.system import System
from rigline.version import VERSION

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/os/schemas/sarif-schema-2.1.0.json"
LEVELS = {Severity.DANGER: "error", Severity.FAULT: "error", Severity.QUESTION: "warning", Severity.ADVICE: "note"}
"""Our severity -> SARIF 3.27.10 level."""
RANKS = {Severity.DANGER: 100.0, Severity.FAULT: 70.0, Severity.QUESTION: 40.0, Severity.ADVICE: 10.0}
"""Our severity -> SARIF 3.27.25 rank, 0 to 100. Our own choice: it keeps danger above fault."""


def reports_sarif(reports: Sequence[Report], problems: Sequence[Problem] = ()) -> str:
    """All reports as one run; what was wrong with other specs stands among the notifications of the tool."""
    rules = {check.slug: index for index, check in enumerate(all_checks())}
    results = [result for report in reports for result in _results(report, rules)]
    run = {
        "tool": {"driver": {
            "name": "Rigline",
            "version": VERSION,
            "rules": [_rule(check) for check in all_checks()],
        }},
        "columnKind": "unicodeCodePoints",
        "invocations": [{
            "executionSuccessful": not problems,
            "toolExecutionNotifications": [_notification(problem) for problem in problems],
        }],
        "results": results,
    }  # fmt: skip
    log = {"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}
    return json.dumps(log, ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def _rule(check: Check) -> dict[str, Any]:
    why = " ".join(why_of(check).split())
    sources = "; ".join(f"{source.text} ({source.sure})" for source in check.sources)
    lines = [("Limit", check.limit), ("Exceptions", check.exceptions), ("Source", sources)]
    return {
        "id": check.slug,
        "shortDescription": {"text": check.title},
        "fullDescription": {"text": why},
        "help": {
            "text": "\n".join([why, *(f"{label}: {text}" for label, text in lines)]),
            "markdown": "\n\n".join([why, *(f"**{label}:** {text}" for label, text in lines)]),
        },
        "defaultConfiguration": {"level": LEVELS[check.severity], "rank": RANKS[check.severity]},
        "properties": {
            "tags": [check.family],
            "severity": check.severity.value,
            "profiles": list(check.profiles) or ["all"],
        },
    }


def _results(report: Report, rules: dict[str, int]) -> Iterator[dict[str, Any]]:
    for finding in report.findings:
        yield _result(finding, report.system, rules)
    for entry in report.not_assessed:
        yield _open(entry, report.system, rules)


def _result(finding: Finding, system: System, rules: dict[str, int]) -> dict[str, Any]:
    message = " ".join(
        text for text in (finding.message, finding.mode and f"When: {finding.mode}.", finding.remedy) if text
    )
    found: dict[str, Any] = {
        "ruleId": finding.rule,
        "ruleIndex": rules[finding.rule],
        "level": LEVELS[finding.severity],
        "rank": RANKS[finding.severity],
        "message": {"text": message},
        "locations": [_location(system, finding.line, finding.column, (*finding.at, *finding.runs))],
        "partialFingerprints": {"place/v1": f"{finding.rule} {' '.join((*finding.at, *finding.runs))}"},
        "properties": {
            "severity": finding.severity.value,
            "remedy": finding.remedy,
            "source": finding.source,
            "folded": list(finding.folded),
        },
    }
    if finding.waived is not None:
        found["suppressions"] = [{"kind": "inSource", "justification": finding.waived}]
    return found


def _open(entry: NotAssessed, system: System, rules: dict[str, int]) -> dict[str, Any]:
    """A rule that lacks a fact: SARIF 3.27.9 kind `open`, which is no pass."""
    mark = system.mark(entry.at[0] if entry.at else "")
    return {
        "ruleId": entry.rule,
        "ruleIndex": rules[entry.rule],
        "kind": "open",
        "level": "none",
        "message": {"text": f"Not assessed: {entry.missing}"},
        "locations": [_location(system, mark.line, mark.column, entry.at)],
    }


def _location(system: System, line: int, column: int, places: Iterable[str]) -> dict[str, Any]:
    return {
        "physicalLocation": _physical(system.file, line, column),
        "logicalLocations": [
            {"name": place, "kind": "component" if place in system.components else "run"}
            for place in dict.fromkeys(places)
        ],
    }


def _physical(file: str, line: int, column: int) -> dict[str, Any]:
    path = PurePath(file)
    uri = path.as_uri() if path.is_absolute() else quote(path.as_posix())
    region = {"startLine": max(line, 1)} | ({"startColumn": column} if column > 0 else {})
    return {"artifactLocation": {"uri": uri}, "region": region}


def _notification(problem: Problem) -> dict[str, Any]:
    return {
        "level": "error",
        "message": {"text": problem.text()},
        "locations": [{"physicalLocation": _physical(problem.file, problem.line, problem.column)}],
    }
