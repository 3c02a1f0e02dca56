"""Two legs are only worth 240 V if they swing against each other.

A source that feeds both legs in step leaves a 240 V appliance without voltage, and the neutral that two circuits share
carries the sum of both instead of the difference. No breaker stands in that neutral.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.converters import Autotransformer
from rigline.kinds.distribution import AcPanel
from rigline.model.system import HOT_LEGS, NEUTRAL, Node, Run
from rigline.study.ac_reach import Feed, feeds
from rigline.study.study import Study

SLUG = "ac-split-phase-mismatch"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each load on both legs, and each shared neutral, behind a source whose legs are one; transformers of RVs."""
    seen: set[tuple[str, ...]] = set()
    for hit in _hits(study):
        if hit.at not in seen:
            seen.add(hit.at)
            yield hit


def _hits(study: Study) -> Iterator[Hit]:
    components = study.system.components
    for feed in feeds(study):
        in_phase = bool(getattr(components[feed.source], "in_phase", None))
        for id in sorted(feed.reached):
            if study.neutrals.is_load(components[id]) and _on_both(study, id):
                fed = {node.pole for node in feed.hot if node.component == id}
                if in_phase or (len(fed) == 1 and not _other_leg(study, feed, id)):
                    what = "needs both legs, and between those of " + feed.source + " there is no voltage"
                    yield Hit((id, feed.source), words={"what": what}, mode=feed.mode_name)
        if in_phase:
            for run in study.system.runs:
                if _shares_neutral(study, run) and run.stops[0].component in feed.reached:
                    what = f"shares one neutral between two legs that {feed.source} feeds in step: they add up in it"
                    yield Hit((run.id, feed.source), runs=(run.id,), words={"what": what}, mode=feed.mode_name)
    if study.system.profile_name == "us-rv":
        for id, component in sorted(components.items()):
            if isinstance(component, Autotransformer):
                yield Hit((id,), words={"what": "is an autotransformer, which has no place in an RV's system"})


def _on_both(study: Study, id: str) -> bool:
    return all(Node(id, "", leg) in study.graph.graph for leg in HOT_LEGS)


def _other_leg(study: Study, feed: Feed, id: str) -> bool:
    """Whether another source feeds the other leg in the same position."""
    others = [one for one in feeds(study) if one.mode == feed.mode and one.source != feed.source]
    return any(id in one.reached for one in others)


def _shares_neutral(study: Study, run: Run) -> bool:
    """A circuit of two legs and one neutral from a panel to something that is no panel."""
    poles = {conductor.pole for segment in run.segments for conductor in segment.conductors}
    ends = [study.system.components[run.stops[at].component] for at in (0, -1)]
    starts, stops = (isinstance(end, AcPanel) for end in ends)
    return run.medium == "ac" and poles >= {*HOT_LEGS, NEUTRAL} and starts and not stops


CHECK = Check(
    slug=SLUG,
    title="two-leg circuit on a source whose legs are one",
    family="AC",
    severity=Severity.DANGER,
    limit="No 240 V load and no shared neutral behind a source that feeds both legs in step, or one leg only.",
    exceptions="Sources of true 120/240 V; an autotransformer ahead, but not in RVs (NEC 551.20(E)).",
    sources=(Source("NEC 710.15(C) and 551.20(E)", "verified"),),
    message="{at} {what}.",
    remedy="Feed {at} from a true 120/240 V source, or give each leg a circuit and a neutral of its own.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Cabin with a generator of two legs and a pump on both
profile: us-cabin
body: wood
defaults: {insulation: 75 °C}
components:
  GEN1: {kind: generator, power: 5 kW, voltage: 120/240 V, neutral-bond: none, internal-breaker: 20 A, in-phase: false}
  QM: {kind: breaker, rating: 30 A, poles: 2, voltage: 240 V, interrupting: 10 kA, hold-down: true}
  ACP1: {kind: ac-panel, rating: 60 A, neutral-rating: 100 A, neutral-bond: fixed}
  QA: {kind: breaker, rating: 20 A, poles: 2, voltage: 240 V, interrupting: 10 kA}
  WP1: {kind: ac-load, name: Well pump, power: 1500 W, voltage: 240 V, legs: both, continuous: false}
  ER1: {kind: earth-electrode, type: rod, count: 2}
runs:
  - {id: W1, path: [GEN1, QM, ACP1], lengths: [2 m, 300 mm], wire: 8 AWG}
  - {id: W2, path: [ACP1, QA, WP1], lengths: [100 mm, 3 m], cores: [L1, L2, PE], wire: 12 AWG}
  - {id: W3, path: [ACP1, ER1], length: 1 m, carries: earth, wire: 6 AWG}
  - {id: W4, path: [GEN1.case, ER1], length: 1 m, carries: earth, wire: 6 AWG}
""",
        passing="in-phase: false",
        failing="in-phase: true",
        finds=("WP1", "GEN1"),
    ),
)
