"""A spec file becomes a document: parts files are read, components and runs are given their records."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path as FilePath
from typing import Any

from rigline.errors import CommandError, SpecError, nearest
from rigline.kinds import Component
from rigline.spec.document import CORES, Conditions, Defaults, Document, Head, Place, RunSpec, Supply, Waiver
from rigline.spec.fields import keys_of
from rigline.spec.reading import Tree, read_file
from rigline.spec.records import Collector, Path, read_component, read_record

SECTIONS = ("conditions", "defaults", "supply", "places", "components", "runs", "waivers", "parts")
FORMAT = 1
"""The version of the format that this program reads."""
MOST_COMPONENTS = 5_000
"""Largest number of components, and of runs, that are read."""
_ID = re.compile(r"[^\W_](?:[\w\-/]*\w)?")
"""An id: letters and digits, with _ - / between them. No dot, plus or minus at the end: those name terminals."""


def load_document(tree: Tree, folder: FilePath | None = None) -> Document:
    """The document in a tree that was read, or a SpecError with every problem in it.

    Args:
        tree: What the reader made of the text.
        folder: Where parts files may lie; None forbids them.
    """
    collector = Collector(tree)
    data = tree.data
    _refuse_unknown_sections(data, collector)
    head = _head(data, collector)
    document = Document(
        head=head,
        conditions=_section(data, "conditions", Conditions, collector),
        defaults=_section(data, "defaults", Defaults, collector),
        supply=_section(data, "supply", Supply, collector) if "supply" in data else None,
        places=_places(data.get("places"), collector),
        components=_components(data, _parts(data.get("parts"), folder, collector), collector),
        runs=_runs(data.get("runs"), collector),
        waivers=_waivers(data.get("waivers"), collector),
    )
    if collector.problems:
        raise SpecError(collector.problems)
    return document


def _refuse_unknown_sections(data: Mapping[str, Any], collector: Collector) -> None:
    known = [*SECTIONS, *keys_of(Head)]
    for key in data:
        if key not in known:
            near = nearest(key, known)
            remedy = f"did you mean {near}?" if near else f"keys here are {', '.join(sorted(known))}"
            collector.add((key,), "", f"there is no key {key} at the top of a spec", remedy=remedy, key=True)


def _head(data: Mapping[str, Any], collector: Collector) -> Head:
    scalars = {key: value for key, value in data.items() if key in keys_of(Head)}
    head = read_record(scalars, Head, (), "spec", collector) or Head()
    version = scalars.get("rigline")
    if version is None:
        collector.add((), "spec", "say which version of the format it is", remedy=f"begin with rigline: {FORMAT}")
    elif head.rigline not in (None, FORMAT):
        collector.add(
            ("rigline",), "rigline", f"this program reads version {FORMAT} of the format", got=str(head.rigline)
        )
    return head


def _section(data: Mapping[str, Any], key: str, record: type[Any], collector: Collector) -> Any:
    if data.get(key) is None:
        return record()
    return read_record(data[key], record, (key,), key, collector) or record()


def _places(data: object, collector: Collector) -> dict[str, Place]:
    if data is None:
        return {}
    if not isinstance(data, dict):
        collector.add(("places",), "places", "give places by name, as in {locker: {max: 40 °C}}")
        return {}
    found = {}
    for name, fields in data.items():
        place = read_record(fields if fields is not None else {}, Place, ("places", name), f"place {name}", collector)
        found[name] = place or Place()
    return found


def _waivers(data: object, collector: Collector) -> tuple[Waiver, ...]:
    found = []
    for index, fields in enumerate(_listed(data, "waivers", collector)):
        path: Path = ("waivers", index)
        waiver = read_record(fields, Waiver, path, f"waiver {index + 1}", collector)
        if waiver is None:
            continue
        for key in ("rule", "at", "reason"):
            if getattr(waiver, key) is None:
                collector.add(path, f"waiver {index + 1}", f"say its {key}", remedy="a waiver has rule, at and reason")
        found.append(waiver)
    return tuple(found)


def _components(
    data: Mapping[str, Any], parts: Mapping[str, Mapping[str, Any]], collector: Collector
) -> dict[str, Component]:
    section = data.get("components")
    if not isinstance(section, dict) or not section:
        collector.add(
            ("components",) if "components" in data else (),
            "components",
            "list the components by id, as in {B1: {kind: battery}}",
            got="nothing" if section in (None, {}) else "a list" if isinstance(section, list) else str(section),
        )
        return {}
    if len(section) > MOST_COMPONENTS:
        collector.add(("components",), "components", f"at most {MOST_COMPONENTS} components", got=str(len(section)))
        return {}
    found = {}
    for id, fields in section.items():
        path: Path = ("components", id)
        if not _ID.fullmatch(id) or len(id) > 40:
            collector.add(
                path, f"component {id}", "an id has letters and digits, with _ - or / between them (40 at most)", key=True
            )
        component = read_component(_with_part(fields, parts, path, id, collector), id, path, collector)
        if component is not None:
            found[id] = component
    return found


def _with_part(
    fields: object, parts: Mapping[str, Mapping[str, Any]], path: Path, id: str, collector: Collector
) -> object:
    if not isinstance(fields, dict) or "part" not in fields:
        return fields
    name = str(fields["part"])
    if name not in parts:
        near = nearest(name, parts)
        remedy = f"did you mean {near}?" if near else "list the file that holds it under parts:"
        collector.add((*path, "part"), f"{id} part", "no such part in the parts files", got=name, remedy=remedy)
        return fields
    return {**parts[name], **fields}


def _parts(data: object, folder: FilePath | None, collector: Collector) -> dict[str, Mapping[str, Any]]:
    found: dict[str, Mapping[str, Any]] = {}
    for index, name in enumerate(_listed(data, "parts", collector)):
        path: Path = ("parts", index)
        file = _inside(folder, name)
        if file is None:
            collector.add(
                path, "parts", "a parts file must lie in the spec's own folder or below it", got=str(name),
                remedy="copy the file there and give its name",
            )  # fmt: skip
            continue
        found.update(_parts_file(file, path, collector))
    return found


def _inside(folder: FilePath | None, name: object) -> FilePath | None:
    """The file that a name means, if it truly lies in the folder: links and dots are followed first."""
    if folder is None or not isinstance(name, str) or "\0" in name:
        return None
    root = folder.resolve()
    file = (root / name).resolve()
    return file if file.is_relative_to(root) and file != root else None


def _parts_file(file: FilePath, path: Path, collector: Collector) -> dict[str, Mapping[str, Any]]:
    if not file.is_file():
        collector.add(path, "parts", "there is no such file", got=file.name, remedy="check the name")
        return {}
    try:
        tree = read_file(file)
    except SpecError as error:
        collector.problems.extend(error.problems)
        return {}
    except CommandError as error:
        collector.add(path, "parts", str(error), got=file.name)
        return {}
    records = tree.data.get("parts")
    if not isinstance(records, dict):
        collector.add(path, "parts", "a parts file holds parts: with records by name", got=file.name)
        return {}
    return {name: record for name, record in records.items() if isinstance(record, dict)}


def _listed(data: object, where: str, collector: Collector) -> list[Any]:
    if data is None:
        return []
    if not isinstance(data, list):
        collector.add((where,), where, "give a list", got="a mapping" if isinstance(data, dict) else str(data))
        return []
    return data


def _runs(data: object, collector: Collector) -> tuple[RunSpec, ...]:
    listed = _listed(data, "runs", collector)
    if len(listed) > MOST_COMPONENTS:
        collector.add(("runs",), "runs", f"at most {MOST_COMPONENTS} runs", got=str(len(listed)))
        return ()
    found = []
    for index, fields in enumerate(listed):
        path: Path = ("runs", index)
        name = fields.get("id") if isinstance(fields, dict) else None
        where = f"run {name}" if isinstance(name, str) else f"run {index + 1}"
        run = read_record(fields, RunSpec, path, where, collector, mark=path)
        if run is not None and _run_is_whole(run, path, where, collector):
            found.append(run)
    _refuse_repeated_ids(found, collector)
    return tuple(found)


def _run_is_whole(run: RunSpec, path: Path, where: str, collector: Collector) -> bool:
    before = len(collector.problems)
    if run.id is not None and not _ID.fullmatch(run.id):
        collector.add((*path, "id"), where, "an id has letters and digits, with _ - or / between them")
    if len(run.path) < 2:
        collector.add((*path, "path"), where, "a run goes from one component to another, as in path: [B1, F1]")
    if run.length_m is not None and run.lengths_m is not None:
        collector.add((*path, "lengths"), where, "give length (the whole path) or lengths (each stretch), not both")
    stretches = len(run.path) - 1
    if run.lengths_m is not None and len(run.lengths_m) != stretches:
        collector.add(
            (*path, "lengths"), where, f"the path has {stretches} stretches", got=f"{len(run.lengths_m)} lengths",
            remedy="give one length for each stretch",
        )  # fmt: skip
    for core in run.cores or ():
        if core not in CORES:
            collector.add((*path, "cores"), where, f"cores are {', '.join(CORES)}", got=core)
    if len(set(run.cores or ())) != len(run.cores or ()):
        collector.add((*path, "cores"), where, "name each core once")
    return len(collector.problems) == before


def _refuse_repeated_ids(runs: list[RunSpec], collector: Collector) -> None:
    seen: set[str] = set()
    for run in runs:
        if run.id is not None and run.id in seen:
            collector.add((*run.mark, "id"), f"run {run.id}", "another run has this id", remedy="give each run its own")
        seen.add(run.id or "")
