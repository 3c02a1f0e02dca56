"""Every pair of colours that text and ground are made of stands out enough, in light, in dark and on paper."""

from __future__ import annotations

import re

import pytest

from rigline.view.page import static_files

PAIRS = (
    ("ink", "paper"), ("soft", "paper"), ("accent", "paper"), ("danger", "paper"), ("fault", "paper"),
    ("question", "paper"), ("ink", "pale"), ("soft", "pale"), ("accent", "pale"), ("danger", "pale"), ("fault", "pale"),
    ("question", "pale"), ("ink", "desk"), ("ink", "chosen"), ("accent", "chosen"), ("soft", "chosen"),
    ("on-danger", "danger"), ("paper", "accent"),
)  # fmt: skip
"""Text and the ground that it stands on somewhere in the page or the editor."""
LEAST = 4.5
"""Source: WCAG 2.2, success criterion 1.4.3 (level AA), for text of ordinary size."""
SIGNS = (("accent", "paper"), ("danger", "desk"), ("soft", "paper"), ("ink", "paper"))
LEAST_OF_SIGNS = 3.0
"""Source: WCAG 2.2, success criterion 1.4.11 (level AA), for what must be seen to use the page."""


def colours(scheme: str) -> dict[str, tuple[int, int, int]]:
    """The variables that hold in a scheme: those of the light one, then those that the other one sets anew."""
    css = static_files()["page.css"][1].decode()
    heads = {"light": (), "dark": ("prefers-color-scheme: dark",), "print": ("print",)}[scheme]
    found: dict[str, tuple[int, int, int]] = {}
    for block in re.finditer(r":root \{([^}]*)\}", css):
        before = css[: block.start()].rstrip()
        head = before[before.rindex("@media") :] if before.endswith("{") else ""
        if not head or any(name in head for name in heads):
            found |= {name: _rgb(digits) for name, digits in re.findall(r"--([\w-]+):\s*#([0-9a-f]{3,6});", block[1])}
    return found


def _rgb(digits: str) -> tuple[int, int, int]:
    whole = digits if len(digits) == 6 else "".join(digit * 2 for digit in digits)
    red, green, blue = bytes.fromhex(whole)
    return red, green, blue


def luminance(colour: tuple[int, int, int]) -> float:
    """Relative luminance. Source: WCAG 2.2, definition of relative luminance."""
    parts = [value / 255 for value in colour]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: tuple[int, int, int], two: tuple[int, int, int]) -> float:
    """Contrast ratio. Source: WCAG 2.2, definition of contrast ratio."""
    low, high = sorted((luminance(one), luminance(two)))
    return (high + 0.05) / (low + 0.05)


def test_the_measure_of_contrast_is_right() -> None:
    """Black on white is 21 : 1 by definition; #777777 on white is the known near miss of 4.48 : 1."""
    assert round(contrast((0, 0, 0), (255, 255, 255)), 6) == 21
    assert round(contrast((0x77, 0x77, 0x77), (255, 255, 255)), 2) == 4.48


@pytest.mark.parametrize("scheme", ["light", "dark", "print"])
def test_text_stands_out_from_its_ground(scheme: str) -> None:
    known = colours(scheme)

    assert {f"{text} on {ground}" for text, ground in PAIRS if contrast(known[text], known[ground]) < LEAST} == set()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_signs_and_frames_stand_out(scheme: str) -> None:
    known = colours(scheme)

    assert {
        f"{sign} on {ground}" for sign, ground in SIGNS if contrast(known[sign], known[ground]) < LEAST_OF_SIGNS
    } == set()
