"""From an old and a new system to what is different.

What the tool chose counts like what was written: a wire that grew because a fuse did is a change for whoever has to
pull it. What only says something of a thing (its price, whether it is on the shelf) is noted, and marked nowhere. The
index and date of a revision, and the table of revisions, are no changes: they tell of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from msgspec import Struct
from msgspec.structs import replace

from rigline.changes.change import Aspect, Change, Changes, Kind
from rigline.changes.differences import NOTHING, Difference, differences, turned
from rigline.changes.judgements import judgements
from rigline.changes.matching import Matching, matched
from rigline.changes.needs import needs
from rigline.changes.voltages import other_voltages
from rigline.checks.run import Report
from rigline.kinds import Component
from rigline.model.describe import UNKNOWN, amount, ratings
from rigline.model.system import Run, System
from rigline.spec.document import Supply, Waiver
from rigline.spec.fields import keys_of
from rigline.study.study import Study
from rigline.units import format_amount

NOTED = frozenset({"note", "mass", "price", "have", "ordered", "status", "confirmed"})
"""Keys of components and runs that say nothing of what is built."""
PLACED = frozenset({"place", "enclosure"})
RATED = frozenset({"a", "v", "w", "wh", "ah"})
"""Units of what stands on a nameplate."""
ROUTED = ("length", "lengths", "return-to", "return-length", "place", "loom")
SIZED = frozenset({"wire", "conductors", "material", "earth-wire", "neutral-wire", "return-wire"})
_OF_A_REVISION = frozenset({"rigline", "revision", "date"})
_OF_A_HEADING = frozenset({"title", "author", "owner", "number", "note"})


def compare(old: Study, new: Study, old_report: Report, new_report: Report) -> Changes:
    """What is different in a new state of a system: what the drawing can show first, then the rest."""
    ids = matched(old.system, new.system)
    found = [*_components(old, new, ids), *_runs(old, new, ids), *_system(old, new, ids)]
    ordered = sorted(found, key=lambda change: (not change.marked, change.kinds == ("noted",)))
    return Changes(
        old=old,
        new=new,
        old_report=old_report,
        new_report=new_report,
        changes=tuple(replace(change, number=number) for number, change in enumerate(ordered, 1)),
        judgements=judgements(old_report, new_report, ids),
        needs=needs(old, new, ids),
    )


def _components(old: Study, new: Study, ids: Matching) -> Iterator[Change]:
    for component in new.system.components.values():
        was = ids.components.get(component.id)
        if was is None:
            aspects = [Aspect("added", _described(component, new))]
        else:
            aspects = _component(old.system.components[was], component, old, new)
        if aspects:
            yield Change(0, "component", component.id, was or "", component.display, tuple(aspects))
    for id, component in old.system.components.items():
        if id not in ids.components.values():
            gone = Aspect("removed", _described(component, old))
            yield Change(0, "component", id, id, component.display, (gone,))


def _described(component: Component, study: Study) -> str:
    rating = study.rating_a(component.id)
    return ", ".join([component.title, *(line for line in ratings(component, rating) if line)])


def _component(old: Component, new: Component, before: Study, after: Study) -> list[Aspect]:
    aspects = [Aspect("renamed", f"was {old.id}")] if old.id != new.id else []
    if old.kind != new.kind:
        return [*aspects, *_other_kind(old, new, before, after)]
    rating = _rating(old, new, before, after)
    found = differences(old, new, {"rating"} if hasattr(new, "rating_a") else set())
    return [*aspects, *rating, *(Aspect(_kind_of(one, new), one.text) for one in found)]


def _other_kind(old: Component, new: Component, before: Study, after: Study) -> Iterator[Aspect]:
    """Another thing under an id that was in use, as what it was and is on its nameplate."""
    yield Aspect("changed", turned(_described(old, before), _described(new, after)))
    for one in differences(old, new, keys_of(type(new)).keys() - {"name", *PLACED}):
        yield Aspect(_kind_of(one, new), one.text)


def _kind_of(difference: Difference, component: Component) -> Kind:
    if difference.key in NOTED:
        return "noted"
    if difference.key in PLACED:
        return "moved"
    suffixes = {form.suffix for form in keys_of(type(component))[difference.key]}
    return "re-rated" if suffixes & RATED else "changed"


def _rating(old: Component, new: Component, before: Study, after: Study) -> list[Aspect]:
    """What became of a rating: the one that holds, chosen or written."""
    if not hasattr(new, "rating_a"):
        return []
    words = _rated(old, before), _rated(new, after)
    if words[0] == words[1]:
        return []
    kept = before.rating_a(old.id) == after.rating_a(new.id) is not None
    return [Aspect("noted" if kept else "re-rated", f"rating {turned(*words)}")]


def _rated(component: Component, study: Study) -> str:
    stated: float | None = getattr(component, "rating_a", None)
    if stated is not None:
        return format_amount(stated, "a")
    if "rating" in component.unknown:
        return "unknown"
    chosen = study.rating_a(component.id)
    return NOTHING if chosen is None else f"{format_amount(chosen, 'a')} (chosen)"


def _runs(old: Study, new: Study, ids: Matching) -> Iterator[Change]:
    for run in new.system.runs:
        was = ids.runs.get(run.id)
        if was is None:
            aspects = [Aspect("added", f"{_path(run)}, {_wire(run, new)}")]
        else:
            aspects = _run(old.system.run(was), run, old, new, ids)
        if aspects:
            yield Change(0, "run", run.id, was or "", run.id, tuple(aspects))
    for run in old.system.runs:
        if run.id not in ids.runs.values():
            yield Change(0, "run", run.id, run.id, run.id, (Aspect("removed", f"{_path(run)}, {_wire(run, old)}"),))


def _run(old: Run, new: Run, before: Study, after: Study, ids: Matching) -> list[Aspect]:
    aspects = [Aspect("renamed", f"was {old.id}")] if old.id != new.id else []
    path = tuple(ids.renamed(entry) for entry in old.spec.path)
    aspects += [Aspect("re-routed", turned(_path(old), _path(new)))] if path != new.spec.path else []
    back = old.spec.return_to
    found = differences(replace(old.spec, return_to=back and ids.renamed(back)), new.spec, SIZED | {"id", "path"})
    aspects += [Aspect("re-routed", one.text) for one in found if one.key in ROUTED]
    aspects += _size(old, new, before, after)
    rest = (one for one in found if one.key not in ROUTED)
    return [*aspects, *(Aspect("noted" if one.key in NOTED else "changed", one.text) for one in rest)]


def _size(old: Run, new: Run, before: Study, after: Study) -> list[Aspect]:
    """What became of a run's wires: the ones that hold, chosen or written."""
    words = _wire(old, before), _wire(new, after)
    if words[0] == words[1]:
        return []
    kept = _conductors(old, before) == _conductors(new, after)
    return [Aspect("noted" if kept else "re-sized", f"wire {turned(*words)}")]


