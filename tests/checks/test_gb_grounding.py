"""DC bonds, protective earth, cases and electrodes: cases from practice, and how bad each fault is."""

from __future__ import annotations

import pytest
from helpers import report

Judged = set[tuple[str, str, tuple[str, ...]]]


def judged(text: str, *rules: str) -> Judged:
    """Rule, severity and place of every finding of some rules."""
    return {(f.rule, f.severity.value, f.at) for f in report(text).findings if f.rule in rules}


def battery(profile: str, head: str = "", components: str = "", runs: str = "") -> str:
    """A battery, a shunt, a bus and a lamp."""
    return f"""\
rigline: 1
title: Battery and lamp
profile: {profile}
{head}
defaults: {{insulation: 105 °C}}
components:
  B1: {{kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 1 kA}}
  F1: {{kind: fuse, style: terminal, rating: 20 A}}
  RS1: {{kind: shunt, rating: 100 A}}
  BUS1: {{kind: busbar, rating: 100 A}}
  LT1: {{kind: dc-load, power: 60 W}}
{components}
runs:
  - {{path: [B1, F1, RS1, BUS1], lengths: [100 mm, 1 m, 1 m], wire: 8 AWG}}
  - {{path: [BUS1, LT1], length: 2 m, wire: 8 AWG}}
{runs}
"""


CHASSIS = "  GND: {kind: chassis}\n"
BOND = "  - {path: [BUS1-, GND], length: 1 m, carries: bond, wire: 8 AWG}\n"
INVERTER = "  INV1: {kind: inverter, power: 300 W, output: 120 V, neutral-bond: fixed, metal-case: false}\n"
INVERTER_RUN = "  - {path: [BUS1, INV1.dc], length: 1 m, wire: 8 AWG}\n"
MISSING, MULTIPLE, SIZE = "gb-dc-bond-missing", "gb-dc-bond-multiple", "gb-dc-bond-size"


@pytest.mark.parametrize(
    ("profile", "head", "ac", "severity"),
    [
        ("us-rv", "body: metal", False, "danger"),
        ("us-rv", "", True, "danger"),
        ("us-rv", "", False, "fault"),
        ("us-boat", "body: plastic", False, "advice"),
        ("us-boat", "body: plastic", True, "danger"),
        ("us-cabin", "body: wood", True, "advice"),
        ("us-cabin", "body: metal", True, "advice"),
    ],
)
def test_how_bad_a_missing_bond_is_depends_on_ac_and_metal(profile: str, head: str, ac: bool, severity: str) -> None:
    """NEC 552.10(C); NEC 250.162(A) from memory: no bond is required in a building up to 60 V."""
    text = battery(profile, head, INVERTER if ac else "", INVERTER_RUN if ac else "")
    assert judged(text, MISSING) == {(MISSING, severity, ("B1",))}


def test_a_listed_chassis_counts_as_metal() -> None:
    assert judged(battery("us-rv", "body: plastic", CHASSIS), MISSING) == {(MISSING, "danger", ("B1",))}


@pytest.mark.parametrize("head", ["dc-grounding: isolated", "body: metal\ndc-grounding: isolated"])
def test_an_isolated_system_needs_no_bond(head: str) -> None:
    assert judged(battery("intl-boat", head), MISSING) == set()


def test_a_bond_in_a_positive_grounded_system_is_one_of_the_positive() -> None:
    text = battery("us-boat", "dc-grounding: positive", CHASSIS, BOND.replace("BUS1-", "BUS1+"))
    assert judged(text, MISSING, MULTIPLE) == set()


def test_blocks_in_series_make_one_system_with_one_bond() -> None:
    text = """\
rigline: 1
title: Two blocks
profile: us-rv
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah}
  B2: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah}
  LT1: {kind: dc-load, power: 60 W}
  GND: {kind: chassis}
runs:
  - {path: [B2-, B1+], length: 0.3 m, wire: 2 AWG}
  - {path: [B2+, LT1+], length: 1 m, wire: 2 AWG}
  - {path: [LT1-, B1-], length: 1 m, wire: 2 AWG, carries: negative}
  - {path: [B1-, GND], length: 1 m, wire: 2 AWG, carries: bond}
"""
    assert judged(text, MISSING, MULTIPLE, SIZE) == set()


