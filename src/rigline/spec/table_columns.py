"""What the columns of a table mean: keys of components, keys of the run that feeds them, and a few of the table's own.

A row is a component with the wire that feeds it. Most keys belong to one of the two; where both have a key of the same
name, `stage` is the component's and `run stage` the run's.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from typing import Final, Literal

from msgspec import Struct

from rigline.errors import nearest
from rigline.kinds import KINDS
from rigline.spec.document import RunSpec
from rigline.spec.everyday import key_meant
from rigline.spec.fields import FieldForm, keys_of

Owner = Literal["table", "component", "run"]

OWN: Final[Mapping[str, str]] = {
    "id": "the component; a further row with the same id is another feed of it",
    "kind": "what it is: battery, fuse, busbar, dc-load, ...",
    "from": "the component that feeds it, with its terminal if needed: INV1.ac-out, BUS1-",
    "terminal": "its own terminal where that wire lands, if it has several: dc, pv, case, -",
    "run": "the run that the wire belongs to; rows with the same run are one path, stretch by stretch",
    "length": "one way, from the one to the other",
}
"""The table's own columns -> what stands in them."""
NOT_OF_RUNS: Final = frozenset({"id", "path", "length", "lengths"})
WHOLE_LENGTH: Final = "run length"
"""Length of a whole run whose stretches were not measured one by one."""
_UNIT = re.compile(r"(?P<name>.+?)\s*[\[(](?P<unit>[^\])]+)[\])]")
_BARE = re.compile(r"[+-]?[0-9]+(?:[.,/][0-9]+)?")


class Column(Struct, frozen=True):
    """One column of a table."""

    owner: Owner
    path: tuple[str, ...]
    """Key, and the key within a record of its own, as in bms max-discharge."""
    unit: str = ""
    """Unit in the heading, for bare numbers below it."""

    def written(self, cell: str) -> str:
        """A cell with the heading's unit behind a bare number."""
        return f"{cell} {self.unit}" if self.unit and _BARE.fullmatch(cell) else cell


class UnknownColumn(ValueError):
    """A heading that names no column; the text is the nearest that does, if there is one."""


def column_of(heading: str) -> Column:
    """The column that a heading names.

    Raises:
        UnknownColumn: There is none of that name.

    Example:
        >>> column_of("Length (m)").unit, column_of("run_stage").owner, column_of("bms max-discharge").path
        ('m', 'run', ('bms', 'max-discharge'))
    """
    match = _UNIT.fullmatch(heading.strip())
    name, unit = (match["name"], match["unit"].strip()) if match else (heading.strip(), "")
    known = columns()
    plain = _plain(name)
    if plain in known:
        owner, path = known[plain]
        return Column(owner, path, unit)
    raise UnknownColumn(_meant(name) or "")


def _meant(name: str) -> str | None:
    words = {"to": "id", "source": "from", "feed": "from", "feeds": "from", "fed-from": "from", "type": "kind"}
    plain = _plain(name).replace(" ", "-")
    return words.get(plain) or key_meant(name, [*columns()]) or nearest(_plain(name), columns())


def _plain(name: str) -> str:
    """A heading without regard to case and to what joins its words; run stage and run-stage are the same."""
    words = re.sub(r"[\s_]+", " ", name.strip().casefold())
    hyphened = words.replace(" ", "-")
    if hyphened in columns():
        return hyphened
    for first in ("run", "bms"):
        if hyphened.startswith(f"{first}-"):
            return f"{first} {hyphened.removeprefix(f'{first}-')}"
    return hyphened


@cache
def columns() -> dict[str, tuple[Owner, tuple[str, ...]]]:
    """Every column by its name: the table's own, then those of runs and of components."""
    found: dict[str, tuple[Owner, tuple[str, ...]]] = {name: ("table", (name,)) for name in OWN}
    found[WHOLE_LENGTH] = ("table", (WHOLE_LENGTH,))
    of_components = component_keys()
    for key in of_components:
        found.setdefault(key, ("component", (key,)))
        for inner in _inner_keys(of_components[key]):
            found[f"{key} {inner}"] = ("component", (key, inner))
    for key in keys_of(RunSpec):
        if key not in NOT_OF_RUNS:
            found[run_column(key)] = ("run", (key,))
            found.setdefault(f"run {key}", ("run", (key,)))
    return found


def run_column(key: str) -> str:
    """The heading of a key of runs."""
    return f"run {key}" if key in component_keys() or key in OWN else key


@cache
def component_keys() -> dict[str, tuple[FieldForm, ...]]:
    """Every key that any kind takes, with its forms."""
    found: dict[str, tuple[FieldForm, ...]] = {}
    for kind in sorted(KINDS):
        for key, forms in keys_of(KINDS[kind]).items():
            found.setdefault(key, forms)
    return found


def _inner_keys(forms: tuple[FieldForm, ...]) -> list[str]:
    return [key for form in forms if form.record is not None for key in keys_of(form.record)]
