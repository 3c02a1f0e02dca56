"""Frame, title block, legend and lists: everything readable, nothing on top of anything else."""

from __future__ import annotations

from itertools import combinations, pairwise

import pytest
from msgspec.structs import replace

from rigline.drawing.furnish import SheetFurniture, furnish
from rigline.drawing.furniture import CAUTIONS, STATUS, FindingLine, Furniture, RevisionLine
from rigline.drawing.ink import Ink
from rigline.drawing.legend import KIND_NAMES
from rigline.drawing.symbol import Box as BoxStroke
from rigline.drawing.symbol import Polyline
from rigline.drawing.symbols import ALL_KINDS
from rigline.layout.plan import SHEET_SIZES, Flag, PlacedSymbol, Sheet, SheetPlan, Text
from rigline.layout.sheet import ZONE_LETTERS, Box, drawing_area, strip_box, zone_at
from rigline.layout.text import Extent, text_box

SEVERITIES = ("danger", "fault", "question", "advice")
LONG = "A long sentence about a wire, its fuse, the locker it runs through and what has to be done about all of it. "
every_size = pytest.mark.parametrize("size", SHEET_SIZES)
every_count = pytest.mark.parametrize("count", (0, 3, 30))
every_length = pytest.mark.parametrize("words", (1, 4), ids=("short", "long"))


def findings(count: int, words: int) -> tuple[FindingLine, ...]:
    return tuple(FindingLine(i + 1, SEVERITIES[i % 4], (LONG * words).strip()) for i in range(count))


def furnished(size: str, facts: Furniture, kinds: tuple[str, ...] = ALL_KINDS) -> list[tuple[Sheet, SheetFurniture]]:
    symbols = tuple(PlacedSymbol(kind, kind, 100.0, 100.0) for kind in kinds)
    flags = tuple(Flag(line.number, line.severity, 60.0, 60.0) for line in facts.findings)
    plan = SheetPlan(SHEET_SIZES[size], (Sheet(1, symbols=symbols, flags=flags),))
    return furnish(plan, facts, "iec", False)


def full(facts: Furniture, count: int, words: int) -> Furniture:
    """The facts with every field as long as asked."""
    fields = (
        "title",
        "author",
        "profile",
        "edition",
        "spec_name",
        "spec_hash",
        "voltages",
        "result",
        "revision",
        "date",
    )
    longer = {name: " ".join([getattr(facts, name)] * words * words) for name in fields}
    return replace(facts, **longer, findings=findings(count, words), notes=facts.notes * words)


def inks(furniture: SheetFurniture) -> list[Ink]:
    return [ink for _, part in furniture.parts for ink in part]


def all_texts(furniture: SheetFurniture) -> list[Text]:
    return [text for ink in inks(furniture) for text in ink.texts if text.text.strip()]


def rules(furniture: SheetFurniture) -> list[Extent]:
    """The straight lines of frame, strip and title block as thin boxes; pictures and flags are left out."""
    lines: list[Extent] = []
    for name, part in furniture.parts:
        if name == "Legend, cautions and findings":
            continue
        for stroke in (stroke for ink in part for stroke in ink.strokes):
            if isinstance(stroke, Polyline):
                half = stroke.width_mm / 2
                lines += [
                    (min(x0, x1) - half, min(y0, y1) - half, max(x0, x1) + half, max(y0, y1) + half)
                    for (x0, y0), (x1, y1) in pairwise(stroke.points)
                ]
            assert isinstance(stroke, Polyline | BoxStroke)
    return lines


def meet(a: Extent, b: Extent) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def within(inner: Extent, outer: Box) -> bool:
    return outer.x0_mm <= inner[0] and outer.y0_mm <= inner[1] and inner[2] <= outer.x1_mm and inner[3] <= outer.y1_mm


@every_size
@every_count
@every_length
def test_no_text_stands_on_another_or_on_a_line(facts: Furniture, size: str, count: int, words: int) -> None:
    for _, furniture in furnished(size, full(facts, count, words)):
        boxes = [(text_box(text), text.text) for text in all_texts(furniture)]
        assert [(a, b) for (at, a), (on, b) in combinations(boxes, 2) if meet(at, on)] == []
        assert [text for at, text in boxes for line in rules(furniture) if meet(at, line)] == []


@every_size
@every_count
@every_length
def test_lists_stand_in_the_strip_or_clear_of_the_drawing(facts: Furniture, size: str, count: int, words: int) -> None:
    strip, area = strip_box(SHEET_SIZES[size]), drawing_area(SHEET_SIZES[size])
    for sheet, furniture in furnished(size, full(facts, count, words)):
        drawn = [(s.x_mm - 10.0, s.y_mm - 10.0, s.x_mm + 10.0, s.y_mm + 10.0) for s in sheet.symbols]
        drawn += [(f.x_mm - 2.5, f.y_mm - 2.5, f.x_mm + 2.5, f.y_mm + 2.5) for f in sheet.flags]
        texts = [text for name, part in furniture.parts if name != "Frame" for ink in part for text in ink.texts]
        outside = [text for text in texts if not within(text_box(text), strip)]
        assert [text.text for text in outside if not within(text_box(text), area)] == []
        assert [text.text for text in outside if any(meet(text_box(text), box) for box in drawn)] == []


