"""What a spec's fields mean for its energy balance."""

from __future__ import annotations

import math

import pytest
from energy_systems import ac_spec, balance_of, dc_spec, report_of, total_wh
from model_helpers import problems

from rigline.energy.arithmetic import autonomy_h
from rigline.energy.loads import hours_of_use, months_of
from rigline.energy.year import day_pattern
from rigline.standards.energy import spell_share

LEAD = "chemistry: agm, voltage: 12 V, capacity: 100 Ah"
SOLAR = """\
rigline: 1
title: Solar
profile: intl-boat
{head}
components:
  B1: {{kind: battery, {battery}}}
  PV1: {{kind: pv-array, {array}}}
  SC1: {{kind: charge-controller, {controller}}}
  L1: {{kind: dc-load, {load}}}
{more}
runs:
  - {{id: W1, path: [PV1, SC1.pv], length: 5 m, wire: 6 mm²}}
  - {{id: W2, path: [SC1.battery, B1], length: 1 m, wire: 10 mm²}}
  - {{id: W3, path: [B1, L1], length: 1 m, wire: 6 mm²}}
{runs}
"""


def solar(**fields: str) -> str:
    """A battery, an array, a controller and one load."""
    usual = {
        "head": "conditions: {latitude: 45}", "battery": LEAD, "array": "pmax: 200 W, vmp: 20 V, tilt: 0",
        "controller": "method: mppt, output: 30 A", "load": "power: 20 W, use: 24 h/day", "more": "", "runs": "",
    }  # fmt: skip
    return SOLAR.format(**{**usual, **fields})


def test_a_load_takes_power_times_hours_times_duty_times_its_days() -> None:
    found = balance_of(dc_spec(["power: 60 W, use: 10 h/day, duty: 50 %, days-per-week: 3.5, count: 2"]))

    assert total_wh(found) == 300


def test_current_counts_at_the_voltage_of_its_circuit() -> None:
    assert total_wh(balance_of(dc_spec(["current: 2 A, use: 5 h/day"], LEAD))) == 120


def test_an_ac_load_costs_the_battery_what_the_inverter_loses_and_its_idling() -> None:
    always = balance_of(ac_spec(["power: 90 W, use: 2 h/day"], "efficiency: 90 %, idle: 10 W, on-demand: false"))
    asleep = balance_of(ac_spec(["power: 90 W, use: 2 h/day"], "efficiency: 90 %, idle: 10 W, on-demand: true"))

    assert always.loads.day_wh == pytest.approx(200 + 240)
    assert asleep.loads.day_wh == pytest.approx(200 + 20)


def test_with_no_idling_it_does_not_matter_whether_an_inverter_sleeps() -> None:
    always, asleep = (
        balance_of(
            ac_spec(["power: 90 W, use: 2 h/day"], f"efficiency: 90 %, idle: 0 W, on-demand: {word}")
        ).loads.month_w
        for word in ("true", "false")
    )
    assert always == asleep


def test_an_inverter_that_does_not_say_is_on_all_day_and_that_is_told() -> None:
    found = balance_of(ac_spec(["power: 90 W, use: 2 h/day"], "efficiency: 90 %"))

    assert found.loads.inverters[0].idle_w == pytest.approx(30)
    assert [one.assumed for one in found.assumptions if one.at == ("INV1",)] == [
        "it takes 30 W with no load, 1.5% of its rating", "it is on day and night",
    ]  # fmt: skip


def test_a_load_without_use_is_not_counted_and_not_guessed() -> None:
    found = balance_of(dc_spec(["power: 60 W", "power: 10 W, use: 1 h/day"]))

    assert (total_wh(found), found.loads.not_counted) == (10, ("L1",))
    assert [(one.at, one.missing) for one in found.unknowns if one.what == "what it takes in a day"] == [
        (("L1",), "use, as in use: 2 h/day")
    ]


def test_hours_of_use_begin_with_their_part_of_the_day() -> None:
    assert hours_of_use(2.5, "morning")[5:9] == [0.0, 1.0, 1.0, 0.5]
    assert hours_of_use(4, "night") == [1.0, 1.0, *[0.0] * 20, 1.0, 1.0]
    assert hours_of_use(6, "all-day") == [0.25] * 24


