"""Wires that lie together heat each other.

In the middle of a thick loom a wire can't get rid of its heat, and what was enough in free air is too thin there.
The factor counts every wire that carries current at the same time.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from msgspec.structs import replace

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.model.system import Run
from rigline.study.causes import exceeds
from rigline.study.study import Study
from rigline.study.surroundings import circumstances, shortfall

SLUG = "cd-bundling"
SHORT_M = 0.61
"""Wires together for up to 24 in need no factor. Source: NEC 310.15(C)(1); ABYC E-11."""
_IDLE = ("PE", "N-PE", "S")
"""Poles that carry nothing in use."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each run of a loom that counts on fewer wires than lie in it, where that makes it too thin."""
    counts: Counter[str] = Counter()
    for run in study.system.runs:
        if run.spec.loom:
            counts[run.spec.loom] += _wires(run)
    said: set[str] = set()
    for one in study.conductors.values():
        run = study.run_of(one.conductor)
        if not run.spec.loom or run.id in said:
            continue
        if run.length_m is not None and not exceeds(run.length_m, SHORT_M):
            continue
        around = circumstances(study, one)
        short = shortfall(study, one, replace(around, bundle=max(around.bundle, counts[run.spec.loom])))
        if short is not None:
            said.add(run.id)
            words = {
                "count": str(counts[run.spec.loom]), "loom": run.spec.loom, "wire": str(one.size),
                "what": "it stands behind" if short.by_device else "it carries",
                "may": "it may have at most" if short.by_device else "it may carry only",
            }  # fmt: skip
            yield Hit((run.id,), short.amps_a, short.limit_a, "A", (run.id,), one.conductor.segment, words=words)


def _wires(run: Run) -> int:
    """Conductors of a run that carry current at its thickest place."""
    return max((sum(c.pole not in _IDLE for c in segment.conductors) for segment in run.segments), default=0)


CHECK = Check(
    slug=SLUG,
    title="wire too thin for the loom it lies in",
    family="conductor",
    severity=Severity.FAULT,
    limit="The factor of the rule set for all wires of a loom (`loom:`) that carry current, or of `bundle:` if larger.",
    exceptions="Runs up to 24 in (0.61 m). Runs that name neither loom nor bundle count as lying alone.",
    sources=(
        Source("NEC Table 310.15(C)(1); ABYC E-11, bundles", "verified"),
        Source("IEC 60364-5-52, grouping", "from memory"),
    ),
    message="{at} ({wire}) lies in loom {loom} with {count} wires in use: {what} {found} A, and there {may} {limit} A.",
    remedy="Take {at} out of loom {loom}, run it thicker, or protect it with {limit} A or less.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Two pumps wired through one conduit
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 40 A}
  M1: {kind: motor, name: Wash pump, current: 20 A, continuous: false}
  F2: {kind: fuse, style: blade, rating: 10 A}
  M2: {kind: motor, name: Drain pump, current: 5 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, M1], lengths: [100 mm, 2 m], wire: 12 AWG, loom: port}
  - {id: W2, path: [B1, F2, M2], lengths: [100 mm, 2 m], wire: 12 AWG, loom: starboard}
  - {id: W3, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="loom: starboard",
        failing="loom: port, note: moved",
        finds=("W1",),
    ),
)
