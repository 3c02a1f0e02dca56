"""What was chosen where the spec left it open: with the steps, and written into the spec."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from pathlib import Path

from rigline.spec.reading import SYNTAX_OF_ENDING, TABLES, read_file
from rigline.spec.writing import Edit, edited
from rigline.study.sizing import Choice
from rigline.study.study import Study

WIDTH = 80


def sizes_text(study: Study) -> str:
    """Every choice with the limit that decided, and every pair of limits that collide."""
    lines = [_choice(choice) for choice in study.sizes.choices]
    named = [f"{run.id}: this id for the run at line {run.mark.line}" for run in study.system.runs if not run.named]
    if not lines and not named:
        return "Nothing was left open: every wire, rating and id is given.\n"
    return "\n".join([*lines, *named]) + "\n"


def _choice(choice: Choice) -> str:
    text = f"{choice.subject}: {choice.value or 'not chosen'}: {choice.reason}"
    first = textwrap.fill(text, WIDTH, subsequent_indent="    ")
    collision = f"    these collide: {choice.collision}" if choice.collision else ""
    return "\n".join(
        line for line in (first, collision and textwrap.fill(collision, WIDTH, subsequent_indent="    ")) if line
    )


def with_sizes(path: Path, study: Study) -> bytes | None:
    """The file's bytes with every choice in its place; None if nothing was left open.

    Raises:
        CommandError: The form of the file does not allow it.
    """
    tree = read_file(path)
    edits = list(_edits(study))
    if not edits:
        return None
    syntax = SYNTAX_OF_ENDING.get(path.suffix.lower(), "yaml")
    # A sheet is no text; which forms can be edited, `edited` says.
    text = path.read_bytes().decode("utf-8-sig", "replace" if syntax in TABLES else "strict")
    return edited(text, tree, edits, syntax).encode()


def _edits(study: Study) -> Iterator[Edit]:
    for id, component in study.system.components.items():
        rating = study.rating_a(id)
        if (
            rating is not None
            and "rating_a" in component.__struct_fields__
            and getattr(component, "rating_a", None) is None
        ):
            yield Edit(("components", id), "rating", f"{rating:g} A")
    for run in study.system.runs:
        if not run.named:
            yield Edit(run.spec.mark, "id", run.id, first=True)
        if run.id in study.sizes.wires:
            yield Edit(run.spec.mark, "wire", str(study.sizes.wires[run.id]))
