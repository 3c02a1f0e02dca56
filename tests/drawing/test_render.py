"""The SVG of a sheet: true to scale, grouped, safe, and the same bytes every time."""

from __future__ import annotations

import hashlib
import os
import re
import subprocess
import sys
from xml.etree import ElementTree

import pytest
from msgspec.structs import replace

from rigline.drawing.furniture import Furniture
from rigline.drawing.render import render_sheets
from rigline.drawing.symbols import ALL_KINDS
from rigline.layout.plan import Flag, PlacedSymbol, PlacedWire, Sheet, SheetPlan, Text

HOSTILE = (
    "<script>alert(1)</script>",
    "R&D bank",
    "$x$ and $5",
    "a\x00b\x07c\x1b[31m",
    "quote \" and '",
    "&amp; &#36;",
    "\\alpha ^2 _3 {x}",
    "]]>",
    "🔋 bank",
    "\u202egnp.kcip",
    "לוח ראשי",
    "line\nfeed\ttab",
    "\ud800 half",
    "%s {0} \\n",
)
SVG = "{http://www.w3.org/2000/svg}"


def parsed(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)


def groups(root: ElementTree.Element, kind: str) -> list[ElementTree.Element]:
    return [group for group in root.iter(f"{SVG}g") if group.get("class") == kind]


def title_of(group: ElementTree.Element) -> str | None:
    return group.findtext(f"{SVG}title")


def named(text: str) -> Sheet:
    """A sheet on which a text stands in every place that a spec can write to."""
    symbol = PlacedSymbol(text, "fuse", 50.0, 50.0, texts=(Text(55.0, 50.0, text),), title=text)
    wire = PlacedWire(text, text, "dc", ((50.0, 55.0), (50.0, 70.0)), texts=(Text(55.0, 65.0, text, 1.8),), title=text)
    return Sheet(1, symbols=(symbol,), wires=(wire,), texts=(Text(80.0, 80.0, text, turn_deg=90),))


def test_a_sheet_is_true_to_scale_with_one_unit_to_the_millimetre(plan: SheetPlan, facts: Furniture) -> None:
    root = parsed(render_sheets(plan, facts)[0])
    assert [root.get(name) for name in ("width", "height", "viewBox")] == ["420mm", "297mm", "0 0 420 297"]


def test_every_component_is_a_named_group_that_says_its_numbers(plan: SheetPlan, facts: Furniture) -> None:
    components = groups(parsed(render_sheets(plan, facts)[0]), "component")
    assert [group.get("id") for group in components] == ["BUS1", "B1", "F1", "LT1", "SC1", "GND"]
    assert (title_of(components[1]), components[1].get("aria-label"), components[1].get("role")) == (
        "Bench bank, 25.6 V",
        "Bench bank, 25.6 V",
        "img",
    )


def test_every_wire_is_a_group_with_its_run_and_its_numbers(plan: SheetPlan, facts: Furniture) -> None:
    wires = groups(parsed(render_sheets(plan, facts)[0]), "wire")
    assert [group.get("data-run") for group in wires] == ["W1", "W1", "W5", "W9", "W8"]
    assert title_of(wires[0]) == "W1a 1/0 AWG 0.15 m"


def test_a_wire_is_drawn_where_the_plan_has_it(plan: SheetPlan, facts: Furniture) -> None:
    wire = groups(parsed(render_sheets(plan, facts)[0]), "wire")[1]
    path = wire.find(f"{SVG}path")
    assert path is not None
    assert (path.get("d"), path.get("stroke-width")) == ("M 60,70 L 60,85", "0.5")


def test_as_many_strokes_cross_a_wire_as_it_has_conductors_and_four_are_a_figure(
    plan: SheetPlan, facts: Furniture
) -> None:
    root = parsed(render_sheets(plan, facts)[0])
    (counts,) = groups(root, "counts")
    assert [path.get("d", "").count("M ") for path in counts.findall(f"{SVG}path")] == [3]
    assert [text.text for text in counts.findall(f"{SVG}text")] == ["4"]


