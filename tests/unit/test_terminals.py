"""A terminal that is left out is filled in where only one fits, and asked for where two would do."""

from __future__ import annotations

from itertools import permutations

import pytest
from model_helpers import problems, spec, stops, system


def ends(paths: list[str], run: int = 1) -> list[str]:
    """The stops of a run as `SC1.battery`, or `F1.in>out` where the run goes through."""
    text = spec([f"id: W{number}, path: [{path}]" for number, path in enumerate(paths, start=1)])
    return [
        f"{id}.{entry}" + (f">{exit}" if exit != entry else "") if entry else id
        for id, entry, exit in stops(text, f"W{run}")
    ]


@pytest.mark.parametrize(
    ("paths", "meant"),
    [
        (["B1, F1, BUS1"], ["B1", "F1.in>out", "BUS1"]),
        (["BUS1, F1, B1"], ["BUS1", "F1.in>out", "B1"]),
        (["BUS1, F1, INV1"], ["BUS1", "F1.in>out", "INV1.dc"]),
        (["INV1, ACP1"], ["INV1.ac-out", "ACP1"]),
        (["SH1, Q1, IC1"], ["SH1", "Q1.in>out", "IC1.ac-in"]),
        (["IC1, Q1, SH1"], ["IC1.ac-in", "Q1.in>out", "SH1"]),
        (["SH1, IC1, ACP1"], ["SH1", "IC1.ac-in>ac-out", "ACP1"]),
        (["ACP1, Q1, AC1"], ["ACP1", "Q1.in>out", "AC1.ac"]),
        (["AC1, F1, B1"], ["AC1.dc", "F1.in>out", "B1"]),
        (["AC1.dc2, F1, B1"], ["AC1.dc2", "F1.in>out", "B1"]),
        (["VB1, F1, DCC1, F2, B1"], ["VB1", "F1.in>out", "DCC1.in>out", "F2.in>out", "B1"]),
        (["PV1, SC1, F1, B1"], ["PV1", "SC1.pv>battery", "F1.in>out", "B1"]),
        (["B1, F1, SC1, PV1"], ["B1", "F1.in>out", "SC1.battery>pv", "PV1"]),
        (["ACP1.main, Q1, AL1"], ["ACP1", "Q1.in>out", "AL1"]),
        (["SH1, Q1, T1, ACP1"], ["SH1", "Q1.in>out", "T1.primary>secondary", "ACP1"]),
        (["B1, SEL1.1, BUS1"], ["B1", "SEL1.1>common", "BUS1"]),
        (["BUS1, SEL1.1, B1"], ["BUS1", "SEL1.common>1", "B1"]),
        (["SH1, TS1.a, ACP1"], ["SH1", "TS1.a>out", "ACP1"]),
        (["INV1.case, GND"], ["INV1.case", "GND"]),
    ],
)
def test_a_path_says_what_its_order_and_kinds_leave_no_doubt_of(paths: list[str], meant: list[str]) -> None:
    assert ends(paths) == meant


@pytest.mark.parametrize("controller", ["SC1, F1, BUS1", "BUS1, F1, SC1"])
@pytest.mark.parametrize("order", [(0, 1, 2), (2, 1, 0), (1, 0, 2)])
def test_a_controller_is_joined_alike_whichever_way_its_runs_are_written(
    controller: str, order: tuple[int, ...]
) -> None:
    paths = ["PV1, SC1", controller, "B1, F2, BUS1"]
    written = [paths[index] for index in order]
    found = ends(written, written.index(controller) + 1)
    assert (ends(written, written.index("PV1, SC1") + 1), sorted(found)) == (
        ["PV1", "SC1.pv"],
        ["BUS1", "F1.in>out", "SC1.battery"],
    )


def test_a_turbine_on_the_battery_s_bus_does_not_make_the_bus_a_controller_s_array_side() -> None:
    paths = ["BUS1, F1, SC1", "PV1, SC1", "WT1, F2, BUS1", "B1, F3, BUS1"]
    assert ends(paths) == ["BUS1", "F1.in>out", "SC1.battery"]


def test_an_array_behind_a_junction_is_still_the_array_side() -> None:
    assert ends(["J1, F1, SC1", "PV1, J1", "PV2, J1"]) == ["J1", "F1.in>out", "SC1.pv"]