@pytest.mark.parametrize(
    ("profile", "severity"), [("us-rv", "fault"), ("us-boat", "danger"), ("uk-inland-boat", "danger")]
)
def test_a_second_bond_is_worse_in_a_boat(profile: str, severity: str) -> None:
    text = battery(profile, "", CHASSIS, BOND + "  - {path: [LT1-, GND], length: 1 m, carries: bond, wire: 8 AWG}\n")
    assert judged(text, MULTIPLE) == {(MULTIPLE, severity, ("LT1", "BUS1"))}


def test_the_base_vehicles_own_bond_does_not_count() -> None:
    text = battery(
        "us-rv",
        "",
        CHASSIS + "  VB1: {kind: vehicle-battery, voltage: 12 V}\n  DC1: {kind: dc-charger, output: 10 A}\n",
        BOND
        + "  - {path: [VB1, DC1.in], length: 1 m}\n  - {path: [DC1.out, BUS1], length: 1 m}\n"
        + "  - {path: [VB1-, GND], length: 1 m, carries: bond, wire: 8 AWG}\n",
    )
    assert judged(text, MISSING, MULTIPLE) == set()


def test_an_isolated_converter_starts_a_system_with_its_own_bond() -> None:
    parts = "  DC1: {kind: dc-converter, output: 5 A, output-voltage: 5 V, isolated: true}\n"
    parts += "  LT2: {kind: dc-load, power: 5 W}\n"
    runs = "  - {path: [BUS1, DC1.in], length: 1 m}\n  - {path: [DC1.out, LT2], length: 1 m}\n"
    text = battery("us-rv", "", CHASSIS + parts, BOND + runs)
    assert judged(text, MISSING) == {(MISSING, "danger", ("DC1",))}
    assert judged(text.replace("isolated: true", "isolated: false"), MISSING) == set()


def test_ac_earth_and_engine_on_one_bus_are_no_second_bond() -> None:
    """Case from practice: an outboard boat's AC earth tied to the main negative bus; ABYC E-11."""
    parts = "  ENG: {kind: chassis, type: engine}\n  SH1: {kind: shore-inlet, rating: 30 A, voltage: 120 V}\n"
    parts += "  GI1: {kind: galvanic-isolator, rating: 30 A, fail-safe: true}\n  ACP1: {kind: ac-panel, rating: 30 A}\n"
    runs = """\
  - {path: [BUS1-, ENG], length: 1 m, carries: bond, wire: 8 AWG}
  - {path: [SH1, GI1, ACP1], length: 3 m, wire: 10 AWG}
  - {path: [ACP1.PE, BUS1-], length: 1 m, carries: earth, wire: 10 AWG}
"""
    text = battery("us-boat", "body: plastic", parts, runs)
    rules = MISSING, MULTIPLE, "gb-ac-ground-to-chassis", "gb-ac-egc-missing", "gb-dc-bond-before-shunt"
    assert judged(text, *rules) == set()
    assert judged(text.replace("[BUS1-, ENG]", "[RS1.load-, ENG]"), *rules) == set()


