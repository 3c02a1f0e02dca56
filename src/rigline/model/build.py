"""From the document to the system: terminals decided, runs cut into segments, each with its conductors."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Mapping, Sequence
from itertools import count

from msgspec.structs import replace

from rigline.errors import CommandError, SpecError
from rigline.kinds import Component
from rigline.model.conductors import ConductorMaker
from rigline.model.legs import legs_of_components
from rigline.model.media import MediumProblem, decide_media
from rigline.model.stops import Reference, choices, media_of, parse_reference, terminals_for
from rigline.model.system import Mark, Medium, Run, Stop, System
from rigline.model.terminals import TerminalFinder, TerminalProblem
from rigline.spec.document import Carries, Document, RunSpec
from rigline.spec.reading import Tree, joined_digest
from rigline.spec.records import Collector
from rigline.spec.references import component_of
from rigline.spec.stages import LATER, STAGE_RULE, stage_of
from rigline.unit_system import system_of
from rigline.units import Amount


def build_system(document: Document, tree: Tree, stage: str | None = None) -> System:
    """The system that a document describes.

    Args:
        document: The whole spec.
        tree: Its text's tree, for the places in messages.
        stage: Only what is built by this stage; None for everything.

    Raises:
        SpecError: A path could be read in two ways, or joins what can't be joined.
        CommandError: There can be no such stage.
    """
    if stage is not None and (stage := stage_of(stage)) is None:
        raise CommandError(STAGE_RULE)
    collector = Collector(tree)
    runs = _runs(document, tree, collector)
    if collector.problems:
        raise SpecError(collector.problems)
    whole = System(
        file=tree.name,
        digest=joined_digest(tree.digest, document.parts_digests),
        head=document.head,
        conditions=document.conditions,
        defaults=document.defaults,
        supply=document.supply,
        places=document.places,
        components=document.components,
        runs=tuple(runs),
        waivers=document.waivers,
        revisions=document.revisions,
        marks=_marks(tree, runs),
        text=tree.text,
        units=system_of(_lengths(document)),
    )
    return whole if stage is None else _of_stage(whole, document, stage)


def _lengths(document: Document) -> list[str]:
    """The lengths of all runs as they were written."""
    given = [length for run in document.runs for length in (run.lengths_m or (run.length_m,))]
    return [length.text for length in given if isinstance(length, Amount)]


def _of_stage(whole: System, document: Document, stage: str) -> System:
    """What is built by a stage, with the whole beside it."""
    components = {id: component for id, component in whole.components.items() if _is_built(component.stage, stage)}
    runs = tuple(run for run in whole.runs if _run_is_built(run.spec, document, stage))
    return replace(whole, components=components, runs=runs, stage=stage, whole=whole)


def _is_built(built: str | None, stage: str | None) -> bool:
    if stage in (None, LATER) or built is None:
        return True
    return built != LATER and int(built) <= int(str(stage))


def _run_is_built(run: RunSpec, document: Document, stage: str | None) -> bool:
    """Whether a run and all that it joins are built by a stage."""
    ids = [component_of(entry) for entry in (*run.path, *([run.return_to] if run.return_to else []))]
    return _is_built(run.stage, stage) and all(_is_built(document.components[id].stage, stage) for id in ids)


def _runs(document: Document, tree: Tree, collector: Collector) -> list[Run]:
    """The runs of every stage: what a terminal is doesn't change with the stage that is looked at."""
    components = document.components
    paths = [[parse_reference(entry, components) for entry in run.path] for run in document.runs]
    specs = [_with_meaning(run, path, components) for run, path in zip(document.runs, paths, strict=True)]
    decided = decide_media(specs, paths, components)
    wheres = [f"run {run.id}" if run.id else f"run {index + 1}" for index, run in enumerate(specs)]
    for run, where, found in zip(specs, wheres, decided, strict=True):
        if isinstance(found, MediumProblem):
            collector.add((*run.mark, "path"), where, str(found))
    clear = [index for index, found in enumerate(decided) if not isinstance(found, MediumProblem)]
    paths, specs, wheres = [paths[i] for i in clear], [specs[i] for i in clear], [wheres[i] for i in clear]
    media = [found for found in decided if not isinstance(found, MediumProblem)]
    stops = _stops(specs, paths, media, wheres, components, collector)
    if collector.problems:
        return []
    maker = ConductorMaker(components, document, legs_of_components(specs, paths, media, components))
    made = [
        maker.run(name, spec, medium, tuple(path), _mark(tree, spec.mark))
        for name, spec, medium, path in zip(_run_ids(specs, components), specs, media, stops, strict=True)
    ]
    _refuse_mixed_names(made, collector)
    for built, where in zip(made, wheres, strict=True):
        _refuse_idle_keys(built, where, collector)
    return made


_KEYS_OF_CARRIES = {
    "pair": ("return_to", "return_wire", "return_length_m"),
    "cores": ("cores", "earth_wire", "neutral_wire"),
}
"""What a run carries -> fields that only such a run has."""


