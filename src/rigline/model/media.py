"""Whether each run is DC, AC, an earth conductor or a control lead."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rigline.kinds import Component
from rigline.model.stops import CASE, Reference, choices, media_of
from rigline.model.system import Medium
from rigline.spec.document import RunSpec

_EARTH = frozenset({"bond", "earth", "neutral-bond"})
_CONTROL = frozenset({"sense", "data"})
_MEDIUM_OF_POLE = {"+": "dc", "-": "dc", "L1": "ac", "L2": "ac", "N": "ac"}


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
    decided = [medium or _undecided(path, components) for medium, path in zip(media, paths, strict=True)]
    mixed = {id for id, found in _media_at(decided, paths, components).items() if len(found) > 1}
    return [_refused_at(mixed, medium, path) for medium, path in zip(decided, paths, strict=True)]


def _refused_at(mixed: set[str], medium: Medium | MediumProblem, path: Sequence[Reference]) -> Medium | MediumProblem:
    """The medium of a run, unless the run brings AC to where other runs bring DC."""
    meeting = next((ref.component for ref in path if ref.component in mixed), None)
    if medium == "ac" and meeting:
        return MediumProblem(f"it is AC, and another run brings DC to {meeting}; keep the two apart")
    return medium


def _media_at(
    media: Sequence[Medium | MediumProblem | None],
    paths: Sequence[Sequence[Reference]],
    components: Mapping[str, Component],
) -> dict[str, set[Medium]]:
    """The power media that runs bring to each component which takes either."""
    at: dict[str, set[Medium]] = {}
    for medium, path in zip(media, paths, strict=True):
        for ref in path:
            component = components[ref.component]
            is_either = not media_of(component, ref.terminal) and component.role != "earth" and ref.terminal != CASE
            if is_either and (medium == "dc" or medium == "ac"):
                at.setdefault(ref.component, set()).add(medium)
    return at


def _own_medium(
    run: RunSpec, path: Sequence[Reference], components: Mapping[str, Component]
) -> Medium | MediumProblem | None:
    if run.carries in _EARTH:
        return "earth"
    if run.carries in _CONTROL:
        return "control"
    fixed = _fixed(path, components)
    dc, ac = fixed.get("dc"), fixed.get("ac")
    if dc and ac:
        return MediumProblem(f"it joins {dc}, which is DC, with {ac}, which is AC; check the path and its terminals")
    if ac and run.carries in ("positive", "negative", "pair"):
        return MediumProblem(f"{ac} is AC, and carries: {run.carries} is for DC; say the AC run's conductors as cores:")
    if dc and run.cores:
        return MediumProblem(f"{dc} is DC, and cores: is for AC; delete cores, or check the path")
    if dc or run.carries in ("positive", "negative", "pair"):
        return "dc"
    return "ac" if ac or run.cores else None


def _fixed(path: Sequence[Reference], components: Mapping[str, Component]) -> dict[str, str]:
    """The media that a path's stops leave no choice of, each with the first stop that says so."""
    fixed: dict[str, str] = {}
    for ref in path:
        media = media_of(components[ref.component], ref.terminal)
        medium = next(iter(media)) if len(media) == 1 else _MEDIUM_OF_POLE.get(ref.pole)
        if medium:
            fixed.setdefault(medium, _written(ref))
    return fixed


def _written(ref: Reference) -> str:
    return f"{ref.component}.{ref.terminal}" if ref.terminal else ref.component


def _spread(
    media: list[Medium | MediumProblem | None],
    paths: Sequence[Sequence[Reference]],
    components: Mapping[str, Component],
) -> bool:
    """Give undecided runs the medium of a run that meets them at a component which takes either."""
    # Where both meet, DC goes on: the run that brought AC is then the only one that is wrong.
    at = {id: max(found) for id, found in _media_at(media, paths, components).items()}
    changed = False
    for index, path in enumerate(paths):
        if media[index] is None:
            found = next((at[ref.component] for ref in path if ref.component in at), None)
            if found:
                media[index], changed = found, True
    return changed


def _undecided(path: Sequence[Reference], components: Mapping[str, Component]) -> Medium | MediumProblem:
    leaving = _leaving(path[0], components)
    if leaving is not None:
        return leaving
    for ref in path:
        component = components[ref.component]
        if len(media_of(component, ref.terminal)) > 1:
            return MediumProblem(f"{ref.component} has DC and AC terminals; say {choices(ref.component, component)}")
    return "dc"


def _leaving(first: Reference, components: Mapping[str, Component]) -> Medium | None:
    """The one medium in which power leaves the component that a path begins with: AC of an inverter."""
    given = {t.medium for t in components[first.component].terminals if t.flow == "out" and t.medium != "control"}
    if len(media_of(components[first.component], first.terminal)) < 2 or len(given) != 1:
        return None
    return "ac" if given == {"ac"} else "dc" if given == {"dc"} else None
