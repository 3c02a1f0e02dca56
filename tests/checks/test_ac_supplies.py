"""AC supplies: cases from practice and the sides of rules that one example can't show."""

from __future__ import annotations

import pytest
from helpers import found, report

EARTH = "  FR1: {kind: chassis, type: frame}\n"


def of_rules(text: str, *prefixes: str) -> list[tuple[str, str, tuple[str, ...]]]:
    """Findings of some rules or families of rules."""
    return [one for one in found(text) if one[0].startswith(prefixes)]


def missing(text: str, rule: str) -> list[tuple[tuple[str, ...], str]]:
    """What a rule could not judge."""
    return [(one.at, one.missing) for one in report(text).not_assessed if one.rule == rule]


TWO_BREAKERS = """\
rigline: 1
title: Shore and inverter on one panel with a label
profile: us-boat
body: plastic
defaults: {{insulation: 105 °C}}
components:
  SH1: {{kind: shore-inlet, rating: 30 A, voltage: 120 V}}
  QS: {{kind: breaker, rating: 30 A, poles: 2, voltage: 240 V, residual: 30 mA{interlock}}}
  B1: {{kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah}}
  F1: {{kind: fuse, style: class-t, rating: 125 A}}
  INV1: {{kind: inverter, power: 800 W, output: 120 V, neutral-bond: fixed}}
  QI: {{kind: breaker, rating: 10 A, poles: 2, voltage: 240 V{interlock}}}
  ACP1: {{kind: ac-panel, rating: 30 A, label: Turn one off before the other}}
  RC1: {{kind: receptacle, rating: 15 A, gfci: true, power: 700 W}}
runs:
  - {{path: [SH1, QS, ACP1], length: 2 m, wire: 10 AWG}}
  - {{path: [B1, F1, INV1.dc], length: 1 m, wire: 1/0 AWG}}
  - {{path: [INV1.ac-out, QI, ACP1], length: 2 m, wire: 10 AWG}}
  - {{path: [ACP1, RC1], length: 3 m, wire: 12 AWG}}
"""


def test_two_breakers_and_a_label_let_two_sources_meet() -> None:
    """Case from practice: shore and inverter joined behind a breaker each, with a label. NEC 702.5; ISO 13297 6."""
    text = TWO_BREAKERS.format(interlock="")
    assert of_rules(text, "ac-parallel") == [("ac-parallel-sources", "danger", ("INV1", "SH1"))]


def test_a_slide_between_the_two_breakers_keeps_the_sources_apart() -> None:
    """A mechanical interlock on both breakers is a control, as a label is not."""
    text = TWO_BREAKERS.format(interlock=", interlock: slide")
    assert of_rules(text, "ac-parallel", "ac-shore") == []


STEEL_BOAT = """\
rigline: 1
title: Steel boat with a change-over switch
profile: uk-inland-boat
body: metal
defaults: {insulation: 85 °C}
components:
  SH1: {kind: shore-inlet, rating: 16 A, voltage: 230 V}
  RCD1: {kind: rcd, rating: 25 A, residual: 30 mA, overcurrent: 16 A}
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 400 Ah}
  F1: {kind: fuse, style: class-t, rating: 250 A}
  INV1: {kind: inverter, power: 1800 W, output: 230 V, neutral-bond: fixed}
  TS1: {kind: transfer-switch, rating: 25 A, poles: 2, switches-neutral: true}
  Q1: {kind: breaker, rating: 10 A, poles: 2, voltage: 230 V}
  RC1: {kind: receptacle, rating: 13 A, power: 1000 W}
  HULL: {kind: chassis, type: hull}
runs:
  - {path: [SH1, RCD1, TS1.a], length: 2 m, wire: 2.5 mm²}
  - {path: [B1, F1, INV1.dc], length: 1 m, wire: 50 mm²}
  - {path: [INV1.ac-out, TS1.b], length: 1 m, wire: 2.5 mm²}
  - {path: [TS1.out, Q1, RC1], length: 3 m, wire: 2.5 mm²}
  - {path: [B1-, HULL], length: 1 m, carries: bond, wire: 50 mm²}
"""


def test_an_inverter_past_the_shore_rcd_feeds_the_outlets_without_one() -> None:
    """Case from practice: RCD on shore only, hull not earthed. The inverter's outlets need an RCD of their own."""
    assert of_rules(STEEL_BOAT, "ac-rcd") == [("ac-rcd-missing", "fault", ("INV1",))]
    assert {rule for rule, *_ in of_rules(STEEL_BOAT, "gb-ac-ground")} == {"gb-ac-ground-to-chassis"}


def test_an_rcd_behind_the_changeover_switch_guards_both_supplies() -> None:
    """Moved behind the switch, one device of 30 mA stands in the way of shore and inverter alike."""
    text = STEEL_BOAT.replace("[SH1, RCD1, TS1.a]", "[SH1, TS1.a]").replace("[TS1.out, Q1", "[TS1.out, RCD1, Q1")
    assert of_rules(text, "ac-rcd") == []


