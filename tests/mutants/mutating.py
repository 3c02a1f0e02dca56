"""Spoils a sound spec in one place at a time, as a hurried hand would: a fuse left out, a bond forgotten, a thin wire.

Every wire and rating that a spec leaves open is written down first: otherwise the sizing would heal the spoilt place.
"""

from __future__ import annotations

import copy
import io
import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ruamel.yaml import YAML

from rigline.api import read, study_of
from rigline.model.build import build_system
from rigline.model.system import Run, Segment
from rigline.outputs.sizes import with_sizes
from rigline.spec.load import load_document
from rigline.spec.reading import read_tree
from rigline.standards.ratings import listed_ratings, standard_ratings, styles
from rigline.standards.wire import WireSize, one_size_smaller, parse_wire_size
from rigline.study.study import Study, study

RATING_STEPS = 2
"""Standard ratings that a fuse is raised by."""
BLOWN_UP = 10
"""How many times its rating a fuse has with a slip of the decimal point."""
WIRE_STEPS = (3, 6)
"""Standard sizes that a wire is shrunk by."""
BONDS = ("bond", "earth", "neutral-bond")
"""What a run carries that has current only in a fault."""
SINGLE = ("positive", "negative", "link", "bond")
"""What a run of one DC conductor carries."""

Spec = dict[str, Any]


@dataclass(frozen=True)
class Mutant:
    """One spoilt spec, and where a finding may point to."""

    id: str
    """As in `boat: remove F1`."""
    spec: Spec
    places: frozenset[str]
    """The device and its runs, and everything that these runs join. A bond stands for its whole DC system, which is
    named by its storage; an earth wire also for what is earthed at its ends."""

    def study(self) -> Study:
        """The numbers of the spoilt system."""
        return study_of_spec(self.spec, self.id)


def study_of_spec(spec: Spec, name: str) -> Study:
    """The numbers of a spec given as plain data."""
    tree = read_tree(json.dumps(spec, default=str), name, "json")
    return study(build_system(load_document(tree), tree))


def frozen(path: Path) -> Spec:
    """A spec with every choice of `size --write` in its place."""
    content = with_sizes(path, study_of(read(path))) or path.read_bytes()
    return dict(YAML(typ="safe", pure=True).load(io.BytesIO(content)))


