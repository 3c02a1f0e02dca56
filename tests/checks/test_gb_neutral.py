"""Joints of neutral and earth: how many there are for each source and position of the switches."""

from __future__ import annotations

import pytest
from helpers import report

NONE, MULTIPLE, WINDING = "gb-ng-none", "gb-ng-multiple", "gb-isolation-transformer"


def layout(profile: str, components: str, runs: str, head: str = "") -> str:
    """A spec with a panel and an outlet behind whatever feeds the panel."""
    return f"""\
rigline: 1
title: Sources on one panel
profile: {profile}
{head}
components:
  ACP1: {{kind: ac-panel, rating: 30 A, neutral-bond: none}}
  RC1: {{kind: receptacle, rating: 20 A, gfci: true, power: 900 W}}
{components}
runs:
  - {{path: [ACP1, RC1], length: 3 m, wire: 12 AWG}}
{runs}
"""


def judged(text: str) -> set[tuple[str, tuple[str, ...], str | None]]:
    """Rule, components and mode of every finding on joints of neutral and earth."""
    return {(f.rule, f.at, f.mode) for f in report(text).findings if f.rule in (NONE, MULTIPLE, WINDING)}


SHORE = "  SH1: {kind: shore-inlet, rating: 30 A, voltage: 120 V}\n"
BATTERY = "  B1: {kind: battery, chemistry: lifepo4, voltage: 25.6 V, capacity: 100 Ah, bms: true}\n"
DC = "  - {path: [B1, INV1.dc], length: 0.5 m, wire: 1/0 AWG}\n"


def generator(bond: str) -> str:
    return f"  GEN1: {{kind: generator, power: 3 kW, voltage: 120 V, neutral-bond: {bond}}}\n"


def transfer(switches_neutral: bool) -> str:
    return f"  TS1: {{kind: transfer-switch, rating: 30 A, switches-neutral: {str(switches_neutral).lower()}}}\n"


def inverter(bond: str, kind: str = "inverter-charger") -> str:
    return f"  INV1: {{kind: {kind}, power: 2 kW, output: 120 V, efficiency: 90 %, neutral-bond: {bond}}}\n"


def through_inverter(generator_bond: str, inverter_bond: str, head: str = "", switched: bool = True) -> str:
    """Shore and generator on a transfer switch, then an inverter-charger that passes power through to the panel."""
    runs = """\
  - {path: [SH1, TS1.a], length: 2 m, wire: 10 AWG}
  - {path: [GEN1, TS1.b], length: 2 m, wire: 10 AWG}
  - {path: [TS1.out, INV1.ac-in], length: 2 m, wire: 10 AWG}
  - {path: [INV1.ac-out, ACP1], length: 2 m, wire: 10 AWG}
"""
    parts = SHORE + generator(generator_bond) + transfer(switched) + BATTERY + inverter(inverter_bond)
    return layout("us-rv", parts, runs + DC, head)


# Layouts of camper, boat and cabin, with the count of joints for each source.
# Clauses: NEC 250.30, 551.30 and 551.54(C); ISO 13297 6.8; IEC 60364-7-721.


def test_relay_inverter_and_bonded_generator_have_one_joint_in_every_mode() -> None:
    assert judged(through_inverter("fixed", "relay")) == set()


def test_a_floating_generator_has_no_joint_on_a_switched_neutral() -> None:
    assert judged(through_inverter("none", "relay")) == {(NONE, ("GEN1",), "INV1 passing through, TS1 on b")}


def test_an_inverter_without_a_joint_has_none_while_inverting_only() -> None:
    assert judged(through_inverter("fixed", "none")) == {(NONE, ("INV1",), "INV1 inverting")}


def test_a_fixed_joint_in_the_inverter_doubles_those_of_shore_and_generator() -> None:
    assert judged(through_inverter("fixed", "fixed")) == {
        (MULTIPLE, ("INV1", "SH1"), "INV1 passing through, TS1 on a"),
        (MULTIPLE, ("INV1", "GEN1"), "INV1 passing through, TS1 on b"),
    }


