"""A battery hour by hour, held against closed forms that can be worked out on paper."""

from __future__ import annotations

import math

import pytest

from rigline.energy.simulation import Backup, Cell, run

HOURS_OF_YEAR = 8760
IDEAL = Cell(3000.0, 0.2, 0.96, 0.96)


@pytest.mark.parametrize(
    ("capacity_wh", "floor_frac", "eta", "load_w", "hours"),
    [(1280.0, 0.1, 0.97, 20.0, 55.87), (3000.0, 0.2, 0.96, 41.667, 55.30)],
)
def test_without_sun_a_full_battery_lasts_usable_energy_times_efficiency_over_load(
    capacity_wh: float, floor_frac: float, eta: float, load_w: float, hours: float
) -> None:
    found = run(Cell(capacity_wh, floor_frac, eta, eta), [load_w] * 100, [0.0] * 100)
    served = 100 - math.fsum(found.unserved_wh) / load_w

    assert served == pytest.approx(hours, abs=0.005)


def test_a_battery_left_alone_loses_its_share_each_month() -> None:
    """(1 - 0.02)^12 of it is left after a year."""
    nothing = [0.0] * HOURS_OF_YEAR
    found = run(Cell(1000.0, 0.0, 0.96, 0.96, self_discharge_frac=0.02), nothing, nothing)

    assert found.end_wh / 1000 == pytest.approx(0.98**12, rel=1e-9)


def test_square_sun_fills_a_battery_in_three_days_to_its_evening_level() -> None:
    """6 h x 300 W from 9 h: each day adds (6 x 258.33 x 0.96 - 18 x 41.667 / 0.96) / 3000 = 0.23558 until it is full
    at 15 h, and 9 h of load to midnight leave 1 - 9 x 41.667 / 0.96 / 3000 = 0.86979.
    """
    sun = [300.0 if 9 <= hour % 24 < 15 else 0.0 for hour in range(96)]
    found = run(IDEAL, [1000 / 24] * 96, sun, start_frac=0.2)
    evenings = [found.stored_wh[hour] / 3000 for hour in (23, 47, 71, 95)]

    # The first nine hours are not served: the battery begins at its floor.
    assert evenings == pytest.approx([0.5658, 0.8014, 0.86979, 0.86979], abs=5e-5)


def test_the_backup_runs_between_its_two_levels() -> None:
    """From full, 24 W last to the level; then 100 W go in until the upper one."""
    found = run(Cell(1000.0, 0.1, 1.0, 1.0), [24.0] * 48, [0.0] * 48, 0.5, Backup(124.0, 0.3, 0.6))

    first = next(hour for hour, wh in enumerate(found.backup_wh) if wh)
    assert first == math.ceil((500 - 300) / 24)
    # 100 W net from 284 Wh: three hours to 584 Wh, and a fourth over the upper level.
    assert [wh for wh in found.backup_wh[:14] if wh] == [124.0] * 4
    assert math.fsum(found.unserved_wh) == 0


def test_above_the_knee_the_charge_power_falls_in_a_straight_line() -> None:
    """It is then an exponential over time: E = Ef - (Ef - Ek) e^(-t/tau), tau = (1 - s) C / (Pb - Pt)."""
    cell = Cell(1000.0, 0.0, 1.0, 1.0, max_charge_w=100.0, absorption_frac=0.8, tail_w=10.0)
    steps_per_hour = 200
    found = run(cell, [0.0] * 400, [500.0] * 400, 0.8, step_h=1 / steps_per_hour)
    after_2_h = found.stored_wh[-1]
    tau_h, would_end_wh = 200 / 90, 800 + 200 * 100 / 90

    assert after_2_h == pytest.approx(would_end_wh - (would_end_wh - 800) * math.exp(-2 / tau_h), abs=0.1)


def test_short_steps_and_hours_tell_the_same() -> None:
    load, sun = [30.0] * 48, [90.0 if 8 <= hour % 24 < 16 else 0.0 for hour in range(48)]
    hourly = run(IDEAL, load, sun, 0.6)
    quarters = run(IDEAL, [w for w in load for _ in range(4)], [w for w in sun for _ in range(4)], 0.6, step_h=0.25)

    assert quarters.stored_wh[3::4] == pytest.approx(hourly.stored_wh, abs=1e-9)
    assert quarters.source_sum_wh == pytest.approx(hourly.source_sum_wh)
