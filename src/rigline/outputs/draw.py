"""From a study and its report to the sheets of the one-line."""

from __future__ import annotations

from collections import defaultdict
from pathlib import PurePath

from rigline.checks.run import Report
from rigline.drawing.furniture import FindingLine, Furniture
from rigline.drawing.symbols import SETS
from rigline.findings import Finding, Severity
from rigline.kinds import Component
from rigline.kinds.converters import Inverter
from rigline.kinds.sources import AcSource
from rigline.layout.contract import one_line
from rigline.layout.place import place
from rigline.layout.plan import SHEET_SIZES, SheetPlan
from rigline.model.describe import amount
from rigline.study.study import Study


def sheet_plan(study: Study, report: Report, sheet: str | None = None) -> SheetPlan:
    """Where everything stands, on sheets of the given size (or the usual one of the profile)."""
    size = SHEET_SIZES[sheet or default_sheet(study)]
    return place(one_line(study, _flags(report, study)), SETS[study.profile.symbol_set], size)


def default_sheet(study: Study) -> str:
    """Tabloid in the United States, A3 elsewhere."""
    return "tabloid" if study.profile.name.startswith("us-") else "a3"


def draw_svg(study: Study, report: Report, sheet: str | None = None) -> list[str]:
    """One SVG for each sheet."""
    from rigline.drawing.render import render_sheets

    plan = sheet_plan(study, report, sheet)
    return render_sheets(plan, furniture(study, report), style=study.profile.symbol_set)


def _flags(report: Report, study: Study) -> dict[str, tuple[int, ...]]:
    """Numbers of findings by what they point to: the segment where there is one, else the chief component or run."""
    found: dict[str, list[int]] = defaultdict(list)
    for number, finding in enumerate(report.findings, 1):
        found[_spot(finding, study)].append(number)
    return {id: tuple(numbers) for id, numbers in found.items()}


def _spot(finding: Finding, study: Study) -> str:
    chief = next((id for id in finding.at if id in study.system.components), None)
    return chief or finding.segment or next(iter(finding.runs or finding.at), "")


def furniture(study: Study, report: Report) -> Furniture:
    """What the sheets say about themselves."""
    head = study.system.head
    return Furniture(
        title=head.title or "Untitled system",
        revision=head.revision or "",
        date=head.date or "",
        author=head.author or head.owner or "",
        profile=study.profile.name,
        edition=study.profile.edition,
        spec_name=PurePath(study.system.file).name,
        spec_hash=study.system.digest[:12],
        voltages=_voltages(study),
        result=result_words(report),
        findings=tuple(
            FindingLine(number, finding.severity.value, _short(finding))
            for number, finding in enumerate(report.findings, 1)
        ),
        notes=_notes(study),
    )


def _short(finding: Finding) -> str:
    waived = f" Waived: {finding.waived}." if finding.waived is not None else ""
    return f"{finding.message}{waived} [{finding.rule}]"


def result_words(report: Report) -> str:
    """The result of the check in a few words."""
    counts = [(report.count(severity), severity) for severity in (Severity.DANGER, Severity.FAULT, Severity.QUESTION)]
    found = ", ".join(f"{count} {severity}{'s' if count > 1 else ''}" for count, severity in counts if count)
    missing = f", {len(report.not_assessed)} not assessed" if report.not_assessed else ""
    return f"{found or 'no danger, no fault'}{missing}"


def _voltages(study: Study) -> str:
    dc = sorted({round(abs(volts), 1) for volts in study.potentials.volts.values() if abs(volts) > 1})
    ac = {_ac_volts(component) for component in study.system.components.values()} - {""}
    return ", ".join([f"{volts:g} V DC" for volts in dc] + sorted(f"{volts} AC" for volts in ac))


def _ac_volts(component: Component) -> str:
    """Nominal voltage of an AC source, as written."""
    if isinstance(component, AcSource):
        return amount(component.voltage_v, "v")
    return amount(component.output_v or component.ac_voltage_v, "v") if isinstance(component, Inverter) else ""


def _notes(study: Study) -> tuple[str, ...]:
    notes = ["Lengths are one way. Sizes are copper, per conductor; the return is sized like the feed."]
    insulation = study.system.defaults.insulation_c or study.profile.insulation_c.value
    notes.append(f"Insulation {insulation:g} °C unless noted. 'sized' marks what was chosen, '?' what is not known.")
    return tuple(notes)