def test_two_rods_bond_the_negative_twice() -> None:
    """Case from practice: one rod at the array's combiner, another at the battery; NEC 250.164, from memory."""
    text = """\
rigline: 1
title: Small solar system
profile: us-cabin
body: wood
components:
  B1: {kind: battery, chemistry: flooded, voltage: 12 V, capacity: 100 Ah}
  F1: {kind: fuse, style: terminal, rating: 20 A}
  PV1: {kind: pv-array, pmax: 100 W, vmp: 18 V, imp: 5.6 A, voc: 21.6 V, isc: 6 A, frame: metal}
  J1: {kind: junction}
  SC1: {kind: charge-controller, max-input: 50 V, output: 10 A}
  ER1: {kind: earth-electrode, type: rod}
  ER2: {kind: earth-electrode, type: rod}
runs:
  - {path: [PV1, J1], length: 2 m, wire: 10 AWG}
  - {path: [J1, SC1.pv], length: 2 m, wire: 10 AWG}
  - {path: [SC1.battery, F1, B1], lengths: [1 m, 0.1 m], wire: 10 AWG}
  - {path: [J1-, ER1], length: 2 m, carries: bond, wire: 6 AWG}
  - {path: [B1-, ER2], length: 2 m, carries: bond, wire: 6 AWG}
"""
    assert judged(text, MULTIPLE) == {(MULTIPLE, "fault", ("B1", "J1"))}


@pytest.mark.parametrize(
    ("profile", "positive", "enough", "thin"),
    [
        # NEC 552.10(C): as large as the battery's positive, at least 8 AWG.
        ("us-rv", "2/0 AWG", "2/0 AWG", "1/0 AWG"),
        ("us-rv", "12 AWG", "8 AWG", "10 AWG"),
        # ABYC A-31: not more than one size below.
        ("us-boat", "2/0 AWG", "1/0 AWG", "2 AWG"),
        # NEC 250.166, from memory: as the largest conductor.
        ("us-cabin", "2 AWG", "2 AWG", "4 AWG"),
    ],
)
def test_the_least_bond_follows_the_positive(profile: str, positive: str, enough: str, thin: str) -> None:
    text = battery(profile, "body: metal", CHASSIS, BOND)
    text = text.replace("1 m, 1 m], wire: 8 AWG", f"1 m, 1 m], wire: {positive}")
    assert judged(text.replace("bond, wire: 8 AWG", f"bond, wire: {enough}"), SIZE) == set()
    assert judged(text.replace("bond, wire: 8 AWG", f"bond, wire: {thin}"), SIZE) == {(SIZE, "fault", ("BUS1",))}


def test_a_rod_alone_needs_no_more_than_6_awg() -> None:
    """NEC 250.166(C), from memory."""
    text = battery("us-cabin", "body: wood", "  ER1: {kind: earth-electrode, type: rod, count: 2}\n", BOND)
    text = text.replace("BUS1-, GND", "BUS1-, ER1").replace("1 m, 1 m], wire: 8 AWG", "1 m, 1 m], wire: 2/0 AWG")
    assert judged(text.replace("bond, wire: 8 AWG", "bond, wire: 6 AWG"), SIZE) == set()
    assert judged(text, SIZE) == {(SIZE, "fault", ("BUS1",))}


def test_a_chain_of_bonds_is_as_thick_as_its_thinnest_wire() -> None:
    runs = """\
  - {path: [BUS1-, EB1], length: 1 m, carries: bond, wire: 2 AWG}
  - {id: THIN, path: [EB1, GND], length: 1 m, carries: earth, wire: 14 AWG}
"""
    (found,) = [
        f for f in report(battery("us-rv", "", CHASSIS + "  EB1: {kind: earth-bus}\n", runs)).findings if f.rule == SIZE
    ]
    assert found.runs == ("THIN",)


CASE = "gb-inverter-case-size"


def inverter(profile: str, positive: str, fuse_a: int, case: str, path: str = "INV1.case, GND") -> str:
    """A battery and an inverter whose case is earthed by a wire of a size."""
    return f"""\
rigline: 1
title: Inverter case
profile: {profile}
body: metal
defaults: {{insulation: 105 °C}}
components:
  B1: {{kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 400 Ah, bms: true, short-circuit: 6 kA}}
  F1: {{kind: fuse, style: class-t, rating: {fuse_a} A}}
  INV1: {{kind: inverter, power: 2 kW, output: 120 V, neutral-bond: fixed}}
  ACP1: {{kind: ac-panel, rating: 30 A}}
  GND: {{kind: chassis}}
  EB1: {{kind: earth-bus}}
runs:
  - {{path: [B1, F1, INV1.dc], lengths: [100 mm, 1 m], wire: {positive}}}
  - {{path: [INV1.ac-out, ACP1], length: 1 m, wire: 12 AWG}}
  - {{path: [B1-, GND], length: 1 m, carries: bond, wire: {positive}}}
  - {{path: [ACP1, GND], length: 1 m, carries: earth, wire: 8 AWG}}
  - {{path: [EB1, GND], length: 1 m, carries: earth, wire: 4/0 AWG}}
  - {{id: CASE, path: [{path}], length: 1 m, carries: earth, wire: {case}}}
"""


