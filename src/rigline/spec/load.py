"""A spec file becomes a document: parts files are read, components and runs are given their records."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path as FilePath
from typing import Any, TypeVar

from rigline.errors import SpecError
from rigline.kinds import KINDS, Component
from rigline.spec.document import PROFILES, Conditions, Defaults, Document, Head, Place, Revision, Supply, Waiver
from rigline.spec.fields import keys_of
from rigline.spec.limits import MOST_COMPONENTS
from rigline.spec.parts import Part, read_parts, with_part
from rigline.spec.reading import Tree
from rigline.spec.records import Collector, Path, key_remedy, read_component, read_record
from rigline.spec.runs import ID_RULE, Kinds, is_id, read_runs
from rigline.spec.values import is_unknown, shown

SECTIONS = ("conditions", "defaults", "supply", "places", "components", "runs", "waivers", "revisions", "parts")
T = TypeVar("T", Waiver, Revision)
FORMAT = 1
"""The version of the format that this program reads."""
MONTHS_OF_YEAR = 12


def load_document(tree: Tree, folder: FilePath | None = None) -> Document:
    """The document in a tree that was read.

    Args:
        tree: What the reader made of the text.
        folder: Where parts files may lie; None forbids them.

    Raises:
        SpecError: With every problem of the text; only what several runs say together is left to the model.
    """
    collector = Collector(tree)
    data = tree.data
    _refuse_unknown_sections(data, collector)
    parts = read_parts(_listed(data.get("parts"), "parts", collector), folder, collector)
    components, kinds = _components(data, parts, collector)
    document = Document(
        head=_head(data, collector),
        conditions=_conditions(data, collector),
        defaults=_section(data, "defaults", Defaults, collector),
        supply=_section(data, "supply", Supply, collector) if "supply" in data else None,
        places=_places(data.get("places"), collector),
        components=components,
        runs=read_runs(_listed(data.get("runs"), "runs", collector), kinds, collector),
        waivers=_entries(data.get("waivers"), Waiver, collector),
        revisions=_entries(data.get("revisions"), Revision, collector),
        parts_digests=tuple(dict.fromkeys(part.tree.digest for part in parts.values())),
    )
    if collector.problems:
        raise SpecError(collector.problems)
    return document


def _refuse_unknown_sections(data: Mapping[str, Any], collector: Collector) -> None:
    known = [*SECTIONS, *keys_of(Head)]
    for key in data:
        if key not in known:
            remedy = key_remedy(key, known, Head)
            collector.add((key,), "", f"there is no key {key} at the top of a spec", remedy=remedy, key=True)


def _head(data: Mapping[str, Any], collector: Collector) -> Head:
    scalars = {key: value for key, value in data.items() if key in keys_of(Head)}
    if "rigline" not in scalars:
        collector.add((), "", "say which version of the format it is", remedy=f"begin with rigline: {FORMAT}")
    elif str(scalars["rigline"]).strip() != str(FORMAT):
        del scalars["rigline"]
        message = f"this program reads version {FORMAT} of the format"
        collector.add(("rigline",), "rigline", message, got=shown(data["rigline"]), remedy=f"write rigline: {FORMAT}")
    if scalars.get("profile") is None or is_unknown(scalars["profile"]):
        scalars.pop("profile", None)
        remedy = f"add profile: with one of {', '.join(PROFILES)}"
        collector.add(("profile",), "", "say which set of rules applies", remedy=remedy)
    return read_record(scalars, Head, (), "", collector) or Head()


def _section(data: Mapping[str, Any], key: str, record: type[Any], collector: Collector) -> Any:
    if data.get(key) is None:
        return record()
    return read_record(data[key], record, (key,), key, collector) or record()


def _conditions(data: Mapping[str, Any], collector: Collector) -> Conditions:
    conditions: Conditions = _section(data, "conditions", Conditions, collector)
    months = conditions.sun_h_per_day
    if months is not None and len(months) != MONTHS_OF_YEAR:
        message = f"give {MONTHS_OF_YEAR} amounts, one for each month from January"
        collector.add(("conditions", "sun"), "conditions sun", message, got=str(len(months)))
    return conditions


def _places(data: object, collector: Collector) -> dict[str, Place]:
    if data is None:
        return {}
    if not isinstance(data, dict):
        collector.add(("places",), "places", "give places by name, as in {locker: {max: 40 °C}}", got=shown(data))
        return {}
    found = {}
    for name, fields in data.items():
        place = read_record(fields if fields is not None else {}, Place, ("places", name), f"place {name}", collector)
        found[name] = place or Place()
    return found


_WHOLE = {Waiver: ("rule", "at", "reason"), Revision: ("revision", "date", "change")}
"""Keys without which an entry of a list says nothing."""


def _entries(data: object, record: type[T], collector: Collector) -> tuple[T, ...]:
    """The waivers or the revisions."""
    one = record.__name__.casefold()
    found = []
    for index, fields in enumerate(_listed(data, f"{one}s", collector)):
        path: Path = (f"{one}s", index)
        entry = read_record(fields, record, path, f"{one} {index + 1}", collector)
        if entry is None:
            continue
        keys = _WHOLE[record]
        if missing := [key for key in keys if getattr(entry, key) is None]:
            remedy = f"a {one} has {', '.join(keys[:-1])} and {keys[-1]}"
            collector.add(path, f"{one} {index + 1}", f"say its {' and '.join(missing)}", remedy=remedy)
        found.append(entry)
    return tuple(found)


def _components(
    data: Mapping[str, Any], parts: Mapping[str, Part], collector: Collector
) -> tuple[dict[str, Component], Kinds | None]:
    """The components without problems, and the kinds of all that are listed; None if there is no list."""
    section = data.get("components")
    if not isinstance(section, dict) or not section:
        path: Path = ("components",) if "components" in data else ()
        got = "nothing" if section in (None, {}, []) else shown(section)
        collector.add(path, "components", "list the components by id, as in {B1: {kind: battery}}", got=got)
        return {}, None
    if len(section) > MOST_COMPONENTS:
        collector.add(("components",), "components", f"at most {MOST_COMPONENTS} components", got=str(len(section)))
        return {}, None
    found: dict[str, Component] = {}
    kinds: dict[str, type[Component] | None] = {}
    for id, fields in section.items():
        whole = _component_fields(id, fields, parts, collector)
        kinds[id] = KINDS.get(str(whole.get("kind"))) if isinstance(whole, dict) else None
        component = None if whole is None else read_component(whole, id, ("components", id), collector)
        if component is not None:
            found[id] = component
    return found, kinds


def _component_fields(id: str, fields: object, parts: Mapping[str, Part], collector: Collector) -> object:
    """What the author and the part say of a component; None if that is a problem already."""
    path: Path = ("components", id)
    if not is_id(id):
        collector.add(path, f"component {id}", ID_RULE, key=True)
    if fields is None:
        collector.add(path, id, "give the component's fields, as in {kind: fuse, rating: 30 A}", got="nothing")
        return None
    return with_part(fields, parts, path, id, collector)


def _listed(data: object, where: str, collector: Collector) -> list[Any]:
    if data is None:
        return []
    if not isinstance(data, list):
        example = {
            "parts": "[my-parts.yaml]",
            "runs": "- {id: W1, path: [B1, F1]}",
            "waivers": "- {rule: ..., at: W1, reason: ...}",
            "revisions": "- {revision: B, date: 2026-11-20, change: ...}",
        }
        collector.add((where,), where, f"give a list, as in {example[where]}", got=shown(data))
        return []
    if len(data) > MOST_COMPONENTS:
        collector.add((where,), where, f"at most {MOST_COMPONENTS} {where}", got=str(len(data)))
        return []
    return data
