"""The typical year as a picture: state of charge, energy by month, and the cloudy spell, on one sheet.

The plot library is loaded only here, and only for a plot. What it makes is put in order for print: no script, no
date, no random names, the same bytes each time. Lines differ by dash and bars by darkness, so that grey prints tell
them apart.
"""

from __future__ import annotations

import sys
import xml.etree.ElementTree as ElementTree
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from rigline.energy.balance import Balance
from rigline.energy.outcome import Year
from rigline.energy.report_facts import EnergyReport
from rigline.energy.sun import DAYS_OF_YEAR, HOURS_OF_DAY, MONTH_DAYS, MONTHS

if TYPE_CHECKING:
    from pygal.graph.graph import Graph

SVG = "http://www.w3.org/2000/svg"
WIDTH, TOP, HEIGHT, FOOT = 800, 64, 330, 46
"""Measures of the sheet in pixels: its width, the title, each chart, and the note below."""
FONT = "Liberation Sans, Arial, Helvetica, sans-serif"
DARK, MIDDLE, SKY, LIGHT = "#1f2a36", "#2f6f9f", "#6fa8cf", "#d9a441"
"""Colours from dark to light, so that they differ in grey too."""
PERCENT = 100.0
FLOOR = "lowest that is used"


class Stroke(Struct, frozen=True):
    """How a line looks."""

    colour: str
    width: float
    dash: str = ""

    @property
    def style(self) -> dict[str, object]:
        """As the plot library wants it."""
        return {"width": self.width, **({"dasharray": self.dash} if self.dash else {})}


_FLOOR = Stroke("#777777", 1.6, "7, 5")
STROKES = {
    "charge": (Stroke(SKY, 1.6), Stroke(DARK, 2.4), _FLOOR),
    "spell": (Stroke(DARK, 2.4), Stroke(MIDDLE, 1.8, "3, 3"), _FLOOR),
}
"""Lines of each chart, in the order of its legend."""
TITLE_CHARACTERS = 70
"""Longest title that fits the sheet."""


class PlotMissing(Exception):
    """The plot library is not installed."""


def plot_svg(report: EnergyReport) -> str:
    """The sheet as one SVG; its balance must have a year."""
    ElementTree.register_namespace("", SVG)
    found = report.balance
    charts = [_tidied(chart, name) for name, chart in _charts(found)]
    height = TOP + HEIGHT * len(charts) + FOOT
    sheet = ElementTree.Element(
        f"{{{SVG}}}svg", {"viewBox": f"0 0 {WIDTH} {height}", "width": str(WIDTH), "height": str(height), "role": "img"}
    )
    title = found.system.head.title or "untitled"
    ElementTree.SubElement(sheet, f"{{{SVG}}}title").text = f"Energy over a typical year: {title}"
    ElementTree.SubElement(sheet, f"{{{SVG}}}rect", {"width": "100%", "height": "100%", "fill": "#ffffff"})
    shown = title if len(title) <= TITLE_CHARACTERS else f"{title[: TITLE_CHARACTERS - 1]}…"
    _text(sheet, 24, 30, shown, size=20, bold=True)
    _text(sheet, 24, 52, _subtitle(found), size=12)
    for index, chart in enumerate(charts):
        chart.set("x", "0")
        chart.set("y", str(TOP + HEIGHT * index))
        chart.set("width", str(WIDTH))
        chart.set("height", str(HEIGHT))
        sheet.append(chart)
    _text(sheet, 24, height - 26, "A typical year, never the worst: it leaves out the rare dark one.", size=12)
    _text(sheet, 24, height - 10, _basis(found), size=10)
    return ElementTree.tostring(sheet, encoding="unicode") + "\n"


def _text(sheet: ElementTree.Element, x: int, y: int, text: str, *, size: int, bold: bool = False) -> None:
    style = {"x": str(x), "y": str(y), "font-family": FONT, "font-size": str(size), "fill": DARK}
    ElementTree.SubElement(sheet, f"{{{SVG}}}text", style | ({"font-weight": "bold"} if bold else {})).text = text


def _subtitle(found: Balance) -> str:
    bank, year = found.bank, found.year
    assert bank is not None
    assert year is not None
    array_w = sum(array.power_w for array in found.arrays)
    short = f"{year.short_days} days short" if year.short_days else "no day short"
    parts = [f"battery {bank.capacity_wh / 1000:.2f} kWh", f"array {array_w:.0f} W" if array_w else "no array",
             f"loads {found.loads.day_wh:.0f} Wh a day", short]  # fmt: skip
    if found.system.head.revision:
        parts.insert(0, f"revision {found.system.head.revision}")
    return ", ".join(parts)


def _basis(found: Balance) -> str:
    longest = 125
    if found.sun is None:
        return ""
    text = f"Sun: {found.sun.basis}."
    return text if len(text) <= longest else f"{text[: longest - 1]}…"


def _charts(found: Balance) -> Iterator[tuple[str, Graph]]:
    year = found.year
    assert year is not None
    yield "charge", _charge_chart(found, year)
    yield "months", _month_chart(year)
    if found.spells:
        yield "spell", _spell_chart(found)


def _library() -> Any:
    try:
        import pygal
        import pygal.style
    except ImportError:
        raise PlotMissing('a plot needs the library pygal; install it: pip install "rigline[plot]"') from None
    # It leaves a finder of an old form among Python's own, which every later import would warn of.
    sys.meta_path[:] = [finder for finder in sys.meta_path if hasattr(finder, "find_spec")]
    return pygal


