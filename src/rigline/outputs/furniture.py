"""What the sheets of a drawing say about themselves: title block, findings, notes, revisions, colours."""

from __future__ import annotations

from collections import defaultdict
from pathlib import PurePath
from typing import TYPE_CHECKING

from rigline.checks.run import Report
from rigline.drawing.furniture import ChangeLine, FindingLine, Furniture, RevisionLine
from rigline.findings import Finding, Severity
from rigline.kinds import Component
from rigline.kinds.converters import Inverter
from rigline.kinds.loads import Load
from rigline.kinds.sources import AcSource
from rigline.layout.plan import SheetPlan
from rigline.layout.poles import SIGNS
from rigline.layout.tagging import color_letters, pole_letters
from rigline.model.describe import amount, further_data
from rigline.model.natural import natural
from rigline.model.system import System
from rigline.standards.colors import JOIN, letters
from rigline.study.study import Study
from rigline.units import format_amount

if TYPE_CHECKING:
    from rigline.changes.change import Changes

HASH_DIGITS = 12
"""Of 64: what fits the title block. Two specs agree in them by chance once in 2.8e14."""


def furniture(
    study: Study,
    report: Report,
    plan: SheetPlan | None = None,
    supplement: str = "",
    changes: Changes | None = None,
) -> Furniture:
    """The facts round the drawing.

    Args:
        study: The system, or the stage of it that is looked at.
        report: What the rules said of it.
        plan: What is drawn; findings of what a part does not show are counted, not listed. None lists all.
        supplement: Which part and stage of the system this is, if not all of it.
        changes: What is marked as changed; a part lists all of it.
    """
    head, whole = study.system.head, study.system.whole or study.system
    lines = [
        FindingLine(number, finding.severity.value, _short(finding), finding.waived is not None)
        for number, finding in enumerate(report.findings, 1)
    ]
    elsewhere = _elsewhere(report, plan) if plan is not None else set()
    return Furniture(
        title=head.title or "Untitled system",
        supplement=supplement,
        number=head.number or "",
        owner=head.owner or "",
        revision=head.revision or "",
        date=head.date or "",
        author=head.author or "",
        profile=study.profile.name,
        edition=study.profile.edition,
        spec_name=PurePath(study.system.file).name,
        spec_hash=spec_hash(study.system),
        voltages=_voltages(study),
        result=result_words(report),
        findings=tuple(line for line in lines if line.number not in elsewhere),
        changes=_changes(changes),
        notes=_notes(study, len(elsewhere)),
        revisions=_revisions(study.system),
        colors=_colors(whole),
    )


def spec_hash(system: System) -> str:
    """The first digits of the hash of a spec, enough to tell two apart by eye."""
    return system.digest[:HASH_DIGITS]


def _changes(changes: Changes | None) -> tuple[ChangeLine, ...]:
    return () if changes is None else tuple(ChangeLine(one.number, one.text, one.marked) for one in changes.changes)


def _colors(system: System) -> dict[str, tuple[str, ...]]:
    """Letters by wire: of whole segments, and of their DC poles where these are drawn by themselves."""
    found = {segment.id: _codes(color_letters(segment, system)) for segment in system.segments}
    for segment in system.segments:
        for pole, sign in SIGNS.items():
            found[f"{segment.id}{sign}"] = _codes(pole_letters(segment, system, pole))
    return found


def _elsewhere(report: Report, plan: SheetPlan) -> set[int]:
    """Numbers of findings at components and wires that are not drawn."""
    drawn = {wire.run for sheet in plan.sheets for wire in sheet.wires}
    for sheet in plan.sheets:
        drawn |= {symbol.id for symbol in sheet.symbols}
        drawn |= {bar.id for bar in sheet.bars}
        drawn |= {wire.id for wire in sheet.wires}
    places = {number: _places(finding) for number, finding in enumerate(report.findings, 1)}
    return {number for number, ids in places.items() if ids and not ids & drawn}


def _places(finding: Finding) -> set[str]:
    return {*finding.at, *finding.runs, *([finding.segment] if finding.segment else [])}


def _short(finding: Finding) -> str:
    waived = f" Waived: {finding.waived}." if finding.waived is not None else ""
    return f"{finding.message}{waived} [{finding.rule}]"


