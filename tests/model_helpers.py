"""Short ways from components and runs, written as in a spec, to the system they mean."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from rigline.errors import SpecError
from rigline.model.build import build_system
from rigline.model.system import Conductor, System
from rigline.spec.document import Document
from rigline.spec.load import load_document
from rigline.spec.reading import read_tree

KINDS = {
    "B": "battery", "VB": "vehicle-battery", "ALT": "alternator", "PV": "pv-array", "WT": "wind-turbine",
    "SH": "shore-inlet", "G": "generator", "SC": "charge-controller", "DCC": "dc-charger", "AC": "ac-charger",
    "INV": "inverter", "IC": "inverter-charger", "T": "transformer", "BUS": "busbar", "FB": "fuse-block",
    "J": "junction", "ACP": "ac-panel", "F": "fuse", "Q": "breaker", "S": "switch", "SEL": "selector",
    "RL": "relay", "TS": "transfer-switch", "RCD": "rcd", "DI": "diode-isolator", "RS": "shunt", "CON": "connector",
    "GI": "galvanic-isolator", "GND": "chassis", "EB": "earth-bus", "LT": "dc-load", "AL": "ac-load",
    "RC": "receptacle", "M": "motor", "MON": "monitor",
}  # fmt: skip
"""Letters of an id -> kind, for systems where only the kind matters."""


def spec(runs: Sequence[str], more: str = "", **fields: str) -> str:
    """A spec with these runs; its components come from the ids in them, with further fields by id."""
    ids = dict.fromkeys(_ids(runs))
    listed = [f"  {id}: {{kind: {_kind(id)}{', ' if id in fields else ''}{fields.get(id, '')}}}" for id in ids]
    lines = ["rigline: 1", "profile: us-rv", more, "components:", *listed, "runs:", *(f"  - {{{run}}}" for run in runs)]
    return "\n".join(line for line in lines if line) + "\n"


def _ids(runs: Sequence[str]) -> list[str]:
    paths = [part.split("]")[0] for run in runs for part in run.split("path: [")[1:]]
    returns = [part.split(",")[0] for run in runs for part in run.split("return-to: ")[1:]]
    entries = [entry for path in [*paths, *returns] for entry in path.split(",")]
    return [entry.strip().rstrip("+-").split(".")[0] for entry in entries]


def _kind(id: str) -> str:
    return KINDS[id.rstrip("0123456789")]


def document(text: str, folder: Path | None = None) -> Document:
    """The document of a spec's text."""
    return load_document(read_tree(text, "spec.yaml", "yaml"), folder)


def system(text: str, stage: str | None = None) -> System:
    """The system of a spec's text."""
    tree = read_tree(text, "spec.yaml", "yaml")
    return build_system(load_document(tree), tree, stage)


def problems(text: str, folder: Path | None = None) -> list[str]:
    """What is wrong with a spec's text, without the file's name."""
    with pytest.raises(SpecError) as caught:
        tree = read_tree(text, "spec.yaml", "yaml")
        build_system(load_document(tree, folder), tree)
    return [problem.text().removeprefix("spec.yaml:") for problem in caught.value.problems]


def stops(text: str, run: str = "W1") -> list[tuple[str, str, str]]:
    """Component, entry and exit at each stop of a run."""
    return [(stop.component, stop.entry, stop.exit) for stop in system(text).run(run).stops]


def conductors(text: str, run: str = "W1") -> list[str]:
    """Every conductor of a run as "W1a+: B1 + to F1.in +"."""
    return [shown(one) for segment in system(text).run(run).segments for one in segment.conductors]


def shown(conductor: Conductor) -> str:
    """A conductor in words."""
    return f"{conductor.id}: {conductor.a} to {conductor.b}"
