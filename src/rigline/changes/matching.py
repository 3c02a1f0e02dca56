"""Which component and run of the new system is which of the old one.

Whoever bears the same id is the same, even on another route or of another rating. A component under a new id is an old
one if nothing else of it changed and it stands at the same places of the same runs. A run without an id is the run
with the same path.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Set
from functools import cached_property

from msgspec import Struct

from rigline.changes.differences import differences
from rigline.kinds import Component
from rigline.model.system import Run, System
from rigline.spec.references import component_of

_OF_A_NAME = frozenset({"name", "note"})
"""What may change with the id without making another thing of a component."""


class Matching(Struct, frozen=True, dict=True):
    """New id -> old id, of everything that both systems have."""

    components: Mapping[str, str]
    runs: Mapping[str, str]

    @cached_property
    def now(self) -> Mapping[str, str]:
        """Old id of a component or run -> its new id."""
        return {old: new for ids in (self.components, self.runs) for new, old in ids.items()}

    def renamed(self, entry: str) -> str:
        """An entry of an old path, as in F1.in, as it would read in the new spec."""
        id = component_of(entry)
        return self.now.get(id, id) + entry[len(id) :]


def matched(old: System, new: System) -> Matching:
    """What of the new system was there in the old one."""
    components = {id: id for id in new.components if id in old.components} | _renamed(old, new)
    return Matching(components, _runs(old, new, Matching(components, {})))


def _renamed(old: System, new: System) -> dict[str, str]:
    """New id -> old id of components that are the same but for it; none that could be one of two."""
    found: dict[str, str] = {}
    for by_id in (True, False):
        gone = {id for id in old.components if id not in new.components and id not in found.values()}
        come = {id for id in new.components if id not in old.components and id not in found}
        before, after = _stands(old, gone, by_id), _stands(new, come, by_id)
        pairs = [
            (id, was)
            for id in new.components
            if id in come
            for was in old.components
            if was in gone
            if before[was] == after[id] and _alike(old.components[was], new.components[id])
        ]
        news, olds = Counter(id for id, _ in pairs), Counter(was for _, was in pairs)
        found |= {id: was for id, was in pairs if news[id] == olds[was] == 1}
    return found


def _alike(old: Component, new: Component) -> bool:
    return old.kind == new.kind and not differences(old, new, _OF_A_NAME)


def _stands(system: System, ids: Set[str], by_id: bool) -> dict[str, frozenset[tuple[object, ...]]]:
    """Where each of some components stands: run and place on its path. A run without an id, or each if it was given or
    lost one since, is told by what else it joins.
    """
    found: dict[str, set[tuple[object, ...]]] = {id: set() for id in ids}
    for run in system.runs:
        stops = [component_of(entry) for entry in run.spec.path]
        name: object = run.id if run.named and by_id else tuple("" if stop in ids else stop for stop in stops)
        for index, stop in enumerate(stops):
            if stop in ids:
                found[stop].add((name, index))
    return {id: frozenset(stands) for id, stands in found.items()}


def _runs(old: System, new: System, components: Matching) -> dict[str, str]:
    """New id -> old id of runs: by the id that an author gave, then by path, the most alike ones first."""
    found = {run.id: run.id for run in new.runs if run.named and run.id in old.runs_by_id and old.run(run.id).named}
    ways: tuple[Callable[[Run, Run], bool], ...] = (
        lambda one, other: one.carries == other.carries and not differences(other.spec, one.spec, {"id", "path"}),
        lambda one, other: one.carries == other.carries,
        lambda one, other: True,
    )
    for alike in ways:
        taken = set(found.values())
        left: dict[tuple[str, ...], list[Run]] = {}
        for run in old.runs:
            if run.id not in taken:
                left.setdefault(tuple(components.renamed(entry) for entry in run.spec.path), []).append(run)
        for run in new.runs:
            rest = left.get(run.spec.path, []) if run.id not in found else []
            other = next((one for one in rest if alike(run, one)), None)
            if other is not None:
                found[run.id] = other.id
                rest.remove(other)
    return found
