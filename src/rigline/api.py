"""The functions behind the commands and behind `import rigline`."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

# A package that is imported later would take its name in `rigline` from the function that bears it.
import rigline.changes
import rigline.energy
import rigline.notes  # noqa: F401
from rigline.errors import CommandError

if TYPE_CHECKING:
    from rigline.changes.change import Changes
    from rigline.checks.run import Report
    from rigline.drawing.document import Document
    from rigline.energy.report_facts import EnergyReport
    from rigline.model.system import System
    from rigline.notes.notes import Notes
    from rigline.ordering.order import Order
    from rigline.outputs.draw import View
    from rigline.outputs.notes.blocks import Document as NotesDocument
    from rigline.spec.reading import Tree
    from rigline.study.study import Study


def read(source: str | Path, stage: str | None = None) -> System:
    """The system that a spec file describes; `-` reads YAML from stdin.

    Args:
        source: Path of a .yaml, .json or .toml file.
        stage: Only what is built by this stage.

    Raises:
        SpecError: The spec is wrong; holds every problem with its line.
        CommandError: The file can't be read.
    """
    from rigline.spec.limits import LARGEST_FILE_BYTES
    from rigline.spec.reading import read_bytes, read_file

    if str(source) == "-":
        return _system(read_bytes(sys.stdin.buffer.read(LARGEST_FILE_BYTES + 1), "stdin", "yaml"), None, stage)
    path = Path(source)
    return _system(read_file(path), path.parent, stage)


def read_text(text: bytes, path: Path, stage: str | None = None) -> System:
    """The system that a file would describe if it held this text; the file itself isn't looked at.

    Args:
        text: What would be saved.
        path: The file; its ending says the syntax, and parts files are looked for in its folder.
        stage: Only what is built by this stage.

    Raises:
        SpecError: The spec is wrong; holds every problem with its line.
        CommandError: The file's ending says no syntax.
    """
    from rigline.spec.reading import read_bytes, syntax_of

    return _system(read_bytes(text, str(path), syntax_of(path)), path.parent, stage)


def _system(tree: Tree, folder: Path | None, stage: str | None) -> System:
    from rigline.model.build import build_system
    from rigline.spec.load import load_document

    _require_stage(stage)
    return build_system(load_document(tree, folder), tree, stage)


def read_state(source: str, stage: str | None = None) -> System:
    """The system that a spec describes, or described: FILE, or FILE@REVISION for what git has of it.

    Raises:
        SpecError: The spec is wrong; holds every problem with its line.
        CommandError: The file can't be read, or git, the revision or the file in it is missing.
    """
    from rigline.model.build import build_system
    from rigline.spec.history import past_of, read_past
    from rigline.spec.load import load_document

    past = past_of(source)
    if past is None:
        return read(source, stage)
    _require_stage(stage)
    with read_past(past) as (tree, folder):
        return build_system(load_document(tree, folder), tree, stage)


def _require_stage(stage: str | None) -> None:
    if stage is not None and stage != "later" and not stage.isdigit():
        raise CommandError(f"--stage is a number or later, not {stage}")


def study_of(system: System) -> Study:
    """Every number of a system: currents, ampacities, drops, chosen sizes."""
    from rigline.study.study import study

    return study(system)


def check(system: System) -> Report:
    """What every rule of the system's profile says about it."""
    from rigline.checks.run import run_checks

    return run_checks(study_of(system), careful=True)


def order(system: System) -> Order:
    """What to order, cut and borrow to build a system: components, wire, lugs, tools, mass, and what is not known."""
    from rigline.ordering.order import order_of

    return order_of(study_of(system))


def changes(old: System, new: System) -> Changes:
    """What is different in a new state of a system, what became of the findings, and what must be bought for it."""
    from rigline.changes.compare import compare
    from rigline.checks.run import run_checks

    before, after = study_of(old), study_of(new)
    return compare(before, after, run_checks(before, careful=True), run_checks(after, careful=True))


class Drawing(Struct, frozen=True):
    """The sheets of a one-line diagram."""

    svgs: tuple[str, ...]
    document: Document
    """Title, date, bookmarks and links of the file that holds all sheets."""
    report_words: str
    """The result of the check in a few words."""
    study: Study
    report: Report

    def only(self, number: int) -> Drawing:
        """One sheet of it by its number.

        Raises:
            CommandError: There is no such sheet.
        """
        if not 1 <= number <= len(self.svgs):
            raise CommandError(f"there is no sheet {number}: the drawing has {len(self.svgs)}")
        return replace(self, svgs=(self.svgs[number - 1],), document=self.document.only(number))

    def only_svg(self) -> str:
        """The one sheet; CommandError if there are more."""
        if len(self.svgs) > 1:
            remedy = "name a file with -o, and they are numbered, or give --sheet-number"
            raise CommandError(f"the drawing has {len(self.svgs)} sheets; {remedy}")
        return self.svgs[0]

    def files(self, name: str, ending: str) -> Mapping[str, bytes]:
        """Contents by file name: PDF and HTML hold all sheets, SVG and PNG are numbered if there is more than one."""
        if ending == "pdf":
            return {name: self._pdf()}
        if ending == "html":
            return {name: self._page()}
        contents = [svg.encode() if ending == "svg" else self._png(svg) for svg in self.svgs]
        if len(contents) == 1:
            return {name: contents[0]}
        stem = name[: -len(ending) - 1]
        return {f"{stem}-{number}.{ending}": content for number, content in enumerate(contents, 1)}

    def _pdf(self) -> bytes:
        from rigline.drawing.pdf import CairoMissing, pdf_bytes

        try:
            return pdf_bytes(self.svgs, self.document)
        except CairoMissing as error:
            raise CommandError(str(error)) from None

    def _page(self) -> bytes:
        from rigline.outputs.page.build import drawing_page

        return drawing_page(self.study, self.report, self.svgs)

    @staticmethod
    def _png(svg: str) -> bytes:
        from rigline.drawing.pdf import CairoMissing, to_png

        try:
            return to_png(svg)
        except CairoMissing as error:
            raise CommandError(str(error)) from None


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
    """
    from rigline.checks.run import run_checks
    from rigline.outputs.draw import View

    numbers = study_of(system)
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
    """
    from rigline.outputs.draw import View

    return _drawing(compared.new, compared.new_report, View(sheet, show, symbols, color, poles, compared))


