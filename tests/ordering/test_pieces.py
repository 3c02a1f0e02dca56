"""What is cut from a run, and what goes on its ends: a fuse cuts the positive, a shunt the negative."""

from __future__ import annotations

import pytest
from helpers import study_of

from rigline.ordering.pieces import Piece, pieces

HEAD = "rigline: 1\nprofile: us-boat\n"
VAN = """\
components:
  B1: {kind: battery, voltage: 12 V, capacity: 100 Ah, stud: M8}
  F1: {kind: fuse, style: class-t, rating: 100 A}
  RS1: {kind: shunt, rating: 300 A, stud: M10}
  BUS1: {kind: busbar, rating: 200 A, stud: [M8, M6]}
  DC1: {kind: fuse-block, rating: 100 A}
  FA: {kind: fuse, style: blade, rating: 5 A}
  LT1: {kind: dc-load, power: 20 W}
runs:
  - {id: W1, path: [B1, F1, RS1, BUS1], lengths: [150 mm, 0.4 m, 0.3 m], wire: 2 AWG}
  - {id: W2, path: [BUS1, DC1], length: 1 m, wire: 8 AWG, stud: [M6, 5/16 in]}
  - {id: W3, path: [DC1, FA, LT1], length: 4 m, wire: 14 AWG}
"""


def cut(text: str) -> dict[str, Piece]:
    """The pieces of a spec by their id."""
    return {piece.id: piece for piece in pieces(study_of(text))}


def fittings(piece: Piece) -> tuple[str, str]:
    """What goes on both ends of a piece."""
    return piece.start.fitting(piece.size, piece.solid), piece.end.fitting(piece.size, piece.solid)


def test_a_fuse_cuts_the_positive_and_a_shunt_the_negative() -> None:
    found = cut(HEAD + VAN)

    assert [id for id in found if id.startswith("W1")] == ["W1a+", "W1b-c+", "W1a-b-", "W1c-"]
    assert [round(found[id].length_m or 0, 3) for id in ("W1a+", "W1b-c+", "W1a-b-", "W1c-")] == [0.15, 0.7, 0.55, 0.3]


def test_a_fuse_in_a_fuse_block_has_no_wire_of_its_own() -> None:
    found = cut(HEAD + VAN)

    assert [id for id in found if id.startswith("W3")] == ["W3+", "W3-"]
    assert (found["W3+"].start.place, found["W3+"].length_m) == ("DC1 way FA +", 4)
    assert found["W3-"].start.place == "DC1 -"


def test_a_fuse_with_a_length_of_its_own_is_cut_at_even_beside_a_fuse_block() -> None:
    text = VAN.replace("path: [DC1, FA, LT1], length: 4 m", "path: [DC1, FA, LT1], lengths: [0.2 m, 3.8 m]")

    assert [id for id in cut(HEAD + text) if id.startswith("W3")] == ["W3a+", "W3b+", "W3-"]


def test_a_stud_comes_from_the_run_else_from_the_only_one_of_the_component_and_is_never_guessed() -> None:
    found = cut(HEAD + VAN)

    assert fittings(found["W1a+"]) == ("lug for M8", "lug, stud?")
    assert fittings(found["W1a-b-"]) == ("lug for M8", "lug for M10")
    assert fittings(found["W1c-"]) == ("lug for M10", "lug, stud?")
    assert found["W1c-"].end.stated == ("M8", "M6")
    assert fittings(found["W2+"]) == ("lug for M6", "lug for 5/16 in")
    assert fittings(found["W3+"]) == ("ring, stud?", "splice")


def test_a_stud_of_no_known_size_is_not_taken_for_one() -> None:
    end = cut(HEAD + VAN.replace("stud: M8", "stud: 8"))["W1a+"].start

    assert (end.landing, end.stud, end.stated) == ("stud", None, ("8",))


def test_slack_is_added_to_long_pieces_and_not_to_short_ones() -> None:
    """A fuse may stand only so far from its battery: 7 in (178 mm) by 33 CFR 183.455(b). 150 mm stay 150 mm."""
    found = cut(HEAD + "defaults: {slack: 20 %}\n" + VAN)

    assert found["W1a+"].cut_m == 0.15
    assert found["W3+"].cut_m == pytest.approx(4.8)


