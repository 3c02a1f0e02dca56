"""A drawing must be readable before it can be right: nothing overlaps, nothing is lost, nothing leaves the sheet."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable

import pytest
from layout.generated import tree
from layout.systems import SYMBOLS, cabin, camper, feeder, tiny, trailer

from rigline.layout.measure import measure
from rigline.layout.oneline import OneLine, Station
from rigline.layout.place import place
from rigline.layout.plan import SHEET_SIZES, SheetPlan

SYSTEMS = {"tiny": tiny, "trailer": trailer, "camper": camper, "cabin": cabin}
CLEARANCE_MM = 0.9
"""Texts keep 1 mm from everything; a tenth is left for rounding."""


def things_drawn(plan: SheetPlan) -> Counter[str]:
    """How often each symbol and each segment stands on the sheets, without the far sides of cuts."""
    counted = Counter(symbol.id for sheet in plan.sheets for symbol in sheet.symbols)
    counted.update(wire.id for sheet in plan.sheets for wire in sheet.wires if not wire.continued)
    counted.update(bar.id for sheet in plan.sheets for bar in sheet.bars if bar.kind == "earth-bus")
    return counted


def things_wanted(one_line: OneLine) -> Counter[str]:
    """All stations but the bars, all devices and all segments."""
    counted = Counter(station.id for station in one_line.stations if station.role != "bus")
    counted.update(device.id for feeder in one_line.feeders for device in feeder.devices)
    counted.update(tag.segment for feeder in one_line.feeders for tag in feeder.tags)
    return counted


@pytest.mark.parametrize("size", SHEET_SIZES)
@pytest.mark.parametrize("name", SYSTEMS)
def test_no_text_is_struck_and_nothing_overlaps_or_leaves_the_sheet(name: str, size: str) -> None:
    plan = place(SYSTEMS[name](), SYMBOLS, SHEET_SIZES[size])
    assert measure(plan, SYMBOLS, CLEARANCE_MM).faults == ()


@pytest.mark.parametrize("size", SHEET_SIZES)
@pytest.mark.parametrize("name", SYSTEMS)
def test_every_station_device_and_segment_is_drawn_exactly_once(name: str, size: str) -> None:
    one_line = SYSTEMS[name]()
    assert things_drawn(place(one_line, SYMBOLS, SHEET_SIZES[size])) == things_wanted(one_line)


@pytest.mark.parametrize("name", SYSTEMS)
def test_every_bus_is_drawn(name: str) -> None:
    one_line = SYSTEMS[name]()
    drawn = {bar.id for sheet in place(one_line, SYMBOLS, SHEET_SIZES["a3"]).sheets for bar in sheet.bars}
    assert drawn == {station.id for station in one_line.stations if station.role == "bus"}


@pytest.mark.parametrize("name", SYSTEMS)
def test_the_same_system_gives_the_same_plan(name: str) -> None:
    make = SYSTEMS[name]
    assert place(make(), SYMBOLS, SHEET_SIZES["a3"]) == place(make(), SYMBOLS, SHEET_SIZES["a3"])


@pytest.mark.parametrize(("make", "sheets"), [(tiny, 1), (trailer, 1), (cabin, 1), (camper, 2)])
def test_small_systems_need_one_a3_sheet(make: Callable[[], OneLine], sheets: int) -> None:
    assert len(place(make(), SYMBOLS, SHEET_SIZES["a3"]).sheets) == sheets


@pytest.mark.parametrize(("make", "most"), [(tiny, 0), (trailer, 0), (camper, 0), (cabin, 1)])
def test_wires_cross_only_without_another_way(make: Callable[[], OneLine], most: int) -> None:
    assert measure(place(make(), SYMBOLS, SHEET_SIZES["a3"]), SYMBOLS).crossings <= most


@pytest.mark.parametrize("name", SYSTEMS)
def test_no_wire_has_more_than_three_corners(name: str) -> None:
    assert measure(place(SYSTEMS[name](), SYMBOLS, SHEET_SIZES["a3"]), SYMBOLS).most_bends <= 3


def test_the_fuses_of_one_bus_stand_in_one_row() -> None:
    sheet = place(tiny(), SYMBOLS, SHEET_SIZES["a3"]).sheets[0]
    assert len({symbol.y_mm for symbol in sheet.symbols if symbol.id in ("FA", "FB", "FC")}) == 1


def test_the_loads_of_one_bus_stand_at_one_pitch() -> None:
    sheet = place(tiny(), SYMBOLS, SHEET_SIZES["a3"]).sheets[0]
    x = {symbol.id: symbol.x_mm for symbol in sheet.symbols}
    assert x["PU1"] - x["LT1"] == x["SO1"] - x["PU1"]


def test_sources_stand_above_their_bus_and_loads_below() -> None:
    sheet = place(trailer(), SYMBOLS, SHEET_SIZES["a3"]).sheets[0]
    y = {symbol.id: symbol.y_mm for symbol in sheet.symbols} | {bar.id: bar.y_mm for bar in sheet.bars}
    assert y["PV1"] < y["SC1"] < y["BUS1"] < y["DC1"] < y["LT1"]


def test_alternating_current_stands_right_of_direct_current_at_the_same_height() -> None:
    sheet = place(trailer(), SYMBOLS, SHEET_SIZES["a3"]).sheets[0]
    bars = {bar.id: bar for bar in sheet.bars}
    assert bars["BUS1"].y_mm == bars["ACP1"].y_mm
    assert bars["BUS1"].x1_mm < bars["ACP1"].x0_mm


def test_a_cut_wire_names_the_sheet_and_field_of_its_other_side() -> None:
    plan = place(camper(), SYMBOLS, SHEET_SIZES["a3"])
    found = [text.text for sheet in plan.sheets for wire in sheet.wires for text in wire.texts if "sheet" in text.text]
    assert [text.split(" / ")[0] for text in found] == ["to sheet 2", "from sheet 1"]


@pytest.mark.parametrize(("buses", "loads"), [(1, 3), (2, 10), (4, 30), (6, 60), (1, 40)])
@pytest.mark.parametrize("size", ["a4", "a3"])
def test_trees_of_buses_are_drawn_without_faults_and_crossings(buses: int, loads: int, size: str) -> None:
    one_line = tree(buses, loads, seed=7)
    plan = place(one_line, SYMBOLS, SHEET_SIZES[size])
    quality = measure(plan, SYMBOLS, CLEARANCE_MM)
    assert (quality.faults, quality.crossings) == ((), 0)
    assert things_drawn(plan) == things_wanted(one_line)


def test_nothing_to_draw_is_one_empty_sheet() -> None:
    assert len(place(OneLine((), ()), SYMBOLS, SHEET_SIZES["a4"]).sheets) == 1


@pytest.mark.parametrize("count", [1, 7, 60])
def test_stations_that_nothing_joins_are_drawn_all_the_same(count: int) -> None:
    stations = tuple(Station(f"L{i}", "dc-load", (f"L{i}", "Spare lamp"), "load", "dc") for i in range(count))
    plan = place(OneLine(stations, ()), SYMBOLS, SHEET_SIZES["a3"])
    assert things_drawn(plan) == Counter(station.id for station in stations)
    assert measure(plan, SYMBOLS, CLEARANCE_MM).faults == ()


def test_an_earth_bus_is_a_bar_at_the_bottom_with_its_electrode_straight_below() -> None:
    earth = (
        Station("EB1", "earth-bus", ("EB1", "Main earth bus"), "earth", "earth"),
        Station("EE1", "earth-electrode", ("EE1", "Rod"), "earth", "earth"),
    )
    bonds = (
        feeder("W90", ["BUS1.-", "EB1"], ["2 AWG, 1 m"], "bond"),
        feeder("W91", ["INV1.case", "EB1"], ["6 AWG, 1 m"], "bond"),
        feeder("W92", ["EB1", "EE1"], ["4 AWG, 3 m"], "bond"),
    )
    base = trailer()
    kept = tuple(f for f in base.feeders if f.kind != "bond")
    stations = tuple(s for s in base.stations if s.role != "earth")
    one_line = OneLine((*stations, *earth), (*kept, *bonds))
    sheet = place(one_line, SYMBOLS, SHEET_SIZES["a3"]).sheets[0]
    bar = next(bar for bar in sheet.bars if bar.id == "EB1")
    rod = next(symbol for symbol in sheet.symbols if symbol.id == "EE1")
    bond = next(wire for wire in sheet.wires if wire.id == "W92")
    assert bar.y_mm == max(b.y_mm for b in sheet.bars)
    assert [point[0] for point in bond.points] == [rod.x_mm, rod.x_mm]
    assert bond.points[0][1] == bar.y_mm < rod.y_mm


def test_a_tie_from_a_bus_to_a_converter_is_never_cut_within_a_sheet() -> None:
    for size in SHEET_SIZES.values():
        plan = place(trailer(), SYMBOLS, size)
        for sheet in plan.sheets:
            words = [text.text for wire in sheet.wires for text in wire.texts]
            assert [text for text in words if f"sheet {sheet.number} /" in text] == []
