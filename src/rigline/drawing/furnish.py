"""What is drawn round a one-line on every sheet, and the lists that the strip can't hold.

From left to right the strip holds the legend, the cautions, notes and revisions, the findings, and the title block. On
small sheets the findings stand below the cautions. Whatever does not fit stands in full where the legend or the drawing
of some sheet leaves room, or else on sheets of lists behind the drawing, and the strip says where.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import product
from typing import TypeVar

from msgspec import Struct

from rigline.drawing.blocks import (
    GAP_MM,
    Block,
    change_block,
    finding_block,
    fitting,
    in_columns,
    paragraph,
    revision_block,
    stacked,
)
from rigline.drawing.frame import frame_and_zones
from rigline.drawing.furniture import CAUTIONS, HASH_NAME, STATUS, ChangeLine, FindingLine, Furniture
from rigline.drawing.ink import Ink, gathered, moved
from rigline.drawing.legend import LEAST_COLUMN_MM, ROW_MM, Entry, entry_ink, legend_entries
from rigline.drawing.spare import drawn_boxes, free_corner
from rigline.drawing.symbol import POWER_MM, THIN_MM, Polyline
from rigline.drawing.title_block import title_block
from rigline.layout.plan import CHANGE, Sheet, SheetPlan, SheetSize
from rigline.layout.sheet import Box, drawing_area, strip_box

SMALL_MM = 1.8
"""Height of headings, cautions and lists in the strip. Source: ISO 3098 series (from memory)."""
LIST_MM = 2.5
"""Height of lists on their own sheets. Source: ISO 3098 series (from memory)."""
INSET_MM = 1.6
"""From a line of the strip to what stands beside it. Our own choice."""
LIST_COLUMN_MM = 108.0
"""Least width of a column on a list sheet. Our own choice."""
LIST_GAP_MM = 6.0
"""Between those columns. Our own choice."""
SPARE_WIDTHS_MM = (108.0, 84.0, 66.0)
"""Widths of a list in the room that a drawing leaves free, best first. Our own choice."""

Part = tuple[str, tuple[Ink, ...]]


class SheetFurniture(Struct, frozen=True):
    """Everything round one sheet's drawing."""

    number: int
    count: int
    description: str
    parts: tuple[Part, ...]
    """Name and ink of each."""


class _Strip(Struct, frozen=True):
    """The strip's parts from left to right; no findings box where they share the one for cautions."""

    legend: Box
    texts: Box
    findings: Box | None
    title: Box


def _strip(size: SheetSize) -> _Strip:
    """How wide each part is: our own choice, tried on full sheets."""
    box = strip_box(size)
    wide = size.width_mm > 350
    title_mm, findings_mm, texts_mm = (134.0, 72.0, 60.0) if wide else (116.0, 0.0, 54.0)
    x3 = box.x1_mm - title_mm
    x2 = x3 - findings_mm
    x1 = x2 - texts_mm
    return _Strip(
        legend=Box(box.x0_mm, box.y0_mm, x1, box.y1_mm),
        texts=Box(x1, box.y0_mm, x2, box.y1_mm),
        findings=Box(x2, box.y0_mm, x3, box.y1_mm) if wide else None,
        title=Box(x3, box.y0_mm, box.x1_mm, box.y1_mm),
    )


def _inner(box: Box) -> Box:
    return Box(box.x0_mm + INSET_MM, box.y0_mm + INSET_MM, box.x1_mm - INSET_MM, box.y1_mm - INSET_MM / 2)


def _width(box: Box) -> float:
    return box.x1_mm - box.x0_mm


def _height(box: Box) -> float:
    return box.y1_mm - box.y0_mm


def _heading(text: str, room_mm: float, capital_mm: float = SMALL_MM, above_mm: float = 0.0) -> Block:
    words = paragraph(text, room_mm, capital_mm, bold=True)
    return Block(moved(words.ink, 0.0, above_mm), words.height_mm + above_mm)


def _cautions(room_mm: float) -> list[Block]:
    return [_heading("Cautions", room_mm), *(paragraph(caution, room_mm, SMALL_MM) for caution in CAUTIONS)]


def _list(heading: str, items: list[Block], room_mm: float, above_mm: float = GAP_MM) -> list[Block]:
    return [_heading(heading, room_mm, above_mm=above_mm), *items] if items else []