def _chart(kind: str, colours: tuple[str, ...], **options: Any) -> Graph:
    pygal = _library()
    style = pygal.style.Style(
        background="#ffffff", plot_background="#ffffff", foreground=DARK, foreground_strong=DARK,
        foreground_subtle="#555555", guide_stroke_color="#cccccc", major_guide_stroke_color="#bbbbbb",
        guide_stroke_dasharray="2,3", major_guide_stroke_dasharray="2,3", opacity=1, opacity_hover=1, transition="0s",
        colors=colours, font_family=FONT, title_font_size=15, label_font_size=12, major_label_font_size=12,
        legend_font_size=12, stroke_width=1.6,
    )  # fmt: skip
    chart: Graph = getattr(pygal, kind)(
        style=style, js=[], width=WIDTH, height=HEIGHT, explicit_size=False, show_dots=False, legend_at_bottom=True,
        legend_at_bottom_columns=3, legend_box_size=14, disable_xml_declaration=True, x_label_rotation=0.001, spacing=8,
        margin=14, truncate_legend=-1, truncate_label=-1, show_y_guides=True, **options,
    )  # fmt: skip
    return chart


def _lines(name: str, **options: Any) -> Graph:
    colours = tuple(stroke.colour for stroke in STROKES[name])
    y_labels = [0, 20, 40, 60, 80, 100]
    return _chart("Line", colours, range=(0, 100), y_labels=y_labels, show_minor_x_labels=False, **options)


def _charge_chart(found: Balance, year: Year) -> Graph:
    bank = found.bank
    assert bank is not None
    chart, (high, low, floor) = (
        _lines("charge", title="State of charge of each day, % of the battery"),
        STROKES["charge"],
    )
    names = {sum(MONTH_DAYS[:month]): name for month, name in enumerate(MONTHS)}
    chart.x_labels = [names.get(day, str(day)) for day in range(DAYS_OF_YEAR)]
    chart.x_labels_major = list(MONTHS)
    chart.add("highest of the day", _percents(year.daily_highest_frac), stroke_style=high.style)
    chart.add("lowest of the day", _percents(year.daily_lowest_frac), stroke_style=low.style)
    chart.add(FLOOR, [(1 - bank.usable_frac) * PERCENT] * DAYS_OF_YEAR, stroke_style=floor.style)
    return chart


def _percents(shares: tuple[float, ...]) -> list[float]:
    return [round(share * PERCENT, 2) for share in shares]


def _month_chart(year: Year) -> Graph:
    with_other = any(month.other_wh for month in year.months)
    colours = (LIGHT, SKY, DARK) if with_other else (LIGHT, DARK)
    chart = _chart("Bar", colours, title="Energy of a mean day, Wh", rounded_bars=0)
    chart.x_labels = list(MONTHS)
    chart.add("sun, as far as the array can", [round(month.sun_wh, 1) for month in year.months])
    if with_other:
        chart.add("engine, shore and the like", [round(month.other_wh, 1) for month in year.months])
    chart.add("loads, out of the battery", [round(month.load_wh, 1) for month in year.months])
    return chart


def _spell_chart(found: Balance) -> Graph:
    bank, spells = found.bank, found.spells
    assert bank is not None
    month, (*strokes, floor) = spells[0].month, STROKES["spell"]
    chart = _lines("spell", title=f"Cloudy spells in {month} and mean days behind them, % of the battery")
    longest = max(len(spell.stored_frac) for spell in spells)
    chart.x_labels = [f"day {h // HOURS_OF_DAY + 1}" if h % HOURS_OF_DAY == 0 else str(h) for h in range(longest)]
    chart.x_labels_major = [f"day {day + 1}" for day in range(longest // HOURS_OF_DAY)]
    for spell, stroke in zip(spells, strokes, strict=True):
        name = f"{spell.days} days with {spell.sun_frac * PERCENT:.0f} % of the sun"
        chart.add(name, _percents(spell.stored_frac), stroke_style=stroke.style)
    chart.add(FLOOR, [(1 - bank.usable_frac) * PERCENT] * longest, stroke_style=floor.style)
    return chart


def _tidied(chart: Graph, name: str) -> ElementTree.Element:
    """A chart without comments, scripts and tooltips, named after what it shows and not at random."""
    old, new = f"chart-{chart.uuid}", f"energy-{name}"
    text = ElementTree.tostring(ElementTree.fromstring(chart.render()), encoding="unicode")
    tree = ElementTree.fromstring(text.replace(old, new))
    _prune(tree)
    if name in STROKES:
        _draw_legend_as_lines(tree, STROKES[name])
    return tree


def _draw_legend_as_lines(chart: ElementTree.Element, strokes: tuple[Stroke, ...]) -> None:
    """The legend of a line shows its dash and width, not a box of its colour."""
    boxes = [box for box in chart.iter(f"{{{SVG}}}rect") if box.get("class", "").startswith("color-")]
    for box, stroke in zip(boxes, strokes, strict=True):
        x, y, size = (float(box.get(key, "0")) for key in ("x", "y", "width"))
        dash = f"; stroke-dasharray: {stroke.dash}" if stroke.dash else ""
        line = {"x1": f"{x - 10:g}", "x2": f"{x + size:g}", "y1": f"{y + size / 2:g}", "y2": f"{y + size / 2:g}"}
        box.clear()
        box.tag = f"{{{SVG}}}line"
        box.attrib.update({"style": f"stroke: {stroke.colour}; stroke-width: {stroke.width}{dash}", **line})


def _prune(node: ElementTree.Element) -> None:
    for child in list(node):
        kind = child.get("class", "")
        if (
            child.tag.endswith("}script")
            or child.tag.endswith("}desc")
            or kind in ("plot overlay", "plot text-overlay")
        ) or (child.tag.endswith("}g") and kind == "tooltip"):
            node.remove(child)
        else:
            _prune(child)
