"""Systems of every shape that owners build are drawn without a fault, small and large.

A few sizes run by default. `RIGLINE_ALL_SYSTEMS=1` adds those of up to 500 components and all cross-linked ones.
"""

from __future__ import annotations

import os

import networkx as nx
import pytest
from layout.crosslinked import Graph, graphs
from layout.systems import SYMBOLS
from layout.test_place import CLEARANCE_MM, things_drawn, things_wanted
from layout.topologies import SHAPES, made

from rigline.layout.measure import measure
from rigline.layout.oneline import OneLine
from rigline.layout.place import place
from rigline.layout.plan import SHEET_SIZES, PlacedBar, PlacedSymbol, Sheet, SheetPlan

ALL = bool(os.environ.get("RIGLINE_ALL_SYSTEMS"))
COUNTS = (10, 18, 30, 60, 110, 220, 500) if ALL else (12, 45)
CASES = [(shape, count) for shape in SHAPES for count in COUNTS]
SIZES = tuple(SHEET_SIZES)


def system(shape: str, count: int) -> OneLine:
    """The same system for the same case; every other one says where its components are."""
    seed = CASES.index((shape, count))
    return made(shape, count, seed, places=seed % 2 == 1)


def labelled(sheet: Sheet) -> list[PlacedSymbol | PlacedBar]:
    """Everything with a label of its own."""
    return [*sheet.symbols, *sheet.bars]


def drawn(shape: str, count: int) -> SheetPlan:
    return place(system(shape, count), SYMBOLS, SHEET_SIZES[SIZES[CASES.index((shape, count)) % 4]])


@pytest.mark.parametrize(("shape", "count"), CASES)
def test_a_system_of_a_hard_shape_is_drawn_without_faults_crossings_and_winding_wires(shape: str, count: int) -> None:
    plan = drawn(shape, count)
    quality = measure(plan, SYMBOLS, CLEARANCE_MM)
    assert (quality.faults, quality.crossings) == ((), 0)
    assert quality.most_bends <= 3
    assert things_drawn(plan) == things_wanted(system(shape, count))


@pytest.mark.parametrize(("shape", "count"), CASES)
def test_a_circuit_from_a_bus_to_a_load_is_one_straight_line(shape: str, count: int) -> None:
    one_line = system(shape, count)
    roles = {station.id: station.role for station in one_line.stations}
    circuits = {f.id for f in one_line.feeders if (roles[f.start], roles[f.end]) == ("bus", "load")}
    single = {run for run in circuits if _feeds_nothing_else(one_line, run)}
    bent = [w.id for s in drawn(shape, count).sheets for w in s.wires if w.run in single and len(w.points) > 2]
    assert bent == []


def _feeds_nothing_else(one_line: OneLine, run: str) -> bool:
    load = next(f.end for f in one_line.feeders if f.id == run)
    return sum(load in (f.start, f.end) for f in one_line.feeders) == 1


@pytest.mark.parametrize(("shape", "count"), CASES)
def test_designations_are_2_5_mm_high_and_the_tags_of_wires_1_8_mm(shape: str, count: int) -> None:
    sheets = drawn(shape, count).sheets
    labels = [t for s in sheets for item in labelled(s) for t in item.texts if " sheet " not in t.text]
    tags = [t for s in sheets for wire in s.wires for t in wire.texts]
    assert min(text.capital_mm for text in labels) == 2.5
    assert {text.capital_mm for text in tags} == {1.8}


@pytest.mark.parametrize(("shape", "count"), CASES)
def test_whatever_has_a_place_stands_in_its_boundary_or_names_it(shape: str, count: int) -> None:
    one_line = system(shape, count)
    places = {station.id: station.place for station in one_line.stations if station.place}
    untold = []
    for sheet in drawn(shape, count).sheets:
        for item in labelled(sheet):
            place_name = places.get(item.id)
            x = item.x_mm if isinstance(item, PlacedSymbol) else item.x0_mm
            framed = [
                frame.text.text
                for frame in sheet.frames
                if frame.x0_mm < x < frame.x1_mm and frame.y0_mm < item.y_mm < frame.y1_mm
            ]
            assert framed in ([], [place_name])
            if place_name and not framed and f"({place_name})" not in " ".join(text.text for text in item.texts):
                untold.append(item.id)
    assert untold == []


PLANAR_UP_TO = 40
"""Components up to which planar systems are drawn without any crossing; two of the larger ones keep one."""
LINKED = [graph for graph in graphs() if ALL or not graph.name.startswith("120.")]


def planar(one_line: OneLine) -> bool:
    """Whether the stations can be drawn without any crossing at all."""
    return bool(nx.check_planarity(nx.Graph([(f.start, f.end) for f in one_line.feeders]))[0])


@pytest.mark.parametrize("graph", LINKED, ids=lambda graph: graph.name)
def test_many_ties_and_sense_wires_cross_no_more_often_than_need_be(graph: Graph) -> None:
    plan = place(graph.one_line, SYMBOLS, SHEET_SIZES["a3"])
    quality = measure(plan, SYMBOLS, CLEARANCE_MM)
    assert quality.faults == ()
    assert things_drawn(plan) == things_wanted(graph.one_line)
    assert quality.crossings <= graph.fewest_crossings
    if planar(graph.one_line) and int(graph.name.split(".")[0]) <= PLANAR_UP_TO:
        assert quality.crossings == 0
