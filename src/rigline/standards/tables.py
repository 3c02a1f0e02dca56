"""Printed tables, read as printed and refused when they can't be right.

Every figure a check relies on stands in one file under `data`, in the words and digits of its source, so that a person
can lay the file beside the page. This module turns a file into a `Table` once, when it is first asked for, and refuses
a file without a source, with a short row, with keys repeated or out of order, or with a broken law. It knows nothing
of what the figures are used for.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Literal, cast

from msgspec import Struct

from rigline.standards.gauge import MM2_PER_CMIL, awg_area_mm2, gauge_number

Sure = Literal["verified", "from memory", "common practice"]
SURENESS: tuple[Sure, ...] = ("verified", "from memory", "common practice")

DATA = Path(__file__).parent / "data"


class TableProblem(ValueError):
    """A table file can't be trusted. This is a fault of ours, never of the author of a spec."""


class Span(Struct, frozen=True):
    """A printed range such as "26 to 30" or "41 and above", in the direction of print."""

    first: float
    last: float


Cell = float | str | Span | tuple[float, ...] | tuple[str, ...] | None
Key = Cell | tuple[Cell, ...]


class Source(Struct, frozen=True):
    """Where a table was printed, and how sure we are of its figures."""

    document: str
    edition: str
    location: str
    sure: Sure

    @property
    def cite(self) -> str:
        """The source in one phrase, for a finding or a report."""
        return f"{self.document}, {self.location}"


class Table(Struct, frozen=True):
    """One printed table: rows by key, in the order of print."""

    name: str
    source: Source
    conditions: Mapping[str, object]
    units: Mapping[str, str]
    rows: dict[Key, Mapping[str, Cell]]

    def cell(self, key: Key, column: str) -> Cell:
        """What stands in a cell; None where the source leaves it empty or has no such row."""
        if column not in self.units:
            raise KeyError(f"table {self.name} has no column {column}")
        row = self.rows.get(key)
        return None if row is None else row[column]

    def number(self, key: Key, column: str) -> float | None:
        """The figure in a cell, or None."""
        value = self.cell(key, column)
        return value if isinstance(value, float) else None

    def text(self, key: Key, column: str) -> str | None:
        """The word or size in a cell, or None."""
        value = self.cell(key, column)
        return value if isinstance(value, str) else None

    def key_spanning(self, value: float) -> Span | None:
        """The printed range that a value falls in; between two ranges, the later of them.

        Tables run towards the harder case, so the later range is the warmer, colder or fuller one.
        """
        keys = [key for key in self.rows if isinstance(key, Span)]
        rising = len(keys) < 2 or keys[0].last < keys[-1].last
        if not keys or (value < keys[0].first if rising else value > keys[0].first):
            return None
        return next((key for key in keys if (value <= key.last if rising else value >= key.last)), None)

    def key_reaching(self, value: float) -> float | None:
        """The smallest numeric key not below a value: "not exceeding" tables."""
        keys = (key for key in self.rows if isinstance(key, float))
        return next((key for key in keys if key >= value * (1 - 1e-9)), None)

    def sure_of(self, key: Key) -> Sure:
        """How sure one row is: its own mark, or else that of the table."""
        if "sure" not in self.units:
            return self.source.sure
        return cast(Sure, self.text(key, "sure"))


def _as_number(text: str) -> float:
    return float(text)


def _as_span(text: str) -> Span:
    if text.endswith(" or less"):
        return Span(-math.inf, float(text.removesuffix(" or less")))
    if text.endswith(" and above"):
        return Span(float(text.removesuffix(" and above")), math.inf)
    first, _, last = text.partition(" to ")
    return Span(float(first), float(last or first))


def _as_gauge(text: str) -> str:
    return text if text.endswith(("AWG", "kcmil")) else f"{text} AWG"


def _as_sure(text: str) -> str:
    if text not in SURENESS:
        raise ValueError(f"'{text}' is none of {', '.join(SURENESS)}")
    return text


_NUMERIC_UNITS = (
    "A", "V", "times", "c", "frac", "number", "percent", "cmil", "mm", "mm2", "ohm_per_km", "ohm_per_kft", "kg_per_km",
    "n_m",
)  # fmt: skip

_DECODERS: dict[str, Callable[[str], Cell]] = {
    **dict.fromkeys(_NUMERIC_UNITS, _as_number),
    **dict.fromkeys(("c span", "count span", "A span", "mm2 span", "mm span"), _as_span),
    "AWG": _as_gauge,
    "mm2 size": lambda text: f"{float(text):g} mm²",
    "A list": lambda text: tuple(float(word) for word in text.split()),
    "number list": lambda text: tuple(float(word) for word in text.split()),
    "text list": lambda text: tuple(text.split()),
    "text": str,
    "sure": _as_sure,
}

_LAWS: dict[str, Callable[[float, float], bool]] = {
    "rises": lambda before, after: before < after,
    "never falls": lambda before, after: before <= after,
    "falls": lambda before, after: before > after,
    "never rises": lambda before, after: before >= after,
}


