"""The order list: what is bought, what is asked, what is there already."""

from __future__ import annotations

from pathlib import Path

import pytest
from helpers import study_of

import rigline
from rigline.ordering.components import price_of
from rigline.ordering.item import Item
from rigline.ordering.order import Order, order_of

BOX = """\
rigline: 1
profile: us-rv
components:
  B1: {kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 100 Ah, parallel: 2, mass: 11 kg,
       price: 300 EUR, stud: M8}
  F1: {kind: fuse, style: class-t, rating: 100 A, stud: M8}
  DC1: {kind: fuse-block, rating: 100 A, stud: M5}
  FA: {kind: fuse, style: blade, rating: 5 A}
  FB: {kind: fuse, style: blade, rating: 5 A}
  LT1: {kind: dc-load, name: Lights, power: 20 W, count: 3}
  LT2: {kind: dc-load, name: Lights, power: 20 W}
  GND: {kind: chassis, stud: M8}
runs:
  - {id: W1, path: [B1, F1, DC1], lengths: [150 mm, 0.6 m], wire: 2 AWG}
  - {id: W2, path: [DC1, FA, LT1], length: 4 m, wire: 14 AWG}
  - {id: W3, path: [DC1, FB, LT2], length: 3 m, wire: 14 AWG}
  - {id: W4, path: [DC1-, GND], length: 0.5 m, carries: bond, wire: 2 AWG}
"""


def order(text: str) -> Order:
    """The lists of a spec."""
    return order_of(study_of(text))


def counts(items: tuple[Item, ...]) -> dict[str, float]:
    """How many of each thing."""
    return {item.what: item.count for item in items}


def components(found: Order) -> dict[str, float]:
    """How many of each component."""
    return {group.item.what: group.item.count for group in found.components}


def test_blocks_of_a_bank_and_alike_things_are_counted_together() -> None:
    assert components(order(BOX)) == {
        "battery, LiFePO4, 12.8 V, 100 Ah": 2,
        "fuse, 100 A, class T": 1,
        "fuse block, 100 A": 1,
        "fuse, 5 A, blade": 2,
        "Lights, 3 × 20 W": 3,
        "Lights, 20 W": 1,
    }


def test_lugs_are_counted_by_wire_and_stud_with_spares() -> None:
    """2 AWG: B1 and F1 take four on M8 and GND one; DC1's stud for three is M5. A tenth more, one at least."""
    found = counts(order(BOX).lugs)

    assert found["tinned copper lug 2 AWG for M8"] == 5 + 1
    assert found["tinned copper lug 2 AWG for M5"] == 3 + 1
    assert found["ring terminal 16-14 AWG (1.5-2.5 mm²), blue, for M5"] == 4 + 1


def test_a_lug_that_is_hardly_made_is_said_so() -> None:
    notes = {item.what: item.note for item in order(BOX).lugs}

    assert "odd pair" in notes["tinned copper lug 2 AWG for M5"]
    assert "odd pair" not in notes["tinned copper lug 2 AWG for M8"]


def test_an_unknown_stud_is_asked_for_and_no_lug_is_ordered() -> None:
    found = order(BOX.replace(", stud: M8}", "}").replace(", stud: M5}", "}"))

    assert found.lugs == ()
    assert counts(found.open_lugs)["tinned copper lug 2 AWG, stud not known"] == 8
    assert found.questions[0].at == (
        "B1 (2 × 2 AWG)", "F1 (2 × 2 AWG)", "DC1 (3 × 2 AWG, 4 × 14 AWG)", "GND (1 × 2 AWG)",
    )  # fmt: skip


def test_two_studs_on_one_component_are_a_question_about_its_runs() -> None:
    found = order(BOX.replace("stud: M5", "stud: [M8, M5]"))

    assert "which of its studs (M8, M5) takes W1, W2, W3, W4" in found.questions[0].ask
    assert found.questions[0].at == ("DC1 (3 × 2 AWG, 4 × 14 AWG)",)


def test_only_fuses_outside_a_fuse_block_get_a_holder_and_every_rating_a_spare() -> None:
    assert counts(order(BOX).fuses) == {
        "class T fuse block with cover": 1,
        "spare fuse 5 A blade": 2,
        "spare fuse 100 A class-t": 1,
    }