def _drawing(numbers: Study, report: Report, view: View) -> Drawing:
    from rigline.drawing.document import document_of
    from rigline.outputs.draw import draw_sheets
    from rigline.outputs.furniture import result_words

    svgs, plan = draw_sheets(numbers, report, view)
    head = numbers.system.head
    document = document_of(plan, len(svgs), head.title or "One-line diagram", head.date or "")
    return Drawing(tuple(svgs), document, result_words(report), numbers, report)


class BuildNotes(Struct, frozen=True):
    """What a system is built, tested and inspected by."""

    facts: Notes
    """Cautions, panels, fuses, steps and tests as data."""
    document: NotesDocument
    """The same in chapters, with the drawing."""
    drawing: Drawing

    @property
    def report_words(self) -> str:
        """The result of the check in a few words."""
        return self.drawing.report_words

    def html(self) -> bytes:
        """One page that holds everything, for a phone and for paper."""
        from rigline.outputs.notes.html import notes_html

        return notes_html(self.document)

    def markdown(self, pictures: Sequence[str] = ()) -> str:
        """Markdown; `pictures` names the files of the drawing's sheets."""
        from rigline.outputs.notes.markdown import notes_markdown

        return notes_markdown(self.document, pictures)

    def pdf(self) -> bytes:
        """PDF with the drawing as vectors; CommandError if the typesetter is not installed."""
        from rigline.outputs.notes.pdf import notes_pdf

        return notes_pdf(self.document)

    def files(self, name: str, ending: str) -> Mapping[str, bytes]:
        """Contents by file name for html, md or pdf; the sheets stand beside a Markdown file."""
        if ending == "html":
            return {name: self.html()}
        if ending == "pdf":
            return {name: self.pdf()}
        sheets = self._sheets(name)
        return {name: self.markdown([Path(sheet).name for sheet in sheets]).encode(), **sheets}

    def into(self, names: Sequence[str]) -> Mapping[str, bytes]:
        """Documents with their marked blocks brought up to date, and the sheets beside them; only what changes.

        Raises:
            CommandError: A document can't be read, or has no marked block; holds every problem.
        """
        from rigline.outputs.notes.into import block_lines, read_documents, with_block

        changed = {}
        for name, content in read_documents(list(names)).items():
            path = Path(name).resolve() if Path(name).is_symlink() else Path(name)
            sheets = self._sheets(str(path))
            lines = block_lines(self.document, [Path(sheet).name for sheet in sheets])
            for file, now in {str(path): with_block(content, lines), **sheets}.items():
                if not Path(file).is_file() or Path(file).read_bytes() != now:
                    changed[file] = now
        return changed

    def _sheets(self, name: str) -> dict[str, bytes]:
        """The sheets of the drawing by the names of files beside a document."""
        stem = str(Path(name).with_suffix(""))
        return {f"{stem}-sheet-{n}.svg": svg.encode() for n, svg in enumerate(self.drawing.svgs, 1)}


def notes(system: System) -> BuildNotes:
    """Build notes: cautions, drawing, tables, install order, tests with expected values, inspection, findings, terms.

    Args:
        system: What `read` returned. If it is a stage, the notes are those of the stage.
    """
    from rigline.notes.notes import notes_of
    from rigline.outputs.notes.content import document_of

    drawing = draw(system)
    facts = notes_of(drawing.study, drawing.report)
    return BuildNotes(facts, document_of(facts, drawing.svgs), drawing)


class Energy(Struct, frozen=True):
    """The energy of a system, in numbers, words and pictures."""

    report: EnergyReport

    def text(self, form: str = "text") -> str:
        """The report as text, json, csv (the daily load table) or markdown."""
        if form == "json":
            from rigline.outputs.energy_json import energy_json

            return energy_json(self.report)
        from rigline.outputs.energy_text import ENERGY_FORMS

        return ENERGY_FORMS[form](self.report)

    def plot(self, form: str = "svg") -> str:
        """The typical year as svg or html; CommandError if it could not be run, or the plot library is missing."""
        from rigline.outputs.energy_html import plot_html
        from rigline.outputs.energy_plot import PlotMissing, plot_svg

        if self.report.balance.year is None:
            raise CommandError("there is no year to plot: see what is not assessed in the report")
        try:
            return plot_html(self.report) if form == "html" else plot_svg(self.report)
        except PlotMissing as error:
            raise CommandError(str(error)) from None


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
    """
    from rigline.energy.assumption import Notes
    from rigline.energy.balance import balance
    from rigline.energy.report_facts import EnergyReport
    from rigline.energy.setting import setting_of
    from rigline.energy.sizing import proposals
    from rigline.energy.steps import advice

    notes = Notes()
    setting = setting_of(system, notes, latitude_deg, autonomy_h)
    sun = None
    if sun_file is not None:
        from rigline.energy.sun_file import read_sun_file

        sun = read_sun_file(Path(sun_file), setting.latitude_deg)
    numbers = study_of(system)
    found = balance(numbers, setting, notes, sun)
    return Energy(EnergyReport(found, advice(numbers, found), proposals(found) if size else None))
