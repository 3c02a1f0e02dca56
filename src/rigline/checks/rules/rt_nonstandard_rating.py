"""A rating that no maker offers can't be bought, and its replacement will be the next larger one.

Fuses of one family share a holder. If the plan asks for a size that the family doesn't have, somebody will fit what
they find, and the wire behind was not chosen for that.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.devices import Breaker, Fuse, Overcurrent
from rigline.standards.ratings import RATING_TOLERANCE_FRAC, listed_ratings, next_rating_down, standard_ratings, styles
from rigline.study.study import Study

SLUG = "rt-nonstandard-rating"
SMALL_BREAKERS_A = (1.0, 2.0, 3.0, 5.0, 7.0, 7.5, 8.0, 10.0, 12.0)
"""Ratings of small breakers below the lists of the codes. Common practice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each device whose rating its family is not made in."""
    for id, device in sorted(study.system.components.items()):
        if not isinstance(device, Overcurrent) or device.rating_a is None:
            continue
        known = _ratings(device)
        if not any(abs(device.rating_a - one) <= one * RATING_TOLERANCE_FRAC for one in known):
            lower = next_rating_down(device.rating_a, known)
            family = device.style if isinstance(device, Fuse) and device.style else "standard"
            limit = lower or known[0]
            yield Hit((id,), device.rating_a, limit, "A", words=_words(id, family, lower, limit), field="rating")


def _words(id: str, family: str, lower: float | None, limit: float) -> dict[str, str]:
    if lower is None:
        do = f"Choose for {id} another style, which is made in that rating."
        return {"family": family, "which": "smallest", "do": do}
    return {"family": family, "which": "next lower", "do": f"Choose {limit:g} A for {id}, if that carries its load."}


def _ratings(device: Overcurrent) -> tuple[float, ...]:
    if isinstance(device, Fuse) and device.style in styles():
        return standard_ratings(device.style)
    every = {*listed_ratings(), *listed_ratings("iec")}
    if isinstance(device, Breaker):
        return tuple(sorted(every | set(SMALL_BREAKERS_A)))
    return tuple(sorted(every.union(*(standard_ratings(style) for style in styles()))))


CHECK = Check(
    slug=SLUG,
    title="rating that its family is not made in",
    family="overcurrent",
    severity=Severity.ADVICE,
    limit="The rating stands in the list of the fuse's style, or in those of NEC 240.6(A) or IEC 60269 for breakers.",
    exceptions="Adjustable breakers, which are rated at their setting.",
    sources=(Source("NEC 240.6(A)", "verified"), Source("lists of ratings by style", "common practice")),
    message="{at} is rated {found} A, which no {family} device is made in; the {which} one is {limit} A.",
    remedy="{do}",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A winch behind a heavy fuse
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: class-t, rating: 125 A}
  M1: {kind: motor, name: Winch, current: 90 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, M1], lengths: [100 mm, 1 m], wire: 4 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, wire: 4 AWG}
""",
        passing="rating: 125 A",
        failing="rating: 130 A",
        finds=("F1",),
    ),
)
