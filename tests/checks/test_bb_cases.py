"""Battery banks that people built, and the verdict with its number. Cases from practice unless a clause is named."""

from __future__ import annotations

import pytest
from overcurrent_systems import BOW_BATTERY, SOLAR_KIT
from storage_systems import judged, missing, system

from rigline.kinds.sources import Battery
from rigline.study.ventilation import opening_mm2

BLOCK = (
    "{id}: {{kind: battery, chemistry: agm, voltage: {volts} V, capacity: {ah} Ah, short-circuit: 2 kA, age: {age}}}"
)


def block(id: str, ah: float = 60, volts: float = 12, age: str = "new") -> str:
    """One lead block."""
    return BLOCK.format(id=id, ah=f"{ah:g}", volts=f"{volts:g}", age=age)


def test_a_kit_with_an_8_and_a_33_ah_battery_is_unlike_too_many_and_too_small() -> None:
    """8 of 33 Ah is 76 % less; 500 W over 85 % at 10.5 V is 56 A of 57 Ah, 0.98 C; four strings. All of it advice."""
    ids = ("B1", "B2", "B3", "B4")
    assert judged(SOLAR_KIT, "bb-mixed-age-capacity", "bb-c-rate", "bb-parallel-limit") == [
        ("bb-c-rate", "advice", ids, 56.0, 11.4),
        ("bb-mixed-age-capacity", "advice", ids, 75.8, 5.0),
        ("bb-parallel-limit", "advice", ids, 4.0, 3.0),
    ]


def test_a_bow_bank_behind_a_relay_is_a_bank_of_its_own() -> None:
    """Two banks of different size that a relay joins while they are charged are not one bank."""
    assert judged(BOW_BATTERY, "bb-mixed-age-capacity", "bb-unequal-cabling", "bb-mixed-chemistry") == []


SERIES = f"""{block("B1")}
{block("B2")}
F1: {{kind: fuse, style: class-t, rating: 10 A}}
LT1: {{kind: dc-load, current: 4 A, continuous: false}}
F2: {{kind: fuse, style: class-t, rating: 10 A}}
"""
SERIES_RUNS = """
- {id: W1, path: [B2+, F1, LT1], lengths: [100 mm, 1 m], carries: positive, wire: 12 AWG}
- {id: W2, path: [LT1, B1], length: 1 m, carries: negative, wire: 12 AWG}
- {id: W3, path: [B2-, B1+], length: 0.2 m, wire: 8 AWG}
"""
LOWER = "- {id: W4, path: [B1, F2, RA1], lengths: [100 mm, 1 m], wire: 12 AWG}"
UPPER = "- {id: W4, path: [B2, F2, RA1], lengths: [100 mm, 1 m], wire: 12 AWG}"
RADIO = "RA1: {kind: dc-load, name: Radio, current: 5 A, continuous: false}"
CONVERTER = """CV1: {kind: dc-converter, output: 10 A, output-voltage: 12 V}
RA1: {kind: dc-load, name: Radio, current: 5 A, continuous: false}"""
ACROSS = """- {id: W4, path: [B2+, F2, CV1.in], lengths: [100 mm, 1 m], carries: positive, wire: 12 AWG}
- {id: W5, path: [CV1.in, B1], length: 1 m, carries: negative, wire: 12 AWG}
- {id: W6, path: [CV1.out, RA1], length: 1 m, wire: 12 AWG}"""


@pytest.mark.parametrize(
    ("extra", "run", "found"), [(RADIO, LOWER, 5.0), (RADIO, UPPER, 5.0), (CONVERTER, ACROSS, None)]
)
def test_12_v_from_the_middle_of_24_v_unbalances_either_half_and_a_converter_neither(
    extra: str, run: str, found: float | None
) -> None:
    """A 5 A radio on one block of two is found on either block; a converter across both is sound."""
    said = judged(system(SERIES + extra, SERIES_RUNS + run), "bb-midpoint-load")
    assert said == ([] if found is None else [("bb-midpoint-load", "fault", ("RA1", "B1", "B2"), found, 0.0)])


def test_unlike_blocks_in_series_are_a_fault() -> None:
    """The small block of a string is driven backwards by the others."""
    text = system(SERIES.replace(block("B2"), block("B2", ah=40)), SERIES_RUNS)
    assert judged(text, "bb-mixed") == [("bb-mixed-age-capacity", "fault", ("B1", "B2"), 33.3, 5.0)]


def test_batteries_that_do_not_say_their_age_can_not_be_compared() -> None:
    """No age is no pass."""
    text = system(SERIES.replace(", age: new}", "}", 1), SERIES_RUNS)
    assert missing(text, "bb-mixed-age-capacity") == [(("B1", "B2"), "age of B1, as in 3 years")]


@pytest.mark.parametrize(("blocks", "volts"), [(4, None), (3, None), (2, 16.0)])
def test_8_v_blocks_make_a_32_v_boat(blocks: int, volts: float | None) -> None:
    """Four 8 V blocks are 32 V and three are 24 V; two are 16 V, which nothing is made for."""
    battery = block("B1", volts=8).replace("}", f", series: {blocks}}}")
    text = system(
        battery + "\nF1: {kind: fuse, style: class-t, rating: 10 A}\nLT1: {kind: dc-load, current: 2 A}",
        "- {id: W1, path: [B1, F1, LT1], lengths: [100 mm, 1 m], wire: 12 AWG}",
    )
    assert [one[3] for one in judged(text, "bb-series-arithmetic")] == ([] if volts is None else [volts])


