"""From the document to the system: terminals decided, runs cut into segments, each with its conductors."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Mapping, Sequence

from rigline.errors import SpecError
from rigline.kinds import Component
from rigline.model.conductors import ConductorMaker
from rigline.model.legs import legs_of_components
from rigline.model.media import MediumProblem, decide_media
from rigline.model.stops import Reference, StopProblem, media_of, parse_reference
from rigline.model.system import Mark, Medium, Run, Stop, System
from rigline.model.terminals import TerminalFinder, TerminalProblem
from rigline.spec.document import Document, RunSpec
from rigline.spec.reading import Tree
from rigline.spec.records import Collector


def build_system(document: Document, tree: Tree, stage: str | None = None) -> System:
    """The system that a document describes.

    Args:
        document: The whole spec.
        tree: Its text's tree, for the places in messages.
        stage: Only what is built by this stage; None for everything.

    Raises:
        SpecError: A path names what is not there, or could be read in two ways.
    """
    collector = Collector(tree)
    _require_profile(document, collector)
    components = dict(_staged(document.components.items(), stage))
    specs = [run for run in document.runs if _run_is_built(run, document, stage)]
    runs = _runs(specs, components, document, tree, collector)
    if collector.problems:
        raise SpecError(collector.problems)
    return System(
        file=tree.name,
        digest=tree.digest,
        head=document.head,
        conditions=document.conditions,
        defaults=document.defaults,
        supply=document.supply,
        places=document.places,
        components=components,
        runs=tuple(runs),
        waivers=document.waivers,
        marks=_marks(tree, runs),
        stage=stage,
    )


def _require_profile(document: Document, collector: Collector) -> None:
    if document.head.profile is None:
        names = "us-rv, us-boat, us-cabin, intl-boat, uk-inland-boat, eu-caravan, iec-cabin"
        collector.add((), "spec", "say which set of rules applies", remedy=f"add profile: with one of {names}")


def _built(stage_of: str | None, stage: str | None) -> bool:
    if stage is None or stage_of is None:
        return True
    if stage_of == "later":
        return stage == "later"
    return stage == "later" or (stage_of.isdigit() and stage.isdigit() and int(stage_of) <= int(stage))


def _staged(items: Iterable[tuple[str, Component]], stage: str | None) -> Iterable[tuple[str, Component]]:
    return ((id, component) for id, component in items if _built(component.stage, stage))


def _run_is_built(run: RunSpec, document: Document, stage: str | None) -> bool:
    if not _built(run.stage, stage):
        return False
    ids = [entry.rstrip("+-").split(".")[0] for entry in run.path]
    return all(id not in document.components or _built(document.components[id].stage, stage) for id in ids)


def _runs(
    specs: Sequence[RunSpec],
    components: Mapping[str, Component],
    document: Document,
    tree: Tree,
    collector: Collector,
) -> list[Run]:
    paths = [_references(run, components, collector) for run in specs]
    if any(path is None for path in paths):
        return []
    whole = [path for path in paths if path is not None]
    specs = [_with_meaning(run, path, components) for run, path in zip(specs, whole, strict=True)]
    media = _media(specs, whole, components, collector)
    if media is None:
        return []
    stops = _stops(specs, whole, media, components, collector)
    if stops is None:
        return []
    legs = legs_of_components(specs, whole, media, components)
    maker = ConductorMaker(components, document, legs)
    names = _run_ids(specs)
    return [
        maker.run(name, spec, medium, tuple(path), _mark(tree, spec.mark))
        for name, spec, medium, path in zip(names, specs, media, stops, strict=True)
    ]


def _references(
    run: RunSpec, components: Mapping[str, Component], collector: Collector
) -> list[Reference] | None:
    found = []
    before = len(collector.problems)
    where = f"run {run.id}" if run.id else "run"
    for index, entry in enumerate(run.path):
        try:
            found.append(parse_reference(entry, components))
        except StopProblem as problem:
            collector.add((*run.mark, "path", index), where, str(problem), got=entry)
    if run.return_to is not None:
        try:
            parse_reference(run.return_to, components)
        except StopProblem as problem:
            collector.add((*run.mark, "return-to"), where, str(problem), got=run.return_to)
    repeated = {ref.component for ref in found if sum(other.component == ref.component for other in found) > 1}
    if repeated and not collector.problems[before:]:
        collector.add(
            (*run.mark, "path"), where, f"the path passes {', '.join(sorted(repeated))} twice",
            remedy="make two runs of it",
        )  # fmt: skip
    return found if len(collector.problems) == before else None


def _with_meaning(run: RunSpec, path: Sequence[Reference], components: Mapping[str, Component]) -> RunSpec:
    """What a run carries, where its ends say it: a lead to the chassis or an electrode is a bond."""
    if run.carries is not None:
        return run
    kinds = [components[ref.component] for ref in path]
    if not any(component.role == "earth" for component in kinds):
        return run
    others = [(ref, c) for ref, c in zip(path, kinds, strict=True) if c.role != "earth"]
    if any(ref.pole in ("-", "+") and c.role == "load" for ref, c in others):
        return dataclasses.replace(run, carries="negative")
    if any(ref.pole == "PE" for ref, _ in others) or not others:
        return dataclasses.replace(run, carries="earth")
    return dataclasses.replace(run, carries="bond")


def _media(
    specs: Sequence[RunSpec],
    paths: Sequence[Sequence[Reference]],
    components: Mapping[str, Component],
    collector: Collector,
) -> list[Medium] | None:
    decided = decide_media(specs, paths, components)
    before = len(collector.problems)
    for run, medium in zip(specs, decided, strict=True):
        if isinstance(medium, MediumProblem):
            collector.add((*run.mark, "path"), f"run {run.id or ''}".strip(), str(medium))
    if len(collector.problems) > before:
        return None
    return [medium for medium in decided if not isinstance(medium, MediumProblem)]


def _stops(
    specs: Sequence[RunSpec],
    paths: Sequence[Sequence[Reference]],
    media: Sequence[Medium],
    components: Mapping[str, Component],
    collector: Collector,
) -> list[list[Stop]] | None:
    found = TerminalFinder(components, paths, media).stops()
    before = len(collector.problems)
    for run, path, stops, medium in zip(specs, paths, found, media, strict=True):
        for place, stop in enumerate(stops):
            spot, where = (*run.mark, "path", place), f"run {run.id or ''}".strip()
            if isinstance(stop, TerminalProblem):
                collector.add(spot, where, str(stop), got=path[place].component)
            elif medium in ("dc", "ac"):
                _check_medium(stop, components[stop.component], medium, spot, where, collector)
    if len(collector.problems) > before:
        return None
    return [[stop for stop in stops if isinstance(stop, Stop)] for stops in found]


def _check_medium(
    stop: Stop, component: Component, medium: Medium, spot: tuple[str | int, ...], where: str, collector: Collector
) -> None:
    media = media_of(component, stop.entry)
    if media and medium not in media and component.role != "earth":
        wanted = next(iter(sorted(media)))
        collector.add(spot, where, f"{stop.component} is {wanted.upper()}, but the run is {medium.upper()}")


def _run_ids(specs: Sequence[RunSpec]) -> list[str]:
    """The author's ids; runs without one get W1, W2, ... as far as they are free."""
    taken = {run.id for run in specs if run.id}
    fresh = (f"W{n}" for n in range(1, 2 * len(specs) + 2) if f"W{n}" not in taken)
    return [run.id or next(fresh) for run in specs]


def _mark(tree: Tree, path: tuple[str | int, ...]) -> Mark:
    mark = tree.mark_of(path)
    return Mark(mark.line, mark.column)


def _marks(tree: Tree, runs: Sequence[Run]) -> dict[str, Mark]:
    marks = {run.id: run.mark for run in runs}
    for path, mark in tree.key_marks.items():
        if len(path) == 2 and path[0] == "components":
            marks[str(path[1])] = Mark(mark.line, mark.column)
    for path, mark in tree.marks.items():
        if len(path) == 3 and path[0] == "components":
            marks[f"{path[1]}.{path[2]}"] = Mark(mark.line, mark.column)
    return marks