def size_area_mm2(text: str) -> float:
    """Copper area of a size in canonical text: "2/0 AWG", "35 mm²" or "250 kcmil"."""
    number, _, unit = text.partition(" ")
    if unit == "AWG" and (gauge := gauge_number(number)) is not None:
        return awg_area_mm2(gauge)
    if unit == "kcmil":
        return float(number) * 1000 * MM2_PER_CMIL
    if unit == "mm²":
        return float(number)
    raise TableProblem(f"'{text}' is no wire size")


def _rank(cell: Cell, unit: str) -> float | None:
    """What a cell counts as when rows are compared; None for an empty cell or a word."""
    if unit in ("AWG", "mm2 size") and isinstance(cell, str):
        return size_area_mm2(cell)
    if isinstance(cell, Span):
        return cell.last
    return cell if isinstance(cell, float) else None


@cache
def table_names() -> tuple[str, ...]:
    """The name of every table that ships, in order."""
    return tuple(sorted(path.stem for path in DATA.glob("*.toml")))


@cache
def table(name: str) -> Table:
    """One table, read and verified on its first use."""
    return read_table(name, (DATA / f"{name}.toml").read_text(encoding="utf-8"))


def read_table(name: str, text: str) -> Table:
    """The table in a file's text.

    Raises:
        TableProblem: the file has no source, a short row, keys repeated or unsorted, an unknown unit or a broken law.
    """
    document = tomllib.loads(text)
    source = _source(name, document.get("source", {}))
    units = _units(name, document.get("columns", {}))
    rows = [_decode_row(name, row, units) for row in document.get("rows", [])]
    keyed = _keyed(name, rows, units, document.get("keys", 1))
    _verify(name, rows, units, document.get("laws", {}))
    return Table(name, source, document.get("conditions", {}), units, keyed)


def _source(name: str, given: Mapping[str, str]) -> Source:
    missing = [field for field in ("document", "edition", "location", "sure") if not given.get(field)]
    if missing:
        raise TableProblem(f"table {name}: the source lacks {', '.join(missing)}")
    if given["sure"] not in SURENESS:
        raise TableProblem(f"table {name}: sure is '{given['sure']}', expected one of {', '.join(SURENESS)}")
    return Source(given["document"], given["edition"], given["location"], given["sure"])


def _units(name: str, given: Mapping[str, str]) -> dict[str, str]:
    unknown = [unit for unit in given.values() if unit not in _DECODERS]
    if unknown or not given:
        raise TableProblem(f"table {name}: unknown unit {', '.join(unknown) or '(no columns)'}")
    return dict(given)


def _decode_row(name: str, row: Sequence[str], units: Mapping[str, str]) -> dict[str, Cell]:
    if len(row) != len(units):
        raise TableProblem(f"table {name}: row {row} has {len(row)} cells, expected {len(units)}")
    try:
        return {
            column: _DECODERS[unit](cell) if cell else None
            for (column, unit), cell in zip(units.items(), row, strict=True)
        }
    except ValueError as problem:
        raise TableProblem(f"table {name}: row {row}: {problem}") from problem


def _keyed(
    name: str, rows: Sequence[Mapping[str, Cell]], units: Mapping[str, str], keys: int
) -> dict[Key, Mapping[str, Cell]]:
    columns = list(units)[:keys]
    found: dict[Key, Mapping[str, Cell]] = {}
    for row in rows:
        key: Key = row[columns[0]] if keys == 1 else tuple(row[column] for column in columns)
        if key in found or key is None:
            raise TableProblem(f"table {name}: the key {key} is empty or stands twice")
        found[key] = row
    if not found:
        raise TableProblem(f"table {name}: no rows")
    if keys == 1:
        _verify_order(name, rows, columns[0], units[columns[0]])
    return found


def _verify_order(name: str, rows: Sequence[Mapping[str, Cell]], column: str, unit: str) -> None:
    ranks = _ranks(rows, column, unit)
    if not (_obeys(ranks, "rises") or (unit.endswith("span") and _obeys(ranks, "falls"))):
        raise TableProblem(f"table {name}: the keys in {column} are not in order")


def _ranks(rows: Sequence[Mapping[str, Cell]], column: str, unit: str) -> list[float]:
    ranks = (_rank(row[column], unit) for row in rows)
    return [rank for rank in ranks if rank is not None]


def _obeys(ranks: Sequence[float], law: str) -> bool:
    return all(_LAWS[law](before, after) for before, after in pairwise(ranks))


def _verify(name: str, rows: Sequence[Mapping[str, Cell]], units: Mapping[str, str], laws: Mapping[str, str]) -> None:
    for subject, law in laws.items():
        if law not in _LAWS or subject not in (*units, "across"):
            raise TableProblem(f"table {name}: unknown law '{subject} {law}'")
        if subject != "across" and not _obeys(_ranks(rows, subject, units[subject]), law):
            raise TableProblem(f"table {name}: the law '{subject} {law}' is broken")
    if "across" in laws:
        _verify_across(name, rows, units, laws["across"])


def _verify_across(name: str, rows: Sequence[Mapping[str, Cell]], units: Mapping[str, str], law: str) -> None:
    for row in rows:
        cells = [_rank(row[column], units[column]) for column in list(units)[1:]]
        if not _obeys([cell for cell in cells if cell is not None], law):
            raise TableProblem(f"table {name}: the law 'across {law}' is broken in {row}")
