"""Every kind by the word that a spec uses for it."""

from __future__ import annotations

from rigline.kinds import converters, devices, distribution, earthing, loads, sources
from rigline.kinds.base import Component

_MODULES = (sources, converters, distribution, devices, loads, earthing)


def _collect() -> dict[str, type[Component]]:
    found: dict[str, type[Component]] = {}
    for module in _MODULES:
        for value in vars(module).values():
            if isinstance(value, type) and issubclass(value, Component) and value.kind and value.kind not in found:
                found[value.kind] = value
    return found


KINDS: dict[str, type[Component]] = _collect()


def kind_names() -> list[str]:
    """All kinds, sorted."""
    return sorted(KINDS)