def _refuse_idle_keys(run: Run, where: str, collector: Collector) -> None:
    """A key that changes nothing would pass for one that does."""
    for carries, names in _KEYS_OF_CARRIES.items():
        for name in names if run.carries != carries else ():
            if getattr(run.spec, name) is not None:
                key = name.removesuffix("_m").replace("_", "-")
                holder = "both poles of a DC system" if carries == "pair" else "the cores of an AC circuit"
                message = f"{key} is for a run that carries {holder}, and this one carries {_CARRIED[run.carries]}"
                collector.add((*run.spec.mark, key), where, message, remedy=f"delete {key}", key=True)


_CARRIED = {
    "pair": "a pair", "cores": "AC", "positive": "the positive", "negative": "the negative", "bond": "a bond",
    "link": "one conductor", "earth": "earth", "neutral-bond": "a neutral bond", "sense": "a sense lead",
    "data": "data",
}  # fmt: skip
"""What a run carries, in words."""


def _with_meaning(run: RunSpec, path: Sequence[Reference], components: Mapping[str, Component]) -> RunSpec:
    """What a run carries, where its ends say it: a lead to the chassis, an electrode or a case is a bond or earth."""
    if run.carries is not None:
        return run
    poles = {ref.pole for ref in (path[0], path[-1])}
    if "PE" in poles and not run.cores:
        carries: Carries = "neutral-bond" if "N" in poles else "bond" if poles & {"+", "-"} else "earth"
        return replace(run, carries=carries)
    kinds = [components[ref.component] for ref in path]
    if not any(component.role == "earth" for component in kinds):
        return run
    others = [(ref, c) for ref, c in zip(path, kinds, strict=True) if c.role != "earth"]
    if any(ref.pole in ("-", "+") and c.role == "load" for ref, c in others):
        return replace(run, carries="negative")
    if not others:
        return replace(run, carries="earth")
    return replace(run, carries="bond")


def _stops(
    specs: Sequence[RunSpec],
    paths: Sequence[Sequence[Reference]],
    media: Sequence[Medium],
    wheres: Sequence[str],
    components: Mapping[str, Component],
    collector: Collector,
) -> list[list[Stop]]:
    found = TerminalFinder(components, paths, media).stops()
    for run, stops, medium, where in zip(specs, found, media, wheres, strict=True):
        _check_return(run, components, where, collector)
        for place, stop in enumerate(stops):
            spot = (*run.mark, "path", place)
            if isinstance(stop, TerminalProblem):
                collector.add(spot, where, str(stop))
            elif run.carries in _NAMED_POLE and stop.pole in {*_NAMED_POLE.values()} - {_NAMED_POLE[run.carries]}:
                message = f"carries the {run.carries}, but {stop.component}{stop.pole} is the other pole"
                remedy = f"delete carries: one conductor from + to - joins blocks in series; or write {stop.component}"
                collector.add(spot, where, message, remedy=remedy)
            elif medium in ("dc", "ac"):
                _check_medium(stop, components[stop.component], medium, spot, where, collector)
    return [[stop for stop in stops if isinstance(stop, Stop)] for stops in found]


_NAMED_POLE = {"positive": "+", "negative": "-"}
"""What a run of one conductor carries -> the pole that its ends may name."""


def _check_return(run: RunSpec, components: Mapping[str, Component], where: str, collector: Collector) -> None:
    """A return goes to one terminal, and a device with several has no usual one."""
    if run.return_to is None:
        return
    reference = parse_reference(run.return_to, components)
    component = components[reference.component]
    names = [name for name in terminals_for(component, "dc") if name]
    if component.role == "converter" and len(names) > 1 and not reference.terminal:
        message = f"{component.id} has several terminals; say {choices(component.id, component, names)}"
        collector.add((*run.mark, "return-to"), where, message)


def _check_medium(
    stop: Stop, component: Component, medium: Medium, spot: tuple[str | int, ...], where: str, collector: Collector
) -> None:
    media = media_of(component, stop.entry)
    if media and medium not in media and component.role != "earth":
        wanted = min(media)
        collector.add(spot, where, f"{stop.component} is {wanted.upper()}, but the run is {medium.upper()}")


def _run_ids(specs: Sequence[RunSpec], components: Mapping[str, Component]) -> list[str]:
    """The author's ids; runs without one get W1, W2, ... as far as nothing is called so or nearly so."""
    taken = {re.sub("(?<=[0-9])[a-z]+$", "", id) for id in (*(run.id or "" for run in specs), *components)}
    fresh = (name for number in count(1) if (name := f"W{number}") not in taken)
    return [run.id or next(fresh) for run in specs]


def _refuse_mixed_names(runs: Sequence[Run], collector: Collector) -> None:
    """The stretches of W1 are W1a, W1b, ...: a run that is called so would share its labels."""
    owners: dict[str, dict[str, Run]] = defaultdict(dict)
    for run in runs:
        for name in (run.id, *(segment.id for segment in run.segments)):
            owners[name][run.id] = run
    for shared in owners.values():
        shorter, *longer = sorted(shared.values(), key=lambda run: (len(run.id), run.id))
        for run in longer:
            message = f"its name is that of a stretch of run {shorter.id}"
            collector.add((*run.spec.mark, "id"), f"run {run.id}", message, remedy="give the run another id")


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
