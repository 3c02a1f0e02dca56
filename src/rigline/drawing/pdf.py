"""From SVG to PDF and PNG, through cairosvg.

This is the only module that knows the converter. It needs the system's cairo library, which no Python package brings
along; where it is missing, the message says how to get it. The lettering that the widths were computed for ships with
the package and is offered to the system before the library looks for fonts, so that a sheet looks the same everywhere.
"""

from __future__ import annotations

import atexit
import io
import os
import re
import shutil
import sys
import tempfile
from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

from rigline.drawing.description import described, with_text
from rigline.drawing.document import Bookmark, Document, Link
from rigline.layout.plan import Target

NO_DAY = (2000, 1, 1)
"""The day that a PDF claims if its spec has none: never the clock's, so that the same plan gives the same bytes."""
POINTS_PER_MM = 72 / 25.4
AROUND_MM = 60.0
"""How far round a bookmark's or link's target a reader looks. Our own choice: a phone shows it in readable size."""
CREATOR = "rigline"
CAIRO_HELP = (
    "PDF and PNG need the cairo graphics library, which is not installed. Install it with "
    "'apt-get install libcairo2' (Debian, Ubuntu), 'dnf install cairo' (Fedora), 'brew install cairo' (macOS) or, on "
    "Windows, 'pacman -S mingw-w64-ucrt-x86_64-cairo' in MSYS2 with C:\\msys64\\ucrt64\\bin added to PATH; "
    "or write the drawing as .svg or .html, which need nothing."
)
MAC_LIBRARIES = ("/opt/homebrew/lib", "/usr/local/lib", "/opt/local/lib", "/usr/lib")
"""Where package managers of macOS put cairo. Python looks in the second and the last only, so that it misses what
Homebrew installs on Apple silicon."""


class CairoMissing(Exception):
    """The system has no cairo library."""


def _font_settings(folder: Path, fonts: Path, system: str) -> Path:
    """A fontconfig file: the system's settings, the shipped fonts, and no other face of the same name."""
    path = folder / "fonts.conf"
    path.write_text(
        '<?xml version="1.0"?>\n<!DOCTYPE fontconfig SYSTEM "fonts.dtd">\n<fontconfig>\n'
        f'<include ignore_missing="yes">{escape(system)}</include>\n'
        "<selectfont><rejectfont><glob>/usr/share/fonts/*LiberationSans-*</glob></rejectfont></selectfont>\n"
        f"<dir>{escape(str(fonts))}</dir>\n<cachedir>{escape(str(folder))}</cachedir>\n</fontconfig>\n",
        encoding="utf-8",
    )
    return path


def _offer_fonts() -> None:
    """Lets fontconfig find the shipped fonts; Windows and macOS have a face of the same widths and don't use it."""
    if sys.platform in ("win32", "darwin"):
        return
    system = os.environ.get("FONTCONFIG_FILE", "/etc/fonts/fonts.conf")
    folder = Path(tempfile.mkdtemp(prefix="rigline-fonts-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    fonts = Path(str(files("rigline.drawing").joinpath("fonts")))
    os.environ["FONTCONFIG_FILE"] = str(_font_settings(folder, fonts, system))


def _offer_mac_libraries() -> None:
    """Lets Python find cairo where package managers of macOS put it, unless the user says where to look."""
    if sys.platform == "darwin":
        os.environ.setdefault("DYLD_FALLBACK_LIBRARY_PATH", ":".join(MAC_LIBRARIES))


@cache
def _converter() -> Any:
    """cairosvg's surfaces, loaded when a PDF or PNG is first asked for.

    Raises:
        CairoMissing: The system library could not be loaded.
    """
    _offer_fonts()
    _offer_mac_libraries()
    try:
        from cairosvg import surface
    except OSError as error:
        raise CairoMissing(CAIRO_HELP) from error
    return surface


def _page(svg: str, moment: str) -> bytes:
    """One sheet as a PDF of its own, with a fixed date."""
    surface = _converter()
    import cairocffi

    class Dated(cairocffi.PDFSurface):  # type: ignore[misc]  # cairocffi has no types
        def __init__(self, *arguments: Any) -> None:
            super().__init__(*arguments)
            self.set_metadata(cairocffi.PDF_METADATA_CREATOR, CREATOR)
            self.set_metadata(cairocffi.PDF_METADATA_CREATE_DATE, moment)

    dated_page: Any = type("DatedPage", (surface.PDFSurface,), {"surface_class": Dated})
    return bytes(dated_page.convert(bytestring=svg.encode()))


def _moment(document: Document) -> str:
    """Midnight of the document's day, else of a day that nobody takes for the clock's."""
    year, month, day = document.day or NO_DAY
    return f"{year:04}-{month:02}-{day:02}T00:00:00Z"


def pdf_bytes(svgs: Sequence[str], document: Document) -> bytes:
    """All sheets as one PDF, each page as large as its sheet, with an outline and links between references.

    Raises:
        CairoMissing: The system has no cairo library.
    """
    moment = _moment(document)
    pages = [_page(svg, moment) for svg in svgs]
    from pypdf import PdfWriter

    writer = PdfWriter()
    for page in pages:
        writer.append(io.BytesIO(page), import_outline=False)
    writer.metadata = {
        "/Title": document.title,
        "/Subject": described(svgs[0]),
        "/Creator": CREATOR,
        "/Producer": CREATOR,
        "/CreationDate": f"D:{re.sub('[-T:]', '', moment)}",
    }
    _bookmark(writer, document.bookmarks, None)
    for link in document.links:
        _link(writer, link)
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def _spot(writer: Any, x_mm: float, y_mm: float, sheet: int) -> tuple[float, float]:
    """A point of a sheet as a page counts: in points, from the lower left corner."""
    height = float(writer.pages[sheet - 1].mediabox.height)
    return x_mm * POINTS_PER_MM, height - y_mm * POINTS_PER_MM


def _view(writer: Any, target: Target) -> Any:
    """Where a page opens: all of it for its corner, else close to the point, with what stands round it."""
    from pypdf.generic import Fit

    if (target.x_mm, target.y_mm) == (0.0, 0.0):
        return Fit.fit()
    x, y = _spot(writer, target.x_mm, target.y_mm, target.sheet)
    around = AROUND_MM * POINTS_PER_MM
    return Fit.fit_rectangle(x - around, y - around, x + around, y + around)


def _bookmark(writer: Any, marks: Sequence[Bookmark], parent: Any) -> None:
    for mark in marks:
        page = mark.target.sheet - 1
        added = writer.add_outline_item(
            title=mark.title, page_number=page, parent=parent, fit=_view(writer, mark.target), is_open=False
        )
        _bookmark(writer, mark.below, added)


def _link(writer: Any, link: Link) -> None:
    from pypdf.annotations import Link as Annotation

    x0, y1 = _spot(writer, link.box[0], link.box[1], link.sheet)
    x1, y0 = _spot(writer, link.box[2], link.box[3], link.sheet)
    view = _view(writer, link.target)
    annotation = Annotation(rect=(x0, y0, x1, y1), target_page_index=link.target.sheet - 1, fit=view)
    writer.add_annotation(link.sheet - 1, annotation)


def to_png(svg: str, dpi: float = 150) -> bytes:
    """One sheet as a picture on white.

    Raises:
        CairoMissing: The system has no cairo library.
    """
    png = bytes(_converter().PNGSurface.convert(bytestring=svg.encode(), dpi=dpi, background_color="white"))
    return with_text(png, described(svg))
