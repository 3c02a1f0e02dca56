"""Sources and chargers: systems that people wired, and the verdict with its number. Cases from practice."""

from __future__ import annotations

import pytest
from overcurrent_systems import TWO_BANKS_ONE_SWITCH
from storage_systems import Said, judged, missing, system

LITHIUM = (
    "B1: {{kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: {ah} Ah, short-circuit: 5 kA, bms: true}}"
)


def on_alternator(ah: int, amps: int, extra: str = "") -> str:
    """A lithium battery that a relay joins to an alternator with its lead battery."""
    parts = f"""{LITHIUM.format(ah=ah)}
B2: {{kind: battery, starting: true, chemistry: flooded, voltage: 12 V, capacity: 80 Ah, short-circuit: 1 kA}}
ALT1: {{kind: alternator, output: {amps} A, voltage: 12 V, self-limited: true{extra}}}
K1: {{kind: relay, type: combiner, rating: 300 A, voltage: 32 V, trigger: ignition}}
F1: {{kind: fuse, style: class-t, rating: 150 A}}
F2: {{kind: fuse, style: class-t, rating: 150 A}}
F3: {{kind: fuse, style: class-t, rating: 250 A}}"""
    runs = """
- {id: W1, path: [B1, F1, K1, F2, B2], lengths: [0.1 m, 1 m, 1 m, 0.1 m], wire: 1/0 AWG}
- {id: W2, path: [B2, F3, ALT1], lengths: [0.1 m, 1 m], wire: 4/0 AWG}"""
    return system(parts, runs)


@pytest.mark.parametrize(
    ("ah", "amps", "extra", "said"),
    [
        (100, 180, "", []),
        (400, 120, "", [("sc-alternator-overload", "fault", ("ALT1", "B1"), 132.0, 60.0)]),
        (400, 120, ", temperature-sensor: true", []),
    ],
)
def test_400_ah_of_lithium_overload_a_120_a_alternator(ah: int, amps: int, extra: str, said: list[Said]) -> None:
    """A third of the charge against half of the rating; a regulator that senses temperature guards itself."""
    assert judged(on_alternator(ah, amps, extra), "sc-alternator-overload", "sc-alternator-load-dump") == said


def chargers(count: int, amps: int, output: int, trigger: str = "ignition", regulator: str = "internal") -> str:
    """DC chargers between a vehicle and a house battery."""
    units = "\n".join(
        f"DCC{n}: {{kind: dc-charger, output: {output} A, output-voltage: 12 V, efficiency: 83 %, trigger: {trigger}}}"
        for n in range(count)
    )
    parts = f"""B1: {{kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 1 kA}}
VB1: {{kind: vehicle-battery, chemistry: flooded, voltage: 12 V, output: {amps} A, regulator: {regulator}}}
BUS1: {{kind: busbar, rating: 300 A}}
BUS2: {{kind: busbar, rating: 300 A}}
F1: {{kind: fuse, style: class-t, rating: 175 A}}
F2: {{kind: fuse, style: class-t, rating: 175 A}}
{units}"""
    runs = "- {id: W1, path: [VB1, F1, BUS1], lengths: [0.1 m, 1 m], wire: 4/0 AWG}\n"
    runs += "- {id: W2, path: [B1, F2, BUS2], lengths: [0.1 m, 1 m], wire: 4/0 AWG}\n"
    runs += "".join(
        f"- {{id: I{n}, path: [BUS1, DCC{n}.in], length: 0.3 m, wire: 1/0 AWG}}\n"
        f"- {{id: O{n}, path: [DCC{n}.out, BUS2], length: 0.3 m, wire: 1/0 AWG}}\n"
        for n in range(count)
    )
    return system(parts, runs, profile="us-rv")


def test_two_60_a_chargers_take_145_a_from_a_90_a_alternator() -> None:
    """60 A over 83 % is 72 A each; half of 90 A is 45 A."""
    said = judged(chargers(2, 90, 60), "sc-dcdc-too-large")
    assert said == [("sc-dcdc-too-large", "fault", ("DCC0", "DCC1", "VB1"), 145.0, 45.0)]