def result_words(report: Report) -> str:
    """The result of the check in a few words."""
    counts = [(report.count(severity), severity) for severity in (Severity.DANGER, Severity.FAULT, Severity.QUESTION)]
    found = ", ".join(f"{count} {severity}{'s' if count > 1 else ''}" for count, severity in counts if count)
    missing = f", {len(report.not_assessed)} not assessed" if report.not_assessed else ""
    waived = sum(finding.waived is not None for finding in report.findings)
    return f"{found or 'no danger, no fault'}{missing}{f', {waived} waived' if waived else ''}"


def _voltages(study: Study) -> str:
    dc = sorted({round(abs(volts), 1) for volts in study.potentials.volts.values() if abs(volts) > 1})
    ac = {_ac_volts(component) for component in study.system.components.values()} - {""}
    return ", ".join([f"{volts:g} V DC" for volts in dc] + sorted(f"{volts} AC" for volts in ac))


def _ac_volts(component: Component) -> str:
    """Nominal voltage of an AC source, as written."""
    if isinstance(component, AcSource):
        return amount(component.voltage_v, "v")
    return amount(component.output_v or component.ac_voltage_v, "v") if isinstance(component, Inverter) else ""


def _notes(study: Study, elsewhere: int) -> tuple[str, ...]:
    insulation = study.system.defaults.insulation_c or study.profile.insulation_c.value
    notes = [
        "Lengths are one way; sizes are copper, per conductor, the return as the feed; "
        f"insulation {insulation:g} °C; unless noted. 'sized' marks what was chosen, '?' what is not known.",
        _color_note(study.system.whole or study.system),
        _load_note(study),
        _data_note(study.system),
        _fault_note(study),
    ]
    if elsewhere:
        notes.append(f"Findings on what is not shown here: {elsewhere}. See the drawing of the whole system.")
    return tuple(note for note in notes if note)


def _data_note(system: System) -> str:
    """Ratings that labels have no room for, those that are alike together."""
    alike: dict[str, list[str]] = defaultdict(list)
    for id in sorted(system.components, key=natural):
        component = system.components[id]
        if data := further_data(component):
            alike[data].append(component.id)
    words = "; ".join(f"{', '.join(ids)} {data}" for data, ids in alike.items())
    return f"Further ratings: {words}." if words else ""


def _fault_note(study: Study) -> str:
    """Prospective fault current at each bus, as far as it is known."""
    found = {
        id: study.nodes[id].fault_current_a
        for id in sorted(study.system.components, key=natural)
        if study.system.components[id].role == "bus" and id in study.nodes
    }
    words = [f"{id} {format_amount(amps, 'a')}" for id, amps in found.items() if amps]
    return f"Available fault current: {', '.join(words)}." if words else ""


def _color_note(system: System) -> str:
    """What the colour letters on the wires mean."""
    used = dict.fromkeys(code for segment in system.segments for code in _codes(color_letters(segment, system)))
    words = [f"{code} {letters()[code].word}" for code in used]
    return f"Colours (IEC 60757) in the order + −, L N PE: {', '.join(words)}." if words else ""


def _codes(written: str) -> tuple[str, ...]:
    """Letters of single conductors; none where an author's words name no colours."""
    codes = tuple(written.split(JOIN))
    return codes if all(code in letters() for code in codes) else ()


def _load_note(study: Study) -> str:
    """Connected load before any demand factor, as far as loads say their power."""
    watts = {"DC": 0.0, "AC": 0.0}
    fed = {stop.component: segment.medium for segment in study.system.segments for stop in (segment.start, segment.end)}
    for component in study.system.components.values():
        medium = fed.get(component.id, "").upper()
        if isinstance(component, Load) and component.power_w and medium in watts:
            watts[medium] += component.count * float(component.power_w)
    words = [f"{format_amount(power, 'w')} {medium}" for medium, power in watts.items() if power]
    return f"Connected load, as far as known: {', '.join(words)}." if words else ""


def _revisions(system: System) -> tuple[RevisionLine, ...]:
    """The table of revisions in the order of the spec."""
    return tuple(
        RevisionLine(one.revision or "", one.date or "", one.by or "", one.change or "") for one in system.revisions
    )
