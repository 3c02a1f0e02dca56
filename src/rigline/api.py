"""The functions behind the commands and behind `import rigline`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec.structs import replace

# A package that is imported later would take its name in `rigline` from the function that bears it.
import rigline.changes
import rigline.energy
import rigline.notes  # noqa: F401
from rigline.errors import CommandError

if TYPE_CHECKING:
    from rigline.checks.run import Report as ReportOfRules
    from rigline.model.system import System
    from rigline.outputs.draw import View
    from rigline.results.changes import Changes
    from rigline.results.drawing import Drawing
    from rigline.results.energy import Energy
    from rigline.results.notes import BuildNotes
    from rigline.results.order import Order
    from rigline.results.report import Report
    from rigline.results.schedule import Schedule
    from rigline.results.sizing import Sizing
    from rigline.spec.reading import Tree
    from rigline.study.study import Study
    from rigline.unit_system import UnitSystem


def read(source: str | Path, stage: str | None = None, *, units: UnitSystem | None = None) -> System:
    """The system that a spec file describes; `-` reads YAML from stdin.

    Args:
        source: Path of a .yaml, .json or .toml file, or of a table: .csv, .xlsx or .ods.
        stage: Only what is built by this stage.
        units: metric or us, for every length, mass and temperature of air in words, tables and drawings. If None, what
            the author wrote stands as it is, and the rest follows most of the author's lengths.

    Raises:
        SpecError: The spec is wrong; holds every problem with its line.
        CommandError: The file can't be read.

    Example:
        >>> system = read("specs/trailer.yaml")
        >>> system.head.title, system.components["F1"].rating_a, len(system.runs)
        ('Bicycle repair trailer', 125.0, 13)
    """
    from rigline.spec.limits import LARGEST_FILE_BYTES
    from rigline.spec.reading import read_bytes, read_file

    if str(source) == "-":
        return _system(read_bytes(sys.stdin.buffer.read(LARGEST_FILE_BYTES + 1), "stdin", "yaml"), None, stage, units)
    path = Path(source)
    return _system(read_file(path), path.parent, stage, units)


def read_text(
    text: str | bytes, path: Path = Path("spec.yaml"), stage: str | None = None, *, units: UnitSystem | None = None
) -> System:
    """The system that a file would describe if it held this text; the file itself isn't looked at.

    Args:
        text: What would be saved.
        path: The file; its ending says the syntax, problems name it, and parts files are looked for in its folder.
        stage: Only what is built by this stage.
        units: metric or us, as of `read`.

    Raises:
        SpecError: The spec is wrong; holds every problem with its line.
        CommandError: The file's ending says no syntax.
    """
    from rigline.spec.reading import read_bytes, syntax_of

    data = text.encode("utf-8") if isinstance(text, str) else text
    return _system(read_bytes(data, str(path), syntax_of(path)), path.parent, stage, units)


def _system(tree: Tree, folder: Path | None, stage: str | None, units: UnitSystem | None) -> System:
    from rigline.model.build import build_system
    from rigline.spec.load import load_document

    _require_stage(stage)
    return _in_units(build_system(load_document(tree, folder), tree, stage), units)


def read_state(source: str, stage: str | None = None, *, units: UnitSystem | None = None) -> System:
    """The system that a spec describes, or described: FILE, or FILE@REVISION for what git has of it.

    The arguments are those of `read`.

    Raises:
        SpecError: The spec is wrong; holds every problem with its line.
        CommandError: The file can't be read, or git, the revision or the file in it is missing.

    Example:
        >>> read_state("specs/trailer.yaml").head.title
        'Bicycle repair trailer'
    """
    from rigline.model.build import build_system
    from rigline.spec.history import past_of, read_past
    from rigline.spec.load import load_document

    past = past_of(source)
    if past is None:
        return read(source, stage, units=units)
    _require_stage(stage)
    with read_past(past) as (tree, folder):
        return _in_units(build_system(load_document(tree, folder), tree, stage), units)


def _require_stage(stage: str | None) -> None:
    if stage is not None and stage != "later" and not stage.isdigit():
        raise CommandError(f"--stage is a number or later, not {stage}")


def _in_units(system: System, units: UnitSystem | None) -> System:
    """The system as it is told in the units that were asked for."""
    if units is None:
        return system
    whole = None if system.whole is None else replace(system.whole, units=units, converted=True)
    return replace(system, whole=whole, units=units, converted=True)


def study_of(system: System) -> Study:
    """Every number of a system: currents, ampacities, drops, chosen sizes.

    Example:
        >>> one = study_of(read("specs/trailer.yaml")).segments[0]
        >>> one.segment.id, str(one.size), round(one.current_a, 1), round(one.ampacity_a)
        ('W1a', '1/0 AWG', 64.3, 163)
    """
    from rigline.study.study import study

    with system.shown():
        return study(system)


def check(system: System) -> Report:
    """What every rule of the system's profile says about it.

    A rule without a finding is no proof that all is well: look at `not_assessed` too.

    Example:
        >>> report = check(read("specs/faulty.yaml"))
        >>> report.findings[0].severity.value, len(report.not_assessed) > 0
        ('danger', True)
    """
    from rigline.checks.run import run_checks
    from rigline.results.report import report_of

    with system.shown():
        return report_of(run_checks(study_of(system), careful=True))


def size(system: System) -> Sizing:
    """The wires and ratings that the spec left open, each with the limit that decided.

    Example:
        >>> [(one.subject, one.value) for one in size(read("specs/lights.yaml")).choices][:2]
        [('FA', '3 A'), ('FB', '7.5 A')]
    """
    from rigline.results.sizing import Sizing

    numbers = study_of(system)
    return Sizing(tuple(numbers.sizes.choices), numbers)


def schedule(system: System) -> Schedule:
    """The from-to table of every wire segment, with its numbers.

    Example:
        >>> print(schedule(read("specs/trailer.yaml")).text("csv").splitlines()[1])
        W1a,B1,F1,'+ -,1/0 AWG,150 mm,64.3 A,163 A,0.0 %,F1
    """
    from rigline.results.schedule import Schedule

    return Schedule(study_of(system))


def order(system: System) -> Order:
    """What to order, cut and borrow to build a system: components, wire, lugs, tools, mass, and what is not known.

    Example:
        >>> order(read("specs/lights.yaml")).components[0].item.what
        'battery, LiFePO4, 12.8 V, 50 Ah'
    """
    from rigline.ordering.order import order_of as lists_of
    from rigline.results.order import order_of

    with system.shown():
        return order_of(lists_of(study_of(system)))


def notes(system: System) -> BuildNotes:
    """Build notes: cautions, drawing, tables, install order, tests with expected values, inspection, findings, terms.

    Args:
        system: What `read` returned. If it is a stage, the notes are those of the stage.

    Example:
        >>> made = notes(read("specs/trailer.yaml"))
        >>> made.facts.steps[0].title, sorted(made.files("BUILD.md", "md"))
        ('Paper and parts first', ['BUILD-sheet-1.svg', 'BUILD.md'])
    """
    from rigline.notes.notes import notes_of
    from rigline.outputs.notes.content import document_of
    from rigline.results.notes import BuildNotes

    drawing = draw(system)
    with system.shown():
        facts = notes_of(drawing.study, drawing.report)
        return BuildNotes(facts, document_of(facts, drawing.svgs), drawing)


def changes(old: System, new: System) -> Changes:
    """What is different in a new state of a system, what became of the findings, and what must be bought for it.

    Both are told in the units of the new one.

    Example:
        >>> one = read("specs/trailer.yaml")
        >>> changes(one, one).empty
        True
    """
    from rigline.changes.compare import compare
    from rigline.checks.run import run_checks
    from rigline.results.changes import changes_of
    from rigline.study.study import study

    with new.shown():
        before, after = study(old), study(new)
        return changes_of(compare(before, after, run_checks(before, careful=True), run_checks(after, careful=True)))


def explain(word: str) -> str:
    """What a rule, kind, key or term means: `oc-battery-distance`, `battery`, `battery.usable`, `shunt`.

    Raises:
        CommandError: It is none of these; the nearest words are named.

    Example:
        >>> print(explain("shunt").splitlines()[0])
        shunt: a term
    """
    from rigline.outputs.explaining import explanation, nearest_words

    text = explanation(word)
    if text is None:
        near = nearest_words(word)
        hint = f"did you mean {' or '.join(near)}?" if near else "it is no rule, kind, key or term"
        raise CommandError(f"{word}: {hint}")
    return text


def draw(
    system: System,
    sheet: str | None = None,
    *,
    show: str | None = None,
    symbols: str | None = None,
    color: bool = False,
    poles: bool = False,
) -> Drawing:
    """The one-line diagram of a system with its findings flagged.

    Args:
        system: What `read` returned. If it is a stage, everything else is drawn dashed.
        sheet: a4, a3, letter or tabloid; the profile's usual one if None.
        show: dc, ac, bonds or a place; everything if None. Wires that lead out of it end in references.
        symbols: iec or ieee; the profile's set if None.
        color: Wires in the colour of their live conductor.
        poles: Both poles of DC, the return with its shunt, as conductors of their own.

    Raises:
        CommandError: There is nothing of what is to be shown.

    Example:
        >>> drawing = draw(read("specs/boat.yaml"), show="ac")
        >>> sorted(drawing.files("boat.svg", "svg")), drawing.report_words
        (['boat.svg'], 'no danger, no fault')
    """
    from rigline.checks.run import run_checks
    from rigline.outputs.draw import View

    numbers = study_of(system)
    with system.shown():
        return _drawing(numbers, run_checks(numbers, careful=True), View(sheet, show, symbols, color, poles))


def draw_changes(
    compared: Changes,
    sheet: str | None = None,
    *,
    show: str | None = None,
    symbols: str | None = None,
    color: bool = False,
    poles: bool = False,
) -> Drawing:
    """The one-line diagram of the new state with every change marked by a numbered triangle and listed.

    What was removed is in the list only. The arguments are those of `draw`.

    Raises:
        CommandError: There is nothing of what is to be shown.

    Example:
        >>> compared = changes(read("specs/lights.yaml"), read("specs/trailer.yaml"))
        >>> "SC1" in compared.of("added"), draw_changes(compared, sheet="a3").report_words
        (True, 'no danger, no fault')
    """
    from rigline.outputs.draw import View

    with compared.new.system.shown():
        return _drawing(compared.new, compared.new_report, View(sheet, show, symbols, color, poles, compared))


def _drawing(numbers: Study, report: ReportOfRules, view: View) -> Drawing:
    from rigline.drawing.document import document_of
    from rigline.outputs.draw import draw_sheets
    from rigline.outputs.furniture import result_words
    from rigline.results.drawing import Drawing
    from rigline.results.report import report_of

    svgs, plan = draw_sheets(numbers, report, view)
    head = numbers.system.head
    document = document_of(plan, len(svgs), head.title or "One-line diagram", head.date or "")
    return Drawing(tuple(svgs), document, result_words(report), numbers, report_of(report))


def energy(
    system: System,
    latitude_deg: float | None = None,
    autonomy_h: float | None = None,
    sun_file: str | Path | None = None,
    size: bool = False,
) -> Energy:
    """The daily balance, a typical year hour by hour, and what would help.

    Args:
        system: What `read` returned.
        latitude_deg: Where it is used; goes before the spec's. South is negative.
        autonomy_h: How long the battery alone shall last; goes before the spec's.
        sun_file: An hourly year of sun (CSV with a column ghi in W/m²).
        size: Whether to propose a battery and an array as well.

    Raises:
        CommandError: The file of the sun can't be read, or is no year.

    Example:
        >>> found = energy(read("specs/trailer.yaml"))
        >>> found.text("csv").splitlines()[0]
        'id,name,medium,count,power_w,use_h_per_day,duty_frac,days_per_week,season,part_of_day,day_wh,battery_wh'
    """
    from rigline.energy.assumption import Notes
    from rigline.energy.balance import balance
    from rigline.energy.report_facts import EnergyReport
    from rigline.energy.setting import setting_of
    from rigline.energy.sizing import proposals
    from rigline.energy.steps import advice
    from rigline.results.energy import Energy

    with system.shown():
        notes = Notes()
        setting = setting_of(system, notes, latitude_deg, autonomy_h)
        sun = None
        if sun_file is not None:
            from rigline.energy.sun_file import read_sun_file

            sun = read_sun_file(Path(sun_file), setting.latitude_deg)
        numbers = study_of(system)
        found = balance(numbers, setting, notes, sun)
        return Energy(EnergyReport(found, advice(numbers, found), proposals(found) if size else None))