def _begun(blocks: list[Block], height_mm: float) -> list[Block]:
    """As many blocks as fit, unless only the heading does: alone it says nothing."""
    kept = fitting(blocks, height_mm)
    return blocks[:kept] if kept > 1 else []


def _filled(
    lists: dict[str, list[Block]], room_mm: float, height_mm: float, later: str
) -> tuple[list[Block], set[str]]:
    """As much of some lists as fits, a last line telling where they stand in full; and which of them did not fit."""
    everything = [block for blocks in lists.values() for block in blocks]
    if fitting(everything, height_mm) == len(everything):
        return everything, set()
    first, *others = (name for name, blocks in lists.items() if blocks)
    for missing in (others, [first, *others]):
        names = " and ".join(missing)
        pointer = paragraph(f"{names.capitalize()}: {later}", room_mm, SMALL_MM)
        kept = _begun(lists[first], height_mm - pointer.height_mm)
        if missing and (first in missing or len(kept) == len(lists[first])):
            return [*kept, pointer], set(missing)
    raise AssertionError("the pass with every list missing always returns")


Line = TypeVar("Line", FindingLine, ChangeLine)


def _listed_on(sheet: Sheet, plan: SheetPlan, lines: Iterable[Line], changes: bool) -> tuple[Line, ...]:
    """The findings, or changes, flagged on a sheet; the first sheet also lists those that are flagged nowhere."""
    flags = [(other, flag) for other in plan.sheets for flag in other.flags if (flag.severity == CHANGE) == changes]
    here = {flag.number for other, flag in flags if other is sheet}
    anywhere = {flag.number for _, flag in flags}
    first = sheet is plan.sheets[0]
    return tuple(line for line in lines if line.number in here or (first and line.number not in anywhere))


class _Filling(Struct, frozen=True):
    """What a strip shows, which lists (findings, changes, notes, ...) did not fit, and what the legend leaves free."""

    ink: tuple[Ink, ...]
    missing: frozenset[str]
    spare: Box


class _Home(Struct, frozen=True):
    """The sheet that has room for the lists that did not fit some strip."""

    sheet: Sheet
    ink: Ink
    told: str
    """Where the lists are, seen from the sheet itself."""


