"""What a person with the sheet in hand looks for: where it is, where the wire goes on, which post it is bolted to."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from layout.generated import tree
from layout.systems import SYMBOLS, cabin, camper, feeder, station, trailer
from layout.topologies import made
from msgspec.structs import replace

from rigline.layout.measure import measure
from rigline.layout.oneline import OneLine
from rigline.layout.place import place
from rigline.layout.plan import SHEET_SIZES, PlacedSymbol, PlacedWire, SheetPlan

REFERENCE = re.compile(r"(to|from) sheet (\d+) / ([A-Z]\d+)$")
MANY_SHEETS: dict[str, Callable[[], OneLine]] = {
    "tree": lambda: tree(6, 60, 7), "camper": camper, "cabin": cabin, "transfer": lambda: made("transfer", 60, 3),
}  # fmt: skip


def references(plan: SheetPlan) -> set[tuple[str, int, int]]:
    """Segment, sheet on which its reference stands, sheet to which it leads."""
    found = set()
    for sheet in plan.sheets:
        texts = [(wire.id, text.text) for wire in sheet.wires for text in wire.texts]
        labels = [text.text for symbol in sheet.symbols for text in symbol.texts]
        labels += [text.text for bar in sheet.bars for text in bar.texts]
        texts += [(label.split(" ")[0], label) for label in labels if " from sheet " in label]
        for segment, text in texts:
            match = REFERENCE.search(text)
            if match:
                found.add((segment, sheet.number, int(match[2])))
    return found


@pytest.mark.parametrize("name", MANY_SHEETS)
def test_every_reference_to_another_sheet_is_answered_by_one_that_leads_back(name: str) -> None:
    found = references(place(MANY_SHEETS[name](), SYMBOLS, SHEET_SIZES["a4"]))
    assert found
    assert {(segment, there, here) for segment, here, there in found} == found


def test_a_bond_to_an_earth_on_another_sheet_is_named_at_that_earth() -> None:
    plan = place(camper(), SYMBOLS, SHEET_SIZES["a4"])
    earth = next(s for sheet in plan.sheets for s in sheet.symbols if s.kind == "chassis")
    assert any(" from sheet " in text.text for text in earth.texts)


def test_an_end_that_goes_on_elsewhere_has_an_arrow() -> None:
    plan = place(camper(), SYMBOLS, SHEET_SIZES["a4"])
    wires = [wire for sheet in plan.sheets for wire in sheet.wires]
    referring = [wire.id for wire in wires if any(REFERENCE.search(text.text) for text in wire.texts)]
    assert [wire.id for wire in wires if wire.arrows] == referring


def test_both_parts_of_a_bus_name_the_sheet_of_the_other() -> None:
    plan = place(tree(1, 40, 7), SYMBOLS, SHEET_SIZES["a4"])
    parts = {s.number: bar.texts for s in plan.sheets for bar in s.bars if "(" in bar.texts[0].text}
    told = {number: {t.text for t in texts if t.text.startswith("also on")} for number, texts in parts.items()}
    assert len(parts) > 1
    assert all(len(lines) == 1 for lines in told.values())


@pytest.mark.parametrize("name", MANY_SHEETS)
@pytest.mark.parametrize("size", ["a4", "letter"])
def test_the_parts_of_a_bus_are_counted_from_the_first_to_the_last(name: str, size: str) -> None:
    plan = place(MANY_SHEETS[name](), SYMBOLS, SHEET_SIZES[size])
    bars = [(sheet.number, bar.x0_mm, bar.texts[0].text) for sheet in plan.sheets for bar in sheet.bars]
    counted: dict[str, list[str]] = {}
    for _, _, label in sorted(bars):
        if " (" in label:
            bus, _, part = label.partition(" (")
            counted.setdefault(bus, []).append(part.rstrip(")"))
    assert counted == {bus: [f"{i}/{len(parts)}" for i in range(1, len(parts) + 1)] for bus, parts in counted.items()}


def test_a_bus_too_tall_for_a_sheet_is_parted_so_that_no_battery_is_cut_from_its_fuse() -> None:
    plan = place(camper(), SYMBOLS, SHEET_SIZES["a4"])
    sheets = [{symbol.id for symbol in sheet.symbols} for sheet in plan.sheets]
    assert [{"B1", "F1"} <= ids for ids in sheets if "B1" in ids] == [True]


def test_the_place_of_a_bus_stands_at_its_end_where_its_label_leaves_no_room() -> None:
    base = trailer()
    stations = tuple(replace(s, place="bench") if s.id == "BUS1" else s for s in base.stations)
    plan = place(OneLine(stations, base.feeders), SYMBOLS, SHEET_SIZES["a3"])
    (bar,) = [bar for sheet in plan.sheets for bar in sheet.bars if bar.id == "BUS1"]
    assert [text.text for text in bar.texts].count("(bench)") == 1
    assert measure(plan, SYMBOLS, 1.0).faults == ()


def on_sheet_one(one_line: OneLine, wire_id: str, symbol_id: str) -> tuple[PlacedWire, PlacedSymbol]:
    sheet = place(one_line, SYMBOLS, SHEET_SIZES["a3"]).sheets[0]
    wire = next(wire for wire in sheet.wires if wire.id == wire_id)
    return wire, next(symbol for symbol in sheet.symbols if symbol.id == symbol_id)


@pytest.mark.parametrize("count", [1, 3])
def test_a_bond_of_a_battery_leaves_on_the_side_of_its_minus(count: int) -> None:
    loads = tuple(station(f"L{i} dc-load: Lamp") for i in range(count))
    one_line = OneLine(
        (station("B1 battery: Bank"), station("BUS1 busbar: Bus"), station("GND chassis: Frame"), *loads),
        (
            feeder("W1", ["B1", "F1 fuse 60 A", "BUS1"], ["6 AWG"]),
            feeder("W9", ["B1.-", "GND"], ["6 AWG"], "bond"),
            *(feeder(f"W2{i}", ["BUS1", "FA fuse 5 A", f"L{i}"], ["14 AWG"]) for i in range(count)),
        ),
    )
    bond, battery = on_sheet_one(one_line, "W9", "B1")
    assert bond.points[0][0] < battery.x_mm


def test_what_stands_together_in_one_place_is_enclosed_and_nothing_else() -> None:
    base = trailer()
    inside = {"F1", "Q1", "RS1"}
    first = base.feeders[0]
    devices = tuple(type(d)(d.id, d.kind, d.lines, place="front locker") for d in first.devices)
    changed = type(first)(
        first.id, first.runs, first.start, first.end, devices, first.tags, first.kind, first.conductors
    )  # fmt: skip
    sheet = place(OneLine(base.stations, (changed, *base.feeders[1:])), SYMBOLS, SHEET_SIZES["a3"]).sheets[0]
    (frame,) = sheet.frames
    enclosed = {
        s.id for s in sheet.symbols if frame.x0_mm < s.x_mm < frame.x1_mm and frame.y0_mm < s.y_mm < frame.y1_mm
    }
    named = {s.id for s in sheet.symbols for text in s.texts if "(front locker)" in text.text}
    assert frame.text.text == "front locker"
    assert {"B1", "Q1", "F1"} <= enclosed
    assert enclosed | named == inside | {"B1"}
    assert enclosed & named == set()


def test_a_load_on_the_battery_itself_hangs_beside_the_battery_when_both_ends_of_the_bus_are_taken() -> None:
    one_line = OneLine(
        (
            station("B1 battery: Bank"), station("BUS1 busbar: Bus"), station("P1 dc-load: Pump"),
            station("BUS0 busbar: Other bus"), station("B2 battery: Start"), station("ACP1 ac-panel: Panel"),
            station("SH1 shore-inlet: Shore"), station("CH1 ac-charger: Charger"), station("DCC1 dc-charger: Charger"),
        ),
        (
            feeder("W1", ["B1", "F1 fuse 60 A", "Q1 switch 60 A", "BUS1"], ["6 AWG"]),
            feeder("W2", ["B1", "F2 fuse 5 A", "P1"], ["16 AWG"]),
            feeder("W3", ["B2", "F3 fuse 5 A", "BUS0"], ["6 AWG"]),
            feeder("W4", ["BUS0", "DCC1.in"], ["6 AWG"]),
            feeder("W5", ["DCC1.out", "F5 fuse 5 A", "BUS1"], ["6 AWG"]),
            feeder("W6", ["SH1", "Q6 breaker 16 A", "ACP1"], ["6 AWG"], "ac"),
            feeder("W7", ["ACP1", "CH1.ac"], ["6 AWG"], "ac"),
            feeder("W8", ["CH1.dc", "F8 fuse 5 A", "BUS1"], ["6 AWG"]),
        ),
    )  # fmt: skip
    sheet = place(one_line, SYMBOLS, SHEET_SIZES["a3"]).sheets[0]
    y = {symbol.id: symbol.y_mm for symbol in sheet.symbols} | {bar.id: bar.y_mm for bar in sheet.bars}
    assert y["B1"] < y["F2"] < y["P1"] < y["BUS1"]
