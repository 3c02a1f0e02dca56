"""Reads an hourly year of sun that the user has: a typical meteorological year of a weather service, or a table of
their own. Everything odd is refused in plain words; a wrong column would make every result wrong.
"""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Iterator, Sequence
from pathlib import Path

from rigline.energy.sun import HOURS_OF_DAY
from rigline.energy.year import HOURS_OF_YEAR, Sunshine
from rigline.errors import CommandError

SUN_COLUMNS = ("ghi", "ghi w/m^2", "ghi w/m2", "g h", "global horizontal irradiance")
"""How public hourly files head the light on the horizontal, without brackets and capitals."""
AIR_COLUMNS = ("temp_air", "dry-bulb c", "t2m", "air temperature", "temperature", "dry bulb temperature")
MOST_HEAD_LINES = 60
"""A heading stands within so many lines."""
MOST_W_PER_M2 = 1500.0
"""More than ever falls on the ground; outside the air it is 1412 W/m2 in January."""
COLDEST_C, WARMEST_C = -90.0, 60.0
"""Beyond the records of the ground."""
MOST_BYTES = 20_000_000
LEAP_DAY_H = slice(59 * HOURS_OF_DAY, 60 * HOURS_OF_DAY)
"""29 February."""


def read_sun_file(path: Path, latitude_deg: float | None = None) -> Sunshine:
    """The year in a CSV file with a heading line and 8760 hours (or 8784: 29 February is left out).

    Args:
        path: The file.
        latitude_deg: Where it was measured; needed for tilted arrays only.

    Raises:
        CommandError: The file can't be read, or is no such year.
    """
    rows = list(csv.reader(_text(path).splitlines()))
    head, sun, air = _heading(rows, path)
    ghi = list(_numbers(rows, head, sun, (0.0, MOST_W_PER_M2), path))
    temperatures = list(_numbers(rows, head, air, (COLDEST_C, WARMEST_C), path)) if air is not None else None
    series = [_year(values, path) for values in (ghi, temperatures) if values is not None]
    shift = _shift_h(series[0], path)
    turned = [_turned(values, shift) for values in series]
    moved = f", moved by {shift} h so that the sun is highest at noon" if shift else ""
    basis = f"the hourly year in {path.name}{moved}"
    return Sunshine(turned[0], basis, False, latitude_deg, turned[1] if len(turned) > 1 else None)


def _text(path: Path) -> str:
    try:
        if not path.is_file():
            raise CommandError(f"{path} can't be read: there is no such ordinary file")
        if path.stat().st_size > MOST_BYTES:
            raise CommandError(f"{path} is too large for a year of hours")
        return path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise CommandError(f"{path} can't be read: {error.strerror}") from None
    except UnicodeDecodeError:
        raise CommandError(f"{path} is not a text file in UTF-8; save it as CSV") from None


def _plain(cell: str) -> str:
    return re.sub(r"[()\s]+", " ", cell).strip().casefold()


def _heading(rows: Sequence[Sequence[str]], path: Path) -> tuple[int, int, int | None]:
    for index, row in enumerate(rows[:MOST_HEAD_LINES]):
        names = [_plain(cell) for cell in row]
        found = [names.index(name) for name in SUN_COLUMNS if name in names]
        if found:
            air = next((names.index(name) for name in AIR_COLUMNS if name in names), None)
            return index, found[0], air
    raise CommandError(
        f"{path}: no column for the sun in its first {MOST_HEAD_LINES} lines; head it ghi (W/m2 on the horizontal, "
        "one line an hour, separated by commas)"
    )


def _numbers(
    rows: Sequence[Sequence[str]], head: int, column: int, limits: tuple[float, float], path: Path
) -> Iterator[float]:
    low, high = limits
    for line, row in enumerate(rows[head + 1 :], head + 2):
        if not any(cell.strip() for cell in row):
            return
        try:
            value = float(row[column])
        except (IndexError, ValueError):
            got = row[column] if column < len(row) else "nothing"
            raise CommandError(f"{path}:{line}: give a number in column {column + 1}; got {got[:40]}") from None
        # Weather stations write a small negative number for a dark hour.
        if low == 0.0 and -10.0 <= value < 0.0:
            value = 0.0
        if not math.isfinite(value) or not low <= value <= high:
            raise CommandError(f"{path}:{line}: {value:g} can't be meant; expected {low:g} to {high:g}")
        yield value


def _year(values: list[float], path: Path) -> list[float]:
    if len(values) == HOURS_OF_YEAR + HOURS_OF_DAY:
        del values[LEAP_DAY_H]
    if len(values) != HOURS_OF_YEAR:
        raise CommandError(
            f"{path}: a year has {HOURS_OF_YEAR} hours, from 1 January; got {len(values)} "
            "(the hours end at the first empty line)"
        )
    return values


def _shift_h(ghi: Sequence[float], path: Path) -> int:
    """Hours by which the sun's highest stand is from noon: a file may be in universal time."""
    mean = [math.fsum(ghi[hour::HOURS_OF_DAY]) for hour in range(HOURS_OF_DAY)]
    if math.fsum(mean) <= 0:
        raise CommandError(f"{path}: the sun never shines in it; is it the right column?")
    angles = [math.tau * (hour + 0.5) / HOURS_OF_DAY for hour in range(HOURS_OF_DAY)]
    east = math.fsum(m * math.sin(a) for m, a in zip(mean, angles, strict=True))
    north = math.fsum(m * math.cos(a) for m, a in zip(mean, angles, strict=True))
    highest = math.atan2(east, north) % math.tau * HOURS_OF_DAY / math.tau
    return round(12 - highest)


def _turned(values: Sequence[float], shift: int) -> tuple[float, ...]:
    return tuple(values) if not shift else (*values[-shift:], *values[:-shift])
