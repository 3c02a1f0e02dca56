"""Makes the catalogue of rules: a page for each with its passing and failing example drawn, and an index by family."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from helpers import study_of

from rigline.checks.check import Check
from rigline.checks.registry import all_checks, why_of
from rigline.checks.run import run_checks
from rigline.findings import Finding
from rigline.outputs.draw import draw_svg
from rigline.outputs.explaining import example_lines
from rigline.standards.profiles import PROFILE_NAMES

SHEET = "a4"
VERDICTS = ("passing", "failing")


def rule_files(check: Check) -> dict[str, bytes]:
    """The page of one rule and its drawings, by file name."""
    drawings = {verdict: _drawing(check, verdict) for verdict in VERDICTS}
    files = {name: svg for sheets in drawings.values() for name, svg in sheets.items()}
    page = "\n".join(_page(check, {verdict: list(sheets) for verdict, sheets in drawings.items()}))
    return {f"{check.slug}.md": page.encode()} | files


def index_page() -> bytes:
    """The catalogue by family."""
    lines = [
        "# Rules", "",
        "Made from `src/rigline/checks/rules/` by `python -m pytest tests/gallery --update-gallery`; a test compares "
        "them. All systems are invented.",
        "",
    ]  # fmt: skip
    by_family = sorted(all_checks(), key=lambda check: (check.family.casefold(), check.slug))
    for family, checks in groupby(by_family, key=lambda check: check.family):
        lines += [f"## {family[0].upper()}{family[1:]}", "", "| Rule | Fault | Severity |", "| --- | --- | --- |"]
        lines += [f"| [{check.slug}]({check.slug}.md) | {check.title} | {check.severity} |" for check in checks]
        lines.append("")
    return "\n".join(lines).encode()


def _spec(check: Check, verdict: str) -> str:
    return check.example.failing_spec if verdict == "failing" else check.example.spec


def _drawing(check: Check, verdict: str) -> dict[str, bytes]:
    study = study_of(_spec(check, verdict), f"{verdict}.yaml")
    # The page itself says the finding in words; a sheet of lists alone adds nothing.
    sheets = [svg for svg in draw_svg(study, run_checks(study), SHEET) if 'class="component"' in svg]
    numbers = [""] if len(sheets) == 1 else [f"-{number}" for number in range(1, len(sheets) + 1)]
    return {f"{check.slug}-{verdict}{number}.svg": svg.encode() for number, svg in zip(numbers, sheets, strict=True)}


def _page(check: Check, drawings: dict[str, list[str]]) -> Iterator[str]:
    found = _finding(check)
    yield f"# {check.title[0].upper()}{check.title[1:]}"
    yield ""
    yield f"`{check.slug}`, {check.family}, {check.severity}. [All rules](README.md)"
    yield ""
    yield why_of(check)
    yield ""
    yield f"- **Limit:** {check.limit}"
    yield f"- **Exceptions:** {check.exceptions}"
    yield f"- **Profiles:** {', '.join(check.profiles or PROFILE_NAMES)}"
    yield from (f"- **Source:** {source.text} ({source.sure})" for source in check.sources)
    yield ""
    yield "## Example"
    yield ""
    yield from _example(check)
    yield f"> **{found.severity.upper()}:** {found.message}"
    yield ">"
    yield f"> **Do:** {found.remedy}"
    yield ""
    yield "| Passes | Fails |"
    yield "| --- | --- |"
    count = max(len(names) for names in drawings.values())
    for index in range(count):
        cells = [f"![{verdict} example]({names[index]})" if index < len(names) else ""
                 for verdict, names in drawings.items()]  # fmt: skip
        yield f"| {' | '.join(cells)} |"
    yield ""


def _example(check: Check) -> Iterator[str]:
    passing, failing = example_lines(check)
    yield "One line makes the difference:"
    yield ""
    yield "```diff"
    yield f"- {passing}"
    yield f"+ {failing}"
    yield "```"
    yield ""
    yield "The passing spec:"
    yield ""
    yield "```yaml"
    yield check.example.spec.rstrip()
    yield "```"
    yield ""


def _finding(check: Check) -> Finding:
    findings = run_checks(study_of(check.example.failing_spec)).findings
    return next(finding for finding in findings if finding.rule == check.slug)