def test_a_residual_device_of_300_ma_guards_against_fire_and_not_against_shock() -> None:
    """30 mA is the most that protects people. Source: IEC 60364-7-721 and -7-709, from memory."""
    text = STEEL_BOAT.replace("residual: 30 mA", "residual: 300 mA")
    assert of_rules(text, "ac-rcd") == [
        ("ac-rcd-missing", "danger", ("SH1",)),
        ("ac-rcd-missing", "fault", ("INV1",)),
    ]


def test_a_residual_device_without_a_figure_is_a_question() -> None:
    """What the device trips at is not guessed."""
    text = STEEL_BOAT.replace("residual: 30 mA, ", "")
    assert missing(text, "ac-rcd-missing") == [(("RCD1",), "residual of RCD1")]


CARAVAN = """\
rigline: 1
title: Caravan with its mains rebuilt
profile: eu-caravan
body: metal
defaults: {insulation: 70 °C}
supply: {earthing: TT}
components:
  SH1: {kind: shore-inlet, rating: 16 A, voltage: 230 V, ip: IP44}
  RCD1: {kind: rcd, rating: 25 A, residual: 30 mA, overcurrent: 16 A, poles: 2}
  ACP1: {kind: ac-panel, rating: 25 A, polarity-indicator: true}
  Q1: {kind: breaker, rating: 10 A, poles: 2, voltage: 230 V, interrupting: 6 kA}
  RC1: {kind: receptacle, rating: 13 A, power: 1500 W, continuous: false}
  Q2: {kind: breaker, rating: 6 A, poles: 2, voltage: 230 V, interrupting: 6 kA}
  FR1: {kind: ac-load, name: Fridge, power: 150 W, continuous: true}
  CH: {kind: chassis, type: chassis}
runs:
  - {id: W1, path: [SH1, RCD1, ACP1], lengths: [0.3 m, 0.7 m], wire: 2.5 mm²}
  - {id: W2, path: [ACP1, Q1, RC1], lengths: [0.1 m, 3 m], wire: 1.5 mm²}
  - {id: W3, path: [ACP1, Q2, FR1], lengths: [0.1 m, 2 m], wire: 1.5 mm²}
  - {id: W4, path: [ACP1, CH], length: 1 m, carries: earth, wire: 6 mm²}
"""


def test_a_caravan_rebuilt_with_double_pole_devices_is_clean() -> None:
    """Case from practice: inlet, 2.5 mm², RCD, 10 A and 6 A double-pole breakers. IEC 60364-7-721."""
    assert found(CARAVAN) == []


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("Q2: {kind: breaker, rating: 6 A, poles: 2", "Q2: {kind: breaker, rating: 6 A, poles: 1", "Q2"),
        ("Q2: {kind: breaker, rating: 6 A, poles: 2", "Q2: {kind: fuse, rating: 6 A", "Q2"),
    ],
)
def test_a_device_on_one_pole_of_a_caravan_leaves_the_other_live(old: str, new: str, expected: str) -> None:
    """Pitch outlets may be reversed, so every device opens both poles and none is a fuse. ISO 13297 13.1; 721."""
    assert of_rules(CARAVAN.replace(old, new), "oc-ac-poles") == [("oc-ac-poles", "danger", (expected,))]


MOTORHOME = """\
rigline: 1
title: Motorhome with shore, generator and inverter
profile: us-rv
body: metal
defaults: {{insulation: 75 °C}}
components:
  SH1: {{kind: shore-inlet, rating: 30 A, voltage: 120 V, ip: IP44}}
  GEN1: {{kind: generator, power: 3600 W, voltage: 120 V, neutral-bond: relay, internal-breaker: 30 A}}
  TS1: {{kind: transfer-switch, rating: 30 A, poles: 2, switches-neutral: true, automatic: true}}
  QM: {{kind: breaker, rating: 30 A, poles: 1, voltage: 120 V, interrupting: 10 kA}}
  ACP1: {{kind: ac-panel, rating: 30 A, polarity-indicator: true}}
  QH: {{kind: breaker, rating: 15 A, poles: 1, voltage: 120 V, interrupting: 10 kA}}
  HT1: {{kind: ac-load, name: Water heater, power: 1400 W, continuous: false}}
  QI: {{kind: breaker, rating: {feed}, poles: 1, voltage: 120 V, interrupting: 10 kA}}
  INV1: {{kind: inverter-charger, power: 1000 W, output: 120 V, neutral-bond: relay, transfer-rating: 20 A}}
  ACP2: {{kind: ac-panel, rating: 30 A, label: Inverter on board}}
  RC1: {{kind: receptacle, rating: 20 A, gfci: true, power: 900 W, location: galley}}
  FR1: {{kind: chassis, type: frame}}
runs:
  - {{path: [SH1, TS1.a], length: 0.4 m, wire: 10 AWG}}
  - {{path: [GEN1, TS1.b], length: 2 m, wire: 10 AWG}}
  - {{path: [TS1.out, QM, ACP1], length: 0.4 m, wire: 10 AWG}}
  - {{path: [ACP1, QH, HT1], length: 2 m, wire: 12 AWG}}
  - {{path: [ACP1, QI, INV1.ac-in], length: 2 m, wire: 10 AWG}}
  - {{path: [INV1.ac-out, ACP2], length: 1 m, wire: 10 AWG}}
  - {{path: [ACP2, RC1], length: 3 m, wire: 12 AWG}}
  - {{path: [ACP1, FR1], length: 1 m, carries: earth, wire: 8 AWG}}
"""


