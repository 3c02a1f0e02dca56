"""The findings of a page as text: what is wrong, what to do, where, and who says so."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import escape
from pathlib import PurePath
from urllib.parse import quote

from rigline.checks.run import Report
from rigline.findings import Finding
from rigline.layout.text import printable
from rigline.model.system import System
from rigline.outputs.page.facts import quoted
from rigline.study.study import Study


def shown(text: str) -> str:
    """A text of a spec as it may stand in HTML, in an attribute too: never markup, and on one line."""
    return escape(printable(text), quote=True)


def with_terms(text: str) -> str:
    """The same, with what stands between backticks set as code."""
    return re.sub(r"`([^`]+)`", r"<code>\1</code>", shown(text))


def findings_html(study: Study, report: Report) -> str:
    """The list of findings, worst first, and what could not be assessed."""
    findings = "\n".join(_finding(number, one, study.system) for number, one in enumerate(report.findings, 1))
    listed = f'<ol class="findings">\n{findings}\n</ol>' if findings else "<p>No rule found anything.</p>"
    return f"<h2>Findings</h2>\n{listed}\n{_not_assessed(report, study.system)}"


def _finding(number: int, finding: Finding, system: System) -> str:
    severity = finding.severity.value
    waived = " waived" if finding.waived is not None else ""
    rows = "".join(f"<div><dt>{label}</dt><dd>{text}</dd></div>" for label, text in _rows(finding, system))
    return (
        f'<li class="finding {severity}{waived}" id="ui:finding-{number}" data-number="{number}" '
        f'data-severity="{severity}">'
        f'<h3><button type="button" aria-expanded="true" aria-controls="ui:more-{number}">{_mark(number, severity)}'
        f"<span><b>{severity.capitalize()}.</b> {with_terms(finding.message)}</span></button></h3>"
        f'<div class="more" id="ui:more-{number}"><p class="remedy">{with_terms(finding.remedy)}</p>'
        f"<dl>{rows}</dl></div></li>"
    )


def _mark(number: int, severity: str) -> str:
    """The flag as it stands on the drawing."""
    return (
        f'<svg class="mark {severity}" viewBox="0 0 20 20" aria-hidden="true"><use href="#ui:{severity}"/>'
        f'<text x="10" y="13.2">{number}</text></svg>'
    )


def _rows(finding: Finding, system: System) -> Iterator[tuple[str, str]]:
    """Label and HTML of each further fact."""
    if finding.waived is not None:
        yield "Waived", shown(finding.waived)
    yield "Place", _places(finding, system)
    if finding.mode:
        yield "When", shown(finding.mode)
    lines = "\n".join(shown(line) for line in quoted(system, finding.line))
    yield "Spec", f"{shown(PurePath(finding.file).name)}, line {finding.line}<pre>{lines}</pre>"
    yield "Source", shown(finding.source)
    slugs = (finding.rule, *finding.folded)
    yield "Rule" if len(slugs) == 1 else "Rules", ", ".join(f"<code>{shown(slug)}</code>" for slug in slugs)


def _places(finding: Finding, system: System) -> str:
    segment = (finding.segment,) if finding.segment is not None else finding.runs
    return ", ".join(_link(id, system) for id in dict.fromkeys((*finding.at, *segment)))


def _link(id: str, system: System) -> str:
    component = system.components.get(id)
    known = component is not None or id in system.runs_by_id or id in system.segments_by_id
    text = shown(component.display if component else id)
    return f'<a href="#/item/{quote(printable(id), safe="")}">{text}</a>' if known else text


def _not_assessed(report: Report, system: System) -> str:
    """A missing fact is never a pass, so it is told as plainly as a finding."""
    if not report.not_assessed:
        return ""
    entries = "".join(
        f"<li>{', '.join(_link(id, system) for id in entry.at) or 'The system'}: {with_terms(entry.missing)} "
        f"<code>{shown(entry.rule)}</code></li>"
        for entry in report.not_assessed
    )
    return (
        '<h2>Not assessed</h2>\n<p class="note">For want of a fact; none of these passed.</p>'
        f'<ul class="missing">{entries}</ul>'
    )