def test_a_mark_for_the_conductors_is_no_part_of_the_wire(plan: SheetPlan, facts: Furniture) -> None:
    wires = groups(parsed(render_sheets(plan, facts)[0]), "wire")
    assert {len(wire.findall(f"{SVG}path")) for wire in wires} == {1}


def test_kinds_of_wire_differ_without_colour(plan: SheetPlan, facts: Furniture) -> None:
    root = parsed(render_sheets(plan, facts)[0])
    lines = [group.find(f"{SVG}path") for group in groups(root, "wire")]
    styles = [(line.get("stroke-dasharray"), line.get("stroke-width")) for line in lines if line is not None]
    assert styles == [(None, "0.5"), (None, "0.5"), (None, "0.5"), ("4,1,0.8,1", "0.5"), ("5,2", "0.25")]
    assert {element.get("stroke") for element in root.iter()} == {None, "black"}


def test_colour_only_adds_and_never_moves_anything(plan: SheetPlan, facts: Furniture) -> None:
    plain, colored = render_sheets(plan, facts), render_sheets(plan, facts, color=True)
    drawing = plain[0].split('class="furniture"')[0], colored[0].split('class="furniture"')[0]
    without = [re.sub(r'(stroke|fill)="(?!none|white)[^"]*"', "", svg) for svg in drawing]
    assert without[0] == without[1]
    assert 'stroke="#0072B2"' in drawing[1]


def test_what_is_planned_for_later_is_dashed(plan: SheetPlan, facts: Furniture) -> None:
    root = parsed(render_sheets(plan, facts)[0])
    dashes = {
        group.get("id"): {element.get("stroke-dasharray") for element in group.iter(f"{SVG}polygon")}
        for group in groups(root, "component")
    }
    assert dashes["SC1"] == {"1.8,1", None}
    assert dashes["LT1"] == {None}


def test_the_shape_of_a_flag_tells_how_severe_it_is(plan: SheetPlan, facts: Furniture) -> None:
    severities = ("danger", "fault", "question", "advice")
    flags = tuple(Flag(i + 1, severity, 50.0 + 10 * i, 50.0) for i, severity in enumerate(severities))
    bare = replace(facts, findings=())
    root = parsed(render_sheets(replace(plan, sheets=(Sheet(1, flags=flags),)), bare)[0])
    shapes = [
        (shape.tag.removeprefix(SVG), len(shape.get("points", "").split()), shape.get("fill"))
        for group in groups(root, "flag")
        for shape in group
        if shape.tag in (f"{SVG}polygon", f"{SVG}circle")
    ]
    assert shapes == [("polygon", 8, "black"), ("polygon", 4, "white"), ("circle", 0, "white"), ("polygon", 4, "white")]
    assert title_of(groups(root, "flag")[0]) == "Finding 1, danger"
    assert [group.findtext(f"{SVG}text") for group in groups(root, "flag")] == ["1", "2", "3", "4"]


def test_a_flag_says_how_severe_its_finding_is_and_that_it_was_waived(plan: SheetPlan, facts: Furniture) -> None:
    sheet = Sheet(1, flags=(Flag(1, "danger", 50.0, 50.0), Flag(2, "advice", 60.0, 50.0, waived=True)))
    root = parsed(render_sheets(replace(plan, sheets=(sheet,)), facts)[0])
    assert [title_of(flag) for flag in groups(root, "flag")] == ["Finding 1, danger", "Finding 2, advice, waived"]


@pytest.mark.parametrize("name", HOSTILE)
def test_whatever_a_spec_calls_a_thing_is_text_and_nothing_else(plan: SheetPlan, facts: Furniture, name: str) -> None:
    hostile = replace(facts, title=name, author=name, notes=(name,), findings=())
    svg = render_sheets(replace(plan, sheets=(named(name),)), hostile)[0]
    root = parsed(svg)
    tags = {element.tag.removeprefix(SVG) for element in root.iter()}
    assert tags <= {"svg", "g", "title", "desc", "rect", "path", "polygon", "circle", "text"}
    shown = " ".join("".join(c if c.isprintable() else " " if c.isspace() else "" for c in name).split())
    assert [element.text for element in root.iter(f"{SVG}text")].count(shown) >= 4
    assert {title_of(group) for group in groups(root, "component")} == {shown}


