"""Exceptions and unstated facts of rules whose example shows only the plain case."""

from __future__ import annotations

import pytest
from helpers import study_of

from rigline.checks.registry import all_checks
from rigline.checks.run import run_checks

HEAD = "rigline: 1\ntitle: A case\nprofile: {profile}\nbody: plastic\n"
BATTERY = "  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}\n"


def said(text: str, *rules: str) -> list[tuple[str, str, tuple[str, ...]]]:
    """Findings of some rules."""
    checks = [check for check in all_checks() if check.slug in rules]
    return sorted((f.rule, f.severity.value, f.at) for f in run_checks(study_of(text), checks).findings)


def asked(text: str, rule: str) -> list[str]:
    """What a rule could not judge."""
    checks = [check for check in all_checks() if check.slug == rule]
    return [one.missing for one in run_checks(study_of(text), checks).not_assessed]


def supplied(earthing: str, transformer: bool) -> str:
    """A boat's inlet on a supply, straight or through an isolation transformer."""
    through = "[SH1, TR1.primary]" if transformer else "[SH1, ACP1]"
    behind = "[TR1.secondary, ACP1]" if transformer else "[ACP1, HT2]"
    supply = f"supply: {{earthing: {earthing}}}\n" if earthing else ""
    return (
        HEAD.format(profile="intl-boat")
        + supply
        + "components:\n  SH1: {kind: shore-inlet, rating: 16 A, voltage: 230 V}\n"
        "  TR1: {kind: transformer, type: isolation, bond: secondary, power: 3 kW}\n  ACP1: {kind: ac-panel}\n"
        "  HT1: {kind: ac-load, power: 500 W}\n  HT2: {kind: ac-load, power: 500 W}\n"
        f"runs:\n  - {{path: {through}, length: 1 m}}\n  - {{path: {behind}, length: 1 m}}\n"
        "  - {path: [ACP1, HT1], length: 1 m}\n"
    )


@pytest.mark.parametrize(
    ("earthing", "transformer", "expected"),
    [
        ("TN-C-S", False, [("gb-tn-c-s-supply", "danger", ("SH1",))]),
        ("TN-C-S", True, []),
        ("TT", False, []),
        ("TN-S", False, []),
    ],
)
def test_combined_earth_and_neutral_stays_ashore(
    earthing: str, transformer: bool, expected: list[tuple[str, str, tuple[str, ...]]]
) -> None:
    """A TN-C-S earth may not be extended to a boat unless a transformer parts it. BS 7671 709, from memory."""
    assert said(supplied(earthing, transformer), "gb-tn-c-s-supply") == expected


def test_how_the_supply_is_earthed_is_asked_for() -> None:
    """An inlet does not tell how the pitch behind it is earthed."""
    assert asked(supplied("", False), "gb-tn-c-s-supply") == ["earthing of the supply (supply: {earthing: ...})"]


@pytest.mark.parametrize(("fused", "expected"), [(", fused: true", []), (", fused: false", ["oc-sense-lead"])])
def test_a_lead_from_a_battery_post_needs_a_fuse(fused: str, expected: list[str]) -> None:
    """33 CFR 183.455(a) holds for every ungrounded conductor, however thin."""
    lead = f"  - {{id: W1, path: [B1, MON1.sense], length: 2 m, carries: sense{fused}}}\n"
    text = HEAD.format(profile="us-boat") + "components:\n" + BATTERY + "  MON1: {kind: monitor}\nruns:\n" + lead
    assert [rule for rule, *_ in said(text, "oc-sense-lead")] == expected


def test_leads_of_a_shunt_in_the_negative_need_no_fuse() -> None:
    """They carry millivolts between two studs of the same bar; common practice."""
    parts = "  RS1: {kind: shunt, rating: 300 A}\n  MON1: {kind: monitor}\n"
    runs = "runs:\n  - {path: [RS1.sense, MON1.sense], length: 2 m, carries: sense, fused: false}\n"
    assert said(HEAD.format(profile="us-boat") + "components:\n" + parts + runs, "oc-sense-lead") == []


def test_a_sense_lead_that_says_nothing_is_a_question() -> None:
    """Whether a small fuse sits in the lead can't be seen from its path."""
    lead = "  - {id: W1, path: [B1, MON1.sense], length: 2 m, carries: sense}\n"
    text = HEAD.format(profile="us-boat") + "components:\n" + BATTERY + "  MON1: {kind: monitor}\nruns:\n" + lead
    assert asked(text, "oc-sense-lead") == ["whether W1 has a fuse at its hot end (fused)"]


@pytest.mark.parametrize(
    ("motor", "expected"),
    [
        ("stall: 12 A", ["oc-motor-stall"]),
        ("stall: 12 A, thermal-protection: true", []),
        ("stall: 12 A, steering: true", []),
        ("stall: 25 A", []),
    ],
)
def test_a_stalled_pump_opens_its_fuse_or_protects_itself(motor: str, expected: list[str]) -> None:
    """A 10 A fuse opens in time from about 20 A on. Source: ABYC E-11, motor circuits; twice is common practice."""
    parts = f"  F1: {{kind: fuse, rating: 10 A}}\n  M1: {{kind: motor, current: 3 A, {motor}}}\n"
    text = HEAD.format(profile="us-boat") + "components:\n" + BATTERY + parts
    text += "runs:\n  - {path: [B1, F1, M1], length: 2 m, wire: 14 AWG}\n"
    assert [rule for rule, *_ in said(text, "oc-motor-stall")] == expected