def test_a_small_inverter_on_its_own_outlets_is_apart_from_the_panel() -> None:
    parts = SHORE + BATTERY + inverter("fixed", "inverter") + "  RC2: {kind: receptacle, rating: 15 A, power: 300 W}\n"
    runs = "  - {path: [SH1, ACP1], length: 2 m}\n  - {path: [INV1.ac-out, RC2], length: 1 m}\n"
    assert judged(layout("us-rv", parts, runs + DC)) == set()


@pytest.mark.parametrize(("bond", "expected"), [("none", set()), ("fixed", {(MULTIPLE, ("GEN1", "ACP1"), "TS1 on a")})])
def test_a_cabin_panel_carries_the_joint_while_nothing_else_does(bond: str, expected: set[object]) -> None:
    """The inverter's side is on b; its neutral is joined to the panel in both positions."""
    parts = generator(bond) + transfer(False) + BATTERY + inverter("none", "inverter")
    runs = """\
  - {path: [GEN1, TS1.a], length: 2 m}
  - {path: [INV1.ac-out, TS1.b], length: 2 m}
  - {path: [TS1.out, ACP1], length: 2 m}
"""
    text = layout("us-cabin", parts, runs + DC).replace("neutral-bond: none}\n  RC1", "neutral-bond: fixed}\n  RC1")
    found = judged(text)
    # The generator's joint stays on the common neutral while the inverter feeds.
    wanted = expected | ({(MULTIPLE, ("GEN1", "ACP1"), "TS1 on b")} if expected else set())
    assert found == wanted


@pytest.mark.parametrize(
    ("bond", "panel", "expected"),
    [
        ("secondary", "none", set()),
        ("none", "fixed", set()),
        ("secondary", "fixed", {(WINDING, ("T1", "ACP1"), None)}),
        ("none", "none", {(WINDING, ("T1",), None)}),
    ],
)
def test_behind_an_isolation_transformer_shore_does_not_count(bond: str, panel: str, expected: set[object]) -> None:
    parts = SHORE + f"  T1: {{kind: transformer, type: isolation, power: 3.6 kW, bond: {bond}}}\n"
    parts += "  QA: {kind: breaker, rating: 30 A, poles: 1}\n"
    runs = "  - {path: [SH1, T1.primary], length: 2 m}\n  - {path: [T1.secondary, QA, ACP1], length: 2 m}\n"
    text = layout("us-boat", parts, runs, "body: plastic").replace(
        "neutral-bond: none}\n  RC1", f"neutral-bond: {panel}}}\n  RC1"
    )
    assert judged(text) == expected


@pytest.mark.parametrize(("poles", "found"), [(2, False), (1, True)])
def test_an_iso_boat_may_float_behind_a_transformer_with_two_pole_devices(poles: int, found: bool) -> None:
    """ISO 13297 6.8."""
    parts = SHORE + "  T1: {kind: transformer, type: isolation, power: 3.6 kW, bond: none}\n"
    parts += f"  QA: {{kind: breaker, rating: 16 A, poles: {poles}}}\n"
    runs = "  - {path: [SH1, T1.primary], length: 2 m}\n  - {path: [T1.secondary, QA, ACP1], length: 2 m}\n"
    assert bool(judged(layout("intl-boat", parts, runs, "body: plastic"))) == found


@pytest.mark.parametrize(
    ("supply", "found"), [("", False), ("supply: {earthing: TT}", False), ("supply: {bonded: false}", True)]
)
def test_a_caravan_pitch_brings_its_own_joint(supply: str, found: bool) -> None:
    assert bool(judged(layout("eu-caravan", SHORE, "  - {path: [SH1, ACP1], length: 2 m}\n", supply))) == found


def test_one_appliance_alone_on_a_floating_generator_is_separated() -> None:
    """IEC 60364-4-41 413."""
    text = layout("eu-caravan", generator("none"), "  - {path: [GEN1, ACP1], length: 2 m}\n", "ac-grounding: floating")
    assert judged(text) == set()


