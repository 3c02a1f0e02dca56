"""Which terminals of a component a run can reach, by what the run carries."""

from __future__ import annotations

from collections.abc import Collection

from rigline.kinds import Component
from rigline.spec.references import CASE, Reference, ReferenceProblem, parse_reference

__all__ = ["CASE", "Reference", "ReferenceProblem", "choices", "media_of", "parse_reference", "terminals_for"]


def media_of(component: Component, terminal: str = "") -> frozenset[str]:
    """The media (dc, ac) that a component, or one terminal of it, can be joined to; empty if it takes either."""
    terminals = [t for t in component.terminals if t.medium != "control" and (not terminal or t.name == terminal)]
    if terminal and not terminals:
        return frozenset()
    media = {t.medium for t in terminals}
    return frozenset() if "any" in media else frozenset(str(medium) for medium in media)


def terminals_for(component: Component, medium: str) -> list[str]:
    """Names of a component's power terminals for a medium."""
    return [t.name for t in component.terminals if t.medium in (medium, "any")]


def choices(id: str, component: Component, among: Collection[str] | None = None) -> str:
    """The terminals that a path could say, for a message: "INV1.dc, INV1.ac-out or INV1.ac-in".

    Terminals that a component may lack (a second output) are left out while they are not all there is.
    """
    names = [t.name for t in component.terminals if t.name and t.medium != "control"]
    wanted = [name for name in names if among is None or name in among]
    usual = [name for name in wanted if name not in EXTRA_TERMINALS] or wanted
    spots = [f"{id}.{name}" for name in usual]
    return " or ".join([", ".join(spots[:-1]), spots[-1]]) if len(spots) > 1 else "".join(spots)


EXTRA_TERMINALS = frozenset({"ac-out2", "dc1", "dc2", "dc3"})
"""Terminals that few have; they count only where they are written."""
