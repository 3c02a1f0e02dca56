"""The width table against the lettering itself, read by a general imaging library."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

import pytest
from PIL import ImageFont

from rigline.layout import text as lettering
from rigline.layout.plan import Text
from rigline.layout.text import CAPITAL_EM, printable, shortened, text_box, text_width_mm

EM_UNITS = 2048
"""Units per em of the font, so that the library answers in whole units."""


@cache
def font(weight: str) -> ImageFont.FreeTypeFont:
    path = files("rigline.drawing").joinpath("fonts", f"LiberationSans-{weight}.ttf")
    return ImageFont.truetype(str(path), EM_UNITS, layout_engine=ImageFont.Layout.BASIC)


@pytest.mark.parametrize("weight", ("Regular", "Bold"))
def test_every_width_in_the_table_is_the_font_s_own(weight: str) -> None:
    table = lettering._widths_em(weight.lower())
    wrong = {c: w for c, w in table.items() if font(weight).getlength(c) != w * EM_UNITS}
    assert (wrong, len(table)) == ({}, 1236)


@pytest.mark.parametrize("weight", ("Regular", "Bold"))
def test_a_line_is_as_wide_as_the_font_draws_it_and_kerning_only_makes_it_narrower(weight: str) -> None:
    line = "W4b  2 × 16 mm² (6 AWG), 1.5 m − 40 °C → 2 mΩ, 30 µA, ±5 %"
    expected_mm = font(weight).getlength(line) / EM_UNITS * 2.5 / CAPITAL_EM
    width_mm = text_width_mm(line, 2.5, bold=weight == "Bold")
    assert width_mm == pytest.approx(expected_mm, rel=1e-3)
    assert width_mm >= expected_mm


@pytest.mark.parametrize("weight", ("Regular", "Bold"))
def test_capitals_and_the_ink_of_letters_are_as_high_as_stated(weight: str) -> None:
    _, top, _, bottom = font(weight).getbbox("HIT", anchor="ls")
    _, highest, _, lowest = font(weight).getbbox("bdfklgjpqy|()[]{}", anchor="ls")
    assert (round(-top / EM_UNITS, 3), bottom) == (CAPITAL_EM, 0)
    assert (-highest / EM_UNITS <= lettering.ASCENT_EM, lowest / EM_UNITS <= 0.2225) == (True, True)


def test_signs_of_the_trade_are_in_the_table() -> None:
    wanted = "²³°Ωµ×−→←↑↓±≤≥≈–—…½ΔαβθφηäöüßéèñåøÅÆŁžčœ€£"
    assert [c for c in wanted if c not in lettering._widths_em("regular")] == []


def test_a_character_without_a_shape_counts_as_the_widest() -> None:
    widest = max(lettering._widths_em("regular").values())
    assert text_width_mm("🔋", 2.5) == pytest.approx(widest * 2.5 / CAPITAL_EM)


def test_a_turned_text_runs_upwards_from_its_start() -> None:
    x0, y0, x1, y1 = text_box(Text(10.0, 50.0, "W4b", turn_deg=90))
    assert (y1, round(y1 - y0, 6)) == (50.0, round(text_width_mm("W4b", 2.5), 6))
    assert (x0 < 10.0 - 2.5, x1 > 10.0) == (True, True)


@pytest.mark.parametrize("anchor", ("start", "middle", "end"))
def test_a_text_box_follows_its_anchor(anchor: str) -> None:
    width = text_width_mm("BUS1", 2.5)
    x0, _, x1, _ = text_box(Text(100.0, 50.0, "BUS1", anchor=anchor))
    start = {"start": 100.0, "middle": 100.0 - width / 2, "end": 100.0 - width}[anchor]
    assert (x0, x1) == (start, start + width)


def test_a_shortened_text_fits_and_shows_that_it_is_cut() -> None:
    cut = shortened("Bicycle repair trailer with a very long name", 30.0, 2.5)
    assert (cut[-1], text_width_mm(cut, 2.5) <= 30.0) == ("…", True)
    assert shortened("Trailer", 30.0, 2.5) == "Trailer"


def test_controls_and_direction_marks_are_dropped_and_blanks_are_single() -> None:
    assert printable(" a\u202eb\x00\u2028c \xa0 d\ue000 ") == "ab c d"
