"""The result of `notes`."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from msgspec import Struct

from rigline.notes.notes import Notes
from rigline.outputs.notes.blocks import Document
from rigline.results.drawing import Drawing
from rigline.results.forms import writer


class BuildNotes(Struct, frozen=True):
    """What a system is built, tested and inspected by, as `notes` returns it."""

    facts: Notes
    """Cautions, panels, fuses, steps and tests as data."""
    document: Document
    """The same in chapters, with the drawing."""
    drawing: Drawing

    @property
    def report_words(self) -> str:
        """The result of the check in a few words."""
        return self.drawing.report_words

    def text(self, form: str = "markdown") -> str:
        """The notes as markdown or html.

        Raises:
            CommandError: There is no such form.
        """
        writers: dict[str, Callable[[BuildNotes], str]] = {
            "markdown": lambda notes: notes.markdown(),
            "html": lambda notes: notes.html().decode(),
        }
        return writer(writers, form)(self)

    def _repr_html_(self) -> str:
        from rigline.outputs.notes.fragment import notes_fragment

        return notes_fragment(self.document)

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
