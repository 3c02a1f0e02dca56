"""Colours of conductors: seen on white, in grey and by the colour-blind, and never all that tells two wires apart."""

from __future__ import annotations

from itertools import combinations

import pytest

from rigline.drawing.lines import EDGE_MM, LINE_STYLES, PALE, line_ink
from rigline.drawing.wires import wire_ink
from rigline.layout.plan import PlacedWire
from rigline.standards.colors import FUNCTIONS, color_of_pole, colors_of, letters, letters_of_words
from rigline.standards.profiles import PROFILE_NAMES

Rgb = tuple[float, float, float]
SEEN: dict[str, tuple[Rgb, Rgb, Rgb]] = {
    "in full": ((1, 0, 0), (0, 1, 0), (0, 0, 1)),
    "in grey": ((0.2126, 0.7152, 0.0722),) * 3,
    "protanopia": ((0.152286, 1.052583, -0.204868), (0.114503, 0.786281, 0.099216), (-0.003882, -0.048116, 1.051998)),
    "deuteranopia": ((0.367322, 0.860646, -0.227968), (0.280085, 0.672501, 0.047413), (-0.011820, 0.042940, 0.968881)),
    "tritanopia": ((1.255528, -0.076749, -0.178779), (-0.078411, 0.930809, 0.147602), (0.004733, 0.691367, 0.303900)),
}
"""Linear RGB as it is seen. Source: G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A physiologically-based model
for simulation of color vision deficiency", IEEE TVCG 15(6), 2009, severity 1.0 (from memory); grey: IEC 61966-2-1.
"""
LEAST_CONTRAST = 3.0
"""Of lines on white. Source: WCAG 2.1, 1.4.11 (from memory)."""


def linear(ink: str) -> Rgb:
    """An sRGB colour in linear light. Source: IEC 61966-2-1."""
    shares = [int(ink.removeprefix("#")[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    r, g, b = (s / 12.92 if s <= 0.04045 else ((s + 0.055) / 1.055) ** 2.4 for s in shares)
    return r, g, b


def seen(ink: str, by: str) -> Rgb:
    """Linear light as somebody sees it."""
    light = linear(ink)
    r, g, b = (min(1.0, max(0.0, sum(m * x for m, x in zip(row, light, strict=True)))) for row in SEEN[by])
    return r, g, b


def contrast_on_white(light: Rgb) -> float:
    """Contrast ratio. Source: WCAG 2.1, relative luminance (from memory)."""
    return 1.05 / (0.2126 * light[0] + 0.7152 * light[1] + 0.0722 * light[2] + 0.05)


def test_the_simulations_leave_white_white_and_make_red_and_green_alike() -> None:
    """The rows of each matrix add up to one; red and green of equal luminance are confused by two of three."""
    for by in SEEN:
        assert seen("#FFFFFF", by) == pytest.approx((1.0, 1.0, 1.0), abs=1e-4)
    apart = {by: max(abs(a - b) for a, b in zip(seen("#B40000", by), seen("#6E6E00", by), strict=True)) for by in SEEN}
    assert apart["deuteranopia"] < apart["in full"] / 2


@pytest.mark.parametrize("by", SEEN)
@pytest.mark.parametrize("code", letters())
def test_a_line_of_any_colour_is_seen_on_white_by_itself_or_by_its_dark_edges(code: str, by: str) -> None:
    drawn = line_ink("dc", (code,))
    edge = "#000000" if drawn.edged else drawn.ink
    assert contrast_on_white(seen(edge, by)) >= LEAST_CONTRAST


@pytest.mark.parametrize("code", sorted(PALE))
def test_a_pale_line_lies_on_a_wider_black_one(code: str) -> None:
    wire = PlacedWire("W1a", "W1", "dc", ((50.0, 50.0), (50.0, 70.0)))
    under, upon = wire_ink(wire, (code,))
    (edges,), (line,) = under.strokes, upon.strokes
    assert (under.color, upon.color) == ("black", letters()[code].ink)
    assert edges.width_mm - line.width_mm == pytest.approx(2 * EDGE_MM)  # type: ignore[union-attr]


@pytest.mark.parametrize("profile", PROFILE_NAMES)
def test_wires_of_one_system_are_told_apart_without_any_colour(profile: str) -> None:
    """By the letters and the sign that stand on them, or else by the style of the line."""
    wires = {
        "DC pair": ("", ("+", "-"), "dc"),
        "positive by itself": ("+", ("+",), "dc"),
        "negative by itself": ("−", ("-",), "dc"),
        "AC": ("", ("L1", "N", "PE"), "ac"),
        "split-phase AC": ("", ("L1", "L2", "N", "PE"), "ac"),
        "bond": ("", ("PE",), "bond"),
        "sense lead": ("", (), "sense"),
    }
    marks = {}
    for name, (sign, poles, kind) in wires.items():
        colors = [color_of_pole(profile, pole, beside_ac=True) for pole in poles]
        words = "+".join(color.letters for color in colors if color is not None)
        marks[name] = (sign, words, LINE_STYLES[kind].width_mm, LINE_STYLES[kind].dash_mm)
    assert [(a, b) for a, b in combinations(marks, 2) if marks[a] == marks[b]] == []


@pytest.mark.parametrize("profile", PROFILE_NAMES)
def test_a_profile_has_a_colour_with_a_source_for_every_function(profile: str) -> None:
    colors = colors_of(profile)
    assert set(FUNCTIONS) - set(colors) == set()
    assert [name for name, color in colors.items() if color.letters not in letters() or not color.source] == []


def test_earth_is_green_everywhere_and_nothing_else_is() -> None:
    """NEC 250.119, ABYC E-11 and IEC 60445 keep green and green-yellow for protective conductors."""
    green = {"GN", "GNYE"}
    for profile in PROFILE_NAMES:
        for function, color in colors_of(profile).items():
            assert (color.letters in green) == (function == "earth"), (profile, function)


@pytest.mark.parametrize(
    ("profile", "pole", "wanted"),
    [
        ("us-boat", "-", "YE"),  # ABYC E-11, table XIV: black or yellow; black is an AC line
        ("us-boat", "PE", "GN"),  # ABYC E-11, table XIV
        ("us-cabin", "N", "WH"),  # NEC 200.6
        ("us-cabin", "-", "WH"),  # NEC 200.6: a grounded conductor
        ("eu-caravan", "L1", "BN"),  # IEC 60445
        ("eu-caravan", "N", "BU"),  # IEC 60445
        ("uk-inland-boat", "L2", "BK"),  # BS 7671, table 51
        ("iec-cabin", "PE", "GNYE"),  # IEC 60445
    ],
)
def test_colours_are_those_of_the_published_rules(profile: str, pole: str, wanted: str) -> None:
    color = color_of_pole(profile, pole, beside_ac=True)
    assert color is not None
    assert color.letters == wanted


def test_a_negative_of_an_ungrounded_system_is_no_grounded_conductor() -> None:
    color = color_of_pole("us-cabin", "-", beside_ac=True, grounded=False)
    assert color is not None
    assert color.letters == "BK"


@pytest.mark.parametrize(
    ("written", "code"),
    [
        ("red", "RD"),
        ("Red and black", "RD+BK"),
        ("green/yellow", "GNYE"),
        ("gray", "GY"),
        ("RD+BK", "RD+BK"),
        ("", None),
    ],
)
def test_colours_in_words_become_letters(written: str, code: str) -> None:
    assert letters_of_words(written) == code


@pytest.mark.parametrize("written", ["", "white marked red", "zebra"])
def test_words_that_name_no_colour_stay_words(written: str) -> None:
    assert letters_of_words(written) is None
