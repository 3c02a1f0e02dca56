"""What the rules on missing and oversized protection share: one hit per cause and run, from the study's causes."""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Hit, Missing
from rigline.study.causes import Cause
from rigline.study.study import ConductorStudy, Study


def exposed_hits(study: Study, slug: str) -> Iterator[Hit | Missing]:
    """Each run with a conductor that is exposed for one reason, once, at its first segment.

    A conductor whose size is unknown, or whose devices' ratings are, could not be judged.
    """
    seen: set[tuple[str, tuple[str, ...]]] = set()
    for one in study.conductors.values():
        cause = one.cause
        if cause is None or cause.exception or cause.slug != slug:
            continue
        key = (one.conductor.run, cause.at)
        if key in seen:
            continue
        seen.add(key)
        if cause.missing:
            yield Missing((one.conductor.run,), ", ".join(cause.missing))
        else:
            yield hit_of(study, one, cause)


def hit_of(study: Study, one: ConductorStudy, cause: Cause) -> Hit:
    """The hit for an exposed conductor, with the words for its templates."""
    rule = cause_rule(one)
    return Hit(
        at=cause.at,
        found=cause.end.flow_a,
        limit=cause.limit_a,
        unit="A",
        runs=(one.conductor.run,),
        segment=one.conductor.segment,
        words={
            "wire": str(one.size),
            "end": cause.end.node.component,
            "sources": ", ".join(cause.end.fed_by or cause.end.sources),
            "ampacity": f"{one.limits.ampacity_a:.4g}" if one.limits else "?",
            "rule": rule,
        },
        mode=None if cause.end.mode.everything or not cause.end.mode.positions else cause.end.mode.name,
    )


def cause_rule(one: ConductorStudy) -> str:
    """The rule that set the largest device of a conductor, in words."""
    return one.limits.allowance.rule if one.limits and one.limits.allowance else ""
