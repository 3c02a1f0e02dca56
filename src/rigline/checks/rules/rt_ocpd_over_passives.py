"""A switch, relay or plug must carry for ever whatever the fuse ahead of it lets through.

These parts have no protection of their own: their contacts and studs heat up slowly under a current that the fuse
still accepts, loosen, and melt their cases. The weakest part of a circuit decides how large its fuse may be.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds import Component
from rigline.kinds.devices import Overcurrent, Shunt, Switch
from rigline.study.ahead import Ahead, passed_through
from rigline.study.causes import exceeds
from rigline.study.study import Study

SLUG = "rt-ocpd-over-passives"
_BRANCH_SWITCH_FRAC = 1.5
"""A boat's switch whose load is within its rating may stand behind this much more. Source: ABYC E-11, from memory."""
_PLAIN_JOINTS = ("junction",)
"""Kinds that often state no rating, being as good as the wire that ends in them."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each part without protection of its own that more can pass through than it is rated for."""
    for id, component in sorted(study.system.components.items()):
        if not _carries_power(component):
            continue
        through = passed_through(study, id)
        if through:
            yield from _judge(study, component, getattr(component, "rating_a", None), through)


def _carries_power(component: Component) -> bool:
    if isinstance(component, Overcurrent | Shunt) or getattr(component, "overcurrent_a", None) is not None:
        return False
    return component.role == "bus" or (component.role == "inline" and component.breaks != "earth")


def _judge(study: Study, component: Component, rating_a: float | None, through: list[Ahead]) -> Iterator[Hit | Missing]:
    worst = max(through, key=lambda one: one.amps_a)
    if rating_a is None:
        if component.kind not in _PLAIN_JOINTS or "rating" in component.unknown:
            yield Missing((component.id,), f"rating of {component.id}")
    elif exceeds(worst.amps_a, rating_a):
        if not _is_branch_switch(study, component, rating_a, worst):
            at = (component.id, *worst.devices)
            ahead = f"{', '.join(worst.devices) or 'what feeds it'} {'let' if worst.devices[1:] else 'lets'}"
            yield Hit(at, worst.amps_a, rating_a, "A", (worst.run,), words={"ahead": ahead}, field="rating")
    elif unknown := {name for one in through if exceeds(one.loose_a, rating_a) for name in one.unknown}:
        yield Missing((component.id,), ", ".join(sorted(unknown)))


def _is_branch_switch(study: Study, component: Component, rating_a: float, worst: Ahead) -> bool:
    if not isinstance(component, Switch) or study.profile.name != "us-boat":
        return False
    load_a = study.conductors[worst.conductor].current_a
    return not exceeds(load_a, rating_a) and not exceeds(worst.amps_a, _BRANCH_SWITCH_FRAC * rating_a)


CHECK = Check(
    slug=SLUG,
    title="switch, relay, bar or plug rated below the device ahead of it",
    family="overcurrent",
    severity=Severity.DANGER,
    limit="The device that limits the current through a part is at most the part's continuous rating.",
    exceptions=(
        "Cranking paths, which have no device; on US boats a switch whose load is within its rating may stand behind "
        "150 % of it (ABYC E-11, from memory). Shunts are judged by mo-shunt-rating."
    ),
    sources=(
        Source("NEC 110.10 and 404.14", "from memory"),
        Source("33 CFR 183.455 and ABYC E-11", "from memory"),
        Source("ISO 13297, switches carry the greatest current", "from memory"),
    ),
    message=(
        "{ahead} {found} A through {at}, which is rated {limit} A: its contacts or studs can overheat and melt "
        "while nothing opens."
    ),
    remedy="Replace {at} by one rated {found} A or more, or fit {limit} A or less ahead of it.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A battery switch as strong as its fuse
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: anl, rating: 150 A}
  Q1: {kind: switch, name: Battery switch, rating: 200 A}
  M1: {kind: motor, name: Windlass, current: 90 A}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, Q1, M1], lengths: [100 mm, 0.5 m, 1.5 m], wire: 2 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, wire: 2 AWG}
""",
        passing="rating: 200 A",
        failing="rating: 90 A",
        finds=("Q1", "F1"),
    ),
)
