"""The functions behind the commands and behind `import rigline`."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from rigline.errors import CommandError

if TYPE_CHECKING:
    from rigline.checks.run import Report
    from rigline.drawing.document import Document
    from rigline.energy.report_facts import EnergyReport
    from rigline.model.system import System
    from rigline.ordering.order import Order
    from rigline.study.study import Study


def read(source: str | Path, stage: str | None = None) -> System:
    """The system that a spec file describes; `-` reads YAML from stdin.

    Args:
        source: Path of a .yaml, .json or .toml file, or of a table: .csv, .xlsx or .ods.
        stage: Only what is built by this stage.

    Raises:
        SpecError: The spec is wrong; holds every problem with its line.
        CommandError: The file can't be read.
    """
    from rigline.model.build import build_system
    from rigline.spec.load import load_document
    from rigline.spec.reading import read_bytes, read_file

    if stage is not None and stage != "later" and not stage.isdigit():
        raise CommandError(f"--stage is a number or later, not {stage}")
    if str(source) == "-":
        tree, folder = read_bytes(sys.stdin.buffer.read(), "stdin", "yaml"), None
    else:
        path = Path(source)
        tree, folder = read_file(path), path.parent
    return build_system(load_document(tree, folder), tree, stage)


def read_text(text: str, name: str = "spec") -> System:
    """The system that a spec's text in YAML describes.

    Raises:
        SpecError: The spec is wrong; holds every problem with its line.
    """
    from rigline.model.build import build_system
    from rigline.spec.load import load_document
    from rigline.spec.reading import read_tree

    tree = read_tree(text, name, "yaml")
    return build_system(load_document(tree), tree)


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
    from rigline.drawing.document import document_of
    from rigline.outputs.draw import View, draw_sheets
    from rigline.outputs.furniture import result_words

    numbers = study_of(system)
    report = run_checks(numbers, careful=True)
    svgs, plan = draw_sheets(numbers, report, View(sheet, show, symbols, color, poles))
    head = system.head
    document = document_of(plan, len(svgs), head.title or "One-line diagram", head.date or "")
    return Drawing(tuple(svgs), document, result_words(report), numbers, report)


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
