"""The report of a check as Markdown, for build notes."""

from __future__ import annotations

import re
from collections.abc import Iterator

from rigline.checks.run import Report
from rigline.findings import Finding, Severity
from rigline.outputs.cautions import CAUTIONS
from rigline.outputs.text import also, checked, grouped, places_of, summary
from rigline.outputs.unseen import unseen


def report_markdown(report: Report) -> str:
    """The whole report as one section with tables and lists."""
    return "\n".join(_lines(report)).rstrip() + "\n"


def escaped(text: str) -> str:
    """A text in which nothing is taken for Markdown or HTML."""
    return re.sub(r"([\\`*_{}\[\]<>#|~&])", r"\\\1", text).replace("\n", " ")


def _lines(report: Report) -> Iterator[str]:
    head = report.system.head
    yield f"# Check of {escaped(head.title or report.system.file)}"
    yield ""
    facts = [f"`{report.system.file.replace('`', '')}`", f"profile {head.profile}"]
    facts += [f"revision {escaped(head.revision)}"] if head.revision else []
    facts += [f"stage {report.system.stage}"] if report.system.stage is not None else []
    yield f"{', '.join(facts)}. {escaped(summary(report))}"
    yield ""
    if report.findings:
        yield from _table(report)
    for number, finding in enumerate(report.findings, 1):
        yield from _finding(number, finding)
    yield from _section("Checked", [f"Rules run, by family: {checked(report) or 'none'}."])
    missing = grouped(report.not_assessed)
    yield from _section("Not assessed", [
        f"`{rule}`{escaped(' at ' + ', '.join(places)) if places else ''}: {escaped(fact)}"
        for rule, fact, places in missing
    ])  # fmt: skip
    points = unseen(report.system.profile_name)
    yield from _section("No drawing shows", [f"{point.what} ({point.source})" for point in points])
    yield from _section("Cautions", list(CAUTIONS))


def _table(report: Report) -> Iterator[str]:
    yield "| No. | Severity | At | Fault |"
    yield "| ---: | --- | --- | --- |"
    for number, finding in enumerate(report.findings, 1):
        waived = " (waived)" if finding.waived is not None else ""
        yield (
            f"| {number} | {finding.severity}{waived} | {escaped(places_of(finding))} | {escaped(finding.message)} |"
        )
    yield ""


def _finding(number: int, finding: Finding) -> Iterator[str]:
    yield f"## {number}. {_titled(finding.severity)}: {escaped(places_of(finding))}"
    yield ""
    yield escaped(finding.message)
    yield ""
    if finding.mode:
        yield f"- When: {escaped(finding.mode)}"
    yield f"- Do: {escaped(finding.remedy)}"
    if finding.folded:
        yield f"- Also: {escaped(also(finding))}"
    yield f"- Rule: `{finding.rule}`, {escaped(finding.source)}"
    if finding.waived is not None:
        yield f"- Waived: {escaped(finding.waived)}"
    yield f"- Line {finding.line} of the spec"
    yield ""


def _titled(severity: Severity) -> str:
    return severity.value.capitalize()


def _section(title: str, points: list[str]) -> Iterator[str]:
    if points:
        yield f"## {title}"
        yield ""
        yield from (f"- {point}" for point in points)
        yield ""
