"""Where the sun stands and how much of it falls on a surface, in plain arithmetic.

Solar time throughout: noon is when the sun is highest, whatever the clock says. The day counts from 1 (1 January) to
365. The tests hold these formulas against a general library for solar radiation.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

from msgspec import Struct

SOLAR_CONSTANT_W_PER_M2 = 1366.1
"""Sun outside the air at its mean distance. Source: ASTM E490-00a."""
DAYS_OF_YEAR = 365
HOURS_OF_DAY = 24
MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
LOWEST_COS = 0.065
"""Cosine of the zenith below which no hour counts as having a share of clear sky: the usual guard of the split of sun
and sky (3.7 degrees above the horizon)."""


class Slope(Struct, frozen=True):
    """How a surface stands."""

    tilt_deg: float = 0.0
    """From the horizontal."""
    azimuth_deg: float = 180.0
    """Compass direction it faces: 180 is south."""


@lru_cache(maxsize=8)
def month_of_days() -> tuple[int, ...]:
    """The month (0 to 11) of each day of the year."""
    return tuple(month for month, days in enumerate(MONTH_DAYS) for _ in range(days))


def declination_rad(day: int) -> float:
    """Angle of the sun above the equator. Source: Spencer (1971), Fourier series, within 0.0006 rad.

    >>> round(math.degrees(declination_rad(172)), 1)
    23.5
    """
    b = 2 * math.pi * (day - 1) / DAYS_OF_YEAR
    return (
        0.006918 - 0.399912 * math.cos(b) + 0.070257 * math.sin(b) - 0.006758 * math.cos(2 * b)
        + 0.000907 * math.sin(2 * b) - 0.002697 * math.cos(3 * b) + 0.00148 * math.sin(3 * b)
    )  # fmt: skip


def outside_w_per_m2(day: int) -> float:
    """Sun outside the air, square to it, on a day. Source: Spencer (1971), distance of the earth."""
    b = 2 * math.pi * (day - 1) / DAYS_OF_YEAR
    nearness = (
        1.00011 + 0.034221 * math.cos(b) + 0.00128 * math.sin(b) + 0.000719 * math.cos(2 * b)
        + 0.000077 * math.sin(2 * b)
    )  # fmt: skip
    return SOLAR_CONSTANT_W_PER_M2 * nearness


def clear_sky_w_per_m2(cos_zenith: float) -> float:
    """Sun on the horizontal under a clear sky. Source: Haurwitz (1945), 1098 cos z exp(-0.059 / cos z).

    >>> round(clear_sky_w_per_m2(1.0))
    1035
    """
    return 1098 * cos_zenith * math.exp(-0.059 / cos_zenith) if cos_zenith > 0 else 0.0


@lru_cache(maxsize=4)
def cosines(latitude_deg: float) -> tuple[float, ...]:
    """Cosine of the zenith in the middle of each hour of a year."""
    lat = math.radians(latitude_deg)
    turned = [math.cos(math.radians(15 * (hour + 0.5 - 12))) for hour in range(HOURS_OF_DAY)]
    found: list[float] = []
    for day in range(1, DAYS_OF_YEAR + 1):
        declination = declination_rad(day)
        level, swing = math.sin(lat) * math.sin(declination), math.cos(lat) * math.cos(declination)
        found += [level + swing * turn for turn in turned]
    return tuple(found)


def sky_share(clearness: float) -> float:
    """Share of the light on the horizontal that comes from the sky and not straight from the sun.

    Args:
        clearness: Light on the horizontal over that outside the air. Source: Erbs, Klein and Duffie (1982).
    """
    if clearness <= 0.22:
        return 1 - 0.09 * clearness
    if clearness > 0.8:
        return 0.165
    return 0.9511 - 0.1604 * clearness + 4.388 * clearness**2 - 16.638 * clearness**3 + 12.336 * clearness**4


def on_slope(ghi_w_per_m2: Sequence[float], latitude_deg: float, slope: Slope, albedo_frac: float) -> list[float]:
    """Light on a tilted surface, hour by hour, from that on the horizontal.

    Straight light by its angle, light of the sky and of the ground evenly from all sides (Liu and Jordan, 1960), which
    gives a little less than models with a brighter sky round the sun: the careful side.

    Args:
        ghi_w_per_m2: On the horizontal, each hour of a year.
        latitude_deg: Where.
        slope: How the surface stands.
        albedo_frac: Share of light that the ground throws back.
    """
    if slope.tilt_deg == 0:
        return list(ghi_w_per_m2)
    tilt = math.radians(slope.tilt_deg)
    sky, ground = (1 + math.cos(tilt)) / 2, albedo_frac * (1 - math.cos(tilt)) / 2
    heights = cosines(latitude_deg)
    found = []
    for hour, ghi in enumerate(ghi_w_per_m2):
        if ghi <= 0:
            found.append(0.0)
            continue
        height = max(heights[hour], LOWEST_COS)
        day = hour // HOURS_OF_DAY + 1
        diffuse = ghi * sky_share(ghi / (outside_w_per_m2(day) * height))
        facing = max(0.0, incidence_cos(latitude_deg, day, hour % HOURS_OF_DAY + 0.5, slope))
        found.append((ghi - diffuse) / height * facing + diffuse * sky + ghi * ground)
    return found


def incidence_cos(latitude_deg: float, day: int, hour: float, slope: Slope) -> float:
    """Cosine of the angle between the sun and the square of a surface; negative if the sun is behind it.

    Source: Duffie and Beckman, Solar Engineering of Thermal Processes, eq. 1.6.2 (azimuth there from the equator).
    """
    lat, dec = math.radians(latitude_deg), declination_rad(day)
    tilt, facing = math.radians(slope.tilt_deg), math.radians(slope.azimuth_deg - 180)
    turned = math.radians(15 * (hour - 12))
    return (
        math.sin(dec) * math.sin(lat) * math.cos(tilt)
        - math.sin(dec) * math.cos(lat) * math.sin(tilt) * math.cos(facing)
        + math.cos(dec) * math.cos(lat) * math.cos(tilt) * math.cos(turned)
        + math.cos(dec) * math.sin(lat) * math.sin(tilt) * math.cos(facing) * math.cos(turned)
        + math.cos(dec) * math.sin(tilt) * math.sin(facing) * math.sin(turned)
    )
