"""Cases, electrodes, isolators, shunts and switches in the earth: how bad each is, and what is exempt."""

from __future__ import annotations

import pytest
from helpers import report

Judged = set[tuple[str, str, tuple[str, ...]]]


def judged(text: str, rule: str) -> Judged:
    """Rule, severity and place of every finding of one rule."""
    return {(f.rule, f.severity.value, f.at) for f in report(text).findings if f.rule == rule}


def spec(profile: str, components: str, runs: str, head: str = "") -> str:
    """A spec from its parts, each given as lines."""
    return f"rigline: 1\ntitle: Test\nprofile: {profile}\n{head}\ncomponents:\n{components}\nruns:\n{runs}\n"


SHORE = """\
  SH1: {kind: shore-inlet, rating: 30 A, voltage: 120 V}
  QM: {kind: breaker, rating: 30 A, poles: 2}
  ACP1: {kind: ac-panel, rating: 30 A}
  RC1: {kind: receptacle, rating: 20 A, power: 900 W}
  GND: {kind: chassis, type: hull}
"""
SHORE_RUNS = """\
  - {path: [SH1, QM, ACP1], length: 3 m, wire: 10 AWG}
  - {path: [ACP1, RC1], length: 3 m, wire: 12 AWG}
  - {path: [ACP1, GND], length: 1 m, carries: earth, wire: 8 AWG}
"""
ISOLATOR = "  GI1: {kind: galvanic-isolator, rating: 30 A, fail-safe: true}\n"


@pytest.mark.parametrize(("body", "severity"), [("metal", "fault"), ("plastic", "advice")])
def test_shore_earth_straight_to_a_hull_is_worse_in_a_metal_one(body: str, severity: str) -> None:
    rule = "gb-galvanic-isolation"
    text = spec("us-boat", SHORE, SHORE_RUNS, f"body: {body}")
    assert judged(text, rule) == {(rule, severity, ("SH1",))}
    isolated = spec("us-boat", SHORE + ISOLATOR, SHORE_RUNS.replace("QM, ACP1", "QM, GI1, ACP1"), f"body: {body}")
    assert judged(isolated, rule) == set()
    assert judged(text.replace("us-boat", "us-rv"), rule) == set()


def test_an_isolation_transformer_needs_no_galvanic_isolator() -> None:
    parts = SHORE + "  T1: {kind: transformer, type: isolation, power: 3.6 kW, bond: secondary}\n"
    runs = SHORE_RUNS.replace("[SH1, QM, ACP1]", "[T1.secondary, QM, ACP1]")
    runs += "  - {path: [SH1, T1.primary], length: 1 m}\n"
    assert judged(spec("us-boat", parts, runs), "gb-galvanic-isolation") == set()


def test_an_isolator_that_fails_open_interrupts_the_earth() -> None:
    """ISO 13297 6.9."""
    rule = "gb-egc-interrupted"
    text = spec("intl-boat", SHORE + ISOLATOR, SHORE_RUNS.replace("QM, ACP1", "QM, GI1, ACP1"))
    assert judged(text, rule) == set()
    assert judged(text.replace("fail-safe: true", "fail-safe: false"), rule) == {(rule, "danger", ("GI1",))}


def test_a_switch_that_opens_shore_earth_is_a_danger() -> None:
    rule = "gb-egc-interrupted"
    parts, runs = SHORE + "  S1: {kind: switch, rating: 30 A}\n", SHORE_RUNS.replace("[ACP1, GND]", "[ACP1, S1, GND]")
    assert judged(spec("us-boat", parts, runs), rule) == {(rule, "danger", ("S1",))}


BATTERY = """\
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah}
  F1: {kind: fuse, style: terminal, rating: 30 A}
  RS1: {kind: shunt, rating: 100 A}
  LT1: {kind: dc-load, power: 60 W}
  GND: {kind: chassis}
"""
BATTERY_RUNS = """\
  - {path: [B1, F1, RS1, LT1], length: 3 m, wire: 8 AWG}
  - {path: [B1-, GND], length: 1 m, carries: bond, wire: 8 AWG}
"""


