"""Switches: what they must turn off, and what they must leave on. Cases from practice unless a clause is named."""

from __future__ import annotations

import pytest
from overcurrent_systems import TWO_BANKS_ONE_SWITCH
from storage_systems import Said, judged, missing, system

BANK = "B1: {{kind: battery, chemistry: {chemistry}, voltage: {volts} V, capacity: {ah} Ah, short-circuit: 3 kA{more}}}"
HOUSE = """F1: {kind: fuse, style: class-t, rating: 150 A}
Q1: {kind: switch, rating: 200 A, voltage: 80 V, accessible: true}
DC1: {kind: fuse-block, rating: 150 A}
FA: {kind: fuse, style: blade, rating: 10 A}
LT1: {kind: dc-load, name: Lamps, current: 4 A, continuous: false}
FB: {kind: fuse, style: blade, rating: 15 A}
HT1: {kind: dc-load, name: Heater, current: 8 A, continuous: false}
"""
HOUSE_RUNS = """- {id: W1, path: [B1, F1, Q1, DC1], lengths: [0.1 m, 0.4 m, 0.5 m], wire: 1/0 AWG}
- {id: W2, path: [DC1, FA, LT1], length: 2 m, wire: 12 AWG}
- {id: W3, path: [DC1, FB, HT1], length: 2 m, wire: 10 AWG}
"""
NO_SWITCH = HOUSE.replace(
    "Q1: {kind: switch, rating: 200 A, voltage: 80 V, accessible: true}", "Q1: {kind: busbar, rating: 200 A}"
)


def house(
    ah: int, profile: str = "us-boat", chemistry: str = "agm", volts: str = "12", more: str = "", switch: bool = True
) -> str:
    """A bank with a fuse block, with or without a main switch."""
    battery = BANK.format(chemistry=chemistry, volts=volts, ah=ah, more=more)
    return system(f"{battery}\n{HOUSE if switch else NO_SWITCH}", HOUSE_RUNS, profile=profile)


@pytest.mark.parametrize(
    ("profile", "ah", "more", "severity"),
    [
        ("us-boat", 100, "", None),
        ("us-boat", 100, ", cca: 850 A", "danger"),
        ("us-boat", 400, "", "fault"),
        ("us-rv", 400, "", "danger"),
        ("us-cabin", 400, "", "danger"),
        ("eu-caravan", 400, "", "fault"),
        ("uk-inland-boat", 60, "", "danger"),
        ("intl-boat", 60, "", "danger"),
        ("us-rv", 400, ", disconnect: true", None),
    ],
)
def test_a_bank_that_is_bolted_to_its_fuse_can_not_be_turned_off(
    profile: str, ah: int, more: str, severity: str | None
) -> None:
    """NEC 706.15 above 1 kWh; ABYC E-11 above 800 A of cold cranking; the Boat Safety Scheme for every bank."""
    said = judged(house(ah, profile, more=more, switch=False), "ds-battery-main-missing")
    assert [one[1] for one in said] == ([] if severity is None else [severity])


@pytest.mark.parametrize(
    "profile", ["us-boat", "us-rv", "us-cabin", "eu-caravan", "uk-inland-boat", "intl-boat", "iec-cabin"]
)
def test_battery_fuse_switch_bus_is_sound_everywhere(profile: str) -> None:
    """A switch behind the main fuse turns everything off."""
    assert judged(house(400, profile), "ds-") == []


def test_a_bank_without_its_capacity_is_asked_for_it() -> None:
    """Whether a bank is small enough to go without a switch is not guessed."""
    text = house(400, switch=False).replace("capacity: 400 Ah, ", "")
    assert missing(text, "ds-battery-main-missing") == [(("B1",), "voltage and capacity of B1")]


def test_breakers_in_every_circuit_turn_a_bank_off_too() -> None:
    """Without one main switch each circuit can be opened by hand."""
    text = house(400, switch=False)
    for fuse in ("FA: {kind: fuse, style: blade, rating: 10 A}", "FB: {kind: fuse, style: blade, rating: 15 A}"):
        text = text.replace(fuse, fuse.replace("fuse, style: blade", "breaker, voltage: 32 V"))
    assert judged(text, "ds-battery-main-missing") == []


