"""The result of `energy`."""

from __future__ import annotations

from msgspec import Struct

from rigline.energy.report_facts import EnergyReport
from rigline.errors import CommandError
from rigline.results.forms import writer


class Energy(Struct, frozen=True):
    """The energy of a system, in numbers, words and pictures, as `energy` returns it."""

    report: EnergyReport

    def text(self, form: str = "text") -> str:
        """The report as text, json, csv (the daily load table) or markdown.

        Raises:
            CommandError: There is no such form.
        """
        from rigline.outputs.energy_json import energy_json
        from rigline.outputs.energy_text import ENERGY_FORMS

        with self.report.balance.system.shown():
            return writer({**ENERGY_FORMS, "json": energy_json}, form)(self.report)

    def plot(self, form: str = "svg") -> str:
        """The typical year as svg or html; CommandError if it could not be run, or the plot library is missing."""
        from rigline.outputs.energy_html import plot_html
        from rigline.outputs.energy_plot import PlotMissing, plot_svg

        if self.report.balance.year is None:
            raise CommandError("there is no year to plot: see what is not assessed in the report")
        try:
            with self.report.balance.system.shown():
                return plot_html(self.report) if form == "html" else plot_svg(self.report)
        except PlotMissing as error:
            raise CommandError(str(error)) from None

    def _repr_html_(self) -> str:
        from rigline.outputs.energy_html import energy_fragment

        with self.report.balance.system.shown():
            return energy_fragment(self.report)
