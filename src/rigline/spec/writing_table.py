"""A spec's plain data as the rows of a table, such that reading them gives the same system.

Components and runs keep their order: a component's row takes the next stretch of wire if that leads to it, and
stretches whose component stands already get rows of their own.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Any, Final

from msgspec import Struct, field

from rigline.spec.reading_table import LISTS, SEPARATOR
from rigline.spec.references import component_of
from rigline.spec.table_columns import NOT_OF_RUNS, OWN, WHOLE_LENGTH, run_column

SECTIONS: Final = ("components", "runs")
FIRST: Final[tuple[str, ...]] = (
    "id", "kind", "name", "run", "from", "terminal", "length", WHOLE_LENGTH, "wire", "rating"
)  # fmt: skip
"""Columns that come first, in this order; the others follow as they come up."""
Row = dict[str, str]


class Written(Struct):
    """The rows of a table, and what they can't carry."""

    head: list[list[str]] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)
    lost: list[str] = field(default_factory=list)
    """In words, as in "bms of B1: empty"."""

    def grid(self) -> list[list[str]]:
        """All rows: the facts of the system, an empty one, the headings, and the components."""
        names = dict.fromkeys(name for row in self.rows for name in row)
        columns = [name for name in FIRST if name in names or name in ("id", "kind")]
        columns += [name for name in names if name not in FIRST]
        return [*self.head, [], columns, *([row.get(name, "") for name in columns] for row in self.rows)]


def table_of(data: Mapping[str, Any], run_ids: Sequence[str]) -> Written:
    """The table of a spec that was read.

    Args:
        data: The spec's plain data.
        run_ids: The id of every run, for those that have none in the data.
    """
    written = Written()
    for key, value in data.items():
        if key not in SECTIONS:
            written.head += _head([key], value, written)
    written.rows = list(_rows(data, run_ids, written))
    return written


def _head(keys: list[str], value: Any, written: Written) -> Iterator[list[str]]:
    if isinstance(value, dict):
        for key, item in value.items():
            yield from _head([*keys, str(key)], item, written)
        if not value and keys[0] == "places" and len(keys) > 1:
            yield keys
    elif isinstance(value, list) and keys[0] in LISTS and len(keys) == 1:
        for number, item in enumerate(value, 1):
            yield from _head([*keys, str(number)], item, written)
    elif value is None:
        if keys[0] == "places" and len(keys) > 1:
            yield keys
    else:
        yield [*keys, _cell(value, " ".join(keys), written)]


def _rows(data: Mapping[str, Any], run_ids: Sequence[str], written: Written) -> Iterator[Row]:
    stretches = [
        (component, row)
        for run, id in zip(data.get("runs") or [], run_ids, strict=True)
        for component, row in _stretches(run, id, written)
    ]
    seen: set[str] = set()
    for id, fields in data["components"].items():
        row = _component(id, fields, written)
        seen.add(id)
        if stretches and stretches[0][0] == id:
            row |= stretches.pop(0)[1]
        yield row
        while stretches and stretches[0][0] in seen:
            component, more = stretches.pop(0)
            yield {"id": component, **more}


def _component(id: str, fields: Mapping[str, Any], written: Written) -> Row:
    row = {"id": id}
    for key, value in fields.items():
        if isinstance(value, dict):
            row |= {f"{key} {inner}": _cell(item, f"{id} {key} {inner}", written) for inner, item in value.items()}
            if not value:
                written.lost.append(f"{id} {key}: it is there and says nothing")
        else:
            row[key] = _cell(value, f"{id} {key}", written)
    return row


def _stretches(run: Mapping[str, Any], id: str, written: Written) -> Iterator[tuple[str, Row]]:
    """Each stretch of a run: the component that it leads to, and the cells about it."""
    path = [entry.strip() for entry in run["path"]]
    lengths = run.get("lengths") if isinstance(run.get("lengths"), list) else None
    whole = run.get("length", None if lengths else run.get("lengths"))
    for place, (source, target) in enumerate(pairwise(path)):
        component = component_of(target)
        row = {"run": id, "from": source if place == 0 else component_of(source)}
        if landing := target.removeprefix(component).removeprefix("."):
            row["terminal"] = landing
        if lengths:
            row["length"] = _cell(lengths[place], f"{id} lengths", written)
        if place == 0:
            if whole is not None:
                row["length" if len(path) == 2 else WHOLE_LENGTH] = _cell(whole, f"{id} length", written)
            row |= {
                run_column(key): _cell(value, f"{id} {key}", written)
                for key, value in run.items() if key not in NOT_OF_RUNS
            }  # fmt: skip
        yield component, row


def _cell(value: Any, where: str, written: Written) -> str:
    if isinstance(value, list):
        items = [_cell(item, where, written) for item in value]
        if any(SEPARATOR in item for item in items):
            written.lost.append(f"{where}: a text with {SEPARATOR} within a list")
        # A list of one needs no mark: where a list belongs, a text alone is read as one.
        return f"{SEPARATOR} ".join(items)
    if value is None:
        written.lost.append(f"{where}: null")
        return ""
    return str(value).lower() if isinstance(value, bool) else str(value)


EXPLAINED: Final[Mapping[str, str]] = {**OWN, WHOLE_LENGTH: "of a whole run, if its stretches were not measured"}
"""Column -> what stands in it, for the head of a starting table."""