def _legend(box: Box, entries: list[Entry], elsewhere: str) -> tuple[list[Ink], Box | None]:
    """Entries down the columns of a box, and the room behind them; None if the last place tells where the rest is."""
    inner = _inner(box)
    columns = max(1, int(_width(inner) // LEAST_COLUMN_MM))
    heading = _heading("Legend", _width(inner))
    rows = int((_height(inner) - heading.height_mm) // ROW_MM)
    room, wide = columns * rows, _width(inner) / columns
    fits = len(entries) <= room
    shown = entries if fits else [*entries[: room - 1], Entry(Ink(), elsewhere)]
    inks = [stacked([heading], inner.x0_mm, inner.y0_mm)] if entries else []
    for i, entry in enumerate(shown):
        x, y = inner.x0_mm + (i // rows) * wide, inner.y0_mm + heading.height_mm + (i % rows + 0.5) * ROW_MM
        inks.extend(entry_ink(entry, x, y, wide - 0.4))
    free = inner.x0_mm + math.ceil(len(shown) / rows) * wide + INSET_MM
    return inks, Box(min(free, inner.x1_mm), inner.y0_mm, inner.x1_mm, inner.y1_mm) if fits else None


def _texts(
    strip: _Strip, findings: tuple[FindingLine, ...], changes: tuple[ChangeLine, ...], facts: Furniture, later: str
) -> tuple[Ink, set[str]]:
    """Cautions, then notes, revisions, findings and changes where there is room; and which of these did not fit.

    What has no room below the cautions goes below the findings.
    """
    box = _inner(strip.texts)
    beside = _inner(strip.findings) if strip.findings else None
    room, room_f = _width(box), _width(beside or box)
    cautions = _cautions(room)
    left = _height(box) - sum(block.height_mm for block in cautions)
    items = [finding_block(line, room_f, SMALL_MM) for line in findings]
    flagged = {"findings": _list("Findings", items, room_f, 0.0 if beside else GAP_MM)}
    flagged["changes"] = _list("Changes", [change_block(line, room_f, SMALL_MM) for line in changes], room_f)
    if beside is None:
        shown, missing = _filled(flagged | _plain_lists(facts, room, SMALL_MM), room, left, later)
        return stacked([*cautions, *shown], box.x0_mm, box.y0_mm), missing
    wide = _plain_lists(facts, room_f, SMALL_MM)
    for name, blocks in _plain_lists(facts, room, SMALL_MM).items():
        begun = _begun(blocks, left)
        cautions, left = [*cautions, *begun], left - sum(block.height_mm for block in begun)
        rest = wide.pop(name)[len(begun) :]
        if rest:
            wide[name] = (
                [_heading(f"{name.capitalize()}, continued", room_f, above_mm=GAP_MM), *rest] if begun else rest
            )
            left = 0.0
    shown, missing = _filled(flagged | wide, room_f, _height(beside), later)
    return stacked(cautions, box.x0_mm, box.y0_mm) + stacked(shown, beside.x0_mm, beside.y0_mm), missing


def _plain_lists(facts: Furniture, room_mm: float, capital_mm: float) -> dict[str, list[Block]]:
    """Notes and revisions as lists with their headings, as far as there are any."""
    lists = {
        "notes": [paragraph(note, room_mm, capital_mm) for note in facts.notes],
        "revisions": [revision_block(line, room_mm, capital_mm) for line in facts.revisions],
    }
    return {
        name: [_heading(name.capitalize(), room_mm, capital_mm, GAP_MM), *items]
        for name, items in lists.items()
        if items
    }


def _fill_strip(
    sheet: Sheet, plan: SheetPlan, facts: Furniture, style: str, color: bool, home: _Home | None = None
) -> _Filling:
    strip = _strip(plan.size)
    number = home.sheet.number if home else len(plan.sheets) + 1
    later = home.told if home and home.sheet is sheet else f"see sheet {number}"
    entries = legend_entries((sheet,), style, facts.colors if color else None)
    legend, spare = _legend(strip.legend, entries, later)
    findings, changes = (
        _listed_on(sheet, plan, facts.findings, False), _listed_on(sheet, plan, facts.changes, True),
    )  # fmt: skip
    texts, missing = _texts(strip, findings, changes, facts, later)
    if spare is None:
        return _Filling((*legend, texts), frozenset({*missing, "legend"}), strip.legend)
    return _Filling((*legend, texts), frozenset(missing), spare)


def _dividers(size: SheetSize) -> Ink:
    strip, box = _strip(size), strip_box(size)
    top = Polyline(((box.x0_mm, box.y0_mm), (box.x1_mm, box.y0_mm)), POWER_MM)
    edges = [strip.texts.x0_mm, *([strip.findings.x0_mm] if strip.findings else [])]
    return Ink((top, *(Polyline(((x, box.y0_mm), (x, box.y1_mm)), THIN_MM) for x in edges)))


def _legend_blocks(entries: list[Entry], room_mm: float) -> list[Block]:
    """The legend as blocks of a list, several entries to a row."""
    count = max(1, int(room_mm // LEAST_COLUMN_MM))
    wide = room_mm / count
    blocks = []
    for i in range(0, len(entries), count):
        row = enumerate(entries[i : i + count])
        inks = [ink for j, entry in row for ink in entry_ink(entry, j * wide, ROW_MM / 2, wide)]
        blocks.append(Block(gathered(inks), ROW_MM + GAP_MM))
    return blocks


def _missing(fillings: list[_Filling]) -> frozenset[str]:
    """The lists that some strip could not hold."""
    return frozenset[str]().union(*(filling.missing for filling in fillings))


def _list_blocks(
    plan: SheetPlan, facts: Furniture, style: str, missing: frozenset[str], room: float, capital: float
) -> list[Block]:
    """Some lists in full, one below the other."""
    blocks: list[Block] = []
    if "findings" in missing:
        items = [finding_block(line, room, capital) for line in facts.findings]
        blocks += [_heading("Findings", room, capital), *items]
    if "changes" in missing:
        items = [change_block(line, room, capital) for line in facts.changes]
        blocks += [_heading("Changes", room, capital, GAP_MM), *items]
    for name, plain in _plain_lists(facts, room, capital).items():
        blocks += plain if name in missing else []
    if "legend" in missing:
        entries = legend_entries(plan.sheets, style, None)
        blocks += [_heading("Legend", room, capital, GAP_MM), *_legend_blocks(entries, room)]
    return blocks


def _home(plan: SheetPlan, facts: Furniture, style: str, fillings: list[_Filling]) -> _Home | None:
    """Room for all lists that are missing: behind a legend, or where the drawing of a sheet leaves some."""
    missing = _missing(fillings)
    for sheet, filling in zip(plan.sheets, fillings, strict=True):
        spare = filling.spare
        blocks = _list_blocks(plan, facts, style, missing, _width(spare), SMALL_MM)
        if "legend" not in missing and _width(spare) >= LIST_COLUMN_MM / 2 and _begun(blocks, _height(spare)) == blocks:
            return _Home(sheet, stacked(blocks, spare.x0_mm, spare.y0_mm), "see left")
    area = drawing_area(plan.size)
    taken = [drawn_boxes(sheet, style) for sheet in plan.sheets]
    for capital, wide in product((LIST_MM, SMALL_MM), SPARE_WIDTHS_MM):
        blocks = _list_blocks(plan, facts, style, missing, wide, capital)
        high = sum(block.height_mm for block in blocks)
        for sheet, boxes in zip(plan.sheets, taken, strict=True):
            corner = free_corner(boxes, area, wide, high)
            if corner is not None:
                return _Home(sheet, stacked(blocks, *corner), "see above")
    return None


def _list_sheets(plan: SheetPlan, facts: Furniture, style: str, missing: frozenset[str]) -> list[Ink]:
    """The lists that some strip could not hold, in full, as many sheets of them as it takes."""
    area = drawing_area(plan.size)
    count = max(1, int((_width(area) + LIST_GAP_MM) // (LIST_COLUMN_MM + LIST_GAP_MM)))
    room = (_width(area) - (count - 1) * LIST_GAP_MM) / count
    columns = in_columns(_list_blocks(plan, facts, style, missing, room, LIST_MM), _height(area))
    pages: Iterable[list[list[Block]]] = (columns[i : i + count] for i in range(0, len(columns), count))
    pitch = room + LIST_GAP_MM
    return [
        gathered(stacked(column, area.x0_mm + i * pitch, area.y0_mm) for i, column in enumerate(page)) for page in pages
    ]


def _description(facts: Furniture, number: int, count: int) -> str:
    result = f" Result of the check: {facts.result}." if facts.result else ""
    spec = f" {HASH_NAME} {facts.spec_hash}." if facts.spec_hash else ""
    return f"One-line diagram, sheet {number} of {count}. {STATUS}.{result}{spec}"


def furnish(plan: SheetPlan, facts: Furniture, style: str, color: bool) -> list[tuple[Sheet, SheetFurniture]]:
    """Every sheet with what is drawn round it, and behind them empty sheets that carry lists."""
    fillings = [_fill_strip(sheet, plan, facts, style, color) for sheet in plan.sheets]
    missing = _missing(fillings)
    home = _home(plan, facts, style, fillings) if missing else None
    lists = _list_sheets(plan, facts, style, missing) if missing and home is None else []
    if home is not None:
        fillings = [_fill_strip(sheet, plan, facts, style, color, home) for sheet in plan.sheets]
    words = [
        (*filling.ink, home.ink) if home and home.sheet is sheet else filling.ink
        for sheet, filling in zip(plan.sheets, fillings, strict=True)
    ]
    inner = _inner(_strip(plan.size).texts)
    cautions = stacked(_cautions(_width(inner)), inner.x0_mm, inner.y0_mm)
    sheets = [*plan.sheets, *(Sheet(len(plan.sheets) + 1 + i) for i in range(len(lists)))]
    return _framed(plan.size, facts, list(zip(sheets, [*words, *((ink, cautions) for ink in lists)], strict=True)))


def _framed(
    size: SheetSize, facts: Furniture, worded: list[tuple[Sheet, tuple[Ink, ...]]]
) -> list[tuple[Sheet, SheetFurniture]]:
    """Sheets and the words on them, with frame and title block."""
    frame, title, count = (frame_and_zones(size), _dividers(size)), _strip(size).title, len(worded)
    done = []
    for number, (sheet, words) in enumerate(worded, 1):
        parts: tuple[Part, ...] = (
            ("Frame", frame),
            ("Legend, cautions and findings", words),
            ("Title block", (title_block(title, facts, number, count, size.name),)),
        )
        done.append((sheet, SheetFurniture(number, count, _description(facts, number, count), parts)))
    return done
