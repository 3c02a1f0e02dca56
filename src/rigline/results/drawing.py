"""The result of `draw`."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct
from msgspec.structs import replace

from rigline.drawing.document import Document
from rigline.errors import CommandError
from rigline.results.report import Report
from rigline.study.study import Study


class Drawing(Struct, frozen=True):
    """The sheets of a one-line diagram, as `draw` returns them."""

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

    def _repr_html_(self) -> str:
        from rigline.outputs.fragment import sheets_html

        return sheets_html(self.svgs)

    def _repr_svg_(self) -> str | None:
        """The sheet, if there is one; a notebook takes several from `_repr_html_`."""
        return self.svgs[0] if len(self.svgs) == 1 else None

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

        with self.study.system.shown():
            return drawing_page(self.study, self.report, self.svgs)

    @staticmethod
    def _png(svg: str) -> bytes:
        from rigline.drawing.pdf import CairoMissing, to_png

        try:
            return to_png(svg)
        except CairoMissing as error:
            raise CommandError(str(error)) from None