@pytest.mark.parametrize(
    ("profile", "switch", "expected"),
    [
        ("us-boat", "poles: 2", []),
        ("us-boat", "poles: 1", ["ac-transfer-poles"]),
        ("us-boat", "switches-neutral: false", ["ac-transfer-poles"]),
        ("us-cabin", "switches-neutral: false", []),
        ("us-rv", "switches-neutral: false", []),
    ],
)
def test_who_must_change_over_the_neutral(profile: str, switch: str, expected: list[str]) -> None:
    """Boats always; cabins may keep a common neutral; RVs have gb-transfer-neutral-switching. NEC 551.33; ISO 13297."""
    text = (
        HEAD.format(profile=profile) + "components:\n  G1: {kind: generator, power: 3 kW, voltage: 120 V}\n"
        "  G2: {kind: generator, power: 3 kW, voltage: 120 V}\n"
        f"  TS1: {{kind: transfer-switch, rating: 30 A, {switch}}}\n  HT1: {{kind: ac-load, power: 500 W}}\nruns:\n"
        "  - {path: [G1, TS1.a], length: 1 m}\n  - {path: [G2, TS1.b], length: 1 m}\n"
        "  - {path: [TS1.out, HT1], length: 1 m}\n"
    )
    assert [rule for rule, *_ in said(text, "ac-transfer-poles")] == expected


def mains(load: str, source: str = "voltage: 230 V, frequency: 50 Hz", profile: str = "iec-cabin") -> str:
    """One AC load on a generator."""
    return (
        HEAD.format(profile=profile) + f"components:\n  GEN1: {{kind: generator, power: 2 kW, {source}}}\n"
        f"  L1: {{kind: ac-load, power: 500 W, {load}}}\nruns:\n  - {{path: [GEN1, L1], length: 2 m}}\n"
    )


@pytest.mark.parametrize(
    ("load", "expected"),
    [
        ("voltage: 230 V", []),
        ("voltage: 240 V", []),
        ("voltage: 120 V", ["ac-voltage-frequency"]),
        ("voltage: 120 V, min-voltage: 100 V, max-voltage: 240 V", []),
        ("frequency: 60 Hz", ["ac-voltage-frequency"]),
        ("frequency: 50 Hz", []),
        ("continuous: true", []),
    ],
)
def test_an_appliance_fits_the_mains(load: str, expected: list[str]) -> None:
    """NEC 110.4, from memory; nominal voltages within 10 % are one (IEC 60038)."""
    assert [rule for rule, *_ in said(mains(load), "ac-voltage-frequency")] == expected


def test_the_frequency_of_a_source_is_asked_for_where_an_appliance_needs_one() -> None:
    """A motor made for 60 Hz on a generator that does not say what it gives."""
    text = mains("frequency: 60 Hz", "voltage: 120 V", "us-cabin")
    assert asked(text, "ac-voltage-frequency") == ["frequency of GEN1"]


@pytest.mark.parametrize(
    ("place", "expected"),
    [
        ("{petrol: true}", "whether M1 is ignition-protected"),
        ("{lpg: true}", "whether M1 is ignition-protected"),
        ("{wet: true}", None),
    ],
)
def test_a_motor_among_vapour_is_asked_whether_it_is_sealed(place: str, expected: str | None) -> None:
    """33 CFR 183.410(b): petrol engine and tank spaces; gas lockers alike."""
    text = HEAD.format(profile="us-boat") + f"places:\n  bay: {place}\ncomponents:\n" + BATTERY
    text += "  M1: {kind: motor, current: 3 A, place: bay}\nruns:\n  - {path: [B1, M1], length: 1 m}\n"
    assert asked(text, "oc-ignition-protected") == ([] if expected is None else [expected])


def test_a_bilge_pump_on_a_main_as_small_as_a_branch_goes_down_with_it() -> None:
    """Case from the rule's own sense: 40 A ahead of 40 A. Without the pump it is a nuisance and no finding."""
    text = (
        HEAD.format(profile="us-boat")
        + "components:\n"
        + BATTERY
        + "  F1: {kind: fuse, rating: 40 A}\n  BUS1: {kind: busbar}\n"
        "  F2: {kind: fuse, rating: 40 A}\n  M1: {kind: motor, current: 15 A}\n  F3: {kind: fuse, rating: 5 A}\n"
        "  M2: {kind: motor, current: 3 A, safety: SAFETY}\nruns:\n"
        "  - {path: [B1, F1, BUS1], length: 1 m}\n  - {path: [BUS1, F2, M1], length: 1 m}\n"
        "  - {path: [BUS1, F3, M2], length: 1 m}\n"
    )
    assert said(text.replace("SAFETY", "true"), "oc-coordination") == [("oc-coordination", "fault", ("F1", "F2", "M2"))]
    assert said(text.replace("SAFETY", "false"), "oc-coordination") == []
