"""Colours against the contrast formula of WCAG 2.1, and legend pictures against what is drawn."""

from __future__ import annotations

import pytest

from rigline.drawing.lines import LINE_STYLES
from rigline.drawing.render import SEVERITY_COLORS


def contrast_on_white(color: str) -> float:
    """Contrast ratio on white. Source: WCAG 2.1, definitions of relative luminance and contrast ratio (from memory)."""
    digits = "000000" if color == "black" else color.removeprefix("#")
    shares = [int(digits[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    linear = [s / 12.92 if s <= 0.03928 else ((s + 0.055) / 1.055) ** 2.4 for s in shares]
    luminance = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
    return 1.05 / (luminance + 0.05)


def test_the_formula_gives_the_known_ratio_of_black_on_white() -> None:
    assert contrast_on_white("black") == pytest.approx(21.0)


@pytest.mark.parametrize(
    "color", sorted({style.color for style in LINE_STYLES.values()} | set(SEVERITY_COLORS.values()))
)
def test_every_colour_can_be_read_on_white(color: str) -> None:
    """WCAG 2.1, 1.4.3: text needs at least 4.5 : 1."""
    assert contrast_on_white(color) >= 4.5


def test_no_two_line_styles_in_use_look_alike_except_dc_and_ac_which_the_tag_tells_apart() -> None:
    looks = [(style.width_mm, style.dash_mm) for name, style in LINE_STYLES.items() if name != "ac"]
    assert len(set(looks)) == len(looks)
