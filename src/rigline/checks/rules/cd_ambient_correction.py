"""A wire carries what it can get rid of as heat, and in a hot place it gets rid of less.

The figures of a table hold for thirty degrees. Beside an engine or under a roof the same wire may carry a sixth or a
half less, and the hottest metre of its way decides.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.loads import Motor
from rigline.spec.document import Place
from rigline.study.study import ConductorStudy, Study
from rigline.study.surroundings import Shortfall, circumstances, shortfall
from rigline.units import format_amount

SLUG = "cd-ambient-correction"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each run that ends in a hotter place than it counts on, where the heat makes it too thin."""
    said: set[str] = set()
    for one in study.conductors.values():
        run = study.run_of(one.conductor)
        if run.id in said or _is_cranking(study, one):
            continue
        for end in (one.conductor.a, one.conductor.b):
            name = study.system.components[end.component].place
            place = study.system.places.get(name or "")
            if place is None or name is None:
                continue
            short = _short(study, one, place)
            if short is not None and run.id not in said:
                said.add(run.id)
                yield _hit(study, one, short, name, end.component)


def _short(study: Study, one: ConductorStudy, place: Place) -> Shortfall | None:
    around = circumstances(study, one)
    hot = replace(
        around,
        ambient_c=max(around.ambient_c or 0.0, place.max_c or 0.0),
        engine_space=around.engine_space or bool(place.engine),
    )
    return None if hot == around else shortfall(study, one, hot)


def _is_cranking(study: Study, one: ConductorStudy) -> bool:
    stops = [study.system.components[stop.component] for stop in study.run_of(one.conductor).stops]
    return any(isinstance(stop, Motor) and stop.cranking for stop in stops)


def _hit(study: Study, one: ConductorStudy, short: Shortfall, name: str, at: str) -> Hit:
    place = study.system.places[name]
    heat = f" ({format_amount(place.max_c, 'c')})" if place.max_c is not None else ""
    words = {
        "where": f"{place.name or name}{heat}",
        "part": at,
        "what": "it stands behind" if short.by_device else "it carries",
        "may": "it may have at most" if short.by_device else "it may carry only",
        "wire": str(one.size),
    }
    run = one.conductor.run
    return Hit((run, at), short.amps_a, short.limit_a, "A", (run,), one.conductor.segment, words=words)


CHECK = Check(
    slug=SLUG,
    title="wire that ends in a hotter place than it counts on",
    family="conductor",
    severity=Severity.FAULT,
    limit="A run counts on the hottest place that it reaches: a boat's engine space, or the place's `max`.",
    exceptions="Cranking cables. A run that says its own `ambient` still counts on the places of its ends.",
    sources=(
        Source("ABYC E-11, engine spaces; NEC Table 310.15(B)(1)", "verified"),
        Source("NEC 310.14(A)(2), the lowest ampacity on the way", "from memory"),
    ),
    message=(
        "{at} ({wire}) ends at {part} in {where}, which it does not count on: {what} {found} A, and there {may} "
        "{limit} A."
    ),
    remedy="Write `place:` at {at} and run it in a thicker wire, or protect it with {limit} A or less.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A blower beside the engine
profile: us-boat
body: plastic
places:
  bay: {name: engine bay, engine: false}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: terminal, rating: 125 A}
  M1: {kind: motor, name: Windlass pump, current: 60 A, continuous: false, place: bay}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, M1], lengths: [100 mm, 1.5 m], wire: 6 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="engine: false",
        failing="engine: true",
        finds=("W1", "M1"),
    ),
)
