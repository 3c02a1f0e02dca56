"""Whether each run is DC, AC, an earth conductor or a control lead."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rigline.kinds import Component
from rigline.model.stops import Reference, media_of
from rigline.model.system import Medium
from rigline.spec.document import RunSpec

_EARTH = frozenset({"bond", "earth", "neutral-bond"})
_CONTROL = frozenset({"sense", "data"})


class MediumProblem(Exception):
    """A run that joins DC with AC, or whose medium can't be told."""


def decide_media(
    runs: Sequence[RunSpec], paths: Sequence[Sequence[Reference]], components: Mapping[str, Component]
) -> list[Medium | MediumProblem]:
    """The medium of each run: from what it carries, from its ends, else from its neighbours."""
    media: list[Medium | MediumProblem | None] = [
        _own_medium(run, path, components) for run, path in zip(runs, paths, strict=True)
    ]
    while _spread(media, paths, components):
        pass
    return [medium or _undecided(path, components) for medium, path in zip(media, paths, strict=True)]


def _own_medium(
    run: RunSpec, path: Sequence[Reference], components: Mapping[str, Component]
) -> Medium | MediumProblem | None:
    if run.carries in _EARTH:
        return "earth"
    if run.carries in _CONTROL:
        return "control"
    sets = [(ref, media_of(components[ref.component], ref.terminal)) for ref in path]
    fixed = {next(iter(media)): ref.component for ref, media in sets if len(media) == 1}
    if len(fixed) > 1:
        return MediumProblem(f"it joins {fixed['dc']}, which is DC, with {fixed['ac']}, which is AC")
    if run.carries in ("positive", "negative") or any(ref.pole in ("+", "-") and ref.pole for ref in path):
        return "dc"
    if fixed:
        return "dc" if "dc" in fixed else "ac"
    return "ac" if run.cores else None


def _spread(
    media: list[Medium | MediumProblem | None],
    paths: Sequence[Sequence[Reference]],
    components: Mapping[str, Component],
) -> bool:
    """Give undecided runs the medium of a run that meets them at a component which takes either."""
    at: dict[str, Medium] = {}
    for medium, path in zip(media, paths, strict=True):
        if medium in ("dc", "ac"):
            at.update({ref.component: medium for ref in path if not media_of(components[ref.component])})  # type: ignore[misc]
    changed = False
    for index, path in enumerate(paths):
        if media[index] is None:
            found = next((at[ref.component] for ref in path if ref.component in at), None)
            if found:
                media[index], changed = found, True
    return changed


def _undecided(path: Sequence[Reference], components: Mapping[str, Component]) -> Medium | MediumProblem:
    for ref in path:
        component = components[ref.component]
        if len(media_of(component, ref.terminal)) > 1:
            names = " or ".join(f"{ref.component}.{t.name}" for t in component.terminals if t.medium != "control")
            return MediumProblem(f"{ref.component} has DC and AC terminals; say {names}")
    return "dc"