def test_a_30_a_charger_is_36_a_of_a_120_a_alternator() -> None:
    """30 % of the rating is sound."""
    assert judged(chargers(1, 120, 30), "sc-dcdc") == []


@pytest.mark.parametrize(
    ("trigger", "regulator", "severity"),
    [
        ("none", "internal", "fault"),
        ("voltage", "smart", "advice"),
        ("voltage", "internal", None),
        ("ignition", "smart", None),
    ],
)
def test_a_charger_needs_a_signal_of_the_running_engine(trigger: str, regulator: str, severity: str | None) -> None:
    """EN 1648: house and starting battery part with the engine off. A throttled alternator's voltage tells nothing."""
    said = judged(chargers(1, 120, 30, trigger, regulator), "sc-dcdc-trigger")
    assert [(one[1], one[2]) for one in said] == ([] if severity is None else [(severity, ("DCC0", "VB1"))])


def test_a_selector_between_two_banks_isolates_the_starting_battery() -> None:
    """One switch for two banks, the alternator on the house bank past it: sound."""
    assert judged(TWO_BANKS_ONE_SWITCH, "sc-starter-isolation", "sc-alternator-load-dump") == []


LINKED = """B1: {kind: battery, starting: true, chemistry: agm, voltage: 12 V, capacity: 75 Ah, short-circuit: 1 kA}
B2: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 1 kA}
F1: {kind: fuse, style: class-t, rating: 100 A}
F2: {kind: fuse, style: class-t, rating: 100 A}
"""
LINK = "- {id: W1, path: [B1, F1, X1, F2, B2], lengths: [0.1 m, 1 m, 1 m, 0.1 m], wire: 2 AWG}"


@pytest.mark.parametrize(
    ("between", "count", "asked"),
    [
        ("busbar, rating: 200 A", 1, 0),
        ("relay, type: combiner, rating: 200 A, trigger: voltage", 0, 0),
        ("switch, rating: 200 A, normally: open", 0, 0),
        ("switch, rating: 200 A, normally: closed", 1, 0),
        ("switch, rating: 200 A", 0, 1),
        ("connector, rating: 200 A", 0, 0),
    ],
)
def test_two_fuses_do_not_isolate_a_starting_battery_and_a_relay_between_them_does(
    between: str, count: int, asked: int
) -> None:
    """A fuse at each battery is sound in itself; what parts the batteries is what stands between them."""
    text = system(f"{LINKED}X1: {{kind: {between}}}", LINK)
    assert [len(judged(text, "sc-starter-isolation")), len(missing(text, "sc-starter-isolation"))] == [count, asked]


TURBINE = """B1: {kind: battery, chemistry: flooded, voltage: 24 V, capacity: 200 Ah, short-circuit: 2 kA}
WT1: {kind: wind-turbine, output: 20 A, voltage: 24 V}
F1: {kind: fuse, style: class-t, rating: 100 A}
F2: {kind: fuse, style: class-t, rating: 30 A}
BUS1: {kind: busbar, rating: 200 A}
LT1: {kind: dc-load, current: 5 A, continuous: false}
"""
SHARED = """- {id: W1, path: [B1, F1, BUS1], lengths: [0.1 m, 1 m], wire: 2 AWG}
- {id: W2, path: [WT1, BUS1], length: 1 m, wire: 2 AWG}
- {id: W3, path: [BUS1, LT1], length: 1 m, wire: 2 AWG}"""
OWN = """- {id: W1, path: [B1, F1, BUS1], lengths: [0.1 m, 1 m], wire: 2 AWG}
- {id: W2, path: [WT1, F2, B1], lengths: [1 m, 0.1 m], wire: 8 AWG}
- {id: W3, path: [BUS1, LT1], length: 1 m, wire: 2 AWG}"""


