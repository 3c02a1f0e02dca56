"""The sun's path, light and typical years against the library pvlib and the typical years that come with it.

Sources: pvlib (solar position, Haurwitz clear sky, Erbs split, isotropic sky); TMY3 723170 Greensboro NC, TMY3 703165
Sand Point AK and TMY2 12839 Miami FL of the National Renewable Energy Laboratory, as packed with it. The reference runs
were made with an independent program on the same year: their digits stand beside the checks.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pvlib
import pytest

from rigline.energy.outcome import short_days
from rigline.energy.simulation import Backup, Cell, run
from rigline.energy.sun import (
    MONTH_DAYS,
    Slope,
    clear_sky_w_per_m2,
    cosines,
    declination_rad,
    on_slope,
    outside_w_per_m2,
    sky_share,
)
from rigline.energy.sun_file import read_sun_file
from rigline.energy.year import Sunshine, by_month, clear_sky_h_per_day, from_latitude

DAYS = np.repeat(np.arange(1, 366), 24)
"""Day of the year of each of its hours."""
GREENSBORO = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
HAURWITZ = {
    25: [4.65, 5.58, 6.73, 7.72, 8.29, 8.51, 8.41, 7.98, 7.15, 6.01, 4.92, 4.38],
    35: [3.43, 4.51, 5.95, 7.35, 8.32, 8.74, 8.55, 7.76, 6.52, 5.03, 3.74, 3.11],
    45: [2.18, 3.32, 4.98, 6.75, 8.11, 8.71, 8.43, 7.32, 5.68, 3.90, 2.50, 1.87],
    55: [1.00, 2.07, 3.85, 5.95, 7.70, 8.54, 8.14, 6.66, 4.65, 2.68, 1.28, 0.72],
}
"""pvlib's Haurwitz clear sky on the flat, kWh/m2 a day, 2023, longitude 0, half-hour stamps."""


@pytest.fixture(scope="module")
def year() -> Sunshine:
    """A measured typical year at 36.1 N."""
    return read_sun_file(GREENSBORO, 36.1)


def test_the_declination_is_that_of_the_library() -> None:
    days = np.arange(1, 366)
    theirs = pvlib.solarposition.declination_spencer71(days)

    assert [declination_rad(int(day)) for day in days] == pytest.approx(list(theirs), abs=1e-6)


def test_sun_outside_the_air_is_that_of_the_library() -> None:
    days = np.arange(1, 366)
    theirs = pvlib.irradiance.get_extra_radiation(days, method="spencer", epoch_year=2023)

    assert [outside_w_per_m2(int(day)) for day in days] == pytest.approx(list(theirs), rel=1e-4)


@pytest.mark.parametrize("latitude", HAURWITZ)
def test_clear_months_agree_with_the_library_within_4_percent(latitude: int) -> None:
    """The library's sun is that of the year 2023, ours that of a mean one; by the pole a day makes 4 %."""
    assert clear_sky_h_per_day(latitude) == pytest.approx(HAURWITZ[latitude], rel=0.04, abs=0.01)


def test_hourly_heights_of_the_sun_agree_with_the_library() -> None:
    """The library's analytical zenith, in solar time too."""
    declination = pvlib.solarposition.declination_spencer71(DAYS)
    turned = np.radians(15 * (np.tile(np.arange(24) + 0.5, 365) - 12))
    theirs = pvlib.solarposition.solar_zenith_analytical(math.radians(45), turned, declination)

    assert list(cosines(45)) == pytest.approx(list(np.cos(theirs)), abs=1e-6)


def test_the_clear_sky_formula_is_that_of_the_library() -> None:
    zenith = pd.Series([0.0, 30.0, 60.0, 80.0, 89.0, 95.0])
    theirs: Any = pvlib.clearsky.haurwitz(zenith)["ghi"]

    assert [clear_sky_w_per_m2(math.cos(math.radians(z))) for z in zenith] == pytest.approx(list(theirs), rel=1e-3)


def test_the_split_of_sun_and_sky_is_that_of_the_library() -> None:
    """Erbs: at one height of the sun, the whole range of clearness."""
    clearness = np.linspace(0.05, 0.95, 19)
    day, zenith = np.full(19, 80), np.full(19, 30.0)
    outside = float(pvlib.irradiance.get_extra_radiation(80))
    ghi = clearness * outside * math.cos(math.radians(30))
    theirs: Any = pvlib.irradiance.erbs(ghi, zenith, day)
    shares = np.array([sky_share(float(kt)) for kt in clearness])

    assert shares == pytest.approx(np.asarray(theirs["dhi"]) / ghi, abs=2e-3)


