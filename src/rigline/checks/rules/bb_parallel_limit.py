"""The more strings stand in parallel, the less evenly they share, and the more of them one bad cell takes down.

Three lead strings can be kept alike with care. Of lithium batteries the maker says how many, because the management
systems of all the others feed a failing one. Fewer and larger batteries do the same work with fewer joints.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.model.system import Conductor, Node
from rigline.study.storage import Storage, storages
from rigline.study.study import Study

SLUG = "bb-parallel-limit"
MOST_LEAD, MOST_LITHIUM = 3, 4
"""Strings in parallel where the maker gives no figure. Common practice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each bank with more strings in parallel than its maker or practice allows."""
    for storage in storages(study):
        own = [b.max_parallel for b in storage.batteries if b.max_parallel is not None]
        usual = MOST_LITHIUM if storage.is_lithium else MOST_LEAD
        most = min(own) if own else usual
        if storage.string_count > most and (own or not _each_fused(study, storage)):
            words = {
                "ground": "the maker allows" if own else "good practice is at most",
                "all": " and ".join(storage.ids),
            }
            severity = Severity.FAULT if own else Severity.ADVICE
            count = float(storage.string_count)
            yield Hit(storage.ids, count, float(most), "strings", severity=severity, words=words)


def _each_fused(study: Study, storage: Storage) -> bool:
    """Whether every string has an overcurrent device of its own."""
    tops = {s.top.id for s in storage.strings}
    return len(tops) == storage.string_count and all(_is_alone(study, id, tops) for id in tops)


def _is_alone(study: Study, id: str, tops: set[str]) -> bool:
    near = study.graph.reach(
        Node(id, "", "+"),
        lambda edge, node: (
            edge.a.pole == node.pole == edge.b.pole
            if isinstance(edge, Conductor)
            else edge.kind == "device" and not edge.protects and edge.a.pole == node.pole
        ),
    )
    return not {n.component for n in near} & (tops - {id})


CHECK = Check(
    slug=SLUG,
    title="too many strings in parallel",
    family="battery bank",
    severity=Severity.ADVICE,
    limit="At most 3 lead strings, or 4 lithium batteries, in parallel, or the maker's figure (max-parallel).",
    exceptions="Strings that each have a fuse of their own, where the maker gives no figure.",
    sources=(Source("strings in parallel share unevenly", "common practice"),),
    message=(
        "{all}: {found} strings in parallel, while {ground} {limit} {unit}. They share unevenly, and one bad "
        "cell drains all."
    ),
    remedy="Use fewer and larger batteries instead of {all}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A bank of small lead batteries
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 20 Ah, short-circuit: 200 A, parallel: 3}
  F1: {kind: fuse, style: class-t, rating: 10 A}
  LT1: {kind: dc-load, name: Lamps, current: 4 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, LT1], lengths: [100 mm, 2 m], wire: 12 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="parallel: 3",
        failing="parallel: 5",
        finds=("B1",),
    ),
)