def test_ids_are_valid_and_unique_even_if_the_plan_repeats_them(plan: SheetPlan, facts: Furniture) -> None:
    names = ("B1", "B1", "1st bank", "<b>", "é", "é", "B1-2", "")
    symbols = tuple(PlacedSymbol(name, "fuse", 50.0 + 10 * i, 50.0) for i, name in enumerate(names))
    root = parsed("".join(render_sheets(replace(plan, sheets=(Sheet(1, symbols=symbols),)), facts)))
    ids = [group.get("id") or "" for group in groups(root, "component")]
    assert len(set(ids)) == len(names)
    assert [name for name in ids if not re.fullmatch(r"[A-Za-z_][A-Za-z0-9_.-]*", name)] == []
    assert [group.get("data-id") for group in groups(root, "component")] == list(names)


def test_a_bus_that_goes_on_over_two_sheets_has_two_ids(plan: SheetPlan, facts: Furniture, sheet: Sheet) -> None:
    both = render_sheets(replace(plan, sheets=(sheet, replace(sheet, number=2))), facts)
    ids = [
        group.get("id")
        for svg in both[:2]
        for group in groups(parsed(svg), "component")
        if "BUS" in str(group.get("id"))
    ]
    assert ids == ["BUS1", "BUS1-2"]


def test_the_file_holds_no_long_numbers_styles_or_empty_dashes(plan: SheetPlan, facts: Furniture) -> None:
    svg = render_sheets(plan, facts)[0]
    assert re.findall(r"\d\.\d{4,}|[\" ,]-0[\" ,]|style=|dasharray=\"-|[eE]-\d", svg) == []


def test_every_text_names_its_lettering_and_stands_on_a_plain_baseline(plan: SheetPlan, facts: Furniture) -> None:
    texts = list(parsed(render_sheets(plan, facts)[0]).iter(f"{SVG}text"))
    assert {text.get("font-family") for text in texts} == {"Liberation Sans, Arial, Helvetica, sans-serif"}
    assert {text.get("dominant-baseline") for text in texts} == {None}
    assert min(float(text.get("font-size", 0)) for text in texts) * 0.688 >= 1.799


def test_the_same_plan_gives_the_same_bytes_twice_in_a_process(plan: SheetPlan, facts: Furniture) -> None:
    assert render_sheets(plan, facts) == render_sheets(plan, facts)


SCRIPT = """
import hashlib
from rigline.drawing.furniture import Furniture
from rigline.drawing.render import render_sheets
from rigline.drawing.symbols import ALL_KINDS
from rigline.layout.plan import *
symbols = tuple(PlacedSymbol(kind, kind, 50.0 + 5 * i, 60.0) for i, kind in enumerate(ALL_KINDS))
sheets = render_sheets(SheetPlan(SHEET_SIZES["a4"], (Sheet(1, symbols=symbols),)), Furniture("Trailer"))
print(hashlib.sha256("".join(sheets).encode()).hexdigest())
"""


def test_the_bytes_do_not_depend_on_the_hash_seed() -> None:
    digests = {
        subprocess.run(
            [sys.executable, "-c", SCRIPT],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            check=True,
            text=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(digests) == 1
    assert len(digests.pop().strip()) == 2 * hashlib.sha256().digest_size


@pytest.mark.parametrize("style", ("iec", "ieee"))
@pytest.mark.parametrize("kind", ALL_KINDS)
def test_every_kind_that_is_planned_for_later_is_dashed(
    plan: SheetPlan, facts: Furniture, kind: str, style: str
) -> None:
    symbols = (PlacedSymbol("X1", kind, 50.0, 50.0, later=True),)
    root = parsed(render_sheets(replace(plan, sheets=(Sheet(1, symbols=symbols),)), facts, style)[0])
    (later,) = groups(root, "component")
    assert any(stroke.get("stroke-dasharray") for stroke in later)
