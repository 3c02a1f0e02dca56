"""The author's own parts files: component records by name, read from the spec's folder and nowhere else."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path as FilePath
from typing import Any

from msgspec import Struct

from rigline.errors import SpecError, nearest
from rigline.spec.reading import SYNTAX_OF_ENDING, TABLES, Tree, bytes_of_file, read_bytes
from rigline.spec.records import Borrowed, Collector, Path
from rigline.spec.values import shown


class Part(Struct, frozen=True):
    """One record of a parts file, with the tree that knows its place."""

    fields: Mapping[str, Any]
    tree: Tree


def read_parts(names: list[Any], folder: FilePath | None, collector: Collector) -> dict[str, Part]:
    """The records of all parts files by name.

    Args:
        names: The files, relative to the folder.
        folder: The spec's own folder; None forbids parts files (a spec from stdin has no folder).
        collector: Takes the problems.
    """
    found: dict[str, Part] = {}
    for index, name in enumerate(names):
        path: Path = ("parts", index)
        file = _inside(folder, name)
        if file is None:
            collector.add(
                path, "parts", "a parts file must lie in the spec's own folder or below it", got=shown(name),
                remedy="copy the file there and give its name",
            )  # fmt: skip
            continue
        for part, record in _parts_file(file, str(name), path, collector).items():
            if part in found:
                collector.add(path, "parts", f"part {part} stands in two parts files", remedy="keep one of the two")
            found[part] = record
    return found


def parts_files(tree: Tree, folder: FilePath) -> tuple[FilePath, ...]:
    """The parts files that a spec names, whether they are there or not; for whoever watches them."""
    names = tree.data.get("parts")
    found = (_inside(folder, name) for name in names) if isinstance(names, list) else ()
    return tuple(file for file in found if file is not None)


def with_part(fields: object, parts: Mapping[str, Part], path: Path, id: str, collector: Collector) -> object:
    """A component's fields with those of its part behind them: what the component says itself counts first."""
    if not isinstance(fields, dict) or "part" not in fields:
        return fields
    name = shown(fields["part"])
    if name not in parts:
        near = nearest(name, parts)
        remedy = f"did you mean {near}?" if near else "list the file that holds it, as in parts: [my-parts.yaml]"
        collector.add((*path, "part"), f"{id} part", "no such part in the parts files", got=name, remedy=remedy)
        return None
    part = parts[name]
    collector.borrowed |= {(*path, key): Borrowed(part.tree, name) for key in part.fields if key not in fields}
    return {**part.fields, **fields}


def _inside(folder: FilePath | None, name: object) -> FilePath | None:
    """The file that a name means, if it truly lies in the folder: links and dots are followed first."""
    if folder is None or not isinstance(name, str):
        return None
    try:
        root = folder.resolve()
        file = (root / name).resolve()
    except (OSError, RuntimeError, ValueError):
        return None
    return file if file.is_relative_to(root) and file != root else None


def _parts_file(file: FilePath, name: str, path: Path, collector: Collector) -> dict[str, Part]:
    """The records of one file; its problems name it as the author did, from where the spec lies."""
    syntax = SYNTAX_OF_ENDING.get(file.suffix.casefold())
    if syntax is None or syntax in TABLES:
        endings = ", ".join(ending for ending, syntax in SYNTAX_OF_ENDING.items() if syntax not in TABLES)
        collector.add(path, "parts", f"a parts file's name ends in {endings}", got=name)
        return {}
    try:
        tree = read_bytes(bytes_of_file(file), str(FilePath(collector.tree.name).parent / name), syntax)
    except OSError:
        collector.add(path, "parts", "there is no such file, or it can't be read", got=name, remedy="check the name")
        return {}
    except SpecError as error:
        collector.problems.extend(error.problems)
        return {}
    return _records(tree, path, name, collector)


def _records(tree: Tree, path: Path, name: str, collector: Collector) -> dict[str, Part]:
    records = tree.data.get("parts")
    if not isinstance(records, dict):
        collector.add(
            path, "parts", "a parts file holds records by name, as in parts: {MY-FUSE: {kind: fuse, rating: 30 A}}",
            got=name,
        )  # fmt: skip
        return {}
    inside = Collector(tree)
    for part, fields in records.items():
        if not isinstance(fields, dict):
            inside.add(("parts", part), f"part {part}", "give its fields, as in {kind: fuse}", got=shown(fields))
        elif "part" in fields:
            inside.add(("parts", part, "part"), f"part {part}", "a part can't take another part", remedy="delete it")
    collector.problems.extend(inside.problems)
    return {part: Part(fields, tree) for part, fields in records.items() if isinstance(fields, dict)}
