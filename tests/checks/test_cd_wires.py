"""Wires against their current, and returns against their feeds: cases from practice, with the deciding clause."""

from __future__ import annotations

import pytest
from helpers import found, report, study_of

RETURN = """\
rigline: 1
profile: us-rv
body: metal
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 30 A}
  P1: {kind: connector, name: Trailer plug, rating: 40 A}
  LT1: {kind: dc-load, name: What the trailer uses, current: 20 A, continuous: false, drop-class: general}
  GND: {kind: chassis}
runs:
  - {id: W1, path: [B1, F1, P1, LT1], lengths: [100 mm, 2 m, 1 m], wire: 10 AWG, return-wire: 10 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}
"""


def test_a_charge_line_needs_a_return_as_thick_as_its_feed() -> None:
    """Behind a 30 A fuse a return of 18 AWG melts before the fuse opens (case from practice)."""
    assert found(RETURN) == []
    thin = RETURN.replace("return-wire: 10 AWG", "return-wire: 18 AWG")
    assert ("cd-return-smaller", "danger", ("W1",)) in found(thin)


SHARED = """\
rigline: 1
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 1.5 kA}
  F1: {kind: fuse, style: terminal, rating: 60 A}
  P1: {kind: busbar, name: Positive bar, rating: 100 A}
  N1: {kind: busbar, name: Negative bar, rating: 100 A}
  F2: {kind: fuse, style: blade, rating: 30 A}
  F3: {kind: fuse, style: blade, rating: 30 A}
  LT1: {kind: dc-load, current: 20 A, continuous: false}
  LT2: {kind: dc-load, current: 20 A, continuous: false}
  GND: {kind: chassis}
runs:
  - {id: W1, path: [B1+, F1, P1+], lengths: [100 mm, 0.5 m], wire: 8 AWG}
  - {id: W2, path: [N1-, B1-], length: 0.5 m, wire: WIRE}
  - {id: W3, path: [P1, F2, LT1], lengths: [100 mm, 1 m], wire: 10 AWG, return-to: N1}
  - {id: W4, path: [P1, F3, LT2], lengths: [100 mm, 1 m], wire: 10 AWG, return-to: N1}
  - {id: W5, path: [N1-, GND], length: 0.5 m, wire: 8 AWG}
"""


@pytest.mark.parametrize(("wire", "verdict"), [("8 AWG", []), ("14 AWG", ["W2"])])
def test_a_shared_return_stands_all_its_circuits(wire: str, verdict: list[str]) -> None:
    """Two circuits of 30 A come back through one negative: 60 A, too much for 14 AWG."""
    said = found(SHARED.replace("WIRE", wire))
    assert [at[0] for rule, _, at in said if rule == "cd-return-smaller"] == verdict


BOARD = """\
rigline: 1
profile: uk-inland-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 400 Ah, short-circuit: 4 kA}
  F1: {kind: fuse, style: class-t, rating: 100 A}
  Q1: {kind: switch, name: Isolator, rating: 200 A}
  DC1: {kind: fuse-block, name: 12-way board, rating: 100 A, ways: 12}
  FA: {kind: fuse, style: blade, rating: 5 A}
  FB: {kind: fuse, style: blade, rating: 10 A}
  FC: {kind: fuse, style: blade, rating: 20 A}
  FD: {kind: fuse, style: blade, rating: 15 A}
  LT1: {kind: dc-load, name: Lights, current: 3 A, continuous: false}
  US1: {kind: dc-load, name: USB, current: 8 A, continuous: false}
  M1: {kind: motor, name: Water pump, current: 5 A, start: 15 A, continuous: false}
  HL1: {kind: dc-load, name: Headlight, current: 4.6 A, continuous: false}
  GND: {kind: chassis}
runs:
  - {id: W1, path: [B1, F1, Q1, DC1], lengths: [100 mm, 0.4 m, 2.5 m], wire: 25 mm²}
  - {id: WA, path: [DC1, FA, LT1], lengths: [50 mm, 4 m], wire: 2 mm²}
  - {id: WB, path: [DC1, FB, US1], lengths: [50 mm, 4 m], wire: 2 mm²}
  - {id: WC, path: [DC1, FC, M1], lengths: [50 mm, 4 m], wire: 2 mm²}
  - {id: WD, path: [DC1, FD, HL1], lengths: [50 mm, 4 m], wire: 2 mm²}
  - {id: W2, path: [B1-, GND], length: 0.5 m, wire: 25 mm²}
"""