def test_a_fuse_without_style_is_asked_for() -> None:
    asked = [q.ask for q in order(BOX.replace("style: class-t, ", "")).questions]

    assert any(ask.startswith("which style?") for ask in asked)


def test_wire_is_bought_by_size_and_colour_in_lengths_that_are_sold() -> None:
    """14 AWG: 4 m and 3 m with 10 % slack and two spare ends of 150 mm for each of two runs, 8.3 m or 27.2 ft."""
    found = {f"{one.product.size} {one.product.colour}": one for one in order(BOX).wire}

    small, heavy = found["14 AWG red"], found["2 AWG red"]
    assert [small.cut_m, small.need_m] == pytest.approx([7.7, 8.3])
    assert (small.rolls, small.unit) == ((50,), "ft")
    assert heavy.need_m == pytest.approx(0.15 + 0.66 + 0.5)
    assert (heavy.rolls, heavy.unit) == ((5,), "ft")
    assert found["2 AWG green"].runs == ("W4",)


def test_metric_wire_is_bought_in_metres() -> None:
    text = BOX.replace("us-rv", "eu-caravan").replace("14 AWG", "2.5 mm²").replace("2 AWG", "35 mm²")
    found = {f"{one.product.size} {one.product.colour}": one for one in order(text).wire}

    assert (found["2.5 mm² red"].rolls, found["2.5 mm² red"].unit) == ((10,), "m")
    assert (found["35 mm² red"].rolls, found["35 mm² red"].unit) == ((2,), "m")


def test_what_is_there_or_on_its_way_is_listed_so() -> None:
    text = BOX.replace("price: 300 EUR", "price: 300 EUR, have: true")
    text = text.replace("rating: 100 A, stud: M8", "ordered: true, rating: 100 A, stud: M8")
    found = order(text.replace("length: 4 m,", "length: 4 m, have: true,"))

    assert [group.item.state for group in found.components[:2]] == ["have", "ordered"]
    states = {(one.state, one.product.colour, str(one.product.size)): one.runs for one in found.wire}
    assert states["have", "red", "14 AWG"] == ("W2",)
    assert states["need", "red", "14 AWG"] == ("W3",)
    assert [item.what for item in found.first] == ["hex crimper with its dies"]


def test_what_is_built_in_is_there() -> None:
    assert order(BOX.replace("price: 300 EUR", "status: existing")).components[0].item.state == "have"


def test_the_known_mass_is_a_lower_bound_and_the_rest_is_named() -> None:
    """Two blocks of 11 kg; 2 AWG copper of 299 g/m and 14 AWG of 18.5 g/m (bare) with their insulation."""
    found = order(BOX).mass
    wire_2, wire_14 = (0.15 + 0.66) + 0.825 + 0.5, 2 * (4.4 + 3.3)

    assert found.components_kg == 22
    assert found.wire_kg == pytest.approx(wire_2 * 0.299 * 1.28 + wire_14 * 0.0185 * 1.6)
    assert found.unknown == ("F1", "DC1", "FA", "FB", "LT1", "LT2")


def test_prices_are_summed_by_currency_for_what_is_still_to_be_paid() -> None:
    text = BOX.replace("style: blade, rating: 5 A", "style: blade, rating: 5 A, price: $ 1.50")
    found = order(text).price

    assert found.totals == (("$", 3.0), ("EUR", 600.0))
    assert (found.priced, found.unpriced) == (4, 6)
    assert order(text.replace("300 EUR", "300 EUR, have: true")).price.totals == (("$", 3.0),)


def test_a_price_that_is_no_number_counts_as_none() -> None:
    assert price_of("ask the dealer") == (None, "")


def test_unknown_wire_and_length_are_asked_for() -> None:
    text = BOX.replace("length: 4 m, wire: 14 AWG", "length: unknown, wire: 14 AWG")
    found = order(text.replace("length: 3 m, wire: 14 AWG", "length: 3 m, wire: unknown"))
    asked = {question.at: question.ask for question in found.questions}

    assert asked["W2",].startswith("how long is the route?")
    assert asked["W3",] == "which wire size?"
    assert found.mass.unknown_wire == ("W2", "W3")


