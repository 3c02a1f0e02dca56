"""Which component and terminal an entry of a path names: `B1-`, `INV1.dc`, or just `INV1`.

The reader uses it to refuse what isn't there together with every other mistake; the model to know what was meant.
"""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from rigline.errors import nearest
from rigline.kinds import Component

NAMED_POLES = {"+": "+", "-": "-", "L": "L1", "L1": "L1", "L2": "L2", "N": "N", "PE": "PE"}
DC_POLES = ("+", "-")
AC_POLES = ("L1", "L2", "N")
CASE = "case"
"""Terminal of any metal case; it is the component's protective earth."""


class Reference(Struct, frozen=True):
    """What one entry of a path says, before the missing terminals are filled in."""

    component: str
    terminal: str = ""
    pole: str = ""


class ReferenceProblem(Exception):
    """An entry of a path that names no component, or no terminal or pole of it."""


def component_of(text: str) -> str:
    """The id in an entry of a path, whether or not there is such a component."""
    return text.strip().rstrip("+-").partition(".")[0]


def parse_reference(text: str, components: Mapping[str, Component] | Mapping[str, type[Component] | None]) -> Reference:
    """The component, terminal and pole that an entry of a path names.

    Args:
        text: The entry.
        components: The components by id, or their kinds; None where the kind isn't known.

    Raises:
        ReferenceProblem: There is no such component, terminal or pole.
    """
    text = text.strip()
    if text in components:
        return Reference(text)
    body, pole = (text[:-1], text[-1]) if text[-1:] in DC_POLES else (text, "")
    id, dot, terminal = body.partition(".")
    if id not in components:
        raise ReferenceProblem(_unknown_component(id, list(components)))
    reference = _split(id, terminal, pole)
    component = components[id]
    if component is not None:
        _require_terminal(reference, bool(dot and not pole), component)
        _require_pole(reference, component)
    return reference


def _split(id: str, terminal: str, pole: str) -> Reference:
    if terminal in NAMED_POLES:
        return Reference(id, "", NAMED_POLES[terminal])
    if terminal == CASE:
        return Reference(id, CASE, "PE")
    return Reference(id, terminal, pole)


def _require_terminal(reference: Reference, dotted: bool, component: Component | type[Component]) -> None:
    known = [terminal.name for terminal in component.terminals if terminal.name]
    name = reference.terminal
    if name in (*known, CASE) or (not name and (reference.pole or not dotted)):
        return
    missing = f"has no terminal {name}" if name else "is followed by a dot without a terminal"
    near = nearest(name, [*known, CASE])
    if near:
        raise ReferenceProblem(f"{reference.component} {missing}; did you mean {reference.component}.{near}?")
    poles = [f"{reference.component}{pole}" for pole in DC_POLES] if "dc" in _media(component) and not known else []
    names = [reference.component, *poles, *(f"{reference.component}.{one}" for one in [*known, CASE])]
    raise ReferenceProblem(f"{reference.component} {missing}; write {', '.join(names[:-1])} or {names[-1]}")


def _require_pole(reference: Reference, component: Component | type[Component]) -> None:
    media = _media(component, reference.terminal)
    spot = f"{reference.component}.{reference.terminal}" if reference.terminal else reference.component
    if reference.pole in DC_POLES and media == {"ac"}:
        raise ReferenceProblem(f"{spot} is AC and has no pole {reference.pole}; its poles are L, N and PE")
    if reference.pole in AC_POLES and media == {"dc"}:
        raise ReferenceProblem(f"{spot} is DC and has no pole {reference.pole[:1]}; its poles are + and -")


def _media(component: Component | type[Component], terminal: str = "") -> frozenset[str]:
    return frozenset(one.medium for one in component.terminals if not terminal or one.name == terminal)


def _unknown_component(id: str, components: list[str]) -> str:
    near = nearest(id, components)
    return f"there is no component {id}" + (f"; did you mean {near}?" if near else "; list it under components:")
