"""Which terminals of a component a run can reach, by what the run carries."""

from __future__ import annotations

from rigline.kinds import Component
from rigline.spec.references import CASE, Reference, ReferenceProblem, parse_reference

__all__ = ["CASE", "Reference", "ReferenceProblem", "media_of", "parse_reference", "terminals_for"]


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