def test_one_fuse_must_not_leave_a_turbine_alone_with_the_loads() -> None:
    """A turbine without its battery runs away into what is still connected; on a fuse of its own it only runs free."""
    said = judged(system(TURBINE, SHARED, "us-cabin"), "sc-alternator-load-dump")
    assert said == [("sc-alternator-load-dump", "fault", ("WT1", "F1"), None, None)]
    assert judged(system(TURBINE, OWN, "us-cabin"), "sc-alternator-load-dump") == []


def test_a_battery_switch_in_an_alternators_way_is_a_question_until_somebody_says_what_it_survives() -> None:
    """Neither a pass nor a fault is guessed."""
    parts = """B1: {kind: battery, chemistry: flooded, voltage: 12 V, capacity: 90 Ah, short-circuit: 1 kA}
Q1: {kind: switch, rating: 300 A, voltage: 32 V}
F1: {kind: fuse, style: class-t, rating: 100 A}
ALT1: {kind: alternator, output: 60 A, voltage: 12 V}"""
    text = system(parts, "- {id: W1, path: [B1, F1, Q1, ALT1], lengths: [0.1 m, 0.5 m, 1 m], wire: 2 AWG}")
    fact = "whether ALT1 survives losing its battery (surge-clamp)"
    assert missing(text, "sc-alternator-load-dump") == [(("ALT1", "Q1"), fact)]
    assert judged(text, "sc-alternator-load-dump") == []


INVERTING = """B1: {kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 300 Ah, bms: true, MAX}
F1: {kind: fuse, style: class-t, rating: 300 A}
Q1: {kind: switch, rating: 300 A, voltage: 32 V}
INV1: {kind: inverter, power: POWER W, surge: SURGE W, efficiency: 88 %, low-cutoff: 11 V, neutral-bond: fixed}
QB: {kind: breaker, rating: 20 A, voltage: 120 V, interrupting: 5 kA}
"""
INVERTING_RUNS = """- {id: W1, path: [B1, F1, Q1, INV1.dc], lengths: [0.1 m, 0.3 m, 0.5 m], wire: 4/0 AWG}
- {id: W2, path: [INV1.ac-out, QB, LD1], lengths: [0.5 m, 1 m], wire: 12 AWG}
- {id: W3, path: [INV1.case, GND], length: 0.5 m, carries: earth, wire: 2/0 AWG}"""


def inverting(load: str, power: int, surge: int, most: str = "max-discharge: 300 A") -> str:
    """A battery, an inverter and one load."""
    parts = INVERTING.replace("POWER", str(power)).replace("SURGE", str(surge)).replace("MAX", most)
    return system(f"{parts}LD1: {{{load}}}", INVERTING_RUNS)


@pytest.mark.parametrize(
    ("load", "power", "surge", "said"),
    [
        ("kind: ac-load, power: 1500 W", 2000, 4000, []),
        (
            "kind: ac-load, power: 1800 W",
            1000,
            2000,
            [("sc-inverter-capacity", "fault", ("INV1", "LD1"), 1800.0, 1000.0)],
        ),
        ("kind: motor, power: 1300 W", 2000, 4000, [("sc-inverter-surge", "advice", ("INV1", "LD1"), 5200.0, 4000.0)]),
        ("kind: motor, power: 1300 W, soft-start: true", 2000, 4000, []),
        ("kind: ac-load, power: 150 W, start: 750 W", 2000, 4000, []),
    ],
)
def test_an_inverter_holds_its_largest_load_and_starts_its_motor(
    load: str, power: int, surge: int, said: list[Said]
) -> None:
    """NEC 710.15(A), the largest single load; compressors take about four times their power to start."""
    assert judged(inverting(load, power, surge), "sc-inverter") == said


def test_a_2_kw_inverter_needs_more_than_one_pack_of_100_a() -> None:
    """2000 W over 88 % at 11 V is 207 A."""
    text = inverting("kind: ac-load, power: 500 W", 2000, 4000, "max-discharge: 100 A")
    assert judged(text, "sc-bms") == [("sc-bms-discharge-limit", "fault", ("B1",), 207.0, 100.0)]


