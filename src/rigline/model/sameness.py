"""Whether two specs mean the same system, however each is written."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import asdict, replace

from rigline.model.system import Run, System
from rigline.spec.document import RunSpec


def same_system(a: System, b: System) -> bool:
    """Whether all facts agree: every component, run, stretch and conductor, in the same order."""
    return next(differences(a, b), None) is None


def differences(a: System, b: System) -> Iterator[str]:
    """What differs, by its name: a section, a component, a run."""
    for section in ("head", "conditions", "defaults", "supply", "places", "waivers", "revisions"):
        if getattr(a, section) != getattr(b, section):
            yield section
    if list(a.components) != list(b.components):
        yield "components"
    for id in a.components.keys() & b.components.keys():
        one, other = a.components[id], b.components[id]
        if (one.kind, asdict(one)) != (other.kind, asdict(other)):
            yield id
    if [run.id for run in a.runs] != [run.id for run in b.runs]:
        yield "runs"
    yield from (run.id for run, other in zip(a.runs, b.runs, strict=False) if _facts(run) != _facts(other))


def _facts(run: Run) -> tuple[object, ...]:
    return run.medium, run.carries, run.stops, run.segments, _spec_facts(run.spec)


def _spec_facts(spec: RunSpec) -> RunSpec:
    """What the author said, without the id, the place, and how the lengths were spread (the stretches have them)."""
    unknown = spec.unknown - {"length", "lengths"}
    return replace(spec, id=None, mark=(), length_m=None, lengths_m=None, unknown=unknown)