@pytest.mark.parametrize(("path", "entry", "exit"), [("B1, RS1, BUS1", "battery", "load"),
                                                     ("BUS1, RS1, B1", "load", "battery")])  # fmt: skip
def test_a_shunt_has_its_battery_side_towards_the_battery(path: str, entry: str, exit: str) -> None:
    assert stops(spec([f"id: W1, path: [{path}]"]))[1] == ("RS1", entry, exit)


def test_a_shunt_between_joints_has_its_battery_side_where_the_battery_is() -> None:
    assert ends(["BUS1, RS1, J1", "B1, F1, J1", "BUS1, LT1"]) == ["BUS1", "RS1.load>battery", "J1"]


@pytest.mark.parametrize("paths", [["B1, S1", "S1, BUS1"], ["S1, BUS1", "B1, S1"], ["B1, S1", "BUS1, S1"],
                                   ["S1, B1", "S1, BUS1"], ["S1.in, B1", "S1, BUS1"]])  # fmt: skip
def test_two_runs_that_meet_at_a_switch_land_on_its_two_sides(paths: list[str]) -> None:
    found = [stop.partition(".")[2] for run in (1, 2) for stop in ends(paths, run) if stop.startswith("S1")]
    assert sorted(found) == ["in", "out"]


def test_what_a_switch_feeds_lands_on_one_side_however_the_runs_are_ordered() -> None:
    paths = ["B1, S1", "S1, BUS1", "S1, F1, LT1"]
    for order in permutations(paths):
        text = spec([f"path: [{path}]" for path in order])
        found = {str(run.spec.path): stop.entry for run in system(text).runs for stop in run.stops
                 if stop.component == "S1"}  # fmt: skip
        assert sorted(found.values()) == ["in", "out", "out"]


@pytest.mark.parametrize(
    ("paths", "message"),
    [
        (["B1, SEL1"], "run W1: SEL1 has several terminals that fit; say SEL1.1, SEL1.2 or SEL1.common"),
        (["B1, SEL1, BUS1"], "run W1: the path could go through SEL1 in more than one way; end the run at SEL1.1, "
                             "SEL1.2 or SEL1.common, and begin the next one there"),
        (["B1, SEL1.common, BUS1"], "run W1: the path could go through SEL1 in more than one way; end the run at "
                                    "SEL1.1, SEL1.2 or SEL1.common, and begin the next one there"),
        (["ACP1, INV1"], "run W1: INV1 has several terminals that fit; say INV1.ac-out or INV1.ac-in"),
        (["RC1, Q1, INV1"], "run W1: INV1 has DC and AC terminals; say INV1.dc, INV1.ac-out or INV1.ac-in"),
        (["BUS1, SC1"], "run W1: SC1 has several terminals that fit; say SC1.pv, SC1.battery or SC1.load"),
        (["ALT1, DI1"], None),
        (["DI1, B1"], "run W1: DI1 has several terminals that fit; say DI1.in, DI1.a or DI1.b"),
    ],
)  # fmt: skip
def test_what_could_be_joined_in_two_ways_is_asked(paths: list[str], message: str | None) -> None:
    text = spec([f"id: W{number}, path: [{path}]" for number, path in enumerate(paths, start=1)])
    found = [] if message is None else [problem.split(": ", 1)[1] for problem in problems(text)]
    assert found == ([] if message is None else [message])
    assert message is not None or len(system(text).runs) == len(paths)


def test_the_other_input_of_a_selector_is_the_one_that_is_left() -> None:
    assert ends(["B1, SEL1.1", "B2, SEL1", "SEL1, BUS1"], 2) == ["B2", "SEL1.2"]
    assert ends(["B1, SEL1.1", "B2, SEL1", "SEL1, BUS1"], 3) == ["SEL1.common", "BUS1"]


@pytest.mark.parametrize("paths", [["VB1, F1, DCC1", "BUS1, F2, DCC1"], ["BUS1, F2, DCC1", "VB1, F1, DCC1"]])
def test_a_charger_s_output_that_is_written_backwards_is_asked_for(paths: list[str]) -> None:
    text = spec([f"id: W{number}, path: [{path}]" for number, path in enumerate(paths, start=1)])
    question = "DCC1 has several terminals that fit; say DCC1.in or DCC1.out"
    assert [problem.split(": ")[2] for problem in problems(text)] == [question, question]