def test_two_packs_of_150_a_are_counted_on_for_240_a() -> None:
    """80 % of the sum holds 207 A; two of 120 A (192 A) do not."""
    load = "kind: ac-load, power: 500 W"
    assert judged(inverting(load, 2000, 4000, "parallel: 2, max-discharge: 150 A"), "sc-bms") == []
    said = judged(inverting(load, 2000, 4000, "parallel: 2, max-discharge: 120 A"), "sc-bms")
    assert said == [("sc-bms-discharge-limit", "fault", ("B1",), 207.0, 192.0)]


SHORE = """SH1: {kind: shore-inlet, rating: 30 A, voltage: 120 V}
QS: {kind: breaker, rating: 30 A, voltage: 120 V, interrupting: 5 kA}
TS1: {kind: transfer-switch, rating: 30 A, switches-neutral: true}
ACP1: {kind: ac-panel, rating: 30 A}
QC: {kind: breaker, rating: 15 A, voltage: 120 V, interrupting: 5 kA}
CH1: {kind: ac-charger, output: 60 A, absorb: 14.4 V}
F2: {kind: fuse, style: class-t, rating: 80 A}
"""


@pytest.mark.parametrize(("charger", "count"), [("[ACP1, QC, CH1.ac]", 1), ("[SH1, QC, CH1.ac]", 0)])
def test_a_charger_on_the_inverters_panel_charges_its_own_battery_in_a_circle(charger: str, count: int) -> None:
    """A charger behind the transfer switch is fed by the inverter in one of its positions; ahead of it never."""
    parts = INVERTING.replace("POWER", "2000").replace("SURGE", "4000").replace("MAX", "max-discharge: 300 A") + SHORE
    runs = f"""- {{id: W1, path: [B1, F1, Q1, INV1.dc], lengths: [0.1 m, 0.3 m, 0.5 m], wire: 4/0 AWG}}
- {{id: W2, path: [INV1.ac-out, QB, TS1.a], lengths: [0.5 m, 1 m], wire: 12 AWG}}
- {{id: W3, path: [SH1, QS, TS1.b], lengths: [0.5 m, 1 m], wire: 10 AWG}}
- {{id: W4, path: [TS1.out, ACP1], length: 1 m, wire: 10 AWG}}
- {{id: W5, path: {charger}, lengths: [0.5 m, 1 m], wire: 12 AWG}}
- {{id: W6, path: [B1, F2, CH1.dc], lengths: [0.1 m, 1 m], wire: 2 AWG}}"""
    said = judged(system(parts, runs, "us-rv"), "sc-charge-loop")
    assert said == [("sc-charge-loop", "danger", ("CH1", "INV1"), None, None)] * count


CONTROLLER = """B1: {{kind: battery, {battery}, short-circuit: 2 kA}}
F1: {{kind: fuse, style: class-t, rating: 40 A}}
SC1: {{kind: charge-controller, output: {amps} A, max-input: 50 V, {volts}}}
PV1: {{kind: pv-array, pmax: 200 W, vmp: 30 V, imp: 6.6 A, voc: 36 V, isc: 7 A, max-series-fuse: 15 A, frame: none}}"""
CONTROLLED = """- {id: W1, path: [B1, F1, SC1.battery], lengths: [0.1 m, 1 m], wire: 6 AWG}
- {id: W2, path: [PV1, SC1.pv], length: 2 m, wire: 10 AWG}"""


def controlled(battery: str, volts: str = "absorb: 14.4 V", amps: int = 20, head: str = "") -> str:
    """A battery on a solar controller."""
    return system(CONTROLLER.format(battery=battery, volts=volts, amps=amps), CONTROLLED, head=head)


