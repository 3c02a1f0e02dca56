"""Missing and unsuitable overcurrent protection: systems that people wired, and the verdict with its number.

The systems are cases from practice, told by owners and installers, completed to whole specs. The clause that decides
each stands beside it. The false alarms at the end are those that make people stop reading findings.
"""

from __future__ import annotations

import pytest
from helpers import report
from overcurrent_systems import (
    BESIDE_THE_PANEL,
    BOW_BATTERY,
    CARAVAN,
    CHARGE_LINE,
    FOUR_PANELS,
    GOLF_CART_PAIR,
    INVERTER,
    ONE_SELECTOR,
    POST_FUSE,
    SERIES_PAIR,
    SOLAR_KIT,
    STERN_WINDLASS,
    THICK_TO_THIN,
    THREE_LITHIUM,
    TWO_395_AH,
    TWO_BANKS_ONE_SWITCH,
    TWO_STRINGS,
    TWO_TAKE_OFFS,
    WINDLASS,
)

Said = tuple[str, str, tuple[str, ...], float | None, float | None]


def judged(text: str) -> list[Said]:
    """Rule, severity, place, number and limit of every finding on overcurrent protection, three digits each."""
    return sorted(
        (f.rule, f.severity.value, f.at, _rounded(f.found), _rounded(f.limit))
        for f in report(text).findings
        if f.rule.startswith("oc-")
    )


def _rounded(value: float | None) -> float | None:
    return None if value is None else float(f"{value:.3g}")


def missing(text: str, rule: str) -> set[tuple[tuple[str, ...], str]]:
    """What one rule could not judge, and for want of which fact."""
    return {(one.at, one.missing) for one in report(text).not_assessed if one.rule == rule}


INF = float("inf")
OPEN = "{}: {{kind: switch, rating: 400 A, voltage: 32 V}}"
"""A switch where a fuse should stand."""
AFT_FUSE, BOW_FUSE = (f"F{n}: {{kind: fuse, style: anl, rating: 100 A}}" for n in (1, 2))
EACH_125 = [f"F{n}: {{kind: fuse, style: class-t, rating: 125 A}}" for n in (1, 2, 3)]
CRANKING = """F1: {kind: switch, voltage: 32 V, rating: 300 A}
  M1: {kind: motor, cranking: true, current: 150 A, start: 400 A}"""
THIRD_STRING = """  PV3: {kind: pv-array, series: 2, pmax: 100 W, vmp: 18 V, imp: 8 A, voc: 22 V, isc: 8.8 A,
        max-series-fuse: 15 A, frame: none}
"""
THIRD_RUN = "  - {id: W9, path: [PV3, J1], length: 3 m, wire: 10 AWG}\n"
NO_FUSES = {EACH_125[n]: OPEN.format(f"F{n + 1}") for n in range(3)}


def changed(text: str, changes: dict[str, str]) -> str:
    """A spec with parts of it replaced, each of which must be there."""
    for old, new in changes.items():
        assert old in text, old
        text = text.replace(old, new)
    return text


