"""The parts of the docs that follow from the code: every kind and field of a spec, from the declarations themselves."""

from __future__ import annotations

import ast
import inspect
import sys
from collections.abc import Sequence
from functools import cache
from itertools import pairwise

from rigline.kinds import KINDS, Component
from rigline.kinds.base import Terminal
from rigline.spec.document import Conditions, Defaults, Head, Place, Revision, RunSpec, Supply, Waiver
from rigline.spec.fields import FieldForm, keys_of
from rigline.spec.limits import LIMITS
from rigline.standards.wire import LARGEST_AREA_MM2, LARGEST_KCMIL, SMALLEST_GAUGE
from rigline.units import SUFFIXES

BEGIN, END = "<!-- begin: made from the code -->", "<!-- end: made from the code -->"
_FORMS = {
    "count": "whole number",
    "stage": "1, 2, ... or later",
    "number": "number",
    "text": "text",
    "truth": "true or false",
    "wire": "wire size: 10 AWG, 16 mm²",
    "texts": "list of texts",
}
SECTIONS: tuple[tuple[str, type], ...] = (
    ("At the top", Head),
    ("conditions", Conditions),
    ("defaults", Defaults),
    ("supply", Supply),
    ("places, each", Place),
    ("runs, each", RunSpec),
    ("waivers, each", Waiver),
    ("revisions, each", Revision),
    ("components, each", Component),
)
"""Every part of a spec with the record of its keys; kinds have more of their own."""


def spec_reference() -> str:
    """Tables of every section and every kind, as Markdown."""
    parts = [limits_table()]
    parts += [f"### {title}\n\n{_table(record, set())}" for title, record in SECTIONS]
    common = set(keys_of(Component))
    for kind in sorted(KINDS):
        record = KINDS[kind]
        parts.append(f"### {kind}\n\n{first_line(record)}{_terminals(record)}\n\n{_table(record, common)}".rstrip())
    return "\n\n".join(parts) + "\n"


def limits_table() -> str:
    """How large a spec may be."""
    rows = [f"| {what} | {most} |" for what, most in LIMITS]
    rows.append(f"| area of a wire | {LARGEST_AREA_MM2:g} mm², {LARGEST_KCMIL:g} kcmil, or {SMALLEST_GAUGE} AWG |")
    return "\n".join(["### Limits", "", "| of | at most |", "| --- | --- |", *rows])


def inserted(page: str) -> str:
    """A page with its generated part replaced by what the code says now."""
    before, _, rest = page.partition(BEGIN)
    _, _, after = rest.partition(END)
    return f"{before}{BEGIN}\n\n{spec_reference()}\n{END}{after}"


def first_line(record: type) -> str:
    """What a record is, in one line."""
    return str(inspect.getdoc(record)).splitlines()[0]


def _terminals(record: type[Component]) -> str:
    named = [t for t in record.terminals if t.name]
    return f" Terminals: {', '.join(_terminal(t) for t in named)}." if named else ""


def _terminal(terminal: Terminal) -> str:
    return f"`{terminal.name}`"


def _table(record: type, without: set[str]) -> str:
    bar = "\\|"
    rows = [
        f"| `{key}` | {form_of(forms)} | {meaning_of(record, forms[0].field).replace('|', bar)} |"
        for key, forms in keys_of(record).items()
        if key not in without
    ]
    return "\n".join(["| key | value | meaning |", "| --- | --- | --- |", *rows]) if rows else ""


def form_of(forms: Sequence[FieldForm]) -> str:
    """What a key takes, in words."""
    return " or ".join(_form(form) for form in forms)


def _form(form: FieldForm) -> str:
    if form.form in ("amount", "amounts"):
        unit = SUFFIXES[form.suffix].split(" (")[0]
        return f"list, each in {unit}" if form.form == "amounts" else unit
    if form.form == "choice":
        return ", ".join(form.choices)
    if form.form == "record":
        return "true, false or its limits"
    return _FORMS[form.form]


def meaning_of(record: type, field: str) -> str:
    """What a field of a record means, as its declaration says."""
    for owner in record.__mro__:
        found = _docs_of(owner).get(field) if field in vars(owner).get("__annotations__", {}) else None
        if found:
            return found
    return ""


@cache
def _docs_of(owner: type) -> dict[str, str]:
    """The string under each field of a class."""
    tree = ast.parse(inspect.getsource(sys.modules[owner.__module__]))
    body = next(node.body for node in tree.body if isinstance(node, ast.ClassDef) and node.name == owner.__name__)
    found = {}
    for line, below in pairwise(body):
        if isinstance(line, ast.AnnAssign) and isinstance(line.target, ast.Name) and isinstance(below, ast.Expr):
            value = below.value
            if isinstance(value, ast.Constant) and isinstance(value.value, str):
                found[line.target.id] = " ".join(value.value.split())
    return found