@pytest.mark.parametrize("tilt", [30.0, 60.0])
def test_light_on_a_slope_is_that_of_the_library_with_an_even_sky(tilt: float, year: Sunshine) -> None:
    """Same light, same sun, Erbs and an isotropic sky in the library: months within 2 %."""
    ours = by_month(on_slope(year.ghi_w_per_m2, 36.1, Slope(tilt, 180.0), 0.2))
    cos = np.array(cosines(36.1))
    zenith = np.degrees(np.arccos(cos))
    ghi = np.array(year.ghi_w_per_m2)
    split: Any = pvlib.irradiance.erbs(ghi, zenith, DAYS, min_cos_zenith=0.065)
    azimuth = _azimuth_deg(36.1)
    direct = (ghi - split["dhi"]) / np.maximum(cos, 0.065)
    theirs: Any = pvlib.irradiance.get_total_irradiance(
        tilt, 180.0, zenith, azimuth, direct, ghi, split["dhi"], albedo=0.2, model="isotropic"
    )["poa_global"]

    assert ours == pytest.approx(by_month(list(np.nan_to_num(np.asarray(theirs)))), rel=0.02)


def _azimuth_deg(latitude: float) -> Any:
    hours = np.tile(np.arange(24) + 0.5, 365)
    dec = np.array([declination_rad(int(day)) for day in DAYS])
    turned, lat = np.radians(15 * (hours - 12)), math.radians(latitude)
    east = -np.cos(dec) * np.sin(turned)
    north = np.sin(dec) * math.cos(lat) - np.cos(dec) * math.sin(lat) * np.cos(turned)
    return np.degrees(np.arctan2(east, north)) % 360


def test_an_even_sky_is_a_little_darker_than_a_bright_ring_round_the_sun(year: Sunshine) -> None:
    """Published months at 30 degrees south (Hay and Davies' sky, measured direct light), December and June."""
    ours = [total / days / 1000 for total, days in zip(
        by_month(on_slope(year.ghi_w_per_m2, 36.1, Slope(30.0, 180.0), 0.2)), MONTH_DAYS, strict=True)]  # fmt: skip

    assert 0.89 < ours[11] / 3.50 < 1.0
    assert 0.98 < ours[5] / 5.80 < 1.02


def test_a_measured_typical_year_is_read_month_by_month(year: Sunshine) -> None:
    """TMY3 723170, kWh/m2 a day on the flat."""
    measured = [2.41, 3.06, 4.25, 5.41, 5.64, 6.25, 6.08, 5.61, 4.43, 3.59, 2.43, 2.24]

    assert year.sun_h_per_day == pytest.approx(measured, abs=0.006)


@pytest.mark.parametrize(
    ("latitude", "december", "year_kwh"),
    [(25.8, 3.36, 1793), (36.1, 2.24, 1566), (49.5, 0.66, 1089), (53.5, 0.39, 963)],
    ids=["Miami", "Greensboro", "Mannheim", "Bremerhaven"],
)
def test_a_latitude_alone_gives_a_year_like_the_measured_ones(latitude: float, december: float, year_kwh: int) -> None:
    """Typical years of NREL and of the German weather service: the year within 10 %, the darkest month within 30 %."""
    found = from_latitude(latitude)

    assert math.fsum(found.ghi_w_per_m2) / 1000 == pytest.approx(year_kwh, rel=0.10)
    assert found.sun_h_per_day[11] == pytest.approx(december, rel=0.30)


@pytest.fixture(scope="module")
def yield_w(year: Sunshine) -> list[float]:
    """Per watt: G/1000 x 0.80 x (1 - 0.004 (Tc - 25)), Tc = Ta + 26/800 G: 1186.30 Wh a year."""
    assert year.air_c is not None
    pairs = zip(year.ghi_w_per_m2, year.air_c, strict=True)
    return [max(0.0, g / 1000 * 0.8 * (1 - 0.004 * (t + 26 / 800 * g - 25))) for g, t in pairs]