@pytest.mark.parametrize(("profile", "severity"), [("us-rv", "fault"), ("us-boat", "advice")])
def test_a_bond_at_the_battery_stud_passes_the_shunt_by(profile: str, severity: str) -> None:
    """Case from practice: in a boat, where nothing returns through metal, it is for information only."""
    rule = "gb-dc-bond-before-shunt"
    text = spec(profile, BATTERY, BATTERY_RUNS)
    assert judged(text, rule) == {(rule, severity, ("B1",))}
    assert judged(text.replace("[B1-, GND]", "[RS1.load-, GND]"), rule) == set()
    assert judged(text.replace("[B1-, GND]", "[LT1-, GND]"), rule) == set()


def test_a_bond_in_a_system_declared_isolated_is_found() -> None:
    rule = "gb-isolated-dc-undeclared"
    text = spec("intl-boat", BATTERY, BATTERY_RUNS, "dc-grounding: isolated")
    assert judged(text, rule) == {(rule, "fault", ("B1",))}
    assert judged(text.replace("dc-grounding: isolated", ""), rule) == set()


@pytest.mark.parametrize(
    ("type_", "wire", "found"),
    [("rod", "8 AWG", False), ("rod", "10 AWG", True), ("foundation", "8 AWG", False)],
)
def test_the_wire_to_an_electrode_follows_the_line_conductor(type_: str, wire: str, found: bool) -> None:
    """NEC Table 250.66: 8 AWG for line conductors up to 2 AWG."""
    electrode = f"GND: {{kind: earth-electrode, type: {type_}, count: 2}}"
    parts = SHORE.replace("GND: {kind: chassis, type: hull}", electrode)
    text = spec("us-cabin", parts, SHORE_RUNS.replace("earth, wire: 8 AWG", f"earth, wire: {wire}"))
    assert bool(judged(text, "gb-gec-size")) == found


@pytest.mark.parametrize(
    ("profile", "line", "earth", "device_a", "found"),
    [
        # NEC Table 250.122: 60 A 10 AWG, 20 A 12 AWG; IEC 60364-5-54 Table 54.2: as the line up to 16 mm².
        ("us-rv", "6 AWG", "10 AWG", 50, False),
        ("us-rv", "6 AWG", "12 AWG", 50, True),
        ("us-cabin", "12 AWG", "14 AWG", 20, True),
        ("us-cabin", "10 AWG", "12 AWG", 20, False),
        ("eu-caravan", "2.5 mm²", "1.5 mm²", 16, True),
    ],
)
def test_the_earth_core_follows_the_device_ahead(
    profile: str, line: str, earth: str, device_a: int, found: bool
) -> None:
    parts = SHORE + f"  QA: {{kind: breaker, rating: {device_a} A, poles: 2}}\n"
    branch = f"[ACP1, QA, RC1], length: 3 m, wire: {line}, earth-wire: {earth}"
    runs = SHORE_RUNS.replace("[ACP1, RC1], length: 3 m, wire: 12 AWG", branch)
    assert bool(judged(spec(profile, parts, runs), "gb-egc-size")) == found


CHARGER = (
    SHORE
    + """\
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah}
  F1: {kind: fuse, style: terminal, rating: 80 A}
  CH1: {kind: ac-charger, voltage: 12 V, output: 60 A}
"""
)
CHARGER_RUNS = (
    SHORE_RUNS
    + """\
  - {path: [ACP1, CH1.ac], length: 1 m, wire: 14 AWG}
  - {path: [B1, F1, CH1.dc], length: 1 m, wire: 4 AWG}
"""
)


def test_a_charger_earthed_by_a_thin_cord_is_a_fault() -> None:
    """NEC 551.20(C): 8 AWG from a converter's case; its cord of 14 AWG would burn behind 80 A."""
    rule = "gb-charger-case"
    text = spec("us-rv", CHARGER, CHARGER_RUNS)
    assert judged(text, rule) == {(rule, "fault", ("CH1",))}
    strap = "  - {path: [CH1.case, GND], length: 1 m, carries: earth, wire: 8 AWG}\n"
    assert judged(spec("us-rv", CHARGER, CHARGER_RUNS + strap), rule) == set()
    assert judged(text.replace("kind: ac-charger,", "kind: ac-charger, metal-case: false,"), rule) == set()


