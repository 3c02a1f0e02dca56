"""How the end of a wire lands on a component, and on which stud.

A stud is taken from the run, else from the component if it has one size of stud only. Anything else is a question: a
lug with the wrong hole is found out under the bench.
"""

from __future__ import annotations

from typing import Literal, cast

from msgspec import Struct

from rigline.kinds import Component
from rigline.kinds.loads import Motor
from rigline.model.system import EARTH, Node, Run
from rigline.standards.studs import Stud, parse_stud
from rigline.standards.supplies import ferrule_mm2, is_lug_size, landing_of
from rigline.standards.wire import WireSize

LARGEST_CLAMP_MM2 = 36.0
"""Above 2 AWG and 35 mm², a part that usually has clamps may have studs. Source: common practice."""

Landing = Literal["stud", "clamp", "lead", "plug", "rod", "factory", "unstated"]


class End(Struct, frozen=True):
    """One end of a piece of wire."""

    component: str
    terminal: str
    pole: str
    landing: Landing
    stud: Stud | None = None
    """The stud that it goes on, if the spec says it."""
    stated: tuple[str, ...] = ()
    """What the spec says of studs where that does not settle it: several, or no known size."""
    way: str = ""
    """The fuse or breaker that sits in the panel at this end."""

    @property
    def place(self) -> str:
        """The end in short, as in B1 +, INV1 case or DC1 way FA."""
        terminal = f".{self.terminal}" if self.terminal else ""
        way = f" way {self.way}" if self.way else ""
        return f"{self.component}{terminal}{way} {self.pole}".rstrip()

    def fitting(self, size: WireSize | None, solid: bool) -> str:
        """What goes on the wire at this end, in the words of the trade."""
        if self.landing == "stud":
            thing = "lug" if size is not None and is_lug_size(size) else "ring"
            return f"{thing} for {self.stud.text}" if self.stud else f"{thing}, stud?"
        if self.landing == "clamp":
            return "bare" if solid or size is None or ferrule_mm2(size) is None else "ferrule"
        return {"lead": "splice", "plug": "plug", "rod": "rod clamp", "factory": "fitted"}.get(self.landing, "?")


def end_at(
    component: Component, node: Node, run: Run, size: WireSize | None, *, first: bool, last: bool, way: str = ""
) -> End:
    """The end of a run's conductor or cable at one of its stops.

    Args:
        size: Size of the conductor, as far as it is known.
        first: Whether it is the run's first end, whose stud `stud: [M8, M10]` names first.
        last: Whether it is the run's last end.
        way: The device in the panel that it lands on.
    """
    of = "earth" if node.pole == EARTH and run.carries != "cores" else run.medium
    landing = _landing(component, of)
    studs = _stated(component, run, first, last)
    if run.spec.factory:
        landing = "factory"
    elif run.medium == "control":
        # A sense lead has a ring on a post or bar; signals end on the maker's own leads.
        landing = _landing(component, "dc") if component.role in ("storage", "bus") else "lead"
    elif studs and of != "ac" and landing != "plug":
        landing = "stud"
    elif landing == "clamp" and size is not None and size.area_mm2 > LARGEST_CLAMP_MM2:
        landing = "unstated"
    known = parse_stud(studs[0]) if landing == "stud" and len(studs) == 1 else None
    stated = studs if landing == "stud" and known is None else ()
    pole = "" if run.carries == "cores" or component.role == "earth" or node.pole == "S" else node.pole
    return End(node.component, node.terminal, "case" if pole == EARTH else pole, landing, known, stated, way)


def _landing(component: Component, of: str) -> Landing:
    if isinstance(component, Motor) and component.cranking and of == "dc":
        return "stud"
    style = getattr(component, "style", None)
    return cast(Landing, landing_of(component.kind, *((style,) if style else ()), of) or "unstated")


def _stated(component: Component, run: Run, first: bool, last: bool) -> tuple[str, ...]:
    own = run.spec.stud or ()
    if first and own:
        return own[:1]
    if last and len(own) > 1:
        return own[1:2]
    return component.stud or ()
