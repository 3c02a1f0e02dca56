"""Voltage drop from source to load. Cases from practice; percentages by V = K x I x L / circular mils with K = 10.75
(ABYC E-11 voltage-drop formula, L out and back in feet), areas from ASTM B258."""

from __future__ import annotations

import pytest
from helpers import found, report, study_of

K_OHM_CMIL_PER_FT = 10.75
CMIL = {
    "16 AWG": 2583,
    "12 AWG": 6530,
    "10 AWG": 10380,
    "4 AWG": 41740,
    "2 AWG": 66360,
    "1 AWG": 83690,
    "4/0 AWG": 211600,
}
"""Circular mils by gauge. Source: ASTM B258, rounded as NEC Chapter 9 Table 8 prints them."""

SPEC = """\
rigline: 1
profile: us-boat
body: plastic
components:
  B1: {{kind: battery, chemistry: agm, voltage: {volts} V, capacity: 300 Ah, short-circuit: 4.5 kA, disconnect: true,
       charge-display: true}}
  F1: {{kind: fuse, style: {style}, rating: {fuse} A}}
  M1: {{kind: motor, current: {amps} A, continuous: false, {more}}}
  GND: {{kind: chassis}}
runs:
  - {{id: W1, path: [B1, F1, M1], lengths: [0.5 ft, {feet} ft], wire: {wire}{run}}}
  - {{id: W2, path: [B1-, GND], length: 1 ft, wire: 4/0 AWG}}
"""


def motor(
    wire: str,
    amps: float,
    feet: float,
    *,
    fuse: float,
    volts: int = 12,
    style: str = "class-t",
    more: str = "",
    run: str = "",
) -> str:
    """A motor at the end of a pair of wires, `feet` one way from the battery."""
    return SPEC.format(
        volts=volts, style=style, fuse=fuse, amps=amps, more=more or "spare: false", feet=feet - 0.5, wire=wire, run=run
    )


def percent(wire: str, amps: float, feet_out_and_back: float, volts: float = 12.0) -> float:
    """Voltage drop by the handbook formula, in percent."""
    return 100 * K_OHM_CMIL_PER_FT * amps * feet_out_and_back / CMIL[wire] / volts


@pytest.mark.parametrize(
    ("wire", "amps", "feet", "volts", "printed"),
    [
        ("4 AWG", 83, 23, 12, 8.2),  # case from practice: a windlass 46 ft out and back
        ("2 AWG", 83, 23, 12, 5.2),
        ("1 AWG", 205, 16 + 10 / 12, 12, 7.4),  # case from practice: a bow thruster and its successor
        ("1 AWG", 290, 16 + 10 / 12, 12, 10.5),
        ("4/0 AWG", 290, 16 + 10 / 12, 12, 4.1),
        ("1 AWG", 140, 16 + 10 / 12, 24, 2.5),
        ("12 AWG", 10, 10.5, 12, 2.9),  # case from practice: a float-switch pump, 21 ft out and back
        ("16 AWG", 10, 10.5, 12, 7.3),
    ],
)
def test_drop_agrees_with_the_handbook_formula(wire: str, amps: float, feet: float, volts: int, printed: float) -> None:
    """The drop of a pair of wires is K x I x L / circular mils, and what the accounts of the cases print."""
    drop = study_of(motor(wire, amps, feet, fuse=400, volts=volts)).load_drops["M1"]
    assert 100 * drop.running_frac == pytest.approx(percent(wire, amps, 2 * feet, volts), abs=0.1)
    assert 100 * drop.running_frac == pytest.approx(printed, abs=0.2)


def test_a_windlass_may_lose_ten_percent() -> None:
    """A motor that its maker allows 10 % is not held to the 3 % of lamps (case from practice; ABYC E-11)."""
    assert found(motor("2 AWG", 83, 23, fuse=150)) == []
    assert found(motor("4 AWG", 83, 23, fuse=150, run=", drop-limit: 10 %")) == []


def test_a_bigger_thruster_is_too_much_for_the_old_cable() -> None:
    """290 A through 1 AWG lose 10.5 % and are above its 245 A (33 CFR 183.425 Table 5, 105 °C)."""
    rules = {rule for rule, _, _ in found(motor("1 AWG", 290, 16 + 10 / 12, fuse=300))}
    assert {"cd-undersized", "cd-voltage-drop-general"} <= rules
    assert found(motor("4/0 AWG", 290, 16 + 10 / 12, fuse=300)) == []
    assert found(motor("1 AWG", 140, 16 + 10 / 12, fuse=200, volts=24)) == []


