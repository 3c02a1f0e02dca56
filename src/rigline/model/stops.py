"""Which terminal of which component a path means: `B1-`, `INV1.dc`, or just `INV1` where only one fits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from rigline.kinds import Component

NAMED_POLES = {"+": "+", "-": "-", "L": "L1", "L1": "L1", "L2": "L2", "N": "N", "PE": "PE"}
CASE = "case"
"""Terminal of any metal case; it is the component's protective earth."""


@dataclass(frozen=True)
class Reference:
    """What one entry of a path says, before the missing terminals are filled in."""

    component: str
    terminal: str = ""
    pole: str = ""


class StopProblem(Exception):
    """An entry of a path that names no component or no terminal of it."""


def parse_reference(text: str, components: Mapping[str, Component]) -> Reference:
    """The component, terminal and pole that an entry of a path names."""
    text = text.strip()
    if text in components:
        return Reference(text)
    body, pole = (text[:-1], text[-1]) if text[-1:] in "+-" and text else (text, "")
    id, dot, terminal = body.partition(".")
    if id not in components:
        raise StopProblem(_unknown_component(id, components))
    if not dot:
        return Reference(id, "", pole)
    if terminal in NAMED_POLES:
        return Reference(id, "", NAMED_POLES[terminal])
    if terminal == CASE:
        return Reference(id, CASE, "PE")
    known = [t.name for t in components[id].terminals if t.name]
    if terminal not in known and not (terminal == "" and pole):
        names = ", ".join(f"{id}.{name}" for name in [*known, CASE])
        raise StopProblem(f"{id} has no terminal {terminal}; it has {names}")
    return Reference(id, terminal, pole)


def _unknown_component(id: str, components: Mapping[str, Component]) -> str:
    from rigline.errors import nearest

    near = nearest(id, components)
    return f"there is no component {id}" + (f"; did you mean {near}?" if near else "; list it under components:")


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
