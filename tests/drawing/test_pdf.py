"""PDF and PNG: page sizes, fonts, and what happens without the system library."""

from __future__ import annotations

import builtins
import io
import os
import subprocess
import sys
from ctypes.macholib.dyld import dyld_find
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace
from pypdf import PdfReader

from rigline.drawing import pdf
from rigline.drawing.document import Document, document_of
from rigline.drawing.furniture import Furniture
from rigline.drawing.render import render_sheets
from rigline.layout.plan import SHEET_SIZES, PlacedWire, Sheet, SheetPlan, Target, Text
from rigline.layout.text import text_box

POINTS_PER_MM = 72 / 25.4


def wire(id: str, *texts: Text) -> PlacedWire:
    return PlacedWire(id, "W1", "dc", ((60.0, 60.0), (60.0, 78.0)), texts)


def flat(outline: Any) -> list[Any]:
    """The entries of an outline in the order of reading."""
    return [one for mark in outline for one in (flat(mark) if isinstance(mark, list) else [mark])]


def links(page: Any) -> list[Any]:
    """What can be touched on a page."""
    return [note.get_object() for note in page["/Annots"]]


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
    page = read(pdf.pdf_bytes(render_sheets(replace(plan, size=SHEET_SIZES[name]), facts), Document("Trailer"))).pages[
        0
    ]
    size_mm = (float(page.mediabox.width) / POINTS_PER_MM, float(page.mediabox.height) / POINTS_PER_MM)
    assert size_mm == pytest.approx(paper_mm[name], abs=0.05)


def test_all_sheets_stand_in_one_file(plan: SheetPlan, facts: Furniture, sheet: Sheet) -> None:
    svgs = render_sheets(replace(plan, sheets=(sheet, replace(sheet, number=2))), facts)
    assert len(read(pdf.pdf_bytes(svgs, Document("Trailer"))).pages) == len(svgs) == 2


@pytest.mark.parametrize("sheets", (1, 2))
def test_the_same_sheets_give_the_same_bytes_and_no_time_of_day(
    plan: SheetPlan, facts: Furniture, sheet: Sheet, sheets: int
) -> None:
    svgs = render_sheets(replace(plan, sheets=(sheet,) * sheets), facts)
    first, second = pdf.pdf_bytes(svgs, Document("Trailer")), pdf.pdf_bytes(svgs, Document("Trailer"))
    metadata = read(first).metadata
    assert first == second
    assert metadata is not None
    moment = str(metadata.creation_date_raw).removeprefix("D:")[:14]
    assert (metadata.title, moment) == ("Trailer", "20000101000000")


def test_names_can_be_searched_in_the_pdf(plan: SheetPlan, facts: Furniture) -> None:
    text = (
        read(pdf.pdf_bytes(render_sheets(plan, replace(facts, title="A <b> & $c$ 35 mm² Ω")), Document("Trailer")))
        .pages[0]
        .extract_text()
    )
    assert "A <b> & $c$ 35 mm² Ω" in text
    assert "B1 Bench bank" in text


def test_a_file_claims_the_day_of_its_spec_and_an_unlikely_one_without(plan: SheetPlan, facts: Furniture) -> None:
    svgs = render_sheets(plan, facts)
    days = []
    for date in ("2026-11-20", "20 November", "2026-13-40", ""):
        metadata = read(pdf.pdf_bytes(svgs, Document("Trailer", date))).metadata
        assert metadata is not None
        days.append(str(metadata.creation_date_raw))
    assert days == ["D:20261120000000Z", *["D:20000101000000Z"] * 3]


def test_the_outline_leads_to_every_sheet_and_every_component(plan: SheetPlan, facts: Furniture, sheet: Sheet) -> None:
    both = replace(plan, sheets=(sheet, Sheet(2)))
    reader = read(pdf.pdf_bytes(render_sheets(both, facts), document_of(both, 2, "Trailer", "")))
    found = [(mark.title, reader.get_destination_page_number(mark)) for mark in flat(reader.outline)]
    assert found == [("Sheet 1 of 2", 0), ("Bench bank, 25.6 V", 0), ("Sheet 2 of 2", 1)]


def test_a_reference_to_another_sheet_is_a_link_to_its_other_side(plan: SheetPlan, facts: Furniture) -> None:
    there, back = Target(2, 100.0, 50.0), Target(1, 60.0, 80.0)
    sheets = (
        Sheet(1, wires=(wire("W1a", Text(60.0, 80.0, "to sheet 2 / A2", 1.8, leads_to=there)),)),
        Sheet(2, wires=(wire("W1a", Text(100.0, 50.0, "from sheet 1 / B1", 1.8, leads_to=back)),)),
    )
    both = replace(plan, sheets=sheets)
    reader = read(pdf.pdf_bytes(render_sheets(both, facts), document_of(both, 2, "Trailer", "")))
    found = [
        (page.page_number, reader.get_page_number(link["/Dest"][0].get_object()))
        for page in reader.pages
        for link in links(page)
    ]
    assert found == [(0, 1), (1, 0)]


def test_a_link_lies_on_its_words(plan: SheetPlan, facts: Furniture) -> None:
    text = Text(60.0, 80.0, "to sheet 2 / A2", 1.8, leads_to=Target(1, 100.0, 50.0))
    one = replace(plan, sheets=(Sheet(1, wires=(wire("W1a", text),)),))
    reader = read(pdf.pdf_bytes(render_sheets(one, facts), document_of(one, 1, "Trailer", "")))
    x0, y0, x1, y1 = (float(edge) / POINTS_PER_MM for edge in links(reader.pages[0])[0]["/Rect"])
    wanted = text_box(text)
    assert (x0, 297.0 - y1, x1, 297.0 - y0) == pytest.approx(wanted, abs=0.02)


FONTS = """
import io, sys
from pypdf import PdfReader
from rigline.drawing.document import Document
from rigline.drawing.pdf import pdf_bytes
from rigline.drawing.render import render_ink
from rigline.drawing.ink import Ink
from rigline.layout.plan import SHEET_SIZES, Text
texts = Ink(texts=(Text(50.0, 50.0, "B1"), Text(50.0, 60.0, "B2", bold=True)))
svg = render_ink(SHEET_SIZES["a4"], "t", "d", [("p", texts)])
page = PdfReader(io.BytesIO(pdf_bytes([svg], Document("t")))).pages[0]
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
    message = str(caught.value)
    ways = ("apt-get install libcairo2", "dnf install cairo", "brew install cairo", "mingw-w64-ucrt-x86_64-cairo")
    assert [way for way in ways if way not in message] == []
    assert "\n" not in message


def test_on_a_mac_cairo_is_found_where_homebrew_puts_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Python's own search of macOS, which runs on any system, finds a library in the first of the folders."""
    library = tmp_path / "libcairo.dylib"
    library.touch()
    monkeypatch.setattr(sys, "platform", "darwin")
    monkeypatch.setattr(pdf, "MAC_LIBRARIES", (str(tmp_path), *pdf.MAC_LIBRARIES))
    # Set and deleted, so that what the function sets is taken away after the test.
    monkeypatch.setenv("DYLD_FALLBACK_LIBRARY_PATH", "")
    monkeypatch.delenv("DYLD_FALLBACK_LIBRARY_PATH")
    pdf._offer_mac_libraries()

    assert dyld_find("libcairo.dylib") == str(library)
