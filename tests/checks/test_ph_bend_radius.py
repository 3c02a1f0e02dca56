"""Cables that turn in lockers: what is judged, what is not, and by which figures."""

from __future__ import annotations

import pytest
from helpers import study_of

from rigline.checks.registry import all_checks
from rigline.checks.run import run_checks
from rigline.standards.wire import parse_wire_size
from rigline.study.bending import cable_at_most_mm

LOCKER = """\
rigline: 1
profile: {profile}
places:
  locker: {place}
components:
  B1: {{kind: battery, voltage: 12 V, capacity: 100 Ah, place: locker}}
  F1: {{kind: fuse, style: class-t, rating: 100 A}}
  LT1: {{kind: dc-load, power: 300 W}}
runs:
  - {{id: W1, path: [B1, F1, LT1], lengths: [0.2 m, 2 m], wire: {wire}{run}}}
"""


def judged(profile: str, place: str, wire: str, run: str = "") -> tuple[list[tuple[float, float]], list[str]]:
    """Free and needed millimetres of the findings, and the facts that are missing."""
    rules = [check for check in all_checks() if check.slug == "ph-bend-radius"]
    found = run_checks(study_of(LOCKER.format(profile=profile, place=place, wire=wire, run=run)), rules)
    numbers = [(round(f.found or 0, 1), round(f.limit or 0, 1)) for f in found.findings]
    return numbers, [entry.missing for entry in found.not_assessed]


@pytest.mark.parametrize(
    ("profile", "free_mm", "wire", "expected"),
    [
        # NEC 551.47(H): 5 diameters of 14.5 mm and the cable itself.
        ("us-rv", 87, "1/0 AWG", []),
        ("us-rv", 86, "1/0 AWG", [(86, 87)]),
        # EN 50525-2-31: 6 diameters of 13.9 mm and the cable itself.
        ("eu-caravan", 97, "50 mm²", [(97, 97.3)]),
        ("eu-caravan", 98, "50 mm²", []),
        # 4 diameters of 6.8 mm and the cable itself.
        ("eu-caravan", 34, "10 mm²", []),
        ("eu-caravan", 33, "10 mm²", [(33, 34)]),
    ],
)
def test_a_cable_needs_its_bend_and_itself(
    profile: str, free_mm: float, wire: str, expected: list[tuple[float, float]]
) -> None:
    assert judged(profile, f"{{free: {free_mm} mm}}", wire) == (expected, [])


def test_free_space_that_nobody_stated_is_missing_for_a_stiff_cable_only() -> None:
    assert judged("us-rv", "{}", "1/0 AWG") == ([], ["free space of locker (`free`)"])
    assert judged("us-rv", "{free: unknown}", "1/0 AWG") == ([], ["free space of locker (`free`)"])
    assert judged("us-rv", "{}", "8 AWG") == ([], [])


def test_a_cable_without_a_listed_diameter_passes_only_where_a_thicker_one_would() -> None:
    """No diameter is listed for 3 AWG; 2 AWG is 11.9 mm across and needs 71.4 mm."""
    assert judged("us-rv", "{free: 72 mm}", "3 AWG") == ([], [])
    assert judged("us-rv", "{free: 70 mm}", "3 AWG") == ([], ["thickness of its cable, for the 70 mm of locker"])


def test_three_cores_lie_in_a_circle_of_2_155_diameters() -> None:
    """Geometry: 1 + 2/sqrt(3) for three cores, 1 + sqrt(2) for four; and a sheath of at most 5 mm."""
    core = 4.1

    assert cable_at_most_mm(parse_wire_size("12 AWG"), 3) == pytest.approx((1 + 2 / 3**0.5) * core + 5, abs=0.01)
    assert cable_at_most_mm(parse_wire_size("12 AWG"), 4) == pytest.approx((1 + 2**0.5) * core + 5, abs=0.01)


def test_a_run_that_lies_in_a_place_turns_there_too() -> None:
    place = "{free: 60 mm}\n  bilge: {free: 50 mm}"

    assert judged("us-rv", place, "6 AWG", ", place: bilge") == ([], [])
    assert judged("us-rv", place, "4 AWG", ", place: bilge") == ([(50, 58.2)], [])


@pytest.mark.parametrize(("lug", "stud", "fits"), [
    ("M8", "M8", True), ("m8", "M8", True), ("5/16 in", "M8", True), ("3/8 in", "M10", False), ("M10", "M8", False),
])  # fmt: skip
def test_lugs_are_compared_with_studs_by_size(lug: str, stud: str, fits: bool) -> None:
    """A 5/16 in lug (8.33 mm) goes on M8; a 3/8 in lug (9.93 mm) does not go on M10. ASME B18.2.8, from memory."""
    text = LOCKER.format(profile="us-rv", place="{}", wire="6 AWG", run=f", stud: [{lug}]")
    text = text.replace("place: locker}", f"place: locker, stud: {stud}}}")
    rules = [check for check in all_checks() if check.slug == "ph-terminal-wire-range"]

    assert (run_checks(study_of(text), rules).findings == ()) == fits
