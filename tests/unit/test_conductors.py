"""Each stretch of a run is the conductors that are really there, on the poles where they really land."""

from __future__ import annotations

import pytest
from model_helpers import conductors, problems, spec, system

from rigline.model.conductors import letter


def one(run: str, more: str = "", **fields: str) -> list[str]:
    return conductors(spec([f"id: W1, {run}"], more, **fields))


def test_a_dc_run_carries_both_poles_and_a_fuse_breaks_the_positive() -> None:
    assert one("path: [B1, F1, LT1]") == [
        "W1a+: B1 + to F1.in +", "W1a-: B1 - to F1 -",
        "W1b+: F1.out + to LT1 +", "W1b-: F1 - to LT1 -",
    ]  # fmt: skip


def test_where_the_positive_is_bonded_a_fuse_breaks_the_negative() -> None:
    assert one("path: [B1, F1, LT1]", "dc-grounding: positive") == [
        "W1a+: B1 + to F1 +", "W1a-: B1 - to F1.in -",
        "W1b+: F1 + to LT1 +", "W1b-: F1.out - to LT1 -",
    ]  # fmt: skip


def test_a_shunt_stands_in_the_negative() -> None:
    assert one("path: [B1, RS1, BUS1]") == [
        "W1a+: B1 + to RS1 +", "W1a-: B1 - to RS1.battery -",
        "W1b+: RS1 + to BUS1 +", "W1b-: RS1.load - to BUS1 -",
    ]  # fmt: skip


def test_a_two_pole_switch_breaks_both_poles() -> None:
    assert one("path: [B1, S1, BUS1]", S1="poles: 2")[:2] == ["W1a+: B1 + to S1.in +", "W1a-: B1 - to S1.in -"]


def test_a_link_between_batteries_in_series_is_one_conductor() -> None:
    assert one("path: [B1-, B2+]") == ["W1a: B1 - to B2 +"]


def test_a_fuse_in_a_link_is_passed_by_its_one_conductor() -> None:
    assert [text.split(": ")[0] for text in one("path: [B1-, F1, B2+]")] == ["W1a", "W1b"]


@pytest.mark.parametrize(
    ("run", "meant"),
    [
        ("path: [B1+, BUS1]", ["W1a+: B1 + to BUS1 +"]),
        ("path: [BUS1, LT1-]", ["W1a-: BUS1 - to LT1 -"]),
        ("path: [B1, BUS1], carries: positive", ["W1a+: B1 + to BUS1 +"]),
        ("path: [BUS1-, GND]", ["W1aPE: BUS1 - to GND PE"]),
        ("path: [BUS1, GND]", ["W1aPE: BUS1 - to GND PE"]),
        ("path: [LT1-, GND]", ["W1a-: LT1 - to GND -"]),
        ("path: [INV1.case, GND]", ["W1aPE: INV1 PE to GND PE"]),
        ("path: [INV1.case, BUS1-]", ["W1aPE: INV1 PE to BUS1 -"]),
        ("path: [ACP1.N, GND], carries: neutral-bond", ["W1aN: ACP1 N to GND PE"]),
        ("path: [B1+, MON1.sense], carries: sense", ["W1aS: B1 S to MON1.sense S"]),
    ],
)
def test_a_run_of_one_conductor_lands_on_the_pole_that_is_meant(run: str, meant: list[str]) -> None:
    assert one(run) == meant


def test_a_return_goes_where_it_is_said_to_go_and_the_rest_stays_on_the_path() -> None:
    assert one("path: [BUS1, F1, LT1], return-to: BUS2") == [
        "W1a+: BUS1 + to F1.in +", "W1a-: BUS2 - to F1 -",
        "W1b+: F1.out + to LT1 +", "W1b-: F1 - to LT1 -",
    ]  # fmt: skip


@pytest.mark.parametrize(("written", "node"), [("RS1", "RS1.load -"), ("RS1.battery", "RS1.battery -"),
                                               ("INV1", "INV1.dc -")])  # fmt: skip
def test_a_return_to_a_shunt_lands_on_the_side_of_the_loads_unless_it_says_otherwise(written: str, node: str) -> None:
    assert one(f"path: [BUS1, LT1], return-to: {written}")[1] == f"W1a-: {node} to LT1 -"


def test_a_return_has_its_own_wire_and_length() -> None:
    run = "id: W1, path: [BUS1, F1, LT1], length: 3 m, wire: 10 AWG, return-wire: 8 AWG, return-length: 4 m"
    found = [c for s in system(spec([run])).run("W1").segments for c in s.conductors]
    assert [(c.pole, str(c.wire), c.length_m) for c in found] == [
        ("+", "10 AWG", 1.5), ("-", "8 AWG", 2.0), ("+", "10 AWG", 1.5), ("-", "8 AWG", 2.0)
    ]  # fmt: skip


def test_one_length_for_a_path_is_its_sum_and_no_stretch_of_it_is_known() -> None:
    run = system(spec(["id: W1, path: [BUS1, F1, LT1], length: 3 m"])).run("W1")
    assert ([s.length_m for s in run.segments], [s.share_m for s in run.segments], run.length_m) == (
        [None, None], [1.5, 1.5], 3.0
    )  # fmt: skip


