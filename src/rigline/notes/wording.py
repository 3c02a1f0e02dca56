"""How notes write amounts and name things, the same in every list."""

from __future__ import annotations

from collections.abc import Iterable

from rigline.kinds import Component
from rigline.kinds.converters import Inverter
from rigline.kinds.devices import Breaker, Fuse, Overcurrent, Rcd
from rigline.kinds.sources import Generator, ShoreInlet
from rigline.study.study import Study
from rigline.units import format_amount

MOST_NAMED = 8
"""Components named in one sentence; the drawing and the tables have all."""


def volts(value_v: float) -> str:
    """A voltage as a multimeter shows it: two decimals on DC systems, whole volts of mains.

    >>> volts(13.3824), volts(119.6)
    ('13.38 V', '120 V')
    """
    return f"{value_v:.2f} V" if abs(value_v) < 100 else f"{value_v:.0f} V"


def amps(value_a: float) -> str:
    """A current to three digits; rounding noise of the solver is none.

    >>> amps(2.30000001), amps(1e-9)
    ('2.3 A', '0 A')
    """
    return format_amount(0.0 if abs(value_a) < 1e-6 else value_a, "a")


def listed(ids: Iterable[str]) -> str:
    """Some ids in one phrase.

    >>> listed(["F1"]), listed(["F1", "F2", "F3"])
    ('F1', 'F1, F2 and F3')
    """
    all = list(dict.fromkeys(ids))
    if len(all) > MOST_NAMED:
        return f"{', '.join(all[:MOST_NAMED])} and {len(all) - MOST_NAMED} more"
    return all[0] if len(all) == 1 else f"{', '.join(all[:-1])} and {all[-1]}" if all else "nothing"


def ac_off(study: Study) -> str:
    """Every source of AC as it must be while somebody works on it."""
    states = {ShoreInlet: "unplugged", Generator: "locked", Inverter: "off"}
    words = [
        f"{part.id} {state}" for part in study.system.components.values()
        for kind, state in states.items() if isinstance(part, kind)
    ]  # fmt: skip
    return ", ".join(words) or "No source of AC connected"


def wire_label(piece_id: str) -> str:
    """Id of a piece of wire with a minus sign that can be told from a hyphen.

    >>> wire_label("W1a-c-"), wire_label("W2b+")
    ('W1a-c−', 'W2b+')
    """
    return f"{piece_id[:-1]}−" if piece_id.endswith("-") else piece_id


def named(part: Component) -> str:
    """Id and name of a component, or its kind if its owner gave it no name."""
    return f"{part.id} ({part.name or part.title})"


def rated(study: Study, part: Component) -> str:
    """Id of a device with its rating and style, as on the label of the thing to be put in."""
    rating = study.rating_a(part.id) if isinstance(part, Overcurrent) else getattr(part, "rating_a", None)
    style = part.style if isinstance(part, Fuse) and part.style else ""
    shown = f"{rating:g} A" if rating is not None else "rating not known"
    return f"{part.id} ({' '.join(word for word in (shown, STYLES.get(style, style)) if word)})"


STYLES = {"class-t": "class T", "anl": "ANL", "gpv": "gPV"}
"""Styles of fuses whose name in a spec is not that of the trade."""


def is_fuse(part: Component) -> bool:
    """Whether a device is opened by taking something out, not by switching it off."""
    return isinstance(part, Fuse)


def opened(part: Component) -> str:
    """A device as it must be while nothing may be live behind it."""
    return f"{part.id} out" if is_fuse(part) else f"{part.id} OFF"


def closes(study: Study, part: Component) -> str:
    """The order to close a device."""
    if is_fuse(part):
        return f"Put in {rated(study, part)}"
    return f"Switch on {rated(study, part) if isinstance(part, Breaker | Rcd) else named(part)}"
