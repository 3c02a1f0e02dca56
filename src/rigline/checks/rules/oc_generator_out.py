"""A generator without a breaker feeds a short until its engine stalls. A breaker far above its rating never opens at
all, and a wire below it overheats at full load.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.exposed import exposed_hits
from rigline.findings import Severity
from rigline.graph.build import Edge
from rigline.kinds.sources import Generator
from rigline.model.system import HOT_LEGS, Conductor, Node
from rigline.study.causes import consumers_in, exceeds
from rigline.study.demand import leg_voltage_v
from rigline.study.study import Study
from rigline.study.taps import taps_from

SLUG = "oc-generator-out"
MOST_FRAC = 1.2
"""Largest device over the rated current. Source: ABYC E-11 (from memory); 46 CFR 28.860(a) has 1.15."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each generator that feeds anything without a device, or behind devices too large for it."""
    said: set[str] = set()
    for id, generator in sorted(study.system.components.items()):
        if isinstance(generator, Generator) and generator.internal_breaker_a is None and not generator.self_limited:
            for found in _generator(study, generator):
                said.add(id)
                yield found
    for hit in exposed_hits(study, SLUG):
        sources = set(hit.words["sources"].split(", ")) if isinstance(hit, Hit) else set()
        if isinstance(hit, Hit) and not said & sources:
            what = f"{', '.join(hit.runs)} ({hit.words['wire']}) can be fed with {hit.words['flow']}"
            words = {"what": what, "most": f"{hit.limit:.4g} A"}
            yield Hit(hit.at, hit.found, hit.limit, "A", hit.runs, hit.segment, words=words)


def _generator(study: Study, generator: Generator) -> Iterator[Hit | Missing]:
    rated = rated_a(study, generator)
    most = None if rated is None else MOST_FRAC * rated
    for leg in HOT_LEGS:
        node = Node(generator.id, "", leg)
        if node not in study.graph.graph:
            continue
        region = frozenset(study.graph.reach(node, lambda edge, start: _joins(edge, start.pole)))
        served = sorted(c.id for c in consumers_in(study.graph, region) if c.id != generator.id)
        if served:
            yield _hit(generator.id, f"it feeds {', '.join(served)} without any device", None, most)
            return
        for tap in taps_from(study.graph, node, region):
            rating = study.rating_a(tap.device)
            if rating is None or most is None:
                yield Missing((generator.id,), f"rated power of {generator.id} and rating of {tap.device}")
            elif exceeds(rating, most):
                what = f"its device {tap.device} is rated {rating:.4g} A, above 120 % of its {rated:.4g} A"
                yield _hit(generator.id, what, rating, most)
                return


def rated_a(study: Study, generator: Generator) -> float | None:
    """Rated current of each leg; None if the spec says neither current nor power."""
    if generator.rating_a is not None:
        return generator.rating_a
    if generator.power_w is None:
        return None
    legs = getattr(generator.voltage_v, "legs", 1)
    return float(generator.power_w / leg_voltage_v(generator, study.system) / legs)


def _joins(edge: Edge, pole: str) -> bool:
    if isinstance(edge, Conductor):
        return edge.a.pole == pole == edge.b.pole
    return edge.kind == "device" and not edge.protects and edge.a.pole == pole


def _hit(id: str, what: str, found: float | None, most: float | None) -> Hit:
    words = {"what": what, "most": "its rated current" if most is None else f"{most:.4g} A"}
    return Hit(at=(id,), found=found, limit=most, unit="A", words=words)


CHECK = Check(
    slug=SLUG,
    title="generator output without a suitable device",
    family="overcurrent",
    severity=Severity.DANGER,
    limit="A device of at most 120 % of the rated current in the generator's output.",
    exceptions="A main breaker that the maker built in; an inverter generator that limits itself.",
    sources=(
        Source("46 CFR 28.860(a), 115 %", "verified"),
        Source("ABYC E-11, 120 %", "from memory"),
        Source("NEC 445.12 and 445.13", "from memory"),
    ),
    message="{at}: {what}.",
    remedy="Fit a breaker of at most {most} at {at}, ahead of everything it feeds.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Generator in a trailer
profile: us-rv
body: metal
defaults: {insulation: 90 °C}
components:
  G1: {kind: generator, power: 2400 W, voltage: 120 V, neutral-bond: fixed}
  QG: {kind: breaker, style: thermal-magnetic, rating: 20 A}
  HT1: {kind: ac-load, name: Air heater, power: 1200 W, class-ii: true}
  GND: {kind: chassis, name: Frame}
runs:
  - {id: W1, path: [G1, QG, HT1], lengths: [0.4 m, 2 m], wire: 12 AWG}
  - {id: W2, path: [G1.case, GND], length: 0.5 m, carries: earth, wire: 8 AWG}
""",
        passing="QG: {kind: breaker, style: thermal-magnetic, rating: 20 A}",
        failing="QG: {kind: switch, voltage: 240 V, rating: 30 A}",
        finds=("G1",),
    ),
)
