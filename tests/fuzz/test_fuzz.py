"""Whatever stands in a file, the answer is a drawing with its reports or a problem at a line.

A fixed sample of broken specs goes through everything here; `python -m fuzz` tries as many more as wanted. Each spec in
`kept/` once brought a fault to light.
"""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest
from fuzz.corpus import specimen
from fuzz.mutating import text_of
from fuzz.systems import Spec, made_system, systems
from fuzz.trial import tried
from hypothesis import HealthCheck, given, settings

from rigline.kinds import KINDS
from rigline.model.build import build_system
from rigline.spec.load import load_document
from rigline.spec.reading import read_tree

KEPT = sorted((Path(__file__).parent / "kept").glob("*.yaml"))
FIRST, COUNT, BATCHES = 0, 500, 10
DRAWN_EVERY = 4
"""One in so many is drawn, which takes most of the time."""


@pytest.mark.parametrize("path", KEPT, ids=lambda path: path.stem)
def test_a_spec_that_was_at_fault_once_is_answered(path: Path) -> None:
    assert tried(path.read_bytes()).about == ""


@pytest.mark.parametrize("batch", range(BATCHES))
def test_a_broken_spec_is_drawn_or_refused_at_a_line(batch: int) -> None:
    numbers = range(FIRST + batch, FIRST + COUNT, BATCHES)
    outcomes = {
        number: tried(*specimen(number), draws=number % DRAWN_EVERY == batch % DRAWN_EVERY) for number in numbers
    }
    assert {number: outcome for number, outcome in outcomes.items() if outcome.answer == "fault"} == {}


@given(spec=systems())
@settings(max_examples=20, deadline=None, suppress_health_check=list(HealthCheck))
def test_a_made_system_is_well_formed(spec: Spec) -> None:
    tree = read_tree(text_of(spec), "made.yaml", "yaml")
    assert set(build_system(load_document(tree), tree).components) == set(spec["components"])


def test_made_systems_have_every_kind() -> None:
    made = [made_system(Random(number)) for number in range(100)]
    assert {fields["kind"] for spec in made for fields in spec["components"].values()} == set(KINDS)


def test_the_sample_is_both_drawn_and_refused() -> None:
    assert {tried(*specimen(number)).answer for number in range(20)} == {"drawn", "refused"}
