"""PDF and PNG: page sizes, fonts, and what happens without the system library."""

from __future__ import annotations

import builtins
import io
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace
from pypdf import PdfReader

from rigline.drawing import pdf
from rigline.drawing.furniture import Furniture
from rigline.drawing.render import render_sheets
from rigline.layout.plan import SHEET_SIZES, Sheet, SheetPlan

POINTS_PER_MM = 72 / 25.4


def read(content: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(content))


@pytest.mark.parametrize("name", SHEET_SIZES)
def test_a_page_is_as_large_as_its_paper(plan: SheetPlan, facts: Furniture, name: str) -> None:
    """Sizes against ISO 216 (A4 210 x 297 mm, A3 297 x 420 mm) and ANSI A and B (8.5 x 11 in, 11 x 17 in)."""
    paper_mm = {
        "a4": (297, 210),
        "a3": (420, 297),
        "letter": (11 * 25.4, 8.5 * 25.4),
        "tabloid": (17 * 25.4, 11 * 25.4),
    }
    page = read(pdf.pdf_bytes(render_sheets(replace(plan, size=SHEET_SIZES[name]), facts), "Trailer")).pages[0]
    size_mm = (float(page.mediabox.width) / POINTS_PER_MM, float(page.mediabox.height) / POINTS_PER_MM)
    assert size_mm == pytest.approx(paper_mm[name], abs=0.05)


def test_all_sheets_stand_in_one_file(plan: SheetPlan, facts: Furniture, sheet: Sheet) -> None:
    svgs = render_sheets(replace(plan, sheets=(sheet, replace(sheet, number=2))), facts)
    assert len(read(pdf.pdf_bytes(svgs, "Trailer")).pages) == len(svgs) == 2


@pytest.mark.parametrize("sheets", (1, 2))
def test_the_same_sheets_give_the_same_bytes_and_no_time_of_day(
    plan: SheetPlan, facts: Furniture, sheet: Sheet, sheets: int
) -> None:
    svgs = render_sheets(replace(plan, sheets=(sheet,) * sheets), facts)
    first, second = pdf.pdf_bytes(svgs, "Trailer"), pdf.pdf_bytes(svgs, "Trailer")
    metadata = read(first).metadata
    assert first == second
    assert metadata is not None
    moment = str(metadata.creation_date_raw).removeprefix("D:")[:14]
    assert (metadata.title, moment) == ("Trailer", "20000101000000")


def test_names_can_be_searched_in_the_pdf(plan: SheetPlan, facts: Furniture) -> None:
    text = (
        read(pdf.pdf_bytes(render_sheets(plan, replace(facts, title="A <b> & $c$ 35 mm² Ω")), "Trailer"))
        .pages[0]
        .extract_text()
    )
    assert "A <b> & $c$ 35 mm² Ω" in text
    assert "B1 Bench bank" in text


FONTS = """
import io, sys
from pypdf import PdfReader
from rigline.drawing.pdf import pdf_bytes
from rigline.drawing.render import render_ink
from rigline.drawing.ink import Ink
from rigline.layout.plan import SHEET_SIZES, Text
texts = Ink(texts=(Text(50.0, 50.0, "B1"), Text(50.0, 60.0, "B2", bold=True)))
page = PdfReader(io.BytesIO(pdf_bytes([render_ink(SHEET_SIZES["a4"], "t", "d", [("p", texts)])], "t"))).pages[0]
fonts = [font.get_object()["/BaseFont"] for font in page["/Resources"]["/Font"].values()]
print(sorted(str(name).lstrip("/").split("+")[-1] for name in fonts))
"""


def test_the_shipped_lettering_is_used_even_on_a_system_without_fonts(tmp_path: Path) -> None:
    nothing = tmp_path / "fonts.conf"
    nothing.write_text('<?xml version="1.0"?><!DOCTYPE fontconfig SYSTEM "fonts.dtd"><fontconfig></fontconfig>')
    run = subprocess.run(
        [sys.executable, "-c", FONTS],
        env={**os.environ, "FONTCONFIG_FILE": str(nothing)},
        capture_output=True,
        check=True,
        text=True,
    )
    assert run.stdout.strip() == "['LiberationSans', 'LiberationSans-Bold']"


def test_a_picture_has_the_asked_resolution_and_a_white_ground(plan: SheetPlan, facts: Furniture) -> None:
    from PIL import Image

    image = Image.open(io.BytesIO(pdf.to_png(render_sheets(plan, facts)[0], dpi=50)))
    assert image.size == (round(420 / 25.4 * 50), round(297 / 25.4 * 50))
    assert image.convert("RGB").getpixel((2, 2)) == (255, 255, 255)


def test_without_the_system_library_the_message_says_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    real = builtins.__import__

    def failing(name: str, *rest: Any, **named: Any) -> Any:
        if name.startswith("cairosvg"):
            raise OSError("no library called 'cairo' was found")
        return real(name, *rest, **named)

    pdf._converter.cache_clear()
    monkeypatch.setattr(builtins, "__import__", failing)
    with pytest.raises(pdf.CairoMissing) as caught:
        pdf.to_png("<svg/>")
    pdf._converter.cache_clear()
    assert [
        word
        for word in ("apt-get install libcairo2", "dnf install cairo", "brew install cairo")
        if word not in str(caught.value)
    ] == []
