"""What flows between two banks while the chargers of one charge the other through a relay or diodes.

The solved network shares a charger's current by resistance, which is right once both banks are equally full. The worst
of a link comes earlier: the near bank is full, the far one empty, and everything the chargers give goes to the far end.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.kinds.converters import Inverter
from rigline.model.system import Conductor, Node, Run
from rigline.study.demand import charging_output_a
from rigline.study.storage import Storage, charge_limit_a, charges_at, storages
from rigline.study.study import Study

PARTS = frozenset({"relay", "diode-isolator"})
"""What parts two banks of which one charges the other."""


def link_charge_a(study: Study, run: Run) -> float:
    """Greatest charging current along a run that links two banks, one way or the other; 0 if it links none.

    It is the least of what the chargers at one bank give and what the other bank may take.
    """
    first, last = run.segments[0].conductors[0], run.segments[-1].conductors[0]
    if first.pole != "+" or not _parted(study, run):
        return 0.0
    banks = storages(study)
    near, far = ([*_banks_at(study, banks, node)] for node in (first.a, last.b))
    pairs = [(x, y) for x in near for y in far if x is not y]
    return max((_charge_a(study, one, other) for x, y in pairs for one, other in ((x, y), (y, x))), default=0.0)


def _parted(study: Study, run: Run) -> bool:
    return any(study.system.components[stop.component].kind in PARTS for stop in run.stops)


def _banks_at(study: Study, banks: tuple[Storage, ...], node: Node) -> Iterator[Storage]:
    """The bank at one end of a run; where the run ends on the relay itself, the banks on its other side."""
    if study.graph.component_at(node).kind not in PARTS:
        yield from (bank for bank in banks if node in bank.net)
        return
    for edge, other in study.graph.edges_at(node):
        if not isinstance(edge, Conductor):
            yield from (bank for bank in banks if other in bank.net)


def _charge_a(study: Study, giving: Storage, taking: Storage) -> float:
    found = {node.component: study.graph.component_at(node) for node in giving.net
             if charges_at(study.graph.component_at(node), node.terminal)}  # fmt: skip
    volts = giving.strings[0].volts_v
    given = sum(
        charging_output_a(c, volts) or 0.0 for c in found.values() if not isinstance(c, Inverter) or c.charge_current_a
    )
    limits = [charge_limit_a(string.top)[0] for string in taking.strings]
    return given if None in limits else min(given, sum(limit or 0.0 for limit in limits))