def test_summer_is_the_half_year_of_long_days_on_either_side_of_the_equator() -> None:
    assert months_of("summer", 45) == frozenset({3, 4, 5, 6, 7, 8}) == months_of("winter", -45)
    assert months_of("winter", 45) == months_of("summer", -45) == frozenset({9, 10, 11, 0, 1, 2})


def test_a_load_of_one_season_is_there_in_its_months_only() -> None:
    month_wh = balance_of(solar(load="power: 10 W, use: 24 h/day, season: winter")).loads.month_wh

    assert month_wh == pytest.approx([240] * 3 + [0] * 6 + [240] * 3)


def test_autonomy_is_usable_energy_times_efficiency_over_load() -> None:
    found = balance_of(dc_spec(["power: 10 W, use: 24 h/day"], LEAD))
    assert found.autonomy is not None
    assert found.autonomy.new_h == pytest.approx(autonomy_h(600, 10, math.sqrt(0.83)))
    assert found.autonomy.cold_h is None


def test_a_cold_place_shortens_it_and_an_old_battery_too() -> None:
    text = dc_spec(["power: 10 W, use: 24 h/day"], f"{LEAD}, place: box", "places: {box: {min: 4.4 °C}}")
    autonomy = balance_of(text).autonomy
    assert autonomy is not None
    assert autonomy.cold_h == pytest.approx(autonomy.new_h / 1.30)
    assert autonomy.aged_h == pytest.approx(autonomy.new_h / 1.30 * 0.8)


def test_a_switching_controller_pulls_the_array_down_to_the_battery() -> None:
    tracking, switching = (
        balance_of(solar(controller=f"method: {method}, output: 30 A")).arrays[0].yield_frac
        for method in ("mppt", "pwm")
    )
    assert switching / tracking == pytest.approx(13.2 / 20)


def test_a_controller_that_does_not_say_counts_as_a_switching_one() -> None:
    found = balance_of(solar(controller="output: 30 A"))

    assert found.arrays[0].method == "pwm"
    assert "give method: mppt or pwm" in [one.remedy for one in found.assumptions]


def test_a_controller_passes_no_more_than_its_output() -> None:
    found = balance_of(solar(array="pmax: 400 W, vmp: 20 V, tilt: 0", controller="method: mppt, output: 10 A"))
    assert found.demand is not None
    assert max(found.demand.sun_w) == pytest.approx(132)


def test_monthly_sun_of_the_spec_is_taken_as_it_is() -> None:
    months = [1.1, 2.0, 3.1, 4.2, 5.0, 5.6, 5.5, 4.7, 3.5, 2.2, 1.3, 0.9]
    listed = ", ".join(f"{value} h/day" for value in months)
    found = balance_of(solar(head=f"conditions: {{latitude: 45, sun: [{listed}]}}"))
    assert found.sun is not None
    assert found.sun.sun_h_per_day == pytest.approx(months)
    assert not found.sun.assumed


def test_eleven_months_are_refused() -> None:
    listed = ", ".join(["1 h/day"] * 11)

    assert problems(solar(head=f"conditions: {{latitude: 45, sun: [{listed}]}}")) == [
        "4:33: conditions sun: give 12 amounts, one for each month from January; got 11"
    ]


def test_the_darkest_days_in_a_row_are_as_dark_as_in_the_measured_years() -> None:
    pattern = day_pattern()
    darkest = {n: min(sum(pattern[d : d + n]) / n for d in range(31 - n)) for n in (1, 2, 3, 5, 7, 10, 14)}

    # The medians are of many years and need not fit into one row of days; within 0.02 they do.
    assert darkest == pytest.approx({n: spell_share(n) for n in darkest}, abs=0.021)


def test_an_engine_with_hours_charges_and_one_without_does_not() -> None:
    more = (
        "  ALT1: {{kind: alternator, output: 80 A, voltage: 12 V{use}}}\n"
        "  DC1: {{kind: dc-charger, output: 30 A, output-voltage: 12 V}}"
    )
    runs = (
        "  - {id: W4, path: [ALT1, DC1.in], length: 1 m, wire: 16 mm²}\n"
        "  - {id: W5, path: [DC1.out, B1], length: 1 m, wire: 10 mm²}"
    )
    idle, driving = (balance_of(solar(more=more.format(use=use), runs=runs)) for use in ("", ", use: 2 h/day"))
    assert idle.year is not None
    assert driving.year is not None
    assert idle.year.months[0].other_wh == 0
    assert driving.year.months[0].other_wh == pytest.approx(2 * 30 * 13.2)


