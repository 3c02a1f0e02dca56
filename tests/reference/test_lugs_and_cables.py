"""Figures for the shop against published tables.

Sources: ISO 273:1979, clearance holes, fine series (from memory). ASME B18.2.8-1999, close fit (from memory). Table of
copper wire properties in lb/1000 ft, as printed in engineering handbooks after ASTM B258. NEC Chapter 9 Table 5 (1 AWG
THHN: 0.1562 in²) and Table 1 (fill of conduits: 53, 31 and 40 %). NEC 551.47(H). EN 50525-2-31, fixed installation.
DIN 46228 with the pairs of gauge and section that terminal makers print. Lug makers' size charts (common practice).
"""

from __future__ import annotations

import math

import pytest

from rigline.standards.cables import single_core, usual_studs
from rigline.standards.studs import Stud, fits, parse_stud, studs
from rigline.standards.supplies import (
    COPPER_KG_PER_M_MM2,
    cable_kg_per_m,
    crimp_range,
    ferrule_mm2,
    loom_over,
    outside_of,
    tube_over,
)
from rigline.standards.tables import table
from rigline.standards.wire import parse_wire_size, standard_sizes
from rigline.study.bending import bend_diameters, turning_room_mm

LB_PER_KFT_IN_KG_PER_M = 0.45359237 / 304.8
"""By definition of the pound and the foot."""


def stud(text: str) -> Stud:
    """A stud that there is."""
    found = parse_stud(text)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("size", "hole_mm"), [("M4", 4.3), ("M5", 5.3), ("M6", 6.4), ("M8", 8.4), ("M10", 10.5), ("M12", 13.0)]
)
def test_a_metric_lug_has_the_fine_clearance_hole(size: str, hole_mm: float) -> None:
    """ISO 273, fine series."""
    assert stud(size).hole_mm == hole_mm


@pytest.mark.parametrize(
    ("size", "hole_in"), [("#10", 0.206), ("1/4 in", 0.266), ("5/16 in", 0.328), ("3/8 in", 0.391), ("1/2 in", 0.531)]
)
def test_an_inch_lug_has_the_close_clearance_hole(size: str, hole_in: float) -> None:
    """ASME B18.2.8, close fit, within half a hundredth of a millimetre."""
    assert stud(size).hole_mm == pytest.approx(hole_in * 25.4, abs=0.005)


@pytest.mark.parametrize(
    ("lug", "on", "goes"),
    [
        ("1/4 in", "M6", True), ("M6", "1/4 in", True), ("5/16 in", "M8", True), ("M8", "5/16 in", True),
        ("M10", "3/8 in", True), ("3/8 in", "M10", False), ("1/2 in", "M12", True), ("M12", "1/2 in", True),
        ("M10", "M8", False), ("M8", "M10", False), ("M8", "M6", False),
    ],
)  # fmt: skip
def test_which_lug_goes_on_which_stud(lug: str, on: str, goes: bool) -> None:
    """The usual equivalents; a 3/8 in lug is the one that fails: its hole is 9.93 mm."""
    assert fits(stud(lug), stud(on)) == goes


def test_every_lug_fits_its_own_stud_and_not_the_next_of_its_series() -> None:
    for series in ([s for s in studs() if s.is_metric], [s for s in studs() if not s.is_metric]):
        for index, one in enumerate(series):
            assert [other.text for other in series if fits(one, other)] == [one.text], index


@pytest.mark.parametrize(
    ("size", "lb_per_kft"),
    [
        ("14 AWG", 12.43), ("12 AWG", 19.77), ("10 AWG", 31.43), ("8 AWG", 49.98), ("6 AWG", 79.46), ("4 AWG", 126.4),
        ("2 AWG", 200.9), ("1 AWG", 253.3), ("1/0 AWG", 319.5), ("2/0 AWG", 402.8), ("3/0 AWG", 507.9),
        ("4/0 AWG", 640.5),
    ],
)  # fmt: skip
def test_bare_copper_weighs_what_the_wire_table_says(size: str, lb_per_kft: float) -> None:
    """The table's mass and density times area agree with the printed one within 0.5 %."""
    wire = parse_wire_size(size)
    body = single_core(wire)
    printed = lb_per_kft * LB_PER_KFT_IN_KG_PER_M

    assert body is not None and body.mass_kg_per_km is not None
    assert body.mass_kg_per_km / 1000 == pytest.approx(printed, rel=0.005)
    assert COPPER_KG_PER_M_MM2 * wire.area_mm2 == pytest.approx(printed, rel=0.005)


@pytest.mark.parametrize(
    ("size", "lb_per_ft"), [("4/0 AWG", 0.80), ("2/0 AWG", 0.52), ("2 AWG", 0.27), ("6 AWG", 0.12), ("10 AWG", 0.045)]
)
def test_insulated_cable_weighs_what_makers_print(size: str, lb_per_ft: float) -> None:
    """Cable makers' lists, from memory: within a tenth."""
    assert cable_kg_per_m(parse_wire_size(size)) == pytest.approx(lb_per_ft * 1000 * LB_PER_KFT_IN_KG_PER_M, rel=0.10)


