"""What holds for every battery, load and sun."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rigline.energy.arithmetic import bank_wh, bulk_h, tail_h
from rigline.energy.simulation import Backup, Cell, Run, run
from rigline.energy.sun import MONTH_DAYS
from rigline.energy.year import by_month, from_latitude, from_months

HOURS = 72
SHARES = st.floats(0.0, 1.0)
POWERS = st.lists(st.floats(0.0, 5000.0), min_size=HOURS, max_size=HOURS)
CELLS = st.builds(
    Cell,
    capacity_wh=st.floats(100.0, 50_000.0),
    floor_frac=st.floats(0.0, 0.6),
    charge_efficiency_frac=st.floats(0.7, 1.0),
    discharge_efficiency_frac=st.floats(0.7, 1.0),
    self_discharge_frac=st.floats(0.0, 0.3),
    max_charge_w=st.one_of(st.floats(10.0, 5000.0), st.just(math.inf)),
    absorption_frac=st.floats(0.5, 1.0),
    tail_w=st.floats(0.0, 10.0),
)
BACKUPS = st.one_of(st.none(), st.builds(Backup, power_w=st.floats(10.0, 3000.0), on_frac=SHARES, off_frac=SHARES))


def throughput_wh(found: Run) -> float:
    """Everything that went through, to compare rounding with."""
    return 1.0 + found.load_sum_wh + found.source_sum_wh + math.fsum(found.backup_wh) + found.start_wh


@settings(max_examples=150, deadline=None)
@given(CELLS, POWERS, POWERS, SHARES, BACKUPS)
def test_what_goes_in_comes_out_or_is_stored_or_lost(
    cell: Cell, load: list[float], sun: list[float], start: float, backup: Backup | None
) -> None:
    """The balance closes to 1e-9 of what went through."""
    found = run(cell, load, sun, start, backup)

    assert abs(found.imbalance_wh) <= 1e-9 * throughput_wh(found)
    assert min(found.unserved_wh) >= 0
    assert min(found.spilled_wh) >= 0
    assert max(found.stored_wh) <= cell.capacity_wh * (1 + 1e-9)


@settings(max_examples=60, deadline=None)
@given(CELLS, POWERS, POWERS, SHARES, st.floats(1.0, 3.0))
def test_more_sun_never_leaves_the_loads_with_less(
    cell: Cell, load: list[float], sun: list[float], start: float, more: float
) -> None:
    few, many = (run(cell, load, series, start) for series in (sun, [more * watts for watts in sun]))

    assert math.fsum(many.unserved_wh) <= math.fsum(few.unserved_wh) + 1e-6 * throughput_wh(few)


@settings(max_examples=60, deadline=None)
@given(CELLS, POWERS, POWERS, SHARES, st.floats(0.1, 10.0))
def test_everything_ten_times_as_large_goes_the_same_way(
    cell: Cell, load: list[float], sun: list[float], start: float, k: float
) -> None:
    larger = Cell(
        cell.capacity_wh * k, cell.floor_frac, cell.charge_efficiency_frac, cell.discharge_efficiency_frac,
        cell.self_discharge_frac, cell.max_charge_w * k, cell.absorption_frac, cell.tail_w * k,
    )  # fmt: skip
    small = run(cell, load, sun, start)
    large = run(larger, [k * w for w in load], [k * w for w in sun], start)

    assert [wh / larger.capacity_wh for wh in large.stored_wh] == pytest.approx(
        [wh / cell.capacity_wh for wh in small.stored_wh], abs=1e-6
    )


@settings(max_examples=30, deadline=None)
@given(st.floats(-66.0, 66.0))
def test_the_year_at_a_latitude_is_the_other_half_year_at_its_mirror(latitude: float) -> None:
    north, south = (sum(from_latitude(lat).sun_h_per_day) for lat in (latitude, -latitude))

    assert north == pytest.approx(south, rel=0.05)


@settings(max_examples=30, deadline=None)
@given(st.lists(st.floats(0.1, 6.0), min_size=12, max_size=12), st.floats(-60.0, 60.0))
def test_monthly_figures_are_kept(months: list[float], latitude: float) -> None:
    sums = by_month(from_months(months, latitude).ghi_w_per_m2)

    assert [total / days / 1000 for total, days in zip(sums, MONTH_DAYS, strict=True)] == pytest.approx(
        months, rel=1e-9
    )


@given(st.floats(1.0, 1e5), st.floats(0.5, 10.0), st.floats(0.1, 1.0), st.floats(1.0, 1.6), st.floats(0.0, 0.3))
def test_a_bank_gives_back_what_it_was_sized_for(
    day_wh: float, days: float, usable: float, cold: float, margin: float
) -> None:
    whole = bank_wh(day_wh, days, usable, cold_factor=cold, margin_frac=margin)

    assert whole * usable / cold / (1 + margin) == pytest.approx(day_wh * days)


@given(st.floats(1.0, 1000.0), st.floats(1.0, 500.0), st.floats(0.1, 0.9))
def test_the_tail_takes_longer_than_the_same_charge_at_full_current(
    missing_ah: float, charge_a: float, full: float
) -> None:
    assert tail_h(missing_ah, charge_a, charge_a * full) >= bulk_h(missing_ah, charge_a) * (1 - 1e-9)