GENERATOR = SHORE.replace("kind: shore-inlet, rating: 30 A,", "kind: generator, power: 3 kW, neutral-bond: fixed,")


@pytest.mark.parametrize(("said", "found"), [("", False), (", portable: true", False), (", portable: false", True)])
def test_a_generator_that_is_built_in_needs_a_strap(said: str, found: bool) -> None:
    """NEC 551.30(A)."""
    rule = "gb-generator-frame"
    text = spec("us-rv", GENERATOR.replace("voltage: 120 V}", f"voltage: 120 V{said}}}"), SHORE_RUNS)
    assert bool(judged(text, rule)) == found
    strap = "  - {path: [SH1.case, GND], length: 1 m, carries: earth, wire: 8 AWG}\n"
    assert judged(text + strap, rule) == set()


def test_a_panel_aboard_that_holds_the_only_joint_is_a_danger_but_not_in_a_cabin() -> None:
    """NEC 551.54(C), from memory; case from practice: the bond belongs at the generator, never in the RV panel."""
    rule = "gb-panel-neutral-not-isolated"
    parts = GENERATOR.replace("neutral-bond: fixed", "neutral-bond: none")
    parts = parts.replace("ac-panel, ", "ac-panel, neutral-bond: fixed, ")
    assert judged(spec("us-rv", parts, SHORE_RUNS), rule) == {(rule, "danger", ("ACP1",))}
    assert judged(spec("us-cabin", parts, SHORE_RUNS), rule) == set()


@pytest.mark.parametrize(("wire", "found"), [("8 AWG", False), ("10 AWG", True)])
def test_the_wire_from_ac_earth_to_a_vehicles_frame_has_a_least_size(wire: str, found: bool) -> None:
    """NEC 551.56(C): 8 AWG copper."""
    rule = "gb-ac-ground-to-chassis"
    text = spec("us-rv", SHORE, SHORE_RUNS.replace("earth, wire: 8 AWG", f"earth, wire: {wire}"))
    assert judged(text, rule) == ({(rule, "fault", ("ACP1",))} if found else set())


def test_a_shed_on_a_rod_behind_a_residual_current_device_is_right_on_a_tt_supply_only() -> None:
    """IEC 60364-4-41 411.5, from memory."""
    rule = "gb-rod-instead-of-egc"
    parts = """\
  SH1: {kind: shore-inlet, rating: 16 A, voltage: 230 V}
  RCD1: {kind: rcd, rating: 16 A, residual: 30 mA}
  RC1: {kind: receptacle, rating: 16 A, power: 900 W}
  ER1: {kind: earth-electrode, type: rod}
"""
    runs = """\
  - {path: [SH1, RCD1, RC1], length: 9 m, wire: 2.5 mm², cores: [L, N]}
  - {path: [RC1.PE, ER1], length: 1 m, carries: earth, wire: 16 mm²}
"""
    assert judged(spec("iec-cabin", parts, runs, "supply: {earthing: TT}"), rule) == set()
    network = spec("iec-cabin", parts, runs, "supply: {earthing: TN-S}")
    assert judged(network, rule) == {(rule, "danger", ("RC1", "ER1"))}


def test_a_transfer_switch_that_does_not_say_is_not_assessed() -> None:
    rule = "gb-transfer-neutral-switching"
    parts = GENERATOR.replace("fixed", "relay") + "  TS1: {kind: transfer-switch, rating: 30 A}\n"
    text = spec("us-rv", parts, SHORE_RUNS.replace("QM, ACP1", "QM, TS1.a], length: 1 m}\n  - {path: [TS1.out, ACP1"))
    assert {m.missing for m in report(text).not_assessed if m.rule == rule} == {"switches-neutral of TS1"}
    assert judged(text.replace("transfer-switch,", "transfer-switch, switches-neutral: false,"), rule) == {
        (rule, "danger", ("TS1",))
    }
