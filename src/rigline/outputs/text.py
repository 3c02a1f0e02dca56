"""The report of a check as plain text that a beginner understands, for a terminal of 80 columns."""

from __future__ import annotations

import textwrap
from collections import defaultdict

from rigline.checks.run import Report
from rigline.findings import Finding, NotAssessed, Severity
from rigline.outputs.cautions import CAUTIONS

WIDTH = 80
"""Columns of the narrowest usual terminal."""
MOST_PLACES = 12
"""Places that are named for one rule that could not be judged; the JSON report has all."""


def report_text(report: Report) -> str:
    """The whole report: what was found, what could not be judged, a count, and the cautions."""
    blocks = [_head(report)]
    blocks += [_finding(number, finding) for number, finding in enumerate(report.findings, 1)]
    if report.not_assessed:
        blocks.append(_not_assessed(report.not_assessed))
    blocks.append(_summary(report))
    blocks.append("\n".join(_wrapped(caution, "Caution: ", "  ") for caution in CAUTIONS))
    return "\n\n".join(blocks) + "\n"


def _head(report: Report) -> str:
    head = report.system.head
    parts = [head.title or "untitled", f"revision {head.revision}" if head.revision else "", f"profile {head.profile}"]
    if report.system.stage is not None:
        parts.append(f"stage {report.system.stage}")
    return _wrapped(", ".join(part for part in parts if part), f"{report.system.file}: ", "  ")


def _finding(number: int, finding: Finding) -> str:
    places = ", ".join([*finding.at, *finding.runs])
    title = f"{number}  {finding.severity.upper()}  {places}  ({finding.file}:{finding.line})"
    lines = [title, _wrapped(finding.message)]
    if finding.mode:
        lines.append(_wrapped(finding.mode, "When: "))
    lines.append(_wrapped(finding.remedy, "Do: "))
    lines.append(_wrapped(f"{finding.source} [{finding.rule}]", "Rule: "))
    if finding.waived is not None:
        lines.append(_wrapped(finding.waived, "Waived: "))
    return "\n".join(lines)


def _not_assessed(entries: tuple[NotAssessed, ...]) -> str:
    grouped: dict[tuple[str, str], list[str]] = defaultdict(list)
    for entry in entries:
        grouped[entry.missing, entry.rule].extend(entry.at)
    lines = ["NOT ASSESSED: these rules could not be judged because a fact is missing"]
    for (missing, rule), places in sorted(grouped.items(), key=lambda item: item[0][1]):
        unique = list(dict.fromkeys(places))
        more = f" and {len(unique) - MOST_PLACES} more" if len(unique) > MOST_PLACES else ""
        lines.append(_wrapped(f"{', '.join(unique[:MOST_PLACES])}{more}: {missing}", f"{rule}: ", "      "))
    return "\n".join(lines)


def _summary(report: Report) -> str:
    counts = [_counted(report.count(severity), severity) for severity in Severity]
    waived = sum(finding.waived is not None for finding in report.findings)
    words = ", ".join(counts) + (f", {waived} waived" if waived else "")
    missing = len(report.not_assessed)
    unclear = f" {missing} judgements were not possible." if missing else ""
    return _wrapped(f"{words}. {report.rules_run} rules were run.{unclear}")


def _counted(count: int, severity: Severity) -> str:
    plural = {Severity.DANGER: "dangers", Severity.FAULT: "faults", Severity.QUESTION: "questions"}
    return f"{count} {severity if count == 1 else plural.get(severity, severity)}"


def _wrapped(text: str, label: str = "", indent: str = "    ") -> str:
    first = label if label and not indent.strip() and indent == "  " else "   " + label if label else "   "
    return textwrap.fill(
        text, WIDTH, initial_indent=first, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False
    )