class Spoiler:
    """All mutants of one sound spec."""

    def __init__(self, path: Path) -> None:
        self.name = path.stem
        self.spec = frozen(path)
        self.study = study_of_spec(self.spec, self.name)
        self.system = self.study.system

    def mutants(self) -> Iterator[Mutant]:
        """Every way of spoiling it, in a fixed order."""
        yield from self._without_devices()
        yield from self._without_runs()
        yield from self._raised()
        yield from self._blown_up()
        yield from self._shrunk()
        yield from self._swapped()
        yield from self._crossed()

    def _mutant(self, what: str, spec: Spec, *runs: Run, at: str = "") -> Mutant:
        joined = {stop.component for run in runs for stop in run.stops}
        if any(run.medium == "earth" for run in runs):
            joined |= {stop.component for id in joined for run in self._runs_of(id) for stop in run.stops}
        if any(run.carries == "bond" for run in runs):
            joined |= {id for id, component in self.system.components.items() if component.role == "storage"}
        places = {*joined, *(run.id for run in runs), at} - {""}
        return Mutant(f"{self.name}: {what}", spec, frozenset(places))

    def _devices(self) -> Iterator[str]:
        return (id for id, component in self.system.components.items() if component.protects)

    def _runs_of(self, id: str) -> list[Run]:
        return [run for run in self.system.runs if any(stop.component == id for stop in run.stops)]

    def _without_devices(self) -> Iterator[Mutant]:
        """Each fuse and breaker bridged: its run goes straight through where it stood."""
        for id in self._devices():
            spec = copy.deepcopy(self.spec)
            del spec["components"][id]
            for run in self._runs_of(id):
                _bridge(_entry(spec, run.id), id, run.segments)
            yield self._mutant(f"remove {id}", spec, *self._runs_of(id), at=id)

    def _without_runs(self) -> Iterator[Mutant]:
        """Each bond and each earth wire left out."""
        for run in self.system.runs:
            if run.carries in BONDS:
                spec = copy.deepcopy(self.spec)
                spec["runs"] = [entry for entry in spec["runs"] if entry["id"] != run.id]
                yield self._mutant(f"remove {run.id} ({run.carries})", spec, run)

    def _raised(self) -> Iterator[Mutant]:
        """Each fuse and breaker two standard ratings larger."""
        for id in self._devices():
            rating = self.study.rating_a(id)
            style = getattr(self.system.components[id], "style", None)
            series = standard_ratings(style) if style in styles() else listed_ratings()
            larger = [value for value in series if rating is not None and value > rating]
            if len(larger) >= RATING_STEPS:
                spec = copy.deepcopy(self.spec)
                spec["components"][id]["rating"] = f"{larger[RATING_STEPS - 1]:g} A"
                what = f"raise {id} from {rating:g} to {larger[RATING_STEPS - 1]:g} A"
                yield self._mutant(what, spec, *self._runs_of(id), at=id)

    def _blown_up(self) -> Iterator[Mutant]:
        """Each fuse and breaker with ten times its rating."""
        for id in self._devices():
            rating = self.study.rating_a(id)
            if rating is not None:
                spec = copy.deepcopy(self.spec)
                spec["components"][id]["rating"] = f"{BLOWN_UP * rating:g} A"
                what = f"blow up {id} from {rating:g} to {BLOWN_UP * rating:g} A"
                yield self._mutant(what, spec, *self._runs_of(id), at=id)

    def _shrunk(self) -> Iterator[Mutant]:
        """Each wire three and six standard sizes thinner, or as thin as there is."""
        for run in self.system.runs:
            size = parse_wire_size(_entry(self.spec, run.id)["wire"])
            for thinner in dict.fromkeys(_thinner(size, steps) for steps in WIRE_STEPS):
                if thinner != size:
                    spec = copy.deepcopy(self.spec)
                    _entry(spec, run.id)["wire"] = str(thinner)
                    yield self._mutant(f"shrink {run.id} from {size} to {thinner}", spec, run)

    def _swapped(self) -> Iterator[Mutant]:
        """Each end of a run of one DC conductor, landed on the other pole."""
        for run in self.system.runs:
            if run.carries in SINGLE:
                for index, name in enumerate(_entry(self.spec, run.id)["path"]):
                    if name[-1] in "+-":
                        spec = copy.deepcopy(self.spec)
                        other = name[:-1] + ("-" if name.endswith("+") else "+")
                        _entry(spec, run.id)["path"][index] = other
                        yield self._mutant(f"swap {name} on {run.id}", spec, run)

    def _crossed(self) -> Iterator[Mutant]:
        """Each pair of wires with plus landed on minus at its far end, and the return the other way round."""
        for run in self.system.runs:
            shunted = any(self.system.components[stop.component].kind == "shunt" for stop in run.stops)
            if run.carries == "pair" and not shunted:
                spec = copy.deepcopy(self.spec)
                entry = _entry(spec, run.id)
                near, *between, far = entry["path"]
                # The return is a run of its own here, to the same place.
                home = entry.pop("return-to", near)
                entry["path"] = [f"{near}+", *between, f"{far}-"]
                back = {"id": f"{run.id}-back", "path": [f"{home}-", f"{far}+"], "wire": entry["wire"]}
                spec["runs"].append(back | {"length": f"{run.length_m or 0:.6g} m"})
                yield self._mutant(f"cross {run.id}", spec, run)


def _thinner(size: WireSize, steps: int) -> WireSize:
    for _ in range(steps):
        size = one_size_smaller(size) or size
    return size


def _entry(spec: Spec, id: str) -> Spec:
    return next(entry for entry in spec["runs"] if entry["id"] == id)


def _bridge(entry: Spec, id: str, segments: tuple[Segment, ...]) -> None:
    index = next(i for i, name in enumerate(entry["path"]) if name.partition(".")[0] == id)
    del entry["path"][index]
    if "lengths" in entry:
        metres = [segment.length_m or 0.0 for segment in segments]
        metres[index - 1 : index + 1] = [sum(metres[index - 1 : index + 1])]
        entry["lengths"] = [f"{length:.6g} m" for length in metres]
