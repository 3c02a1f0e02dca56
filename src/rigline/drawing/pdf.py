"""From SVG to PDF and PNG, through cairosvg.

This is the only module that knows the converter. It needs the system's cairo library, which no Python package brings
along; where it is missing, the message says how to get it. The lettering that the widths were computed for ships with
the package and is offered to the system before the library looks for fonts, so that a sheet looks the same everywhere.
"""

from __future__ import annotations

import atexit
import io
import os
import shutil
import sys
import tempfile
from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

CREATION_DATE = "2000-01-01T00:00:00Z"
"""Every PDF claims this moment, so that the same plan gives the same bytes."""
CREATOR = "rigline"
CAIRO_HELP = (
    "PDF and PNG need the cairo graphics library, which is not installed. Install it with "
    "'apt-get install libcairo2' (Debian, Ubuntu), 'dnf install cairo' (Fedora) or 'brew install cairo' (macOS), "
    "or write the drawing as SVG."
)


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


@cache
def _converter() -> Any:
    """cairosvg's surfaces, loaded when a PDF or PNG is first asked for.

    Raises:
        CairoMissing: The system library could not be loaded.
    """
    _offer_fonts()
    try:
        from cairosvg import surface
    except OSError as error:
        raise CairoMissing(CAIRO_HELP) from error
    return surface


def _page(svg: str, title: str) -> bytes:
    """One sheet as a PDF of its own, with a fixed date and a title."""
    surface = _converter()
    import cairocffi

    class Dated(cairocffi.PDFSurface):  # type: ignore[misc]  # cairocffi has no types
        def __init__(self, *arguments: Any) -> None:
            super().__init__(*arguments)
            self.set_metadata(cairocffi.PDF_METADATA_TITLE, title)
            self.set_metadata(cairocffi.PDF_METADATA_CREATOR, CREATOR)
            self.set_metadata(cairocffi.PDF_METADATA_CREATE_DATE, CREATION_DATE)

    dated_page: Any = type("DatedPage", (surface.PDFSurface,), {"surface_class": Dated})
    return bytes(dated_page.convert(bytestring=svg.encode()))


def _merged(pages: Sequence[bytes], title: str) -> bytes:
    """Several pages in one file."""
    from pypdf import PdfWriter

    writer = PdfWriter()
    for page in pages:
        writer.append(io.BytesIO(page))
    writer.metadata = {
        "/Title": title,
        "/Creator": CREATOR,
        "/Producer": CREATOR,
        "/CreationDate": "D:20000101000000Z",
    }
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def pdf_bytes(svgs: Sequence[str], title: str) -> bytes:
    """All sheets as one PDF, each page as large as its sheet.

    Raises:
        CairoMissing: The system has no cairo library.
    """
    pages = [_page(svg, title) for svg in svgs]
    return pages[0] if len(pages) == 1 else _merged(pages, title)


def to_png(svg: str, dpi: float = 150) -> bytes:
    """One sheet as a picture on white.

    Raises:
        CairoMissing: The system has no cairo library.
    """
    return bytes(_converter().PNGSurface.convert(bytestring=svg.encode(), dpi=dpi, background_color="white"))