def test_floating_needs_more_than_the_word_where_several_appliances_hang_on_it() -> None:
    text = layout("eu-caravan", generator("none"), "  - {path: [GEN1, ACP1], length: 2 m}\n", "ac-grounding: floating")
    assert judged(text.replace("power: 900 W", "power: 900 W, count: 3")) == {(NONE, ("GEN1",), None)}
    with_breaker = text.replace("[GEN1, ACP1]", "[GEN1, QA, ACP1]").replace(
        "  GEN1:", "  QA: {kind: breaker, rating: 16 A, poles: 1}\n  GEN1:"
    )
    assert judged(with_breaker) == {(NONE, ("GEN1",), None)}


@pytest.mark.parametrize(("type", "exempt"), [("insulation-monitor", True), ("ground fault", True), ("tank", False)])
def test_several_appliances_may_float_where_a_monitor_watches_the_insulation(type: str, exempt: bool) -> None:
    """IEC 60364-4-41 411.6.3: an insulation monitoring device in an IT system."""
    text = layout("eu-caravan", generator("none"), "  - {path: [GEN1, ACP1], length: 2 m}\n", "ac-grounding: floating")
    text = text.replace("power: 900 W", "power: 900 W, count: 3")
    text = text.replace("  GEN1:", f"  SN1: {{kind: sensor, type: {type}}}\n  GEN1:")
    assert judged(text) == (set() if exempt else {(NONE, ("GEN1",), None)})


def test_a_source_that_does_not_say_is_not_assessed() -> None:
    text = through_inverter("fixed", "relay").replace(", neutral-bond: relay", "")
    missing = {(m.rule, m.at, m.missing) for m in report(text).not_assessed if m.rule.startswith("gb-ng")}
    assert missing == {(NONE, ("INV1",), "neutral-bond of INV1")}
    assert judged(text) == set()


def test_an_inverter_with_outlets_on_its_own_case_is_exempt() -> None:
    parts = SHORE + BATTERY + inverter("none", "inverter") + "  L1: {kind: ac-load, power: 100 W}\n"
    runs = "  - {path: [SH1, ACP1], length: 2 m}\n  - {path: [INV1.ac-out, L1], length: 1 m}\n"
    with_load = layout("us-rv", parts, runs + DC)
    assert judged(with_load) == {(NONE, ("INV1",), None)}
    assert judged(with_load.replace("power: 100 W", "power: 100 W, class-ii: true")) == set()
    assert judged(with_load.replace("90 %,", "90 %, internal-receptacles: true,")) == set()


# Cases from practice.


def small_load_centre(switched: bool) -> str:
    """A small inverter bonded inside, a floating generator and an automatic transfer switch (case from practice)."""
    parts = generator("none") + transfer(switched) + BATTERY + inverter("fixed", "inverter")
    runs = """\
  - {path: [GEN1, TS1.a], length: 2 m}
  - {path: [INV1.ac-out, TS1.b], length: 2 m}
  - {path: [TS1.out, ACP1], length: 2 m}
"""
    return layout("us-cabin", parts, runs + DC)


def test_an_inverters_joint_serves_the_generator_over_a_common_neutral() -> None:
    """Case from practice; NEC 250.30."""
    assert judged(small_load_centre(switched=False)) == set()


def test_a_switched_neutral_takes_the_inverters_joint_from_the_generator() -> None:
    """Case from practice; NEC 250.30."""
    assert judged(small_load_centre(switched=True)) == {(NONE, ("GEN1",), "TS1 on a")}


def test_a_portable_generator_at_an_rv_panel_has_no_joint_but_shore_has() -> None:
    """Case from practice; NEC 551.30(A): bond at the generator, never in the panel."""
    parts = SHORE + generator("none") + transfer(True)
    runs = """\
  - {path: [SH1, TS1.a], length: 2 m}
  - {path: [GEN1, TS1.b], length: 2 m}
  - {path: [TS1.out, ACP1], length: 2 m}
"""
    (finding,) = [f for f in report(layout("us-rv", parts, runs)).findings if f.rule == NONE]
    assert (finding.at, finding.mode) == (("GEN1",), "TS1 on b")
    assert "GEN1 itself" in finding.remedy