@pytest.mark.parametrize(
    ("profile", "positive", "fuse_a", "case", "found"),
    [
        # ABYC A-31: one size below the positive, fuse at most 135 % of its ampacity (385 A x 1.35 = 520 A).
        ("us-boat", "4/0 AWG", 400, "3/0 AWG", False),
        ("us-boat", "4/0 AWG", 400, "8 AWG", True),
        ("us-boat", "4/0 AWG", 600, "3/0 AWG", True),
        # NEC Table 250.122: 300 A needs 4 AWG, 200 A needs 6 AWG.
        ("us-rv", "4/0 AWG", 300, "4 AWG", False),
        ("us-rv", "4/0 AWG", 300, "6 AWG", True),
        ("us-cabin", "3/0 AWG", 200, "6 AWG", False),
        ("us-cabin", "3/0 AWG", 200, "8 AWG", True),
    ],
)
def test_the_case_wire_must_open_the_dc_fuse(profile: str, positive: str, fuse_a: int, case: str, found: bool) -> None:
    expected = {(CASE, "danger", ("INV1",))} if found else set()
    assert judged(inverter(profile, positive, fuse_a, case), CASE) == expected


@pytest.mark.parametrize("path", ["INV1.case, EB1", "INV1.case, B1-"])
def test_a_case_may_be_earthed_at_the_earth_bus_or_the_negative(path: str) -> None:
    assert judged(inverter("us-rv", "4/0 AWG", 300, "4 AWG", path), CASE) == set()


def test_a_case_earthed_over_the_panel_is_as_good_as_the_wire_from_there() -> None:
    text = inverter("us-rv", "4/0 AWG", 300, "4 AWG", "INV1.case, ACP1")
    assert judged(text, CASE) == {(CASE, "danger", ("INV1",))}
    assert judged(text.replace("wire: 8 AWG", "wire: 4 AWG"), CASE) == set()


def test_an_inverter_earthed_by_its_ac_cord_alone_is_a_danger() -> None:
    text = inverter("us-rv", "4/0 AWG", 300, "4 AWG", "EB1, ACP1")
    assert judged(text, CASE) == {(CASE, "danger", ("INV1",))}
    assert judged(text.replace("kind: inverter,", "kind: inverter, metal-case: false,"), CASE) == set()
    assert judged(text.replace("kind: inverter,", "kind: inverter, class-ii: true,"), CASE) == set()


FRAME = "gb-pv-frame"


@pytest.mark.parametrize(
    ("profile", "head", "series", "severity"),
    [
        ("us-cabin", "body: wood", 1, "danger"),
        ("iec-cabin", "body: wood", 1, "danger"),
        ("us-rv", "body: metal", 2, "fault"),
        ("us-rv", "body: metal", 3, "danger"),
        ("us-rv", "body: plastic", 2, "advice"),
        ("us-boat", "body: plastic", 3, "danger"),
    ],
)
def test_bare_frames_are_worse_on_buildings_and_above_50_v(profile: str, head: str, series: int, severity: str) -> None:
    """At -10 °C 20 V of open-circuit voltage become 22.8 V (NEC Table 690.7(A), factor 1.14)."""
    parts = f"  PV1: {{kind: pv-array, series: {series}, pmax: 100 W, vmp: 17 V, imp: 6 A, voc: 20 V, isc: 6.4 A}}\n"
    parts += "  SC1: {kind: charge-controller, max-input: 100 V, output: 20 A}\n"
    runs = "  - {path: [PV1, SC1.pv], length: 2 m}\n  - {path: [SC1.battery, BUS1], length: 2 m}\n"
    text = battery(profile, head + "\nconditions: {coldest: -10 °C}", parts, runs)
    assert judged(text, FRAME) == {(FRAME, severity, ("PV1",))}
    assert judged(text.replace("kind: pv-array,", "kind: pv-array, frame: plastic,"), FRAME) == set()
    (found,) = [f for f in report(text).findings if f.rule == FRAME]
    assert "taken as metal" in found.message


