"""The result of `size`."""

from __future__ import annotations

from msgspec import Struct

from rigline.study.sizing import Choice
from rigline.study.study import Study


class Sizing(Struct, frozen=True):
    """What was chosen where the spec left it open, as `size` returns it."""

    choices: tuple[Choice, ...]
    study: Study

    def text(self) -> str:
        """Every choice with the limit that decided."""
        from rigline.outputs.sizes import sizes_text

        with self.study.system.shown():
            return sizes_text(self.study)

    def _repr_html_(self) -> str:
        from rigline.outputs.fragment import choices_html

        return choices_html(self.choices)
