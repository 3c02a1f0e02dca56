"""Monitors, alarms and detectors. Cases from practice unless a clause is named."""

from __future__ import annotations

import pytest
from overcurrent_systems import BOW_BATTERY
from storage_systems import Said, judged, missing, system

MONITORED = """B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah, short-circuit: 2 kA}
F1: {kind: fuse, style: class-t, rating: 100 A}
Q1: {kind: switch, rating: 200 A, voltage: 32 V}
RS1: {kind: shunt, rating: 300 A}
BUS1: {kind: busbar, rating: 200 A}
LT1: {kind: dc-load, current: 4 A, continuous: false}
F2: {kind: fuse, style: class-t, rating: 40 A}
SC1: {kind: charge-controller, output: 30 A, max-input: 50 V}
PV1: {kind: pv-array, pmax: 200 W, vmp: 30 V, imp: 6.6 A, voc: 36 V, isc: 7 A, max-series-fuse: 15 A, frame: none}
"""
MONITORED_RUNS = """- {id: W1, path: [B1, F1, Q1, RS1, BUS1], lengths: [0.1 m, 0.3 m, 0.3 m, 0.3 m], wire: 1/0 AWG}
- {id: W2, path: [BUS1, LT1], length: 0.5 m, wire: 1/0 AWG}
- {id: W3, path: [PV1, SC1.pv], length: 2 m, wire: 10 AWG}
- {id: W5, path: [BUS1-, GND], length: 0.5 m, carries: bond, wire: 1/0 AWG}
"""
TO_BUS = "- {id: W4, path: [BUS1, F2, SC1.battery], lengths: [0.1 m, 0.5 m], wire: 8 AWG}\n"
TO_POST = "- {id: W4, path: [B1, F2, SC1.battery], lengths: [0.1 m, 0.5 m], wire: 8 AWG}\n"


@pytest.mark.parametrize(
    ("run", "said"), [(TO_BUS, []), (TO_POST, [("mo-shunt-bypass", "fault", ("SC1", "RS1"), None, None)])]
)
def test_a_controller_on_the_battery_post_passes_the_shunt_by(run: str, said: list[Said]) -> None:
    """Every ampere of sun is left out of the count."""
    assert judged(system(MONITORED, MONITORED_RUNS + run), "mo-") == said


def test_a_bilge_pump_on_the_battery_post_is_advice_only() -> None:
    """It must be wired ahead of the switch; its negative can still go to the far side of the shunt."""
    pump = "F3: {kind: fuse, style: class-t, rating: 6 A}\nPU1: {kind: motor, current: 3 A, safety: true}"
    run = "- {id: W6, path: [B1, F3, PU1], lengths: [0.1 m, 1 m], wire: 14 AWG}"
    said = judged(system(MONITORED + pump, MONITORED_RUNS + TO_BUS + run), "mo-shunt-bypass")
    assert said == [("mo-shunt-bypass", "advice", ("PU1", "RS1"), None, None)]
    moved = run.replace("}", ", return-to: BUS1}")
    assert judged(system(MONITORED + pump, MONITORED_RUNS + TO_BUS + moved), "mo-shunt-bypass") == []


def test_a_starting_battery_on_the_load_side_is_not_monitored_and_not_at_fault() -> None:
    """Its negative joins the house's behind the shunt; the shunt counts the house bank alone."""
    more = """B2: {kind: battery, starting: true, chemistry: agm, voltage: 12 V, capacity: 75 Ah, short-circuit: 1 kA}
M1: {kind: motor, cranking: true, current: 150 A}"""
    runs = """- {id: W6, path: [B2, M1], length: 1 m, wire: 2/0 AWG}
- {id: W7, path: [B2-, BUS1-], length: 1 m, carries: negative, wire: 2/0 AWG}"""
    assert judged(system(MONITORED + more, MONITORED_RUNS + TO_BUS + runs), "mo-") == []


def bank(ah: int, more: str = "", extra: str = "", profile: str = "us-boat") -> str:
    """A lithium bank with one load."""
    parts = f"""B1: {{kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: {ah} Ah, short-circuit: 3 kA{more}}}
F1: {{kind: fuse, style: class-t, rating: 20 A}}
Q1: {{kind: switch, rating: 200 A, voltage: 32 V}}
LT1: {{kind: dc-load, current: 8 A, continuous: false, safety: true}}
{extra}"""
    return system(
        parts, "- {id: W1, path: [B1, F1, Q1, LT1], lengths: [0.1 m, 0.3 m, 1 m], wire: 8 AWG}", profile=profile
    )


@pytest.mark.parametrize(
    ("ah", "more", "extra", "count"),
    [
        (200, "", "", 1),
        (100, "", "", 0),
        (200, ", charge-display: true", "", 0),
        (200, "", "MN1: {kind: monitor, spare: true}", 0),
    ],
)
def test_200_ah_deserve_a_monitor(ah: int, more: str, extra: str, count: int) -> None:
    """A bank above one common block of 100 Ah has a shunt, a monitor or a display (common practice)."""
    assert [one[:2] for one in judged(bank(ah, more, extra), "mo-no-monitor")] == [("mo-no-monitor", "advice")] * count


