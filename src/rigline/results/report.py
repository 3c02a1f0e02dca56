"""The result of `check`."""

from __future__ import annotations

from collections.abc import Callable

from rigline.checks.run import Report as ReportOfRules
from rigline.results.forms import writer


class Report(ReportOfRules, frozen=True):
    """Everything the rules said about one system, as `check` returns it."""

    def text(self, form: str = "text") -> str:
        """The report as text, json, sarif or markdown.

        Raises:
            CommandError: There is no such form.
        """
        from rigline.outputs.json_report import report_json
        from rigline.outputs.markdown_report import report_markdown
        from rigline.outputs.sarif import reports_sarif
        from rigline.outputs.text import report_text

        writers: dict[str, Callable[[ReportOfRules], str]] = {
            "text": report_text,
            "json": report_json,
            "sarif": lambda report: reports_sarif([report]),
            "markdown": report_markdown,
        }
        with self.system.shown():
            return writer(writers, form)(self)

    def _repr_html_(self) -> str:
        from rigline.outputs.fragment import report_html

        with self.system.shown():
            return report_html(self)


def report_of(report: ReportOfRules) -> Report:
    """The same report as users get it."""
    return Report(*(getattr(report, name) for name in report.__struct_fields__))