def test_a_range_of_fuses_is_right_on_a_board() -> None:
    """Fuses of 5 to 20 A on 2 mm² branches are above their loads and within the wire (case from practice)."""
    assert [one for one in found(BOARD) if one[0].startswith(("rt-", "cd-", "dg-"))] == []


def test_a_full_board_loses_less_than_three_percent_on_its_feeder() -> None:
    """76 A over 3 m of 25 mm² lose 2.7 % at 0.0175 ohm mm²/m, at most 3 % by IEC 60228 (case from practice)."""
    full = BOARD.replace("name: Headlight, current: 4.6 A", "name: Headlight, current: 60 A")
    study = study_of(full)
    lost = study.drop_finder.run_v(study.system.run("W1"))
    assert lost is not None
    assert lost / 12 == pytest.approx(0.027, abs=0.003)
    assert [at for rule, _, at in found(full) if rule == "cd-voltage-drop-critical"] == []


CONVERTER = """\
rigline: 1
profile: PROFILE
body: wood
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah, short-circuit: 2 kA, max-discharge: 80 A,
       disconnect: true, charge-display: true}
  F1: {kind: fuse, style: class-t, rating: 80 A}
  LT1: {kind: dc-load, name: Converter, current: 60 A, continuous: true, drop-class: critical}
  GND: {kind: chassis}
runs:
  - {id: W1, path: [B1, F1, LT1], lengths: [0.5 ft, 4.5 ft], wire: 4 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, wire: 4 AWG}
"""


def test_sixty_amperes_over_five_feet_of_4_awg() -> None:
    """60 A, an 80 A fuse and 4 AWG over 5 ft lose 1.3 % (case from practice; K = 10.75)."""
    boat = CONVERTER.replace("PROFILE", "us-boat")
    assert found(boat) == []
    assert 100 * study_of(boat).load_drops["LT1"].running_frac == pytest.approx(1.3, abs=0.1)


def test_the_rule_set_decides_what_4_awg_may_have_ahead() -> None:
    """130 A ahead of 4 AWG: boat cable has 160 A (33 CFR 183.425 Table 5), building wire 85 A (NEC 310.16)."""
    bigger = CONVERTER.replace("rating: 80 A", "rating: 130 A")
    boat = {rule for rule, _, _ in found(bigger.replace("PROFILE", "us-boat"))}
    cabin = {rule for rule, _, _ in found(bigger.replace("PROFILE", "us-cabin"))}
    assert ("rt-ocpd-over-conductor" in boat, "rt-ocpd-over-conductor" in cabin) == (False, True)


def test_an_unknown_wire_is_asked_for_and_never_passed() -> None:
    """Without a size nobody can say whether a wire carries its load."""
    answer = report(RETURN.replace("wire: 10 AWG, return-wire: 10 AWG", "wire: unknown"))
    assert ("dg-missing-data", "question", ("W1",)) in [(f.rule, f.severity.value, f.at) for f in answer.findings]
    assert {"cd-undersized", "cd-return-smaller"} <= {one.rule for one in answer.not_assessed}


def test_a_load_that_states_nothing_is_not_passed() -> None:
    """Without power or current nobody can say whether wire and fuse carry a load."""
    answer = report(RETURN.replace("current: 20 A, ", ""))
    silent = {one.rule for one in answer.not_assessed if one.at == ("LT1",)}
    assert {"cd-undersized", "rt-ocpd-under-continuous", "cd-voltage-drop-general"} <= silent