def test_inverter_neutrals_on_the_shore_bar_are_joined_twice_while_inverting() -> None:
    """Case from practice: one neutral bar for shore panel and inverter loads; ABYC A-31."""
    parts = SHORE + BATTERY + inverter("relay") + "  ACP2: {kind: ac-panel, rating: 30 A, neutral-bond: none}\n"
    parts += "  RC2: {kind: receptacle, rating: 15 A, gfci: true, power: 300 W}\n"
    runs = """\
  - {path: [SH1, ACP1], length: 2 m}
  - {path: [ACP1, INV1.ac-in], length: 2 m}
  - {path: [INV1.ac-out, ACP2], length: 2 m}
  - {path: [ACP2, RC2], length: 2 m}
"""
    apart = layout("us-boat", parts, runs + DC, "body: plastic")
    assert judged(apart) == set()
    joined = apart + "  - {path: [ACP2.N, ACP1.N], length: 1 m, cores: [N]}\n"
    assert {(rule, mode) for rule, _, mode in judged(joined)} == {(MULTIPLE, "INV1 inverting")}


def test_a_motorhome_with_its_heavy_loads_ahead_of_the_inverter_is_right() -> None:
    """Case from practice: shore and generator on a transfer switch, inverter between main panel and sub-panel."""
    parts = SHORE + generator("fixed") + transfer(True) + BATTERY + inverter("relay")
    parts += "  ACP2: {kind: ac-panel, rating: 30 A}\n"
    parts += "  RC2: {kind: receptacle, rating: 15 A, gfci: true, power: 300 W}\n"
    runs = """\
  - {path: [SH1, TS1.a], length: 2 m}
  - {path: [GEN1, TS1.b], length: 2 m}
  - {path: [TS1.out, ACP1], length: 2 m}
  - {path: [ACP1, INV1.ac-in], length: 2 m}
  - {path: [INV1.ac-out, ACP2], length: 2 m}
  - {path: [ACP2, RC2], length: 2 m}
"""
    assert judged(layout("us-rv", parts, runs + DC)) == set()


def test_a_log_cabin_on_a_floating_generator_is_bonded_in_its_panel() -> None:
    """Case from practice; NEC 250.30: with an unswitched neutral the generator is not separately derived."""
    runs = """\
  - {path: [GEN1, TS1.a], length: 2 m}
  - {path: [TS1.out, ACP1], length: 2 m}
"""
    text = layout("us-cabin", generator("none") + transfer(False), runs)
    assert judged(text.replace("neutral-bond: none}\n  RC1", "neutral-bond: fixed}\n  RC1")) == set()
    assert judged(text) == {(NONE, ("GEN1",), "TS1 on a")}
    assert [f.remedy.split(" once: ")[1] for f in report(text).findings if f.rule == NONE] == [
        "in ACP1 if its neutral is never switched, else at GEN1."
    ]


def test_a_run_from_neutral_to_earth_is_a_joint() -> None:
    bonded = layout(
        "us-cabin",
        generator("none") + "  EB1: {kind: earth-bus}\n",
        "  - {path: [GEN1, ACP1], length: 2 m}\n  - {path: [ACP1, EB1], length: 1 m, carries: neutral-bond}\n",
    )
    assert judged(bonded) == set()
    twice = bonded.replace("voltage: 120 V, neutral-bond: none", "voltage: 120 V, neutral-bond: fixed")
    assert judged(twice) == {(MULTIPLE, ("GEN1", "ACP1"), None)}


@pytest.mark.parametrize(("supply", "found"), [("", True), ("supply: {earthing: TN-C-S}", False)])
def test_a_cabins_main_panel_is_where_a_combined_supply_is_joined(supply: str, found: bool) -> None:
    """NEC 250.24(A): the main bonding jumper of a service; a sub-panel has none."""
    text = layout("us-cabin", SHORE, "  - {path: [SH1, ACP1], length: 2 m}\n", supply)
    text = text.replace("neutral-bond: none}\n  RC1", "neutral-bond: fixed}\n  RC1")
    assert judged(text) == ({(MULTIPLE, ("ACP1", "SH1"), None)} if found else set())