@pytest.mark.parametrize(
    ("profile", "run", "colours"),
    [
        ("us-boat", "", ["red", "yellow"]),
        ("us-rv", "", ["red", "black"]),
        ("iec-cabin", "", ["red", "black"]),
        ("us-rv", ", color: red/white", ["red", "white"]),
        ("us-rv", ", color: red and blue", ["red", "blue"]),
        ("us-rv", ", color: grey", ["grey", "grey"]),
    ],
)
def test_colours_follow_the_rules_unless_the_run_says_its_own(profile: str, run: str, colours: list[str]) -> None:
    """ABYC E-11: positive red, negative black or yellow; ISO 10133: red, black or yellow. From memory."""
    text = f"rigline: 1\nprofile: {profile}\n" + VAN.replace("wire: 14 AWG", f"wire: 14 AWG{run}")
    found = cut(text)

    assert [found["W3+"].colour, found["W3-"].colour] == colours


AC = """\
components:
  GEN1: {kind: generator, power: 3 kW, voltage: 120 V}
  ACP1: {kind: ac-panel, rating: 30 A}
  QA: {kind: breaker, rating: 20 A}
  RC1: {kind: receptacle, rating: 20 A, power: 500 W, legs: L2}
  EB1: {kind: earth-bus}
runs:
  - {id: W1, path: [GEN1, ACP1], length: 3 m, wire: 10 AWG}
  - {id: W2, path: [ACP1, QA, RC1], length: 5 m, wire: 12 AWG}
  - {id: W3, path: [ACP1, EB1], length: 1 m, carries: earth, wire: 8 AWG}
"""


def test_an_ac_run_is_one_cable_with_its_cores() -> None:
    found = cut("rigline: 1\nprofile: us-rv\n" + AC)

    assert list(found) == ["W1", "W2", "W3"]
    assert (found["W1"].cores, found["W1"].colour) == (("L1", "N", "PE"), "black/white/green")
    assert fittings(found["W1"]) == ("plug", "ferrule")
    assert found["W2"].start.place == "ACP1 way QA"


def test_a_cable_on_the_second_leg_is_the_same_cable_from_the_shop() -> None:
    assert cut("rigline: 1\nprofile: us-cabin\n" + AC)["W2"].colour == "black/white/green"


def test_building_cable_of_us_cabins_is_solid_and_takes_no_ferrule() -> None:
    found = cut("rigline: 1\nprofile: us-cabin\n" + AC)

    assert fittings(found["W2"]) == ("bare", "bare")
    assert fittings(found["W3"]) == ("ferrule", "ferrule")


def test_conductors_in_parallel_are_cut_as_often() -> None:
    found = cut(HEAD + VAN.replace("wire: 8 AWG", "wire: 8 AWG, conductors: 2"))

    assert [found[id].count for id in ("W2+", "W2-", "W3+")] == [2, 2, 1]


def test_a_sum_over_several_pieces_leaves_the_length_of_each_open() -> None:
    text = VAN.replace("lengths: [150 mm, 0.4 m, 0.3 m]", "length: 0.9 m")
    found = cut(HEAD + text)

    assert found["W1a+"].length_m is None
    assert found["W1a+"].share_m == pytest.approx(0.3)


def test_a_fuse_on_the_battery_post_has_no_wire_before_it() -> None:
    found = cut(HEAD + VAN.replace("style: class-t", "style: terminal, on-post: true"))

    assert [id for id in found if id.startswith("W1")] == ["W1b-c+", "W1a-b-", "W1c-"]


def test_a_sense_lead_has_a_ring_on_the_battery_and_a_splice_on_what_reads_it() -> None:
    text = VAN.replace("runs:", "  MON1: {kind: monitor}\nruns:") + (
        "  - {id: W4, path: [B1+, MON1.sense], length: 2 m, carries: sense}\n"
    )

    assert fittings(cut(HEAD + text)["W4"]) == ("ring for M8", "splice")


def test_a_lead_that_the_maker_fitted_is_not_cut() -> None:
    text = VAN.replace("wire: 8 AWG,", "wire: 8 AWG, factory: true,")

    assert fittings(cut(HEAD + text)["W2+"]) == ("fitted", "fitted")
