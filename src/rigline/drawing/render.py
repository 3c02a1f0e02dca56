"""From ink to SVG, through schemdraw.

This is the only module that knows the drawing library. One drawing unit is one millimetre and one unit of the viewBox,
so the numbers in the file are the numbers of the plan. Every component and every wire is a group of its own: schemdraw
draws into a group that it is handed as its canvas. A last pass makes the bytes canonical: the same plan always gives
the same file.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from itertools import groupby
from typing import Any, cast
from xml.etree import ElementTree

import schemdraw
from msgspec.structs import replace
from schemdraw.backends.svg import Figure
from schemdraw.elements import Element
from schemdraw.segments import Segment, SegmentArc, SegmentCircle, SegmentPoly, SegmentText, SegmentType
from schemdraw.transform import Transform
from schemdraw.types import XY, BBox, Linestyle
from schemdraw.util import Point

from rigline.drawing.flags import flag_ink
from rigline.drawing.furnish import SheetFurniture, furnish
from rigline.drawing.furniture import Furniture
from rigline.drawing.ink import Ink, Placing, gathered, glyph_text, symbol_ink
from rigline.drawing.svg_text import svg_text
from rigline.drawing.symbol import Arc, Box, Circle, Polyline, Stroke
from rigline.drawing.symbols import REFERENCES, symbol_for
from rigline.drawing.wires import bar_ink, counts_ink, dot_ink, frame_ink, wire_ink
from rigline.layout.hubs import MARK
from rigline.layout.plan import CHANGE, Flag, PlacedSymbol, PlacedWire, Sheet, SheetPlan, SheetSize, Text
from rigline.layout.text import em_mm, printable

FONT_FAMILY = "Liberation Sans, Arial, Helvetica, sans-serif"
"""One class of widths on every system; the first one ships with the package."""
SEVERITY_COLORS = {"danger": "#C00000", "fault": "#C00000", "question": "#0072B2", "advice": "black", CHANGE: "#00663A"}
"""Colours of flags when colour is asked for; the shape says the same. Contrast on white at least 4.5 : 1."""

schemdraw.use("svg")
# With a mathematics package beside it, schemdraw would write outlines instead of text.
schemdraw.svgconfig.text = "text"


class _Page(schemdraw.Drawing):
    """A drawing whose page is set by us: measuring what stands on it would cost most of the time."""

    def get_bbox(self) -> BBox:
        return BBox(0.0, 0.0, 1.0, 1.0)


class _Still(Transform):
    """No transformation: ink stands at its final place, and turning every point by nothing takes time."""

    def transform(self, pt: XY) -> Point:
        return Point(pt)


_STILL = _Still(0.0, (0.0, 0.0))


class _Group(Element):  # type: ignore[no-untyped-call]
    """One schemdraw element made of the strokes and texts of one piece of ink."""

    def __init__(self, segments: list[SegmentType]) -> None:
        super().__init__()
        self.segments = segments

    def get_bbox(self, transform: bool = False, includetext: bool = True) -> BBox:
        return BBox(0.0, 0.0, 1.0, 1.0)

    def _draw(self, fig: Figure) -> None:
        # Every segment has a style of its own; schemdraw would gather the defaults of all layers for each.
        for segment in self.segments:
            segment.draw(fig, _STILL)


def _up(point: tuple[float, float]) -> tuple[float, float]:
    """A point of the sheet as schemdraw counts, y upwards."""
    return (point[0], -point[1])


def _dash(lengths_mm: tuple[float, ...]) -> Linestyle:
    """A pattern in numbers, which schemdraw passes on although its type names four patterns only."""
    return cast(Linestyle, ",".join(f"{length:g}" for length in lengths_mm) or "-")


def _fill(fill: str, color: str) -> str:
    return color if fill == "black" else fill


def _segment(stroke: Stroke, color: str, z: int) -> SegmentType:
    """A stroke as a schemdraw segment. Strokes keep their order: a later one covers an earlier one."""
    if isinstance(stroke, Box):
        (x0, y0), (x1, y1) = stroke.start, stroke.end
        corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
        return _segment(Polyline(corners, stroke.width_mm, stroke.fill, closed=True), color, z)
    if isinstance(stroke, Circle):
        fill = _fill(stroke.fill, color)
        ls = _dash(stroke.dash_mm)
        return SegmentCircle(_up(stroke.center), stroke.radius_mm, color, stroke.width_mm, ls, fill, zorder=z)
    if isinstance(stroke, Arc):
        across = 2 * stroke.radius_mm
        return SegmentArc(
            _up(stroke.center),
            across,
            across,
            theta1=-stroke.end_deg,
            theta2=-stroke.start_deg,
            color=color,
            lw=stroke.width_mm,
            ls=_dash(stroke.dash_mm),
            fill="none",
            zorder=z,
        )
    if isinstance(stroke, Polyline):
        return _line_segment(stroke, color, z)
    return _Words(glyph_text(stroke), z)


def _line_segment(line: Polyline, color: str, z: int) -> SegmentType:
    points = [_up(point) for point in line.points]
    if line.closed:
        return SegmentPoly(
            points,
            color=color,
            fill=_fill(line.fill, color),
            lw=line.width_mm,
            ls=_dash(line.dash_mm),
            capstyle="butt",
            joinstyle="miter",
            zorder=z,
        )
    return Segment(
        points, color, line.width_mm, _dash(line.dash_mm), capstyle="butt", joinstyle="miter", fill="none", zorder=z
    )


class _Words(SegmentText):
    """One line of text on its baseline: the only alignment on which all viewers agree.

    Written straight to the page: schemdraw takes a label for markup and formulas and reads it twice, which took a fifth
    of the drawing's time.
    """

    def __init__(self, text: Text, z: int) -> None:
        super().__init__(_up((text.x_mm, text.y_mm)), "")
        self.words, self.z = text, z

    def draw(self, fig: Figure, transform: Transform, **style: Any) -> None:
        text = self.words
        attributes = {"fill": text.color, "font-size": str(em_mm(text.capital_mm)), "font-family": FONT_FAMILY}
        if text.anchor != "start":
            attributes["text-anchor"] = text.anchor
        if text.turn_deg:
            attributes["transform"] = f"rotate({-text.turn_deg} {text.x_mm} {text.y_mm})"
        if text.bold:
            attributes["font-weight"] = "bold"
        shown = ElementTree.Element("text", {"x": str(text.x_mm), "y": str(text.y_mm), **attributes})
        shown.text = printable(text.text)
        fig.svgelements.append((self.z, shown))


_LIFT = (math.nan, math.nan)
"""A point at which schemdraw lifts the pen."""


def _joined(strokes: Iterable[Stroke]) -> list[Stroke]:
    """Neighbouring open lines of one style as a single path: most of the time goes by the number of segments."""
    joined: list[Stroke] = []
    for stroke in strokes:
        last = joined[-1] if joined else None
        if (
            isinstance(stroke, Polyline)
            and isinstance(last, Polyline)
            and not stroke.closed
            and not last.closed
            and (stroke.width_mm, stroke.dash_mm) == (last.width_mm, last.dash_mm)
        ):
            joined[-1] = replace(last, points=(*last.points, _LIFT, *stroke.points))
        else:
            joined.append(stroke)
    return joined


def _draw(group: ElementTree.Element, ink: Ink) -> None:
    """Adds ink to a group. The group must have a child already, or schemdraw takes it for no canvas at all."""
    texts = [text for text in ink.texts if printable(text.text)]
    segments = [_segment(stroke, ink.color, z) for z, stroke in enumerate(_joined(ink.strokes))]
    segments += [_Words(text, len(segments) + z) for z, text in enumerate(texts)]
    if not segments:
        return
    # One inch per 72 units: schemdraw's point becomes the unit of the viewBox, which is a millimetre.
    page = _Page(canvas=group, show=False, inches_per_unit=1 / 72)
    page.add(_Group(segments))
    page.draw(show=False).getsvg()


class _Ids:
    """Names that are valid and unique in all sheets of a drawing, even when they stand in one page."""

    def __init__(self) -> None:
        self._taken: set[str] = set()

    def take(self, wanted: str) -> str:
        """The wanted name with every unsafe character replaced; numbered if it was used before."""
        safe = re.sub(r"[^A-Za-z0-9_.-]", "_", wanted)
        safe = safe if re.match(r"[A-Za-z_]", safe) else f"_{safe}"
        name, count = safe, 1
        while name in self._taken:
            count += 1
            name = f"{safe}-{count}"
        self._taken.add(name)
        return name


def _group(parent: ElementTree.Element, kind: str, title: str, **attributes: str) -> ElementTree.Element:
    """A group with a tooltip and the same words for those who listen."""
    group = ElementTree.SubElement(parent, "g", {"class": kind, "role": "img"})
    group.set("aria-label", printable(title))
    for name, value in attributes.items():
        group.set(name.replace("_", "-"), printable(value))
    ElementTree.SubElement(group, "title").text = printable(title)
    return group


def _symbol(placed: PlacedSymbol, style: str) -> Ink:
    ink = symbol_ink(symbol_for(placed.kind, style), Placing(placed.x_mm, placed.y_mm, placed.turn_deg), placed.later)
    return ink + Ink(texts=placed.texts)


def _flag(flag: Flag, color: bool) -> Ink:
    ink = flag_ink(flag.number, flag.severity, flag.x_mm, flag.y_mm, flag.waived)
    return Ink(ink.strokes, ink.texts, SEVERITY_COLORS[flag.severity] if color else "black")


def _draw_sheet(
    root: ElementTree.Element, sheet: Sheet, style: str, colors: Mapping[str, tuple[str, ...]] | None, ids: _Ids
) -> None:
    """What the layout placed, from the back to the front."""
    if sheet.frames:
        _draw(_group(root, "places", "Places"), gathered(frame_ink(frame) for frame in sheet.frames))
    for run in dict.fromkeys(wire.run for wire in sheet.wires):
        _draw_run(root, run, [wire for wire in sheet.wires if wire.run == run], colors, ids)
    counts = counts_ink(sheet.wires)
    if counts.strokes:
        _draw(_group(root, "counts", "Conductor counts"), counts)
    for bar in sheet.bars:
        _draw(_component(root, bar.id, bar.kind, bar.title, ids), bar_ink(bar))
    if sheet.dots:
        _draw(_group(root, "joints", "Joints"), gathered(dot_ink(dot) for dot in sheet.dots))
    for placed in sheet.symbols:
        _draw(_component(root, placed.id, placed.kind, placed.title, ids), _symbol(placed, style))
    if sheet.texts:
        _draw(_group(root, "references", "References"), Ink(texts=sheet.texts))
    for flag in sheet.flags:
        _draw(_flag_group(root, flag), _flag(flag, colors is not None))


def _flag_group(root: ElementTree.Element, flag: Flag) -> ElementTree.Element:
    if flag.severity == CHANGE:
        return _group(root, "change", f"Change {flag.number}", data_change=str(flag.number))
    waived = ", waived" if flag.waived else ""
    return _group(root, "flag", f"Finding {flag.number}, {flag.severity}{waived}", data_finding=str(flag.number))


def _draw_run(
    root: ElementTree.Element,
    run: str,
    wires: list[PlacedWire],
    colors: Mapping[str, tuple[str, ...]] | None,
    ids: _Ids,
) -> None:
    """A run as a group of its stretches; the lines between a symbol and its own bar are no run of the spec."""
    titles = [wire.title for wire in wires if wire.title]
    holder = _group(root, "run", "; ".join([run, *titles]), id=ids.take(f"run-{run}"), data_run=run) if titles else root
    for wire in wires:
        named = {} if MARK in wire.id else {"data_run": wire.run, "data_id": wire.id}
        group = _group(holder, "wire", wire.title or wire.id, id=ids.take(wire.id), **named)
        for ink in wire_ink(wire, None if colors is None else colors.get(wire.id, ())):
            _draw(group, ink)


def _component(root: ElementTree.Element, name: str, kind: str, title: str, ids: _Ids) -> ElementTree.Element:
    kind_of_group = "reference" if kind in REFERENCES else "component"
    # A battery's own bar is the battery.
    own = name.partition(MARK)[0]
    return _group(root, kind_of_group, title or f"{name}, {kind}", id=ids.take(name), data_id=own, data_kind=kind)


def _root(size: SheetSize, title: str, description: str) -> ElementTree.Element:
    """An empty white sheet, true to scale."""
    width, height = f"{size.width_mm:g}", f"{size.height_mm:g}"
    root = ElementTree.Element("svg", {"xmlns": "http://www.w3.org/2000/svg", "width": f"{width}mm"})
    root.attrib |= {"height": f"{height}mm", "viewBox": f"0 0 {width} {height}", "role": "graphics-document"}
    ElementTree.SubElement(root, "title").text = printable(title)
    ElementTree.SubElement(root, "desc").text = printable(description)
    ElementTree.SubElement(root, "rect", {"width": width, "height": height, "fill": "white"})
    return root


def render_ink(size: SheetSize, title: str, description: str, parts: Iterable[tuple[str, Ink]]) -> str:
    """A sheet of named pieces of ink, for drawings that aren't one-lines."""
    root = _root(size, title, description)
    for name, ink in parts:
        _draw(_group(root, "part", name), ink)
    return svg_text(root)


def render_sheets(plan: SheetPlan, furniture: Furniture, style: str = "iec", color: bool = False) -> list[str]:
    """All sheets of a drawing as SVG, true to scale, one text per sheet.

    Args:
        style: iec or ieee, the set of symbols.
        color: Draws wires in the colour of their live conductor, and flags. Nothing is told by colour alone.
    """
    ids = _Ids()
    return [
        _sheet_svg(plan.size, sheet, decoration, furniture, style, color, ids)
        for sheet, decoration in furnish(plan, furniture, style, color)
    ]


def _sheet_svg(
    size: SheetSize,
    sheet: Sheet,
    decoration: SheetFurniture,
    furniture: Furniture,
    style: str,
    color: bool,
    ids: _Ids,
) -> str:
    title = f"{furniture.title}, sheet {decoration.number} of {decoration.count}"
    root = _root(size, title, decoration.description)
    _draw_sheet(root, sheet, style, furniture.colors if color else None, ids)
    for name, inks in decoration.parts:
        group = _group(root, "furniture", name)
        for _, same in groupby(inks, key=lambda ink: ink.color):
            _draw(group, gathered(same))
    return svg_text(root)
