"""A spec in another form. The result is read again before anybody gets it: it must mean the same system."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final

from rigline.errors import CommandError, SpecError
from rigline.model.build import build_system
from rigline.model.sameness import differences
from rigline.model.system import System
from rigline.outputs.cells import csv_text
from rigline.spec.load import load_document
from rigline.spec.reading import SYNTAX_OF_ENDING, TABLES, Tree, read_bytes, read_file, read_tree
from rigline.spec.writing_forms import WRITERS
from rigline.spec.writing_table import EXPLAINED, Written, table_of


def converted(path: Path, syntax: str) -> tuple[bytes, list[str]]:
    """A spec's file in another form, and what the owner should know of it.

    Args:
        path: The spec.
        syntax: yaml, json, toml or csv.

    Raises:
        SpecError: The spec is wrong.
        CommandError: The form can't say what the spec says.
    """
    tree = read_file(path)
    system = build_system(load_document(tree, path.parent), tree)
    before = SYNTAX_OF_ENDING[path.suffix.casefold()]
    if syntax == before:
        # The same form: its text with its remarks and its layout.
        return tree.text.encode("utf-8-sig" if syntax == "csv" else "utf-8"), []
    content, remarks = table_bytes(tree, system) if syntax == "csv" else (WRITERS[syntax](tree.data).encode(), [])
    remarks += _unproved(content, syntax, system, path.parent)
    if remarks_lost := _remarks_in(tree.text, before):
        remarks.append(f"{remarks_lost} remarks (#) of {path.name} are not in the new file")
    return content, remarks


def table_bytes(tree: Tree, system: System, explained: Sequence[Sequence[str]] = ()) -> tuple[bytes, list[str]]:
    """A spec as a table with a byte order mark, as spreadsheets want it, and what it can't carry.

    Args:
        tree: The spec's plain data.
        system: What it means; gives the runs their ids.
        explained: Rows of remarks for the top.
    """
    written: Written = table_of(tree.data, [run.id for run in system.runs])
    remarks = [f"a table can't carry {lost}" for lost in written.lost]
    given = [run.id for run in system.runs if not run.named]
    if given:
        remarks.append(f"runs without an id got one: {', '.join(given)}")
    return csv_text([*explained, *written.grid()]).encode("utf-8-sig"), remarks


def starting_table(text: str) -> bytes:
    """A starting spec in YAML as a table, its columns explained above the headings."""
    tree = read_tree(text, "the new spec", "yaml")
    content, _ = table_bytes(tree, build_system(load_document(tree), tree), list(_explained()))
    return content


def _explained() -> Iterator[list[str]]:
    yield from ([line] for line in TABLE_HEAD)
    yield from ([f"#   {column}", meaning] for column, meaning in EXPLAINED.items())
    yield [TABLE_FOOT]
    yield []


TABLE_HEAD: Final = (
    "# A spec as a table. A row that begins with # is a remark. Facts of the whole system come first: name and value.",
    "# Then one row for each component, with the wire that feeds it. Amounts have units: 1.2 m or 4 ft, 30 A, 10 AWG.",
    "# unknown: a fact nobody has, the check asks for it. An empty wire or rating is chosen for you. The columns:",
)
TABLE_FOOT: Final = (
    "#   Every other column is a key of a component or of its run: rigline explain NAME tells what it means."
)


def _unproved(content: bytes, syntax: str, system: System, folder: Path) -> list[str]:
    """Read the result again; what it says otherwise is told, and if it can't be read nothing is written."""
    try:
        tree = read_bytes(content, f"the {syntax} form", syntax)  # type: ignore[arg-type]  # one of the forms
        again = build_system(load_document(tree, folder), tree)
    except SpecError as error:
        raise CommandError(f"this spec can't be written as {syntax}: {error.problems[0].message}") from None
    different = list(differences(system, again))
    return [f"not the same as in the spec, compare them: {', '.join(different)}"] if different else []


def _remarks_in(text: str, syntax: str) -> int:
    """How many remarks a text has, near enough to tell: a # behind a space or at the start of a line."""
    if syntax == "json":
        return 0
    if syntax in TABLES:
        return len(re.findall(r'^"?#', text, re.MULTILINE))
    return len(re.findall(r"(?:^|\s)#", text, re.MULTILINE))
