"""Runs every rule of a profile over a study and gathers what they say, worst first."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from rigline.checks.check import Check, Hit, Missing
from rigline.checks.registry import all_checks
from rigline.findings import Finding, NotAssessed, Severity
from rigline.model.system import System
from rigline.study.study import Study


@dataclass(frozen=True)
class Report:
    """Everything the rules said about one system."""

    system: System
    findings: tuple[Finding, ...]
    """Worst first; what the author waived comes last and says so."""
    not_assessed: tuple[NotAssessed, ...]
    rules_run: int

    def count(self, severity: Severity) -> int:
        """Number of findings of a severity that are not waived."""
        return sum(finding.severity == severity and finding.waived is None for finding in self.findings)

    def fails(self, worst_allowed: Severity) -> bool:
        """Whether a finding is at or above a severity and not waived."""
        return any(f.waived is None and f.severity.rank <= worst_allowed.rank for f in self.findings)


def run_checks(study: Study, only: Iterable[Check] | None = None) -> Report:
    """Judge a study by every rule of its profile."""
    checks = [c for c in (all_checks() if only is None else only) if c.applies_to(study.system.profile_name)]
    findings: list[Finding] = []
    missing: set[NotAssessed] = set()
    for check in checks:
        for said in check.find(study):
            if isinstance(said, Missing):
                missing.add(NotAssessed(check.slug, said.at, said.missing))
            else:
                findings.append(_finding(check, said, study))
    waived = [_waived(finding, study.system) for finding in _once(findings)]
    return Report(study.system, tuple(sorted(waived, key=_order)), tuple(sorted(missing)), len(checks))


def _once(findings: Iterable[Finding]) -> list[Finding]:
    return list(dict.fromkeys(findings))


def _order(finding: Finding) -> tuple[bool, int, int, int, str]:
    return finding.waived is not None, finding.severity.rank, finding.line, finding.column, finding.rule


def _finding(check: Check, hit: Hit, study: Study) -> Finding:
    system = study.system
    chief = hit.at[0] if hit.at else (hit.runs[0] if hit.runs else "")
    mark = system.mark(f"{chief}.{hit.field}" if hit.field else chief)
    words = {
        "at": _name(chief, system),
        "all": ", ".join(_name(id, system) for id in hit.at),
        "runs": ", ".join(hit.runs),
        "segment": hit.segment or "",
        "found": _number(hit.found),
        "limit": _number(hit.limit),
        "unit": hit.unit,
        **hit.words,
    }
    return Finding(
        rule=check.slug,
        family=check.family,
        severity=hit.severity or check.severity,
        at=hit.at,
        runs=hit.runs,
        segment=hit.segment,
        found=hit.found,
        limit=hit.limit,
        unit=hit.unit,
        message=check.message.format_map(words),
        remedy=check.remedy.format_map(words),
        source=check.source,
        file=system.file,
        line=mark.line,
        column=mark.column,
        mode=hit.mode,
    )


def _name(id: str, system: System) -> str:
    component = system.components.get(id)
    return component.display if component else id


def _number(value: float | None) -> str:
    if value is None:
        return "?"
    if value == float("inf"):
        return "any current"
    return f"{value:.0f}" if abs(value) >= 1000 else f"{value:.4g}"


def _waived(finding: Finding, system: System) -> Finding:
    for waiver in system.waivers:
        if waiver.rule == finding.rule and waiver.at in (*finding.at, *finding.runs, finding.segment):
            return replace(finding, waived=waiver.reason)
    return finding