AC_BODY, EGC = "gb-ac-ground-to-chassis", "gb-ac-egc-missing"


def steel_boat(profile: str, rcd: str) -> str:
    """Shore and an inverter on a steel boat, no wire to the hull (case from practice)."""
    return f"""\
rigline: 1
title: Steel boat
profile: {profile}
body: metal
components:
  SH1: {{kind: shore-inlet, rating: 16 A, voltage: 230 V}}
  RCD1: {{kind: rcd, rating: 16 A, residual: 30 mA}}
  B1: {{kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah}}
  INV1: {{kind: inverter, power: 1.8 kW, output: 230 V, neutral-bond: fixed}}
  TS1: {{kind: transfer-switch, rating: 16 A, switches-neutral: true}}
  RC1: {{kind: receptacle, rating: 13 A, power: 900 W}}
{rcd}
runs:
  - {{path: [SH1, RCD1, TS1.a], length: 3 m, wire: 2.5 mm²}}
  - {{path: [INV1.ac-out, {"RCD2, " if rcd else ""}TS1.b], length: 3 m, wire: 2.5 mm²}}
  - {{path: [TS1.out, RC1], length: 3 m, wire: 2.5 mm²}}
  - {{path: [B1, INV1.dc], length: 1 m, wire: 70 mm²}}
"""


def test_a_steel_hull_without_an_earth_wire_is_a_danger_behind_residual_current_devices_too() -> None:
    """Case from practice; ISO 13297 in its earlier text let AC earth stay apart behind whole-boat RCDs, not a hull."""
    both = "  RCD2: {kind: rcd, rating: 16 A, residual: 30 mA}"
    assert judged(steel_boat("uk-inland-boat", ""), AC_BODY) == {(AC_BODY, "danger", ("INV1",))}
    assert judged(steel_boat("uk-inland-boat", both), AC_BODY) == {(AC_BODY, "danger", ("INV1",))}
    assert judged(steel_boat("uk-inland-boat", both).replace("body: metal", "body: plastic"), AC_BODY) == set()
    assert judged(steel_boat("us-boat", both), AC_BODY) == {(AC_BODY, "danger", ("INV1",))}


def test_a_european_caravan_with_its_chassis_earthed_is_right() -> None:
    """Case from practice: inlet, 25 A residual-current device, double-pole breakers, 6 mm² to the chassis."""
    text = """\
rigline: 1
title: Caravan
profile: eu-caravan
components:
  SH1: {kind: shore-inlet, rating: 16 A, voltage: 230 V}
  RCD1: {kind: rcd, rating: 25 A, residual: 30 mA, poles: 2}
  ACP1: {kind: ac-panel, rating: 25 A}
  Q1: {kind: breaker, rating: 10 A, poles: 2}
  RC1: {kind: receptacle, rating: 16 A, power: 900 W}
  GND: {kind: chassis}
runs:
  - {path: [SH1, RCD1, ACP1], lengths: [1 m, 0.1 m], wire: 2.5 mm²}
  - {path: [ACP1, Q1, RC1], length: 3 m, wire: 1.5 mm²}
  - {path: [ACP1, GND], length: 1 m, carries: earth, wire: 6 mm²}
"""
    assert {f.rule for f in report(text).findings if f.rule.startswith("gb-")} == set()