def test_a_switch_that_starts_the_engine_and_feeds_the_panel_is_sound() -> None:
    """The house switch may stand in the cranking path, the alternator past it, a fuse at each bank."""
    assert judged(TWO_BANKS_ONE_SWITCH, "ds-") == []


EXTRA = "F3: {kind: fuse, style: class-t, rating: 20 A}\n"


@pytest.mark.parametrize(
    ("load", "start", "said"),
    [
        ("kind: motor, name: Bilge pump, current: 5 A, safety: true", "B1", []),
        ("kind: motor, name: Bilge pump, current: 5 A, safety: true", "DC1", ["X1"]),
        ("kind: dc-load, name: Stereo, current: 5 A", "B1", ["X1"]),
        ("kind: dc-load, name: Clock, current: 1 A, always-on: true", "B1", []),
        ("kind: monitor, name: Gauge, current: 0.1 A", "B1", []),
    ],
)
def test_the_bilge_pump_stays_on_and_the_stereo_goes_off(load: str, start: str, said: list[str]) -> None:
    """Boat Safety Scheme part 3: pumps, alarms and memories stay live with the main switch open, and nothing else."""
    battery = BANK.format(chemistry="agm", volts="12", ah=200, more="")
    runs = f"{HOUSE_RUNS}- {{id: W4, path: [{start}, F3, X1], lengths: [0.1 m, 1 m], wire: 10 AWG}}"
    found = judged(system(f"{battery}\n{HOUSE}{EXTRA}X1: {{{load}}}", runs), "ds-always-on")
    assert [one[1:3] for one in found] == [("fault", (id, "Q1")) for id in said]


def test_a_switch_out_of_reach_is_a_fault_and_one_of_unknown_place_a_question() -> None:
    """A main switch under a screwed bed box is not readily accessible."""
    text = house(200)
    assert [one[:3] for one in judged(text.replace("accessible: true", "accessible: false"), "ds-location")] == [
        ("ds-location", "fault", ("Q1",))
    ]
    asked = missing(text.replace(", accessible: true", ""), "ds-location")
    assert asked == [(("Q1",), "whether Q1 can be reached at once, without tools (accessible)")]


@pytest.mark.parametrize(
    ("power", "volts", "soft", "count", "asked"),
    [
        ("5 kW", "51.2", "false", 1, 0),
        ("5 kW", "51.2", "true", 0, 0),
        ("5 kW", "51.2", "unknown", 0, 1),
        ("2 kW", "12.8", "false", 0, 0),
        ("1 kW", "25.6", "false", 0, 0),
    ],
)
def test_a_5_kw_inverter_on_48_v_needs_precharge(power: str, volts: str, soft: str, count: int, asked: int) -> None:
    """From 2 kW on 24 V the spark welds contacts (common practice)."""
    parts = f"""{BANK.format(chemistry="lifepo4", volts=volts, ah=300, more=", bms: true, max-discharge: 300 A")}
F1: {{kind: fuse, style: class-t, rating: 250 A}}
Q1: {{kind: switch, rating: 300 A, voltage: 80 V}}
INV1: {{kind: inverter, power: {power}, output: 120 V, internal-receptacles: true, soft-start: {soft}}}"""
    text = system(parts, "- {id: W1, path: [B1, F1, Q1, INV1.dc], lengths: [0.1 m, 0.3 m, 0.5 m], wire: 4/0 AWG}")
    assert [len(judged(text, "ds-precharge")), len(missing(text, "ds-precharge"))] == [count, asked]


