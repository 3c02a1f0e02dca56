"""Where another voltage stands now: what was bought for the old one can burn, and its entry need not say so."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from rigline.changes.differences import turned
from rigline.changes.matching import Matching
from rigline.study.potentials import SAME_VOLTAGE_FRAC
from rigline.study.study import Study
from rigline.units import format_amount


def other_voltages(old: Study, new: Study, ids: Matching) -> Iterator[str]:
    """Each change of voltage in words, with every component that was there before and stands on it now.

    Batteries, which make the voltage, bars, which take any, and what the new state has for the first time are left out.
    """
    before, after = _terminals(old), _terminals(new)
    found: dict[tuple[float, float], dict[str, None]] = defaultdict(dict)
    for (id, terminal), now_v in after.items():
        then_v = before.get((ids.components.get(id, ""), terminal))
        if then_v is not None and abs(now_v - then_v) > SAME_VOLTAGE_FRAC * then_v:
            found[then_v, now_v][id] = None
    for (then_v, now_v), at in found.items():
        words = turned(format_amount(then_v, "v"), format_amount(now_v, "v"))
        yield f"voltage {words} at {', '.join(at)} (each must be made for it)"


def _terminals(study: Study) -> dict[tuple[str, str], float]:
    """Component and terminal -> nominal DC voltage between its two poles, where something fixes it."""
    found: dict[tuple[str, str], float] = {}
    for node in sorted(node for node in study.graph.graph if node.pole == "+"):
        held_v = study.potentials.between(node, node._replace(pole="-"))
        if held_v and study.graph.component_at(node).role not in ("storage", "bus"):
            found[node.component, node.terminal] = abs(held_v)
    return found