@pytest.mark.parametrize(
    ("battery", "volts", "said"),
    [
        ("chemistry: lifepo4, voltage: 12.8 V, capacity: 100 Ah", "absorb: 14.4 V, float: 13.6 V", []),
        (
            "chemistry: lifepo4, voltage: 12.8 V, capacity: 100 Ah",
            "absorb: 14.4 V, equalise: 15.5 V",
            [("sc-charge-profile", "danger", ("SC1", "B1"), 15.5, 14.6)],
        ),
        ("chemistry: lifepo4, voltage: 25.6 V, capacity: 100 Ah", "absorb: 28.8 V", []),
        ("chemistry: lifepo4, voltage: 12.8 V, capacity: 50 Ah, series: 4, max-series: 4", "absorb: 57.6 V", []),
        ("chemistry: flooded, voltage: 12 V, capacity: 100 Ah", "absorb: 14.7 V, equalise: 15.5 V", []),
        (
            "chemistry: agm, voltage: 12 V, capacity: 100 Ah",
            "absorb: 13.8 V",
            [("sc-charge-profile", "advice", ("SC1", "B1"), 13.8, 14.2)],
        ),
    ],
)
def test_an_equalising_stage_is_for_flooded_lead_only(battery: str, volts: str, said: list[Said]) -> None:
    """Four lithium cells stand 14.6 V, 3.65 V each; AGM and lithium are not equalised (common practice)."""
    assert judged(controlled(battery, volts), "sc-charge-profile") == said


@pytest.mark.parametrize(
    ("battery", "amps", "said"),
    [
        ("chemistry: agm, voltage: 12 V, capacity: 100 Ah", 30, []),
        (
            "chemistry: agm, voltage: 12 V, capacity: 60 Ah, max-charge: 15 A",
            30,
            [("sc-charge-current-limit", "fault", ("B1",), 30.0, 15.0)],
        ),
        (
            "chemistry: agm, voltage: 12 V, capacity: 60 Ah",
            30,
            [("sc-charge-current-limit", "advice", ("B1",), 30.0, 18.0)],
        ),
        ("chemistry: lifepo4, voltage: 12.8 V, capacity: 60 Ah", 30, []),
    ],
)
def test_only_the_makers_figure_makes_a_large_charger_a_fault(battery: str, amps: int, said: list[Said]) -> None:
    """What is usual for the chemistry is common practice, and so advice."""
    assert judged(controlled(battery, amps=amps), "sc-charge-current-limit") == said


LFP = "chemistry: lifepo4, voltage: 12.8 V, capacity: 100 Ah, place: locker"


@pytest.mark.parametrize(
    ("bms", "coldest", "said", "asked"),
    [
        ("false", "-15", [("sc-lithium-cold-charge", "danger", ("B1",), -15.0, 0.0)], 0),
        ("{charge-disable: false}", "-15", [("sc-lithium-cold-charge", "fault", ("B1",), -15.0, 0.0)], 0),
        ("{low-temperature: 0 °C}", "-15", [], 0),
        ("true", "-15", [], 1),
        ("true", "5", [], 0),
    ],
)
def test_lithium_in_a_trailer_at_minus_15_is_not_charged_by_the_sun(
    bms: str, coldest: str, said: list[Said], asked: int
) -> None:
    """Whether a management system stops the charge in frost is asked where the spec only says that there is one."""
    text = controlled(f"{LFP}, bms: {bms}", head=f"places: {{locker: {{min: {coldest} °C}}}}\n")
    assert judged(text, "sc-lithium-cold-charge") == said
    assert len(missing(text, "sc-lithium-cold-charge")) == asked


def test_two_ways_at_once_that_contradict_each_other_leave_currents_unjudged() -> None:
    """Where batteries are set against each other, no discharge current means anything."""
    parts = f"""{LITHIUM.format(ah=100)}
B2: {{kind: battery, chemistry: lifepo4, voltage: 25.6 V, capacity: 100 Ah, short-circuit: 5 kA, bms: true}}
F1: {{kind: fuse, style: class-t, rating: 100 A}}"""
    text = system(parts, "- {id: W1, path: [B1, F1, B2], lengths: [0.1 m, 1 m], wire: 2 AWG}")
    assert [at for at, _ in missing(text, "sc-bms-discharge-limit")] == [("B1", "B2")]