def test_an_earth_core_that_is_missing_upstream_is_found_there() -> None:
    text = steel_boat("us-boat", "")
    broken = text.replace("TS1.b], length: 3 m", "TS1.b], cores: [L, N], length: 3 m")
    assert judged(text, EGC) == set()
    (found,) = [f for f in report(broken).findings if f.rule == EGC]
    assert (found.at, "INV1" in found.message) == (("RC1",), True)


def test_earth_through_a_rod_is_no_earth_wire() -> None:
    """NEC 250.4(A)(5), from memory: the ground is no path for fault current."""
    text = """\
rigline: 1
title: Shed on a rod
profile: us-cabin
components:
  GEN1: {kind: generator, power: 3 kW, voltage: 120 V, neutral-bond: fixed}
  RC1: {kind: receptacle, rating: 20 A, power: 900 W}
  ER1: {kind: earth-electrode, type: rod}
runs:
  - {path: [GEN1, RC1], length: 30 m, wire: 10 AWG, cores: [L, N]}
  - {path: [GEN1.case, ER1], length: 1 m, carries: earth, wire: 6 AWG}
  - {path: [RC1.PE, ER1], length: 1 m, carries: earth, wire: 6 AWG}
"""
    rod = "gb-rod-instead-of-egc"
    assert judged(text, EGC, rod) == {(rod, "danger", ("RC1", "ER1"))}
    assert judged(text.replace("cores: [L, N]", "cores: [L, N, PE]"), EGC, rod) == set()


ELECTRODE = "gb-cabin-electrode"


def cabin(profile: str, electrode: str, runs: str, head: str = "body: wood") -> str:
    """A cabin on a generator."""
    return f"""\
rigline: 1
title: Cabin
profile: {profile}
{head}
components:
  GEN1: {{kind: generator, power: 3 kW, voltage: 120 V, neutral-bond: none}}
  ACP1: {{kind: ac-panel, rating: 30 A, neutral-bond: fixed}}
  RC1: {{kind: receptacle, rating: 20 A, power: 900 W}}
{electrode}
runs:
  - {{path: [GEN1, ACP1], length: 2 m, wire: 10 AWG}}
  - {{path: [ACP1, RC1], length: 2 m, wire: 12 AWG}}
{runs}
"""


TO_ROD = "  - {path: [ACP1, ER1], length: 2 m, carries: earth, wire: 6 AWG}\n"


@pytest.mark.parametrize("profile", ["us-cabin", "iec-cabin"])
def test_a_cabin_with_ac_needs_an_electrode(profile: str) -> None:
    assert judged(cabin(profile, "", ""), ELECTRODE) == {(ELECTRODE, "danger", ("ACP1",))}
    assert judged(cabin(profile, "", "", "mobile: true"), ELECTRODE) == set()
    rods = "  ER1: {kind: earth-electrode, type: rod, count: 2}"
    assert judged(cabin(profile, rods, TO_ROD), ELECTRODE) == set()


def test_a_steel_frame_must_be_joined_too() -> None:
    parts = "  ER1: {kind: earth-electrode, type: foundation}\n  FR1: {kind: chassis, type: frame}"
    assert judged(cabin("us-cabin", parts, TO_ROD), ELECTRODE) == {(ELECTRODE, "danger", ("FR1", "ACP1"))}


@pytest.mark.parametrize(("ohm", "found"), [("25 ohm", False), ("60 ohm", True)])
def test_one_rod_is_enough_up_to_25_ohm(ohm: str, found: bool) -> None:
    """NEC 250.53(A)(2), from memory."""
    text = cabin("us-cabin", f"  ER1: {{kind: earth-electrode, type: rod, resistance: {ohm}}}", TO_ROD)
    assert bool(judged(text, ELECTRODE)) == found


def test_one_rod_of_unknown_resistance_is_not_assessed() -> None:
    text = cabin("us-cabin", "  ER1: {kind: earth-electrode, type: rod}", TO_ROD)
    assert {m.at for m in report(text).not_assessed if m.rule == ELECTRODE} == {("ER1",)}