def ladder(far_end: str) -> str:
    """Four batteries in a row of thick short links, the negative taken off at one of them."""
    rows = "\n".join(block(f"B{n}", ah=100) for n in range(1, 5))
    links = "\n".join(
        f"- {{id: L{n}, path: [B{n}, B{n + 1}], length: 0.3 m, wire: 4 AWG}}" for n in range(1, 4)
    )  # fmt: skip
    parts = "F1: {kind: fuse, style: class-t, rating: 100 A}\nHT1: {kind: dc-load, current: 80 A, continuous: false}"
    runs = f"""{links}
- {{id: W1, path: [B1+, F1, HT1], lengths: [100 mm, 1 m], carries: positive, wire: 2 AWG}}
- {{id: W2, path: [HT1, {far_end}], length: 1 m, carries: negative, wire: 2 AWG}}"""
    return system(f"{rows}\n{parts}", runs)


def test_both_take_offs_on_the_first_battery_make_it_work_most() -> None:
    """With 6 mΩ blocks and 0.3 m links of 4 AWG the first of four carries a good third more than its share."""
    ((rule, severity, at, found, limit),) = judged(ladder("B1"), "bb-unequal-cabling")
    assert (rule, severity, at[0], limit) == ("bb-unequal-cabling", "fault", "B1", 10.0)
    assert 10 < (found or 0.0) < 60


def test_a_diagonal_take_off_evens_the_row_out() -> None:
    """Plus from the first and minus from the last gives all four nearly the same way."""
    worse, better = judged(ladder("B1"), "bb-unequal-cabling"), judged(ladder("B4"), "bb-unequal-cabling")
    assert [len(worse), len(better)] == [1, 0]


def test_440_ah_of_vented_lead_need_74_cm2_above_and_below() -> None:
    """IEC 62485-2: 0.05 x 6 cells x 20 mA/Ah x 440 Ah = 2.64 m³/h; 28 x 2.64 = 74 cm² (the standard's own form)."""
    assert opening_mm2(Battery(id="B1", chemistry="flooded", voltage_v=12.0, capacity_ah=440.0)) == pytest.approx(7392)


VENTED = block("B1", ah=440).replace("agm", "flooded").replace("}", ", place: box}")
LAMP = "F1: {kind: fuse, style: class-t, rating: 10 A}\nLT1: {kind: dc-load, current: 4 A, continuous: false}"
LAMP_RUN = "- {id: W1, path: [B1, F1, LT1], lengths: [100 mm, 1 m], wire: 12 AWG}"


@pytest.mark.parametrize(
    ("place", "said"),
    [
        ("vent: 628 mm²", [("bb-ventilation", "danger", ("B1",), 6.28, 73.9)]),
        ("vent: 74 cm²", []),
        ("ventilated: false", [("bb-ventilation", "danger", ("B1",), None, None)]),
        ("ventilated: true", []),
        ("sleeping: true, ventilated: true", []),
    ],
)
def test_two_20_mm_holes_do_not_air_440_ah(place: str, said: list[object]) -> None:
    """Two holes of 20 mm are 6.3 cm², a twelfth of what is needed."""
    text = system(f"{VENTED}\n{LAMP}", LAMP_RUN, head=f"places: {{box: {{{place}}}}}\n")
    assert judged(text, "bb-ventilation") == said


def test_a_place_that_nobody_describes_is_not_judged() -> None:
    """Whether a box is ventilated is asked, not guessed."""
    fact = "whether the place of B1 is ventilated (ventilated of its place)"
    assert missing(system(f"{VENTED}\n{LAMP}", LAMP_RUN), "bb-ventilation") == [(("B1",), fact)]


@pytest.mark.parametrize(
    ("place", "count"),
    [
        ("bilge: true", 1),
        ("lpg: true", 1),
        ("petrol: true", 1),
        ("sleeping: true", 1),
        ("max: 50 °C", 1),
        ("wet: true", 0),
    ],
)
def test_a_flooded_battery_stands_in_no_bad_place(place: str, count: int) -> None:
    """ISO 10133 and EN 1648: above bilge water, away from gas and petrol, not where people sleep, not hot."""
    text = system(f"{VENTED}\n{LAMP}", LAMP_RUN, head=f"places: {{box: {{ventilated: true, {place}}}}}\n")
    assert [one[:3] for one in judged(text, "bb-location")] == [("bb-location", "fault", ("B1",))] * count


@pytest.mark.parametrize(
    ("battery", "amps", "said"),
    [
        ("chemistry: agm, voltage: 12 V, capacity: 200 Ah", 150, [("bb-c-rate", "fault", ("B1",), 150.0, 40.0)]),
        ("chemistry: lifepo4, voltage: 12.8 V, capacity: 280 Ah", 140, []),
        ("chemistry: lifepo4, voltage: 12.8 V, capacity: 280 Ah, max-discharge: 200 A", 190, []),
        ("chemistry: agm, voltage: 12 V, capacity: 200 Ah, max-discharge: 160 A", 150, []),
    ],
)
def test_150_a_for_long_is_too_much_for_200_ah_of_agm(battery: str, amps: int, said: list[object]) -> None:
    """Lead C/5, lithium C/2 (common practice), or the maker's figure."""
    parts = f"B1: {{kind: battery, {battery}, short-circuit: 4 kA}}\nF1: {{kind: fuse, style: class-t, rating: 250 A}}"
    load = f"HT1: {{kind: dc-load, current: {amps} A, continuous: true}}"
    run = "- {id: W1, path: [B1, F1, HT1], lengths: [100 mm, 0.5 m], wire: 4/0 AWG}"
    assert judged(system(f"{parts}\n{load}", run), "bb-c-rate") == said