def test_a_length_that_nobody_knows_stays_unknown() -> None:
    run = system(spec(["id: W1, path: [BUS1, F1, LT1], lengths: [unknown, 2 m]"])).run("W1")
    assert ([s.length_m for s in run.segments], run.length_m) == ([None, 2.0], None)


def test_an_ac_run_carries_hot_neutral_and_protective_earth_and_a_breaker_breaks_the_hot() -> None:
    assert one("path: [ACP1, Q1, RC1]") == [
        "W1aL1: ACP1 L1 to Q1.in L1", "W1aN: ACP1 N to Q1 N", "W1aPE: ACP1 PE to Q1 PE",
        "W1bL1: Q1.out L1 to RC1 L1", "W1bN: Q1 N to RC1 N", "W1bPE: Q1 PE to RC1 PE",
    ]  # fmt: skip


def test_a_two_pole_breaker_and_an_rcd_break_hot_and_neutral_and_never_the_earth() -> None:
    assert one("path: [ACP1, Q1, AL1]", Q1="poles: 2")[:3] == [
        "W1aL1: ACP1 L1 to Q1.in L1", "W1aN: ACP1 N to Q1.in N", "W1aPE: ACP1 PE to Q1 PE"
    ]  # fmt: skip
    assert one("path: [ACP1, RCD1, AL1]")[1] == "W1aN: ACP1 N to RCD1.in N"


def test_a_galvanic_isolator_stands_in_the_earth_of_an_ac_run() -> None:
    assert one("path: [SH1, GI1, ACP1]") == [
        "W1aL1: SH1 L1 to GI1 L1", "W1aN: SH1 N to GI1 N", "W1aPE: SH1 PE to GI1.in PE",
        "W1bL1: GI1 L1 to ACP1 L1", "W1bN: GI1 N to ACP1 N", "W1bPE: GI1.out PE to ACP1 PE",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("cores", "poles"),
    [("[L, N]", ["L1", "N"]), ("[L1, L2, PE]", ["L1", "L2", "PE"]), ("[N]", ["N"]), ("[L2, N, PE]", ["L2", "N", "PE"])],
)
def test_the_cores_that_are_named_are_the_cores_that_are_there(cores: str, poles: list[str]) -> None:
    found = system(spec([f"id: W1, path: [ACP1, AL1], cores: {cores}"])).run("W1").segments[0].conductors
    assert [conductor.pole for conductor in found] == poles


def test_earth_and_neutral_have_their_own_wires() -> None:
    run = "id: W1, path: [ACP1, AL1], wire: 6 AWG, earth-wire: 10 AWG, neutral-wire: 8 AWG"
    found = system(spec([run])).run("W1").segments[0].conductors
    assert [(c.pole, str(c.wire)) for c in found] == [("L1", "6 AWG"), ("N", "8 AWG"), ("PE", "10 AWG")]


def test_a_wire_left_out_or_unknown_has_no_size_and_the_second_is_told_from_the_first() -> None:
    runs = system(spec(["id: W1, path: [BUS1, LT1]", "id: W2, path: [BUS1, LT2], wire: Unknown"])).runs
    assert [run.segments[0].conductors[0].wire for run in runs] == [None, None]
    assert [run.spec.unknown for run in runs] == [frozenset(), frozenset({"wire"})]


@pytest.mark.parametrize(("index", "name"), [(0, "a"), (25, "z"), (26, "aa"), (27, "ab"), (51, "az"), (52, "ba"),
                                             (701, "zz"), (702, "aaa")])  # fmt: skip
def test_stretches_are_lettered_a_to_z_and_then_aa(index: int, name: str) -> None:
    assert letter(index) == name


def test_a_run_of_twenty_eight_stretches_is_lettered_on() -> None:
    path = ", ".join(["B1", *(f"F{number}" for number in range(1, 28)), "BUS1"])
    names = [segment.id for segment in system(spec([f"id: W1, path: [{path}]"])).run("W1").segments]
    assert (names[0], names[25], names[26], names[27], len(set(names))) == ("W1a", "W1z", "W1aa", "W1ab", 28)


def test_a_run_that_is_called_like_a_stretch_of_another_is_refused() -> None:
    text = spec(["id: W1, path: [B1, F1, BUS1]", "id: W1b, path: [BUS1, LT1]"])
    assert [text.split(": ", 1)[1] for text in problems(text)] == [
        "run W1b: its name is that of a stretch of run W1; give the run another id"
    ]


def test_no_two_conductors_share_an_id() -> None:
    runs = ["path: [B1, F1, BUS1]", "id: W2, path: [BUS1, LT1]", "path: [BUS1, LT2]", "id: W3a, path: [BUS1, F2, LT3]"]
    built = system(spec(runs))
    ids = [conductor.id for segment in built.segments for conductor in segment.conductors]
    assert ([run.id for run in built.runs], len(ids)) == (["W1", "W2", "W4", "W3a"], len(set(ids)))