def test_an_inverter_that_bypasses_the_main_switch_can_not_be_made_dead() -> None:
    """The lamps go off with the switch, the inverter stays on; outlets on its case are its only output."""
    battery = BANK.format(chemistry="agm", volts="12", ah=200, more="")
    unit = "F3: {kind: fuse, style: class-t, rating: 150 A}\n"
    unit += "INV1: {kind: inverter, power: 1000 W, internal-receptacles: true}"
    run = "- {id: W4, path: [B1, F3, INV1.dc], lengths: [0.1 m, 1 m], wire: 1/0 AWG}"
    said = judged(system(f"{battery}\n{HOUSE}{unit}", HOUSE_RUNS + run), "ds-")
    assert said == [("ds-inverter", "advice", ("INV1", "B1"), None, None)]


@pytest.mark.parametrize(("switch", "said"), [("", 1), ("Q2, ", 0)])
def test_a_turbine_needs_a_brake(switch: str, said: int) -> None:
    """The wind can't be switched off: the turbine is stopped by shorting it."""
    parts = """B1: {kind: battery, chemistry: flooded, voltage: 24 V, capacity: 100 Ah, short-circuit: 1 kA}
WT1: {kind: wind-turbine, output: 20 A, voltage: 24 V, surge-clamp: true}
Q2: {kind: switch, rating: 60 A, voltage: 80 V, brake: true}
F1: {kind: fuse, style: class-t, rating: 40 A}"""
    run = f"- {{id: W1, path: [WT1, {switch}F1, B1], length: 2 m, wire: 8 AWG}}"
    found = judged(system(parts, run, "us-cabin"), "ds-all-sources-off")
    assert found == [("ds-all-sources-off", "advice", ("WT1",), None, None)] * said


STARTER = """B1: {{kind: battery, starting: true, chemistry: agm, voltage: 12 V, capacity: 90 Ah, short-circuit: 2 kA}}
Q1: {{kind: switch, voltage: 32 V, {rating}}}
M1: {{kind: motor, cranking: true, current: 150 A, start: 400 A}}"""


@pytest.mark.parametrize(
    ("rating", "said", "asked"),
    [
        ("rating: 300 A, cranking: 900 A", [], 0),
        ("rating: 450 A", [], 0),
        ("rating: 200 A", [], 1),
        ("rating: 200 A, cranking: 350 A", [("ds-rating", "danger", ("Q1",), 400.0, 350.0)], 0),
    ],
)
def test_a_battery_switch_stands_the_starters_400_a(rating: str, said: list[Said], asked: int) -> None:
    """Boat Safety Scheme part 3: a switch carries the greatest current, starting included."""
    run = "- {id: W1, path: [B1, Q1, M1], lengths: [0.5 m, 1 m], wire: 2/0 AWG}"
    text = system(STARTER.format(rating=rating), run)
    assert judged(text, "ds-rating") == said
    assert len(missing(text, "ds-rating")) == asked


@pytest.mark.parametrize(
    ("path", "lengths", "said"),
    [
        ("[B1, F1, Q1, LT1]", "[0.1 m, 0.5 m, 1 m]", []),
        ("[B1, Q1, F1, LT1]", "[0.05 m, 0.1 m, 1 m]", []),
        ("[B1, Q1, F1, LT1]", "[0.6 m, 0.2 m, 1 m]", [("ds-order", "advice", ("Q1", "F1"), 0.8, 0.178)]),
        ("[B1, F1, Q1, LT1]", "[0.8 m, 0.2 m, 1 m]", []),
    ],
)
def test_a_switch_ahead_of_the_fuse_lengthens_the_open_cable(path: str, lengths: str, said: list[Said]) -> None:
    """33 CFR 183.455(b): 7 in bare, 72 in sheathed; a long sheathed stub is lawful, and a switch in it needless."""
    battery = BANK.format(chemistry="agm", volts="12", ah=60, more="")
    parts = f"{battery}\nF1: {{kind: fuse, style: class-t, rating: 20 A}}\n"
    parts += "Q1: {kind: switch, rating: 60 A, voltage: 32 V}"
    run = f"- {{id: W1, path: {path}, lengths: {lengths}, wire: 8 AWG, sheathed: true}}"
    text = system(f"{parts}\nLT1: {{kind: dc-load, current: 8 A, continuous: false}}", run)
    assert judged(text, "ds-order") == said
