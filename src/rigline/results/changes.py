"""The result of `changes`."""

from __future__ import annotations

from rigline.changes.change import Changes as ChangesOfStates
from rigline.results.forms import writer


class Changes(ChangesOfStates, frozen=True):
    """Everything that is different between two states of a system, as `changes` returns it."""

    def text(self, form: str = "text") -> str:
        """The changes as text, json or markdown.

        Raises:
            CommandError: There is no such form.
        """
        from rigline.outputs.changes_text import CHANGES

        with self.new.system.shown():
            return writer(CHANGES, form)(self)

    def _repr_html_(self) -> str:
        from rigline.outputs.fragment import changes_html

        with self.new.system.shown():
            return changes_html(self)


def changes_of(changes: ChangesOfStates) -> Changes:
    """The same changes as users get them."""
    return Changes(*(getattr(changes, name) for name in changes.__struct_fields__))
