"""The result of `schedule`."""

from __future__ import annotations

from msgspec import Struct

from rigline.results.forms import writer
from rigline.study.study import Study


class Schedule(Struct, frozen=True):
    """The from-to table of every wire segment, as `schedule` returns it."""

    study: Study
    """The numbers: `study.segments` has one entry for each row."""

    def text(self, form: str = "text") -> str:
        """The table as text, csv, json or markdown.

        Raises:
            CommandError: There is no such form.
        """
        from rigline.outputs.json_report import schedule_json
        from rigline.outputs.schedules import SCHEDULES

        with self.study.system.shown():
            return writer({**SCHEDULES, "json": schedule_json}, form)(self.study)

    def _repr_html_(self) -> str:
        from rigline.outputs.fragment import schedule_html

        with self.study.system.shown():
            return schedule_html(self.study)