def _path(run: Run) -> str:
    length = f" {amount(run.spec.length_m, 'm')}" if run.spec.length_m is not None else ""
    return f"[{', '.join(run.spec.path)}]{length}"


def _wire(run: Run, study: Study) -> str:
    """A run's wires in words, each pole's own size where they differ."""
    poles = _conductors(run, study)
    sizes = dict.fromkeys(poles.values())
    chosen = " (chosen)" if run.id in study.sizes.wires else ""
    if len(sizes) == 1:
        return f"{next(iter(sizes))}{chosen}"
    return ", ".join(f"{pole} {size}" for pole, size in poles.items()) + chosen


def _conductors(run: Run, study: Study) -> Mapping[str, str]:
    """Number, size and material of the conductors of each pole."""
    count = f"{run.spec.conductors} × " if run.spec.conductors > 1 else ""
    material = study.limits.circumstances(run).material
    metal = "" if material == "copper" else f" {material}"
    found: dict[str, dict[str, None]] = {}
    for segment in run.segments:
        for conductor in segment.conductors:
            size = study.wiring.size(conductor)
            found.setdefault(conductor.pole, {})[f"{UNKNOWN} wire" if size is None else str(size)] = None
    return {pole: f"{count}{' and '.join(sizes)}{metal}" for pole, sizes in found.items()}


def _system(before: Study, after: Study, ids: Matching) -> Iterator[Change]:
    old, new = before.system, after.system
    aspects = [Aspect("noted" if one.key in _OF_A_HEADING else "changed", one.text)
               for one in differences(old.head, new.head, _OF_A_REVISION)]  # fmt: skip
    pairs: tuple[tuple[str, Struct, Struct], ...] = (
        ("conditions", old.conditions, new.conditions),
        ("defaults", old.defaults, new.defaults),
        ("supply", old.supply or Supply(), new.supply or Supply()),
    )
    aspects += [Aspect("changed", f"{name} {one.text}") for name, was, now in pairs for one in differences(was, now)]
    for id in dict.fromkeys((*old.places, *new.places)):
        aspects += [Aspect("changed", text) for text in _place(id, old, new)]
    aspects += [Aspect("changed", text) for text in other_voltages(before, after, ids)]
    aspects += [Aspect("noted", text) for text in _waivers(old.waivers, new.waivers, ids)]
    if aspects:
        yield Change(0, "system", "", "", new.head.title or "the system", tuple(aspects))


def _place(id: str, old: System, new: System) -> list[str]:
    if id not in old.places:
        return [f"place {id} is new"]
    if id not in new.places:
        return [f"place {id} is gone"]
    return [f"place {id} {one.text}" for one in differences(old.places[id], new.places[id])]


def _waivers(old: Iterable[Waiver], new: Iterable[Waiver], ids: Matching) -> Iterator[str]:
    before = {(one.rule, ids.now.get(one.at or "", one.at)): one for one in old}
    after = {(one.rule, one.at): one for one in new}
    for key in dict.fromkeys((*before, *after)):
        first, second = before.get(key), after.get(key)
        where = f"waiver of {key[0]} at {key[1]}"
        if first is None or second is None:
            yield f"{where} is {'new' if first is None else 'gone'}"
        elif first.reason != second.reason:
            yield f"{where}: reason {turned(str(first.reason), str(second.reason))}"
