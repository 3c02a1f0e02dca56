"""A sheet looks the same wherever it is opened: a browser, a desktop's previewer, and our own PDF and PNG.

Each text must stand at the same place, to a pixel of an ordinary screen, in Chromium, in librsvg and in cairosvg: its
anchored edge (or its middle), its top and its foot. The other edge may be nearer, never farther: browsers move pairs
such as AW together (kerning), cairosvg does not, and layout measures without it. The two programs are system packages
that `.ci/run` installs; where one is missing, its test says so and is skipped.
"""

from __future__ import annotations

import io
import os
import shutil
import subprocess
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path
from xml.etree import ElementTree

import pytest
from PIL import Image

import rigline
from rigline.drawing.pdf import to_png
from rigline.layout.plan import Text
from rigline.layout.text import CAPITAL_EM, text_box

ROOT = Path(__file__).parent.parent.parent
SVG = "{http://www.w3.org/2000/svg}"
SCALE = 3
"""Pixels of the pictures for one pixel of a screen of 96 dots per inch."""
PIXELS_PER_MM = SCALE * 96 / 25.4
INK = 128
"""Darker than this is ink."""
Edges = tuple[int, int, int, int]


@pytest.fixture(scope="module")
def sheet() -> str:
    """The texts of a demo sheet without its lines: nothing else is near them."""
    ElementTree.register_namespace("", SVG.strip("{}"))
    root = ElementTree.fromstring(rigline.draw(rigline.read(ROOT / "specs" / "lights.yaml"), sheet="a4").svgs[0])
    for parent in list(root.iter()):
        for child in list(parent):
            if child.tag.removeprefix(SVG) in ("path", "polygon", "circle"):
                parent.remove(child)
    return ElementTree.tostring(root, encoding="unicode")


@pytest.fixture
def fonts(tmp_path: Path) -> dict[str, str]:
    """The environment of a program that finds the shipped lettering."""
    folder = files("rigline.drawing").joinpath("fonts")
    settings = tmp_path / "fonts.conf"
    settings.write_text(
        '<?xml version="1.0"?><!DOCTYPE fontconfig SYSTEM "fonts.dtd"><fontconfig>'
        f"<dir>{folder}</dir><cachedir>{tmp_path}</cachedir></fontconfig>"
    )
    return {**os.environ, "FONTCONFIG_FILE": str(settings), "HOME": str(tmp_path)}


def texts_of(svg: str) -> list[Text]:
    """Every text with its place, from the file itself."""
    found = []
    for element in ElementTree.fromstring(svg).iter(f"{SVG}text"):
        capital_mm = float(element.get("font-size", 0)) * CAPITAL_EM
        anchor, bold = element.get("text-anchor", "start"), element.get("font-weight") == "bold"
        x, y = float(element.get("x", 0)), float(element.get("y", 0))
        turned = 90 if "rotate" in element.get("transform", "") else 0
        found.append(Text(x, y, element.text or "", capital_mm, anchor, turned, bold))
    return found


def ink_edges(png: bytes, svg: str) -> dict[Text, Edges]:
    """Where the ink of each text begins and ends, in pixels of the picture."""
    dark = Image.open(io.BytesIO(png)).convert("L").point(lambda grey: 255 if grey < INK else 0)
    edges = {}
    for text in texts_of(svg):
        x0, y0, x1, y1 = (round(edge * PIXELS_PER_MM) for edge in text_box(text))
        box = dark.crop((x0 - 2, y0 - 2, x1 + 2, y1 + 2)).getbbox()
        assert box is not None, f"{text.text} is not where the file says"
        edges[text] = (x0 + box[0], y0 + box[1], x0 + box[2], y0 + box[3])
    return edges


def by_chromium(svg: Path, png: Path, environment: dict[str, str]) -> None:
    root = ElementTree.fromstring(svg.read_text(encoding="utf-8"))
    width, height = (
        round(float(root.get(side, "").removesuffix("mm")) * 96 / 25.4) + 1 for side in ("width", "height")
    )
    subprocess.run(
        [
            "chromium", "--headless=new", "--no-sandbox", "--disable-gpu", "--hide-scrollbars",
            f"--force-device-scale-factor={SCALE}", f"--window-size={width},{height + 200}",
            f"--user-data-dir={png.parent / 'profile'}", f"--screenshot={png}", svg.as_uri(),
        ],
        env=environment, check=True, capture_output=True, timeout=120,
    )  # fmt: skip


def by_librsvg(svg: Path, png: Path, environment: dict[str, str]) -> None:
    dots = str(96 * SCALE)
    command = ["rsvg-convert", "--dpi-x", dots, "--dpi-y", dots, "-o", str(png), str(svg)]
    subprocess.run(command, env=environment, check=True, capture_output=True, timeout=120)


def needs(program: str) -> pytest.MarkDecorator:
    """Skip where a system program is missing, and say which."""
    return pytest.mark.skipif(shutil.which(program) is None, reason=f"the system program {program} is not installed")


@pytest.mark.parametrize(
    "render",
    [
        pytest.param(by_chromium, marks=needs("chromium"), id="chromium"),
        pytest.param(by_librsvg, marks=needs("rsvg-convert"), id="librsvg"),
    ],
)
def test_every_text_stands_where_our_own_picture_has_it_to_a_pixel(
    render: Callable[[Path, Path, dict[str, str]], None], sheet: str, fonts: dict[str, str], tmp_path: Path
) -> None:
    svg, png = tmp_path / "sheet.svg", tmp_path / "sheet.png"
    svg.write_text(sheet, encoding="utf-8")
    render(svg, png, fonts)
    ours, theirs = ink_edges(to_png(sheet, dpi=96 * SCALE), sheet), ink_edges(png.read_bytes(), sheet)
    apart = {name: (ours[name], theirs[name]) for name in ours if farthest(ours[name], theirs[name], name) > SCALE}
    wider = {name for name in ours if length(theirs[name], name) > length(ours[name], name) + SCALE}
    assert (apart, wider) == ({}, set())


def farthest(ours: Edges, theirs: Edges, name: Text) -> float:
    """Greatest distance between the same places of two inks."""
    return max(abs(a - b) for a, b in zip(places(ours, name), places(theirs, name), strict=True))


def places(ink: Edges, name: Text) -> tuple[float, float, float]:
    """The anchored edge or the middle along the text, and both edges across it."""
    x0, y0, x1, y1 = ink
    start, end, near, far = (y1, y0, x0, x1) if name.turn_deg else (x0, x1, y0, y1)
    return ({"start": start, "middle": (start + end) / 2, "end": end}[name.anchor], near, far)


def length(ink: Edges, name: Text) -> int:
    return ink[3] - ink[1] if name.turn_deg else ink[2] - ink[0]


def test_a_text_that_is_a_little_off_is_noticed(sheet: str) -> None:
    """The measure itself: a baseline half a millimetre lower is more than a pixel."""
    first = texts_of(sheet)[0]
    moved = sheet.replace(f'y="{first.y_mm:g}"', f'y="{first.y_mm + 0.5:g}"', 1)
    ours, theirs = (ink_edges(to_png(svg, dpi=96 * SCALE), sheet) for svg in (sheet, moved))
    assert max(farthest(ours[name], theirs[name], name) for name in ours) > SCALE