def test_a_tool_is_listed_only_if_something_needs_it() -> None:
    tools = {item.what: item.note for item in order(BOX).tools}
    thin = order(BOX.replace("wire: 2 AWG", "wire: 10 AWG")).tools

    assert tools["hex crimper, hydraulic or long-armed"] == "with dies for 2 AWG lugs"
    assert "M8 6.6 to 11 N m" in tools["torque wrench, 3 to 25 N m"]
    assert [what for what in tools if "RCD" in what or "PV" in what or "ferrule" in what] == []
    assert [item.what for item in thin if "hex crimper" in item.what or "shears" in item.what] == []


def test_a_stage_is_ordered_by_itself(tmp_path: Path) -> None:
    spec = tmp_path / "box.yaml"
    spec.write_text(BOX.replace("name: Lights, power: 20 W}", "name: Lights, power: 20 W, stage: 2}"), encoding="utf-8")
    first, second = (rigline.order(rigline.read(spec, stage=stage)) for stage in ("1", "2"))

    assert [id for group in first.components for id in group.item.at if id == "LT2"] == []
    assert [piece.run for piece in first.cuts if piece.run == "W3"] == []
    assert {piece.run for piece in second.cuts} == {"W1", "W2", "W3", "W4"}


def test_loom_and_gland_follow_from_sheath_and_places() -> None:
    places = "defaults: {sheathed: true}\nplaces: {roof: {outside: true}, bench: {}}\ncomponents:"
    text = BOX.replace("components:", places).replace(
        "DC1: {kind: fuse-block,", "DC1: {kind: fuse-block, place: bench,"
    )
    text = text.replace("F1: {kind: fuse,", "F1: {kind: fuse, place: roof,")
    found = order(text).routing

    assert [item.what for item in found if "gland" in item.what] == ["cable gland for 2 × 2 AWG (11.9 mm each)"]
    assert sum(item.count for item in found if item.what.startswith("loom")) == pytest.approx(
        1.1 * (0.75 + 4 + 3 + 0.5) / 0.3048
    )


def test_clamps_stand_every_18_inches() -> None:
    """ABYC E-11, from memory: W2 of 4 m takes nine stretches of 450 mm and one clamp more, W3 of 3 m seven and one."""
    found = counts(order(BOX).routing)

    assert found["clip, or tie on a mount, for 2 × 14 AWG (3.4 mm each)"] == 10 + 8


def test_blocks_of_a_bank_are_linked_by_wires_that_no_run_shows() -> None:
    """Two in parallel take a link of each pole; two in series with two in parallel take one each and two more."""
    found = order(BOX.replace("parallel: 2", "series: 2, parallel: 2"))
    asked = {question.at: question.ask for question in found.questions}

    assert asked["B1 (2 in series, 2 in parallel)",].startswith("how long are the links")


def test_aluminium_gets_its_own_lugs_and_is_not_weighed_as_copper() -> None:
    found = order(BOX.replace("carries: bond, wire: 2 AWG", "carries: bond, wire: 2 AWG, material: aluminium"))

    assert "lug marked for aluminium 2 AWG for M8" in counts(found.lugs)
    assert found.mass.unknown_wire == ("W4",)


def test_strings_in_parallel_need_branch_plugs() -> None:
    text = BOX.replace("runs:", "  PV1: {kind: pv-array, parallel: 2}\n  SC1: {kind: charge-controller}\nruns:")
    found = counts(order(text + "  - {id: W5, path: [PV1, SC1], length: 3 m, wire: 10 AWG}\n").fittings)

    assert found["PV branch plug, 2 to 1, of the family on the module"] == 2
    assert found["PV plug, one half, of the family on the module"] == 2


def test_a_data_cable_is_bought_whole() -> None:
    text = BOX.replace("runs:", "  MON1: {kind: monitor}\n  RS1: {kind: shunt}\nruns:")
    found = order(text + "  - {id: W5, path: [RS1.sense, MON1.sense], length: 3 m, carries: data}\n")

    assert counts(found.fittings)["data cable RS1 to MON1, 3 m or longer"] == 1
    assert [piece.run for piece in found.cuts if piece.run == "W5"] == []


def test_a_thick_cable_on_a_part_with_clamps_is_asked_about() -> None:
    text = BOX.replace("GND: {kind: chassis, stud: M8}", "GND: {kind: earth-bus}").replace(
        "carries: bond, wire: 2 AWG", "carries: bond, wire: 4/0 AWG"
    )
    asked = {question.at: question.ask for question in order(text).questions}

    assert asked["GND (W4, 4/0 AWG)",] == "how does a wire land on it: stud, clamp or lead?"