@pytest.mark.parametrize(
    ("wire", "verdict"), [("10 AWG", []), ("12 AWG", []), ("16 AWG", ["cd-voltage-drop-critical"])]
)
def test_a_critical_pump_keeps_three_percent(wire: str, verdict: list[str]) -> None:
    """12 AWG is enough for 10 A over 21 ft out and back at 3 %, 16 AWG is not (case from practice)."""
    text = motor(wire, 10, 10.5, fuse=15, more="drop-class: critical")
    assert [rule for rule, _, _ in found(text)] == verdict


def test_out_and_back_may_differ_in_length() -> None:
    """11 ft out through the float switch and 10 ft back make the same drop as 10.5 ft each way."""
    uneven = motor("12 AWG", 10, 11, fuse=15, run=", return-length: 10 ft")
    even = motor("12 AWG", 10, 10.5, fuse=15)
    assert study_of(uneven).load_drops["M1"].running_v == pytest.approx(
        study_of(even).load_drops["M1"].running_v, rel=1e-3
    )


def test_a_finding_names_the_limit_and_the_way_of_measuring() -> None:
    """Charts that hide the percentage, or whether the length is one way, give three answers (case from practice)."""
    text = motor("16 AWG", 10, 10.5, fuse=15, more="drop-class: critical")
    (finding,) = report(text).findings
    assert "at most 3 %" in finding.message
    assert "3.2 m one way, out and back" in finding.message


FRIDGE = """\
rigline: 1
profile: us-boat
body: plastic
components:
  B1: {{kind: battery, chemistry: agm, voltage: 12.2 V, capacity: 200 Ah, short-circuit: 3 kA}}
  F1: {{kind: fuse, style: terminal, rating: 100 A}}
  DC1: {{kind: fuse-block, rating: 100 A}}
  F2: {{kind: fuse, style: blade, rating: 20 A}}
  FR1: {{kind: dc-load, name: Fridge, current: 5 A, start: 15 A, min-voltage: 11 V, continuous: false}}
  F3: {{kind: fuse, style: blade, rating: {others_fuse} A}}
  LT1: {{kind: dc-load, name: Everything else, current: {others} A, continuous: false}}
  GND: {{kind: chassis}}
runs:
  - {{id: W1, path: [B1, F1, DC1], lengths: [0.1 m, 2.9 m], wire: 25 mm²}}
  - {{id: W2, path: [DC1, F2, FR1], lengths: [0.05 m, 9.95 m], wire: {wire}}}
  - {{id: W3, path: [DC1, F3, LT1], lengths: [0.05 m, 0.5 m], wire: 25 mm²}}
  - {{id: W4, path: [B1-, GND], length: 0.5 m, wire: 25 mm²}}
"""


@pytest.mark.parametrize(
    ("wire", "others", "verdict"),
    [
        ("2.5 mm²", 1, [("cd-voltage-drop-critical", "fault")]),
        ("6 mm²", 1, []),
        ("10 mm²", 1, []),
        ("6 mm²", 71, [("cd-voltage-drop-critical", "advice")]),
    ],
)
def test_a_fridge_must_start_at_the_far_end(wire: str, others: int, verdict: list[tuple[str, str]]) -> None:
    """A compressor that starts at 15 A and stops below 11 V needs 6 mm² over 10 m (case from practice)."""
    text = FRIDGE.format(wire=wire, others=others, others_fuse=3 if others == 1 else 80)
    assert [(rule, severity) for rule, severity, at in found(text) if rule.startswith("cd-")] == verdict


def test_the_running_current_alone_misses_a_compressor_that_cannot_start() -> None:
    """At 5 A the 2.5 mm² branch is well within 10 %, at 15 A it takes more than two volts."""
    drop = study_of(FRIDGE.format(wire="2.5 mm²", others=1, others_fuse=3)).load_drops["FR1"]
    assert drop.running_frac < 0.10
    # IEC 60228 class 5 at 20 °C: 7.98 ohm/km for 2.5 mm², 0.780 ohm/km for 25 mm², which also carries 1 A of others.
    by_hand_v = 15 * 2 * 0.010 * 7.98 + 16 * 2 * 0.003 * 0.780
    assert drop.starting_v == pytest.approx(by_hand_v, rel=0.03)