REVISIONS = tuple(RevisionLine(letter, "2026-11-20", "A. Owner", "Fuse of the pump changed") for letter in "FEDCBA")


@every_size
def test_revisions_that_the_strip_cannot_hold_stand_beside_the_drawing(facts: Furniture, size: str) -> None:
    sheets = furnished(size, replace(facts, revisions=REVISIONS * 3), ("battery", "fuse", "busbar", "dc-load"))
    texts = [text.text for text in all_texts(sheets[0][1])]
    assert len(sheets) == 1
    assert texts.count("2026-11-20") >= 3 * len(REVISIONS)


def test_a_strip_tells_which_sheet_has_room_for_its_lists(facts: Furniture) -> None:
    a4 = SHEET_SIZES["a4"]
    full_sheet = tuple(
        PlacedSymbol(f"L{x}{y}", "dc-load", x, y) for x in range(40, 280, 15) for y in range(25, 150, 15)
    )
    plan = SheetPlan(a4, (Sheet(1, symbols=full_sheet), Sheet(2, symbols=full_sheet[:1])))
    sheets = furnish(plan, replace(facts, findings=(), revisions=REVISIONS * 3), "iec", False)
    pointers = [[t.text for t in all_texts(f) if t.text.startswith("Revisions:")] for _, f in sheets]
    assert pointers == [["Revisions: see sheet 2"], ["Revisions: see above"]]


@every_size
@every_count
def test_every_finding_is_told_in_full_somewhere(facts: Furniture, size: str, count: int) -> None:
    lines = tuple(FindingLine(i + 1, SEVERITIES[i % 4], f"Finding{i + 1} {LONG}") for i in range(count))
    words = " ".join(text.text for _, f in furnished(size, replace(facts, findings=lines)) for text in all_texts(f))
    joined = " ".join(words.split())
    assert [
        line.number
        for line in lines
        if f"{line.severity.capitalize()}: Finding{line.number} {LONG.strip()}" not in joined
    ] == []


@every_size
def test_cautions_and_status_stand_on_every_sheet(facts: Furniture, size: str) -> None:
    for _, furniture in furnished(size, full(facts, 30, 1)):
        words = " ".join(text.text for text in all_texts(furniture))
        assert [caution for caution in CAUTIONS if caution not in words] == []
        assert STATUS in words


@every_size
def test_every_kind_on_the_drawing_is_explained_in_a_legend(facts: Furniture, size: str) -> None:
    shown = {text.text for _, furniture in furnished(size, facts) for text in all_texts(furniture)}
    assert set(KIND_NAMES.values()) - shown == set()


@every_size
def test_no_name_in_a_legend_is_cut(facts: Furniture, size: str) -> None:
    cut = [text.text for _, furniture in furnished(size, facts) for text in all_texts(furniture) if "…" in text.text]
    assert cut == []


@every_size
def test_a_small_system_needs_one_sheet_only(facts: Furniture, size: str) -> None:
    sheets = furnished(size, replace(facts, findings=(), notes=()), ("battery", "fuse", "busbar", "dc-load"))
    assert [(furniture.number, furniture.count) for _, furniture in sheets] == [(1, 1)]


@every_size
def test_lettering_is_high_enough_to_be_printed(facts: Furniture, size: str) -> None:
    heights = {text.capital_mm for _, furniture in furnished(size, full(facts, 30, 1)) for text in all_texts(furniture)}
    assert heights <= {1.8, 2.5, 3.5}


@every_size
def test_the_title_is_large_and_the_facts_are_data_height(facts: Furniture, size: str) -> None:
    (_, furniture) = furnished(size, facts)[0]
    height = {text.text: text.capital_mm for text in all_texts(furniture)}
    wanted = (facts.title, facts.date, facts.author, facts.voltages, facts.result, STATUS)
    assert [height[text] for text in wanted] == [3.5, 2.5, 2.5, 2.5, 2.5, 2.5]


def test_a_text_too_long_for_its_field_ends_in_an_ellipsis(facts: Furniture) -> None:
    (_, furniture) = furnished("a4", replace(facts, title=LONG * 3))[0]
    assert [text.text[-1] for text in all_texts(furniture) if text.text.startswith("A long sentence about a wire")] == [
        "…"
    ]


def test_a_sheet_lists_the_findings_that_are_flagged_on_it(facts: Furniture) -> None:
    lines = findings(3, 1)
    flagged = (Sheet(1, flags=(Flag(1, "danger", 50.0, 50.0),)), Sheet(2, flags=(Flag(2, "fault", 50.0, 50.0),)))
    sheets = furnish(SheetPlan(SHEET_SIZES["a3"], flagged), replace(facts, findings=lines), "iec", False)
    numbers = [
        [text.text for text in all_texts(furniture) if text.bold and text.text.isdigit()] for _, furniture in sheets
    ]
    assert numbers == [["1", "3"], ["2"]]


def test_zones_count_right_and_down_from_the_top_left_corner_without_i_and_o() -> None:
    a3 = SHEET_SIZES["a3"]
    corners = ((25.0, 15.0), (74.9, 64.9), (75.0, 65.0), (405.0, 282.0))
    assert [zone_at(a3, x, y) for x, y in corners] == ["A1", "A1", "B2", "E8"]
    assert {"I", "O"} & set(ZONE_LETTERS) == set()