def test_a_thicker_cable_is_heavier_and_needs_no_smaller_tube() -> None:
    for all in (standard_sizes("awg"), standard_sizes("mm2")):
        sizes = [size for size in all if size.usual]
        masses = [cable_kg_per_m(size) for size in sizes]
        bores = [tube.supplied_mm for size in sizes if (tube := tube_over(size)) is not None]
        assert masses == sorted(masses)
        assert bores == sorted(bores)


def test_the_diameter_of_building_wire_is_that_of_its_printed_area() -> None:
    """NEC Chapter 9 Table 5: THHN of 1 AWG has 0.1562 in², a circle of 0.446 in."""
    across_mm = math.sqrt(0.1562 * 4 / math.pi) * 25.4

    assert table("cable_awg").number("1 AWG", "building_wire_outside") == pytest.approx(across_mm, abs=0.05)


@pytest.mark.parametrize(
    ("profile", "outside_mm", "diameters"),
    [("us-rv", 5, 5), ("us-boat", 20, 5), ("eu-caravan", 7.9, 4), ("intl-boat", 11.7, 5), ("iec-cabin", 16, 6)],
)
def test_a_cable_bends_no_tighter_than_its_diameters(profile: str, outside_mm: float, diameters: float) -> None:
    """NEC 551.47(H): five times; EN 50525-2-31: four, five, six times by diameter."""
    assert bend_diameters(profile, outside_mm) == diameters
    assert turning_room_mm(profile, outside_mm) == pytest.approx((diameters + 1) * outside_mm)


@pytest.mark.parametrize(
    ("gauge", "section_mm2"), [("20", 0.5), ("18", 0.75), ("16", 1.5), ("14", 2.5), ("12", 4), ("10", 6), ("8", 10)]
)
def test_ferrules_by_gauge(gauge: str, section_mm2: float) -> None:
    assert ferrule_mm2(parse_wire_size(f"{gauge} AWG")) == section_mm2


def test_insulated_terminals_are_red_blue_and_yellow() -> None:
    """Red 0.5 to 1.5 mm², blue to 2.5 mm², yellow to 6 mm²; nothing above."""
    sizes = ("1.5 mm²", "16 AWG", "14 AWG", "2.5 mm²", "12 AWG", "10 AWG", "6 mm²", "8 AWG")
    colours = [(crimp_range(parse_wire_size(size)) or ("", "none"))[1] for size in sizes]

    assert colours == ["red", "red", "blue", "blue", "yellow", "yellow", "yellow", "none"]


@pytest.mark.parametrize(
    ("size", "bore"),
    [
        ("8 AWG", "3/8 in"), ("6 AWG", "1/2 in"), ("4 AWG", "1/2 in"), ("2 AWG", "3/4 in"), ("1/0 AWG", "3/4 in"),
        ("4/0 AWG", "1 in"),
    ],
)  # fmt: skip
def test_tube_over_lugs_as_shops_recommend_it(size: str, bore: str) -> None:
    """Shops' charts (common practice): 1/2 in over 6 and 4 AWG, 3/4 in for 8 to 2/0 AWG, 1 in for 2 to 4/0 AWG."""
    tube, outside_mm = tube_over(parse_wire_size(size)), outside_of(parse_wire_size(size))

    assert tube is not None and outside_mm is not None
    assert tube.text == bore
    assert tube.recovered_mm < outside_mm < tube.supplied_mm


@pytest.mark.parametrize(("count", "fill"), [(1, 0.53), (2, 0.31), (3, 0.40), (6, 0.40)])
def test_looms_are_filled_no_more_than_conduits(count: int, fill: float) -> None:
    """NEC Chapter 9 Table 1: cables of 4.8 mm (10 AWG)."""
    name = loom_over(4.8, count)
    figures = table("loom_bores")
    bores = {figures.text(key, "name"): float(key) for key in figures.rows if isinstance(key, float)}

    assert name is not None
    assert count * 4.8**2 <= bores[name] ** 2 * fill
    smaller = [bore for bore in bores.values() if bore < bores[name]]
    assert all(count * 4.8**2 > bore**2 * fill for bore in smaller)


@pytest.mark.parametrize(
    ("size", "usual"), [("8 AWG", ("M6", "M8")), ("2 AWG", ("M8", "M10")), ("70 mm²", ("M10", "M12"))]
)
def test_studs_that_lugs_are_usually_sold_for(size: str, usual: tuple[str, ...]) -> None:
    """Lug makers' size charts (common practice)."""
    assert usual_studs(parse_wire_size(size)) == usual