def test_heavy_loads_ahead_of_the_inverter_are_a_sound_layout() -> None:
    """Case from practice: transfer switch, main panel with the heavy loads, inverter, sub-panel."""
    assert of_rules(MOTORHOME.format(feed="20 A"), "ac-") == []


def test_the_breaker_ahead_of_a_transfer_relay_is_no_larger_than_the_relay() -> None:
    """A 30 A feed into a relay of 20 A welds its contacts. NEC 110.3(B)."""
    assert of_rules(MOTORHOME.format(feed="30 A"), "ac-") == [("ac-passthrough-rating", "danger", ("INV1", "QI"))]


def test_an_inverter_that_does_not_state_its_relay_is_a_question() -> None:
    """The rating of the relay is asked for once."""
    text = MOTORHOME.format(feed="30 A").replace(", transfer-rating: 20 A", "")
    assert missing(text, "ac-passthrough-rating") == [(("INV1",), "transfer-rating of INV1")]


@pytest.mark.parametrize(("circuits", "least"), [(1, None), (2, 30.0), (5, 30.0), (6, 50.0)])
def test_the_number_of_circuits_sets_the_supply(circuits: int, least: float | None) -> None:
    """One circuit 15 or 20 A, two to five 30 A, six or more 50 A. Source: NEC 551.42, from memory."""
    loads = "".join(f"  L{i}: {{kind: ac-load, power: 100 W}}\n" for i in range(circuits))
    breakers = "".join(f"  Q{i}: {{kind: breaker, rating: 15 A}}\n" for i in range(circuits))
    runs = "".join(f"  - {{path: [ACP1, Q{i}, L{i}], length: 2 m, wire: 14 AWG}}\n" for i in range(circuits))
    head = "rigline: 1\ntitle: Circuits\nprofile: us-rv\ncomponents:\n"
    parts = "  SH1: {kind: shore-inlet, rating: 15 A, voltage: 120 V}\n  QM: {kind: breaker, rating: 15 A}\n"
    panel = "  ACP1: {kind: ac-panel}\n"
    main = "runs:\n  - {path: [SH1, QM, ACP1], length: 1 m, wire: 10 AWG}\n"
    said = [f.limit for f in report(head + parts + panel + loads + breakers + main + runs).findings
            if f.rule == "ac-number-of-circuits"]  # fmt: skip
    assert said == ([] if least is None else [least])


@pytest.mark.parametrize(
    ("gfci", "breaker", "expected"),
    [
        ("gfci: false", "", "danger"),
        ("gfci: true", "", None),
        ("gfci: false", ", gfci: true", None),
        ("gfci: false", ", residual: 5 mA", None),
        ("gfci: false", ", residual: 30 mA", "danger"),
    ],
)
def test_an_outlet_outside_is_protected_by_itself_or_by_its_breaker(
    gfci: str, breaker: str, expected: str | None
) -> None:
    """Class A trips at about 5 mA, in the outlet or ahead of it; 30 mA is not class A. NEC 210.8(A); UL 943."""
    text = (
        "rigline: 1\ntitle: Outlet\nprofile: us-cabin\ncomponents:\n"
        "  GEN1: {kind: generator, power: 2 kW, voltage: 120 V, neutral-bond: fixed}\n"
        f"  Q1: {{kind: breaker, rating: 20 A{breaker}}}\n"
        f"  RC1: {{kind: receptacle, rating: 20 A, location: outside, {gfci}}}\n"
        "runs:\n  - {path: [GEN1, Q1, RC1], length: 2 m, wire: 12 AWG}\n"
    )
    assert of_rules(text, "ac-gfci") == ([] if expected is None else [("ac-gfci-missing", expected, ("RC1",))])


def test_an_outlet_that_does_not_say_where_it_is_gets_a_question() -> None:
    """Without a place nobody can say whether it must be protected."""
    text = (
        "rigline: 1\ntitle: Outlet\nprofile: us-cabin\ncomponents:\n"
        "  GEN1: {kind: generator, power: 2 kW, voltage: 120 V, neutral-bond: fixed}\n"
        "  RC1: {kind: receptacle, rating: 20 A}\n"
        "runs:\n  - {path: [GEN1, RC1], length: 2 m, wire: 12 AWG}\n"
    )
    assert missing(text, "ac-gfci-missing") == [(("RC1",), "location of RC1")]