def test_two_banks_without_a_monitor_are_told_each() -> None:
    """The house bank of 200 Ah is; the bow bank of 100 Ah is one common block."""
    assert [one[2] for one in judged(BOW_BATTERY, "mo-no-monitor")] == [("B1",)]


@pytest.mark.parametrize(
    ("profile", "bms", "severity", "asked"),
    [
        ("us-boat", "{alarm: false}", "fault", 0),
        ("us-rv", "{alarm: false}", "advice", 0),
        ("us-cabin", "{alarm: false}", None, 0),
        ("us-boat", "{alarm: true}", None, 0),
        ("us-boat", "true", None, 1),
    ],
)
def test_lithium_warns_before_it_goes_dark(profile: str, bms: str, severity: str | None, asked: int) -> None:
    """ABYC E-13 asks for it in boats; that there is a management system does not say that it warns."""
    text = bank(200, f", bms: {bms}", profile=profile)
    said = [one[1] for one in judged(text, "mo-lithium-alarm")]
    assert [said, len(missing(text, "mo-lithium-alarm"))] == [[] if severity is None else [severity], asked]


def test_vital_loads_on_one_lithium_pack_deserve_a_second_source() -> None:
    """ABYC E-13 recommends an alternative supply; two packs are one."""
    assert judged(bank(200), "mo-critical") == [("mo-critical-single-battery", "advice", ("B1", "LT1"), None, None)]
    assert judged(bank(100, ", parallel: 2"), "mo-critical") == []
    assert judged(bank(200, profile="us-rv"), "mo-critical") == []


@pytest.mark.parametrize(
    ("start", "more", "said", "asked"),
    [
        ("BUS1", ", own-battery: false", 1, 0),
        ("BUS1", "", 0, 1),
        ("BUS1", ", own-battery: true", 0, 0),
        ("B1", ", own-battery: false", 0, 0),
    ],
)
def test_a_gas_alarm_hangs_ahead_of_the_main_switch(start: str, more: str, said: int, asked: int) -> None:
    """NFPA 1192: detectors stay live; one that goes off with the switch needs a battery of its own."""
    alarm = f"F3: {{kind: fuse, style: class-t, rating: 3 A}}\nGA1: {{kind: sensor, type: gas, current: 0.2 A{more}}}"
    run = f"- {{id: W6, path: [{start}, F3, GA1], lengths: [0.1 m, 1 m], wire: 14 AWG}}"
    text = system(MONITORED + alarm, MONITORED_RUNS + TO_BUS + run)
    assert judged(text, "mo-detectors") == [("mo-detectors", "danger", ("GA1", "Q1"), None, None)] * said
    assert len(missing(text, "mo-detectors")) == asked


@pytest.mark.parametrize(("body", "said", "asked"), [("metal", 1, 0), ("plastic", 0, 0), ("unknown", 0, 1)])
def test_an_isolated_system_on_a_metal_hull_has_a_ground_detector(body: str, said: int, asked: int) -> None:
    """46 CFR 120.378: the first fault of an ungrounded system must show."""
    text = bank(60, profile="intl-boat", extra="").replace("body: plastic", f"dc-grounding: isolated\nbody: {body}")
    assert [len(judged(text, "mo-ground")), len(missing(text, "mo-ground-detector"))] == [said, asked]


CONVERTERS = """B1: {kind: battery, chemistry: lifepo4, voltage: 51.2 V, capacity: 100 Ah, max-discharge: 100 A}
MN1: {kind: monitor, spare: true}
F1: {kind: fuse, style: class-t, rating: 60 A}
Q1: {kind: switch, rating: 100 A, voltage: 80 V, accessible: true}
BUS1: {kind: busbar, rating: 100 A}
"""


def test_a_48_v_bus_with_a_converter_for_each_group_of_circuits_is_sound() -> None:
    """Each converter has its own input fuse, and their outputs are not joined."""
    parts = CONVERTERS
    runs = "- {id: W1, path: [B1, F1, Q1, BUS1], lengths: [0.1 m, 0.3 m, 0.5 m], wire: 4 AWG}\n"
    for n in (1, 2, 3):
        parts += (
            f"F1{n}: {{kind: fuse, style: class-t, rating: 15 A}}\nF2{n}: {{kind: fuse, style: blade, rating: 20 A}}\n"
        )
        parts += f"CV{n}: {{kind: dc-converter, output: 20 A, output-voltage: 12 V, efficiency: 90 %}}\n"
        parts += f"LT{n}: {{kind: dc-load, current: 12 A, continuous: false}}\n"
        runs += f"- {{id: I{n}, path: [BUS1, F1{n}, CV{n}.in], lengths: [0.1 m, 0.5 m], wire: 12 AWG}}\n"
        runs += f"- {{id: O{n}, path: [CV{n}.out, F2{n}, LT{n}], lengths: [0.1 m, 0.5 m], wire: 10 AWG}}\n"
    assert judged(system(parts, runs, "us-cabin"), "sc-", "bb-", "ds-", "mo-") == []