CASES: dict[str, tuple[str, list[Said]]] = {
    # 33 CFR 183.455(b); NEC 552.10(E): each conductor at each source of power.
    "a charge line with a fuse at the vehicle only is open at the trailer's battery": (
        CHARGE_LINE,
        [("oc-tow-charge-line", "danger", ("B1", "F1"), 8.0, 0.457)],
    ),
    "a charge line whose device is only a switch is open at both ends": (
        changed(CHARGE_LINE, {"F1: {kind: fuse, style: blade, rating: 30 A}": OPEN.format("F1")}),
        [("oc-tow-charge-line", "danger", ("B1", "VB1"), None, 0.457)],
    ),
    "one fuse can't be near both ends of an 8 m charge line, wherever it stands": (
        changed(CHARGE_LINE, {"lengths: [3 m, 5 m, 0.3 m]": "length: 8 m"}),
        [("oc-tow-charge-line", "danger", ("B1", "F1"), 8.0, 0.457)],
    ),
    # NEC 690.9(A), 240.4, 110.14(C): 10 AWG carries 35 A at 75 °C terminals; two panels need no string fuses.
    "a solar kit without fuses lacks them at controller, inverter and batteries, and needs none at two panels": (
        SOLAR_KIT,
        [
            ("oc-charger-battery-end", "danger", ("SC1",), INF, 30.0),
            ("oc-inverter-dc", "danger", ("INV1",), INF, 70.0),
            ("oc-parallel-battery-each", "danger", ("B1", "B2", "B3", "B4"), None, None),
        ],
    ),
    # NEC 240.21: 14 AWG 105 °C is a 35 A wire in a boat (33 CFR 183.425 Table 5).
    "14 AWG joined to 1 AWG behind 150 A burns at the step": (
        THICK_TO_THIN,
        [("oc-gauge-step", "danger", ("LT1",), 150.0, 35.0)],
    ),
    "14 AWG hung on a cranking cable borrows its exemption": (
        changed(THICK_TO_THIN, {"F1: {kind: fuse, style: anl, rating: 150 A}": CRANKING})
        + "  - {id: WS, path: [J1, M1], length: 0.5 m, wire: 1 AWG}\n",
        [("oc-cranking-exemption-misused", "danger", ("LT1",), INF, 35.0)],
    ),
    # 1000 W over 85 % at 10.5 V is 112 A.
    "a 175 A fuse on 2 AWG suits a 1000 W inverter in an engine space": (INVERTER, []),
    "a fuse below the inverter's own 112 A opens in daily use": (
        changed(INVERTER, {"rating: 175 A": "rating: 100 A"}),
        [("oc-inverter-dc", "danger", ("INV1", "F1"), 100.0, 112.0)],
    ),
    "a fuse above what the inverter's maker allows is found": (
        changed(INVERTER, {"power: 1000 W": "power: 1000 W, max-protection: 150 A"}),
        [("oc-inverter-dc", "danger", ("INV1", "F1"), 175.0, 150.0)],
    ),
    # NEC 690.9(A): 3 x 1.25 x 10.66 A = 40 A above the modules' 20 A.
    "four strings with 20 A fuses each are sound": (FOUR_PANELS, []),
    "four strings without fuses push 40 A into one of them": (
        changed(FOUR_PANELS, {"combiner: true, string-fuse: 20 A": "combiner: false"}),
        [("oc-pv-string-fuse", "fault", ("PV1",), 40.0, 20.0)],
    ),
    "three separate strings without fuses push 22 A into each, above 15 A": (
        changed(TWO_STRINGS, {"  J1:": THIRD_STRING + "  J1:"}) + THIRD_RUN,
        [("oc-pv-string-fuse", "fault", (id,), 22.0, 15.0) for id in ("PV1", "PV2", "PV3")],
    ),
    # 33 CFR 183.455(b): 7 in bare; 12 ft is 3.66 m.
    "a breaker 12 ft from the battery leaves the cable open": (
        STERN_WINDLASS,
        [("oc-battery-distance", "danger", ("F1", "B1"), 3.66, 0.178)],
    ),
    # NEC 552.10(E)(4): 18 in.
    "fuses 0.7 m and 0.8 m from the post are too far in an RV": (
        TWO_TAKE_OFFS,
        [
            ("oc-battery-distance", "danger", ("F1", "B1"), 0.7, 0.457),
            ("oc-battery-distance", "danger", ("F2", "B1"), 0.8, 0.457),
        ],
    ),
    "the same distance in a cabin is as near as practicable": (changed(TWO_TAKE_OFFS, {"us-rv": "us-cabin"}), []),
    "2 m in a cabin is long, and only advice": (
        changed(TWO_TAKE_OFFS, {"us-rv": "us-cabin", "[0.7 m": "[2 m"}),
        [("oc-battery-distance", "advice", ("F1", "B1"), 2.0, 1.5)],
    ),
    # ABYC E-11: 72 in in a sheath.
    "a sheathed stub a little over 72 in is a fault, not a danger": (
        changed(STERN_WINDLASS, {"length: 12 ft": "length: 2 m, sheathed: true"}),
        [("oc-battery-distance", "fault", ("F1", "B1"), 2.0, 1.83)],
    ),
    # 33 CFR 183.455(b): a device at each source.
    "a bow battery with a fuse at each end of its long pair is sound": (BOW_BATTERY, []),
    "a bow battery without its own fuse is open at the bow": (
        changed(BOW_BATTERY, {BOW_FUSE: OPEN.format("F2")}),
        [("oc-both-ends", "danger", ("B2", "F1"), 9.6, 0.178)],
    ),
    "a bow battery without any fuse is open everywhere": (
        changed(BOW_BATTERY, {BOW_FUSE: OPEN.format("F2"), AFT_FUSE: OPEN.format("F1")}),
        [("oc-both-ends", "danger", ("B1", "B2"), None, 0.178)],
    ),
    "a windlass at 83 A behind a breaker at the battery is sound": (WINDLASS, []),
    "two banks, one switch, a combiner and an alternator that bypasses the switch are sound": (
        TWO_BANKS_ONE_SWITCH,
        [],
    ),
    # 33 CFR 183.455(c)(1): 330 A rounds up to 350 A.
    "350 A on 2/0 is within the boats' allowance, for each of two banks": (TWO_395_AH, []),
    # ABYC E-11.10.1.4.1; 46 CFR 111.15-25.
    "three lithium batteries with a fuse each are sound": (THREE_LITHIUM, []),
    "three lithium batteries with a main fuse alone feed a fault in one of them": (
        changed(THREE_LITHIUM, NO_FUSES),
        [("oc-parallel-battery-each", "danger", ("B1", "B2", "B3"), None, None)],
    ),
    "two lead batteries side by side behind one fuse are advice": (
        GOLF_CART_PAIR,
        [("oc-parallel-battery-each", "advice", ("B1", "B2"), None, None)],
    ),
    "two lead batteries with a long jumper are a fault": (
        changed(GOLF_CART_PAIR, {"length: 0.25 m": "length: 0.8 m"}),
        [("oc-parallel-battery-each", "fault", ("B1", "B2"), None, None)],
    ),
    "two large lead batteries need a fuse each": (
        changed(GOLF_CART_PAIR, {"capacity: 100 Ah": "capacity: 300 Ah"}),
        [("oc-parallel-battery-each", "danger", ("B1", "B2"), None, None)],
    ),
    "a jumper inside a series string needs no fuse": (SERIES_PAIR, []),
    "an inverter bolted to the bus beside a fused panel is found on its own branch alone": (
        BESIDE_THE_PANEL,
        [("oc-inverter-dc", "danger", ("INV1",), INF, 170.0)],
    ),
    # ABYC E-11, table of interrupting ratings: 651 to 1100 A cold cranking current asks for 3 kA.
    "the boats' table asks 3 kA of the main breaker of a 700 A cranking battery": (
        changed(STERN_WINDLASS, {"short-circuit: 1500 A": "cca: 700 A", "length: 12 ft": "length: 100 mm"}),
        [("oc-interrupting-rating", "danger", ("F1", "B1"), 1500.0, 3000.0)],
    ),
    # NEC 690.7: 44 V at 25 °C times 1.14 at -10 °C.
    "a 48 V breaker can't hold off a 44 V string on a cold morning": (
        changed(FOUR_PANELS, {"voltage: 150 V, interrupting": "voltage: 48 V, interrupting"}),
        [("oc-voltage-rating", "danger", ("F2",), 48.0, 50.2)],
    ),
    "a fuse good for 58 V can't hold off a 51.2 V lithium bank that is charged": (
        changed(POST_FUSE, {"12.8 V": "51.2 V", "short-circuit: 3 kA": "short-circuit: 1.5 kA"}),
        [("oc-voltage-rating", "danger", ("F1",), 58.0, 58.4)],
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_a_case_from_practice_gets_its_verdict_and_number(name: str) -> None:
    """Each system gets the findings that its clause asks for, and no others on overcurrent protection."""
    text, expected = CASES[name]
    assert judged(text) == expected


FALSE_ALARMS = {
    "a cranking cable without a fuse": ONE_SELECTOR,
    "two strings without string fuses": TWO_STRINGS,
    "one string without a fuse, its maker's limit not known": changed(
        FOUR_PANELS, {"parallel: 4": "parallel: 1", "max-series-fuse: 20 A, ": ""}
    ),
    "350 A on a 330 A boat cable": TWO_395_AH,
    "a lithium bank that gives 3 kA behind a post fuse good for 5 kA": POST_FUSE,
    "a negative without a fuse": WINDLASS,
    "two fuses in one run between two batteries": BOW_BATTERY,
    "a caravan's inlet ahead of a residual-current device and a breaker for each circuit": CARAVAN,
}


@pytest.mark.parametrize("name", FALSE_ALARMS)
def test_sound_practice_raises_no_alarm(name: str) -> None:
    """What a careful installer does raises no finding on overcurrent protection and no question."""
    answer = report(FALSE_ALARMS[name])
    assert [f.rule for f in answer.findings if f.rule.startswith("oc-")] == []
    assert [one for one in answer.not_assessed if one.rule.startswith("oc-")] == []


FLOODED_100_AH = "chemistry: flooded, voltage: 12 V, capacity: 100 Ah, short-circuit: 1500 A"
QUESTIONS = {
    "where the fuses of two take-offs stand": (
        changed(TWO_TAKE_OFFS, {"lengths: [0.7 m, 0.3 m, 0.5 m]": "length: 1.5 m"}),
        "oc-battery-distance",
        {(("F1", "B1"), "length of each stretch between B1 and F1")},
    ),
    "how long a charge line is": (
        changed(CHARGE_LINE, {"lengths: [3 m, 5 m, 0.3 m], ": ""}),
        "oc-tow-charge-line",
        {((id, "F1"), f"length of each stretch between {id} and F1") for id in ("B1", "VB1")},
    ),
    "what two modules allow": (
        changed(TWO_STRINGS, {"max-series-fuse: 15 A, ": ""}),
        "oc-pv-string-fuse",
        {(("PV1",), "max-series-fuse"), (("PV2",), "max-series-fuse")},
    ),
    "the rating of a fuse ahead of a thin wire": (
        changed(THICK_TO_THIN, {"rating: 150 A": "rating: unknown"}),
        "oc-gauge-step",
        {(("W2",), "rating of F1")},
    ),
    "the size of a wire": (
        changed(THICK_TO_THIN, {"wire: 14 AWG": "wire: unknown"}),
        "oc-unprotected-conductor",
        {(("W2",), "wire of W2")},
    ),
    "what a battery can give": (
        changed(STERN_WINDLASS, {FLOODED_100_AH: "voltage: 12 V"}),
        "oc-interrupting-rating",
        {(("F1", "B1"), "short-circuit current, or chemistry and capacity, of B1")},
    ),
    "what a breaker can open": (
        changed(STERN_WINDLASS, {"style: thermal, ": "voltage: 32 V, "}),
        "oc-interrupting-rating",
        {(("F1",), "interrupting rating or style of F1")},
    ),
    "how cold the morning gets": (
        changed(FOUR_PANELS, {"conditions: {coldest: -10 °C}\n": ""}),
        "oc-voltage-rating",
        {(("F2", "PV1"), "voc of PV1 and the coldest temperature")},
    ),
}


@pytest.mark.parametrize("name", QUESTIONS)
def test_a_missing_fact_is_named_and_never_passed_over(name: str) -> None:
    """Where a fact is missing, the rule says which, and neither passes nor finds."""
    text, rule, expected = QUESTIONS[name]
    assert missing(text, rule) == expected
    assert [said for said in judged(text) if said[0] == rule and said[2] in {at for at, _ in expected}] == []
