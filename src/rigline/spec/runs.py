"""The runs of a spec: each is whole in itself, and its path names components and terminals that there are."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from rigline.kinds import Component
from rigline.spec.document import CORES, RunSpec
from rigline.spec.limits import LONGEST_ID_CHARACTERS
from rigline.spec.records import Collector, Path, read_record
from rigline.spec.references import AC_POLES, DC_POLES, Reference, ReferenceProblem, component_of, parse_reference
from rigline.spec.values import is_unknown

Kinds = Mapping[str, type[Component] | None]
"""Every component's kind by its id; None where the kind is wrong, which is a problem already."""

_OF_THE_PATH = {"id": str, "path": list, "return-to": str}
"""Keys of a run that name components, with the form in which they can be judged whatever else is wrong."""

ID_RULE = f"an id has letters and digits, with _ - or / between them ({LONGEST_ID_CHARACTERS} at most)"
_ID = re.compile(r"[^\W_](?:[\w\-/]*\w)?")
"""An id: letters and digits, with _ - / between them. No dot, plus or minus at the end: those name terminals."""


def is_id(text: str) -> bool:
    """Whether a text can name a component or a run."""
    return bool(_ID.fullmatch(text)) and len(text) <= LONGEST_ID_CHARACTERS and not is_unknown(text)


def read_runs(listed: Sequence[Any], kinds: Kinds | None, collector: Collector) -> tuple[RunSpec, ...]:
    """The runs in a list, as far as they can be read.

    Args:
        listed: The runs as they stand in the spec.
        kinds: The components; None if there is no list of them, which is a problem already.
        collector: Takes the problems.
    """
    found = []
    for index, fields in enumerate(listed):
        path: Path = ("runs", index)
        name = fields.get("id") if isinstance(fields, dict) else None
        where = f"run {name}" if isinstance(name, str) and name else f"run {index + 1}"
        run = read_record(fields, RunSpec, path, where, collector, mark=path)
        if run is not None:
            _require_whole(run, path, where, collector)
            references = _require_path(run, path, where, kinds, collector)
            _require_poles(run, references, path, where, collector)
        elif isinstance(fields, dict) and isinstance(fields.get("path"), list):
            rest = {key: fields[key] for key, form in _OF_THE_PATH.items() if isinstance(fields.get(key), form)}
            run = read_record(rest, RunSpec, path, where, Collector(collector.tree), mark=path)
            if run is not None:
                _require_path(run, path, where, kinds, collector)
        found += [run] if run is not None else []
    _refuse_repeated_ids(found, kinds or {}, collector)
    return tuple(found)


def _require_whole(run: RunSpec, path: Path, where: str, collector: Collector) -> None:
    if run.id is not None and not is_id(run.id):
        collector.add((*path, "id"), where, ID_RULE)
    if run.length_m is not None and run.lengths_m is not None:
        collector.add(
            (*path, "lengths"), where, "both length (of the whole path) and lengths (of each stretch) are given",
            remedy="keep one of the two", key=True,
        )  # fmt: skip
    elif run.lengths_m is not None and len(run.path) > 1 and len(run.lengths_m) != len(run.path) - 1:
        stretches, lengths = _counted(len(run.path) - 1, "stretch"), _counted(len(run.lengths_m), "length")
        remedy = "give one length for each stretch, or one length: for the whole path"
        collector.add((*path, "lengths"), where, f"the path has {stretches}", got=lengths, remedy=remedy)
    for place, core in enumerate(run.cores or ()):
        if core not in CORES:
            collector.add((*path, "cores", place), where, f"cores are {', '.join(CORES)}", got=core)
    named = ["L1" if core == "L" else core for core in run.cores or ()]
    if len(set(named)) != len(named):
        collector.add((*path, "cores"), where, "name each core once (L is L1)")


def _counted(number: int, word: str) -> str:
    plural = "es" if word.endswith("ch") else "s"
    return f"{number} {word}{'' if number == 1 else plural}"


def _require_path(run: RunSpec, path: Path, where: str, kinds: Kinds | None, collector: Collector) -> list[Reference]:
    """What the path's entries name; nothing if any names what isn't there."""
    if len(run.path) < 2:
        spot = (*path, "path") if run.path else path
        message = "a run goes from one component to another, as in path: [B1, F1]"
        collector.add(spot, where, message, got=", ".join(run.path) or "no path")
        return []
    if kinds is None:
        return []
    found = [_reference(entry, (*path, "path", place), where, kinds, collector) for place, entry in enumerate(run.path)]
    if run.return_to is not None:
        _reference(run.return_to, (*path, "return-to"), where, kinds, collector)
    ids = [component_of(entry) for entry in run.path]
    for id in dict.fromkeys(id for id in ids if ids.count(id) > 1 and id in kinds):
        again = len(ids) - 1 - ids[::-1].index(id)
        remedy = "make two runs of it" if len(ids) > 2 else "give two different components"
        collector.add((*path, "path", again), where, f"the path passes {id} twice", remedy=remedy)
    references = [reference for reference in found if reference is not None]
    return references if len(references) == len(run.path) else []


def _reference(entry: str, spot: Path, where: str, kinds: Kinds, collector: Collector) -> Reference | None:
    try:
        return parse_reference(entry, kinds)
    except ReferenceProblem as problem:
        collector.add(spot, where, str(problem))
    return None


def _require_poles(run: RunSpec, references: list[Reference], path: Path, where: str, collector: Collector) -> None:
    """Poles stand at the ends of a path, and agree with the conductors that the run says it has."""
    ends = {reference.pole for reference in (*references[:1], *references[-1:])}
    cores = {"L1" if core == "L" else core for core in run.cores or ()}
    for place, reference in enumerate(references):
        spot = (*path, "path", place)
        if reference.pole in DC_POLES and reference.pole not in ends:
            message = f"{run.path[place]} names one pole in the middle of the path"
            remedy = f"name it at the path's start, as in {references[0].component}{reference.pole}"
            collector.add(spot, where, message, remedy=remedy)
        elif reference.pole in AC_POLES and run.carries is None and reference.pole not in cores:
            message = f"{run.path[place]} names one conductor, and an AC run has several"
            example = "N" if reference.pole == "N" else f"{reference.pole}, N, PE"
            collector.add(spot, where, message, remedy=f"say which the run has, as in cores: [{example}]")


def _refuse_repeated_ids(runs: list[RunSpec], kinds: Kinds, collector: Collector) -> None:
    seen: set[str] = set()
    for run in runs:
        if run.id is not None and run.id in seen:
            collector.add((*run.mark, "id"), f"run {run.id}", "another run has this id", remedy="give each run its own")
        if run.id in kinds:
            collector.add((*run.mark, "id"), f"run {run.id}", "a component has this id", remedy="give the run its own")
        seen.add(run.id or "")
