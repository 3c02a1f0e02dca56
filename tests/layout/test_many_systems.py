"""What holds for a few systems drawn by hand must hold for sixty that nobody has looked at."""

from __future__ import annotations

import pytest
from layout.generated import anything, plausible
from layout.systems import SYMBOLS
from layout.test_place import CLEARANCE_MM, things_drawn, things_wanted

from rigline.layout.measure import measure
from rigline.layout.oneline import Feeder, OneLine, Station, Tag
from rigline.layout.place import place
from rigline.layout.plan import SHEET_SIZES, SheetPlan

SIZES = tuple(SHEET_SIZES)


def assert_readable_and_whole(one_line: OneLine, plan: SheetPlan) -> None:
    """No fault of the geometry, and everything there once."""
    assert measure(plan, SYMBOLS, CLEARANCE_MM).faults == ()
    assert things_drawn(plan) == things_wanted(one_line)


@pytest.mark.parametrize("seed", range(30))
def test_a_system_of_ten_to_three_hundred_components_is_drawn_without_faults(seed: int) -> None:
    one_line = plausible(10 + seed * 37 % 290, seed)
    assert_readable_and_whole(one_line, place(one_line, SYMBOLS, SHEET_SIZES[SIZES[seed % 4]]))


@pytest.mark.parametrize("seed", range(30))
def test_even_a_senseless_system_is_drawn_without_faults(seed: int) -> None:
    one_line = anything((4, 6, 10, 15, 25, 40)[seed % 6], (4, 7, 11, 16, 27, 44)[seed % 6], seed)
    assert_readable_and_whole(one_line, place(one_line, SYMBOLS, SHEET_SIZES[SIZES[seed % 4]]))


def battery_with(cables: int) -> OneLine:
    """A battery with so many loads on its terminal."""
    battery = Station("B1", "battery", ("B1", "Bank"), "storage", "dc")
    loads = [Station(f"L{i}", "dc-load", (f"L{i}", "Pump"), "load", "dc") for i in range(cables)]
    feeders = [
        Feeder(f"W{i}", (f"W{i}",), "B1", f"L{i}", (), (Tag(f"W{i}", (f"W{i}", "2 × 6 AWG")),), "dc")
        for i in range(cables)
    ]
    return OneLine((battery, *loads), tuple(feeders))


@pytest.mark.parametrize(("cables", "bars"), [(1, []), (2, []), (3, ["B1"]), (9, ["B1"])])
def test_more_cables_on_a_terminal_than_fit_a_symbol_stand_on_a_bar_with_its_name(cables: int, bars: list[str]) -> None:
    sheet = place(battery_with(cables), SYMBOLS, SHEET_SIZES["a3"]).sheets[0]
    assert [bar.texts[0].text for bar in sheet.bars] == bars


def test_no_conductor_is_invented_between_a_battery_and_the_bar_of_its_terminal() -> None:
    sheet = place(battery_with(5), SYMBOLS, SHEET_SIZES["a3"]).sheets[0]
    assert [wire.slashes for wire in sheet.wires if wire.id.endswith("link")] == [None]
