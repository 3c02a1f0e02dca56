"""Runs every rule of a profile over a study and gathers what they say, worst first."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from math import inf

from msgspec import Struct, field
from msgspec.structs import replace

from rigline.checks.check import Check, Hit, Missing
from rigline.checks.folding import fold
from rigline.checks.registry import all_checks
from rigline.checks.waivers import matches
from rigline.findings import Family, Finding, NotAssessed, Severity
from rigline.model.system import System
from rigline.study.study import Study
from rigline.units import in_unit, length_unit


class Report(Struct, frozen=True):
    """Everything the rules said about one system."""

    system: System
    findings: tuple[Finding, ...]
    """Worst first, and of one severity those on the wiring itself first; what the author waived comes last."""
    not_assessed: tuple[NotAssessed, ...]
    rules_run: int
    families: Mapping[Family, int] = field(default_factory=dict)
    """Number of rules run, by family."""

    def count(self, severity: Severity) -> int:
        """Number of findings of a severity that are not waived."""
        return sum(finding.severity == severity and finding.waived is None for finding in self.findings)

    def fails(self, worst_allowed: Severity) -> bool:
        """Whether a finding is at or above a severity and not waived."""
        return any(f.waived is None and f.severity.rank <= worst_allowed.rank for f in self.findings)


def run_checks(study: Study, only: Iterable[Check] | None = None, careful: bool = False) -> Report:
    """Judge a study by every rule of its profile: first whether the wiring makes sense, then all the rest.

    Args:
        study: The system with its numbers.
        only: These rules instead of all.
        careful: A rule that fails by a fault of ours is told as not assessed, so that its user still sees all others.
    """
    checks = [c for c in (all_checks() if only is None else only) if c.applies_to(study.system.profile_name)]
    findings: list[Finding] = []
    missing: set[NotAssessed] = set()
    for check in sorted(checks, key=lambda check: not check.hygiene):
        for said in _said(check, study, careful):
            if isinstance(said, Missing):
                missing.add(NotAssessed(check.slug, said.at, said.missing))
            else:
                findings.append(_finding(check, said, study))
    for check in checks:
        if check.review is not None:
            findings += [_finding(check, hit, study) for hit in check.review(study.system, tuple(findings))]
    told = fold([_waived(finding, study.system) for finding in _once(findings)])
    hygiene = frozenset(check.slug for check in checks if check.hygiene)
    return Report(
        study.system,
        tuple(sorted(told, key=lambda finding: _order(finding, hygiene))),
        tuple(sorted(missing)),
        len(checks),
        Counter(check.family for check in checks),
    )


def _said(check: Check, study: Study, careful: bool) -> list[Hit | Missing]:
    try:
        return list(check.find(study))
    except Exception as error:
        if not careful:
            raise
        return [Missing((), f"this rule failed by a fault of Rigline itself ({type(error).__name__}: {error})")]


def _once(findings: Iterable[Finding]) -> list[Finding]:
    return list(dict.fromkeys(findings))


def _order(finding: Finding, hygiene: frozenset[str]) -> tuple[bool, int, bool, int, int, str]:
    waived, mild = finding.waived is not None, finding.rule not in hygiene
    return waived, finding.severity.rank, mild, finding.line, finding.column, finding.rule


def _finding(check: Check, hit: Hit, study: Study) -> Finding:
    system = study.system
    chief = hit.at[0] if hit.at else (hit.runs[0] if hit.runs else "")
    mark = system.mark(f"{chief}.{hit.field}" if hit.field else chief)
    words = {
        "at": _name(chief, system),
        "id": chief,
        "all": ", ".join(_name(id, system) for id in hit.at),
        "runs": ", ".join(hit.runs),
        "segment": hit.segment or "",
        **_figures(hit),
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


def _figures(hit: Hit) -> dict[str, str]:
    """What was found, what is allowed, and their unit, as they are printed."""
    values = {"found": hit.found, "limit": hit.limit}
    if hit.unit != "m":
        return {name: _number(value) for name, value in values.items()} | {"unit": hit.unit}
    unit = length_unit(inf, *(value for value in values.values() if value is not None))
    lengths = {name: None if value is None else in_unit(value, "m", unit) for name, value in values.items()}
    return {name: _number(value) for name, value in lengths.items()} | {"unit": unit}


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
        if matches(waiver, finding):
            return replace(finding, waived=waiver.reason)
    return finding
