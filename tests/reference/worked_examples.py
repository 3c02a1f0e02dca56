"""Reads published worked examples and puts each through a whole spec: text, system, graph, study.

A source is one TOML file: its citation, what convention it computes with, and one table per example with the source's
own digits. A voltage-drop example becomes a battery, a wire and a load. Where a source states the resistance or
resistivity it computed with and the rule set's own differs, the length is scaled by the ratio of the two, so that the
source's product of resistance and length is what the study is given; the factor stands in the example as `per`.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rigline.model.build import build_system
from rigline.spec.load import load_document
from rigline.spec.reading import read_tree
from rigline.study.study import SegmentStudy, Study, study

HERE = Path(__file__).parent


@dataclass(frozen=True)
class Source:
    """One publication with its examples."""

    citation: str
    examples: dict[str, dict[str, Any]]


def source(name: str) -> Source:
    """The publication in a data file."""
    data = tomllib.loads((HERE / f"{name}.toml").read_text(encoding="utf-8"))
    return Source(data["citation"], data["example"])


def studied(text: str, profile: str) -> Study:
    """The study of a spec whose first two lines are left out."""
    tree = read_tree(f"rigline: 1\nprofile: {profile}\n{text}", "example.yaml", "yaml")
    return study(build_system(load_document(tree), tree))


def segment(found: Study, id: str) -> SegmentStudy:
    """The numbers of one segment."""
    return next(one for one in found.segments if one.segment.id == id)


def circuit(volts_v: float, amps_a: float, length_m: float, wire: str, profile: str, *, medium: str = "dc") -> Study:
    """A source, one wire of a length (one way) and one load."""
    fields = f"length: {length_m!r} m, wire: {wire}"
    if medium == "ac":
        return studied(
            f"""
components:
  SH1: {{kind: shore-inlet, voltage: {volts_v} V, rating: 30 A}}
  LD1: {{kind: ac-load, current: {amps_a} A}}
runs:
  - {{id: W1, path: [SH1, LD1], cores: [L, N, PE], {fields}}}
""",
            profile,
        )
    return studied(
        f"""
components:
  B1: {{kind: battery, voltage: {volts_v} V}}
  LD1: {{kind: dc-load, current: {amps_a} A}}
runs:
  - {{id: W1, path: [B1, LD1], {fields}}}
""",
        profile,
    )
