"""Where something stands on a sheet is named by the field of its frame, as on a street map."""

from __future__ import annotations

import pytest

from rigline.layout.plan import SHEET_SIZES
from rigline.layout.sheet import ZONE_LETTERS, drawing_area, frame_box, strip_box, zone_at, zone_edges


@pytest.mark.parametrize(
    ("x_mm", "y_mm", "field"),
    [
        (25.0, 15.0, "A1"),
        (74.9, 64.9, "A1"),
        (75.0, 65.0, "B2"),
        (404.9, 281.9, "E8"),
        (0.0, 0.0, "A1"),
        (900.0, 900.0, "E8"),
    ],
)
def test_a_field_is_fifty_millimetres_wide_and_the_last_one_takes_the_remainder(
    x_mm: float, y_mm: float, field: str
) -> None:
    assert zone_at(SHEET_SIZES["a3"], x_mm, y_mm) == field


def test_no_field_is_named_by_a_letter_that_looks_like_a_digit() -> None:
    assert {"I", "O"} & set(ZONE_LETTERS) == set()


@pytest.mark.parametrize("size", SHEET_SIZES)
def test_the_fields_of_a_side_cover_it_without_a_gap(size: str) -> None:
    frame = frame_box(SHEET_SIZES[size])
    edges = zone_edges(frame.x1_mm - frame.x0_mm)
    assert (edges[0], edges[-1]) == (0.0, frame.x1_mm - frame.x0_mm)
    assert list(edges) == sorted(edges)


@pytest.mark.parametrize("size", SHEET_SIZES)
def test_the_drawing_never_reaches_into_the_title_strip(size: str) -> None:
    assert drawing_area(SHEET_SIZES[size]).y1_mm < strip_box(SHEET_SIZES[size]).y0_mm