@pytest.mark.parametrize(
    ("array_w", "battery_wh", "available", "used", "unserved", "hours", "days", "end"),
    [
        (600, 3000, 711_782, 378_733, 491.3, 14, 3, 0.210),
        (600, 1500, 711_782, 374_852, 5_219.3, 146, 20, 0.220),
        (400, 3000, 474_522, 351_900, 25_797.0, 731, 82, 0.200),
    ],
)
def test_a_year_at_greensboro_ends_as_in_the_reference_runs(
    array_w: int, battery_wh: int, available: float, used: float, unserved: float, hours: int, days: int, end: float,
    yield_w: list[float],
) -> None:  # fmt: skip
    """1000 Wh a day, floor 0.2, 0.96 in and out, no self-discharge, full at the start; independent prototype."""
    found = run(Cell(battery_wh, 0.2, 0.96, 0.96), [1000 / 24] * 8760, [array_w * w for w in yield_w])

    assert math.fsum(yield_w) == pytest.approx(1186.30, abs=0.01)
    assert found.source_sum_wh == pytest.approx(available, abs=0.6)
    assert found.used_wh == pytest.approx(used, abs=0.6)
    assert math.fsum(found.unserved_wh) == pytest.approx(unserved, abs=0.06)
    assert sum(wh > 1e-6 for wh in found.unserved_wh) == hours
    assert short_days(found.unserved_wh) == days
    assert found.end_wh / battery_wh == pytest.approx(end, abs=0.0006)


def test_six_hours_of_a_600_w_charger_carry_the_year(yield_w: list[float]) -> None:
    """The same with a charger on at 0.30 and off at 0.80: 3600 Wh, nothing unserved, lowest 0.290."""
    found = run(
        Cell(3000, 0.2, 0.96, 0.96), [1000 / 24] * 8760, [600 * w for w in yield_w], backup=Backup(600, 0.3, 0.8)
    )

    assert sum(wh > 0 for wh in found.backup_wh) == 6
    assert math.fsum(found.backup_wh) == pytest.approx(3600)
    assert math.fsum(found.unserved_wh) == 0
    assert min(found.stored_wh) / 3000 == pytest.approx(0.290, abs=0.001)


WEIGHTS = [15] * 7 + [10] * 3 + [15] * 2 + [20] * 4 + [25, 35, 90, 110, 90, 60, 40, 25]


@pytest.mark.parametrize(
    ("array_w", "days", "short"),
    [
        (435, 3, 74),
        (544, 1, 71),
        (544, 3, 19),
        (544, 8, 0),
        (653, 2, 9),
        (653, 3, 3),
        (653, 5, 0),
        (761, 2, 6),
        (1088, 2, 0),
    ],
)
def test_days_short_by_array_and_battery_are_those_of_the_reference_table(
    array_w: int, days: int, short: int, yield_w: list[float]
) -> None:
    """1000 Wh a day with an evening peak, 2 % self-discharge a month, the second of two passes. Battery: days / 0.8 /
    0.96.
    """
    cell = Cell(1000 * days / 0.8 / 0.96, 0.2, 0.96, 0.96, self_discharge_frac=0.02)
    load = [1000 * weight / sum(WEIGHTS) for weight in WEIGHTS] * 365
    sun = [array_w * w for w in yield_w]
    first = run(cell, load, sun)
    second = run(cell, load, sun, first.end_wh / cell.capacity_wh)

    assert short_days(second.unserved_wh) == short


@pytest.mark.parametrize(("array_w", "battery_wh", "asleep", "awake"), [(200, 1280, 221, 355), (400, 2560, 16, 95)])
def test_an_inverter_left_on_makes_a_good_system_a_poor_one(
    array_w: int, battery_wh: int, asleep: int, awake: int, yield_w: list[float]
) -> None:
    """A van of 588 Wh DC and 160 Wh AC: days short with 12 W of idling on demand, and day and night."""
    cell = Cell(battery_wh, 0.1, 0.97, 0.97, self_discharge_frac=0.02)
    dc = [17.0 + (20 if 18 <= h < 23 else 0) + (8 if h >= 21 or h < 7 else 0) for h in range(24)]
    ac = [80.0 if 19 <= h < 21 else 0.0 for h in range(24)]
    sun = [array_w * w for w in yield_w]
    short = []
    for always in (False, True):
        day = [d + a / 0.9 + (12 if a or always else 0) for d, a in zip(dc, ac, strict=True)]
        short.append(short_days(run(cell, day * 365, sun).unserved_wh))

    assert short == [asleep, awake]