def test_charging_times_are_two_numbers_and_never_where_the_loads_take_all() -> None:
    more = (
        "  SH1: {kind: shore-inlet, rating: 16 A, voltage: 230 V}\n"
        "  CH1: {kind: ac-charger, output: 20 A, voltage: 12 V}"
    )
    runs = (
        "  - {id: W4, path: [SH1, CH1.ac], length: 1 m, wire: 2.5 mm²}\n"
        "  - {id: W5, path: [CH1.dc, B1], length: 1 m, wire: 10 mm²}"
    )
    light = balance_of(solar(more=more, runs=runs)).charge_times[0]
    heavy = balance_of(solar(more=more, runs=runs, load="power: 300 W, use: 24 h/day")).charge_times[0]

    assert light.to_absorption_h == pytest.approx(30 / ((20 - 20 / 13.2) * math.sqrt(0.83)))
    assert light.to_full_h > light.to_absorption_h + 1
    assert heavy.to_absorption_h == math.inf


def test_every_year_s_balance_closes() -> None:
    found = balance_of(solar())
    assert found.year is not None
    assert found.demand is not None
    assert abs(found.year.imbalance_wh) <= 1e-9 * sum(found.demand.sun_w)


def test_each_step_is_the_year_with_that_change_and_the_best_ends_the_shortfall() -> None:
    report = report_of(
        solar(battery="chemistry: lifepo4, voltage: 12.8 V, capacity: 100 Ah", load="power: 10 W, use: 24 h/day")
    )
    assert report.advice is not None
    by_change = {step.change: step for step in report.advice.steps}
    larger = balance_of(
        solar(
            battery="chemistry: lifepo4, voltage: 12.8 V, capacity: 100 Ah, parallel: 2",
            load="power: 10 W, use: 24 h/day",
        )
    )
    assert larger.autonomy is not None
    assert by_change["battery"].autonomy_h == pytest.approx(larger.autonomy.new_h)
    assert all(step.unserved_wh <= report.advice.now.unserved_wh + 1 for step in report.advice.steps)
    if report.advice.best is not None and report.advice.reason.startswith("the first"):
        assert report.advice.best.short_days == 0


def test_sizes_carry_the_loads_with_reserve_cold_and_age() -> None:
    """500 Wh x 2 days x 1.1 / (0.8 x 0.8 x 0.959) = 1792 Wh: 140 Ah at 12.8 V."""
    report = report_of(
        solar(head="conditions: {latitude: 45, autonomy: 2 days}", load="power: 20.8333 W, use: 24 h/day")
    )
    assert report.proposals is not None
    lithium, agm, _ = report.proposals.proposals

    assert lithium.capacity_ah == 140
    assert lithium.voltage_v == pytest.approx(12.8)
    assert lithium.capacity_wh >= 500 * 2 * 1.1 / (0.8 * 0.8 * math.sqrt(0.92)) > lithium.capacity_wh - 10 * 12.8
    assert agm.mass_kg > 3 * lithium.mass_kg
    assert (lithium.short_days, agm.short_days) == (0, 0)


def test_loads_on_shore_or_on_the_engine_s_battery_are_not_the_house_s() -> None:
    found = balance_of(
        """\
rigline: 1
profile: us-boat
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah}
  B2: {kind: battery, chemistry: flooded, voltage: 12 V, capacity: 75 Ah, starting: true}
  SH1: {kind: shore-inlet, rating: 30 A, voltage: 120 V}
  HT1: {kind: ac-load, power: 1 kW, use: 2 h/day}
  GA1: {kind: dc-load, power: 10 W, use: 2 h/day}
  LT1: {kind: dc-load, power: 10 W, use: 3 h/day}
runs:
  - {id: W1, path: [SH1, HT1], length: 3 m, wire: 10 AWG}
  - {id: W2, path: [B2, GA1], length: 3 m, wire: 10 AWG}
  - {id: W3, path: [B1, LT1], length: 3 m, wire: 10 AWG}
"""
    )
    assert ([row.id for row in found.loads.rows], found.loads.elsewhere) == (["LT1"], ("GA1", "HT1"))
