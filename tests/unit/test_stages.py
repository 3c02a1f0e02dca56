"""A system is looked at as far as it is built; what its terminals and ids are doesn't change with that."""

from __future__ import annotations

import pytest
from model_helpers import spec, system

from rigline.errors import CommandError

RUNS = ["path: [B1, F1, BUS1]", "path: [BUS1, LT1], stage: 2", "path: [BUS1, LT2]", "path: [PV1, SC1]",
        "path: [SC1, F2, BUS1]", "path: [BUS1, LT3], return-to: BUS2"]  # fmt: skip
FIELDS = {"LT2": "stage: later", "SC1": "stage: 2", "PV1": "stage: 2", "BUS2": "stage: 3"}


@pytest.mark.parametrize(
    ("stage", "runs"),
    [
        (None, ["W1", "W2", "W3", "W4", "W5", "W6"]), ("1", ["W1"]), ("2", ["W1", "W2", "W4", "W5"]),
        ("3", ["W1", "W2", "W4", "W5", "W6"]), ("later", ["W1", "W2", "W3", "W4", "W5", "W6"]),
    ],
)  # fmt: skip
def test_a_run_is_built_when_it_and_all_that_it_joins_are(stage: str | None, runs: list[str]) -> None:
    assert [run.id for run in system(spec(RUNS, **FIELDS), stage).runs] == runs


@pytest.mark.parametrize(("stage", "there"), [(None, {"LT2", "SC1"}), ("1", set()), ("2", {"SC1"}),
                                              ("later", {"LT2", "SC1"})])  # fmt: skip
def test_a_component_is_built_by_its_stage(stage: str | None, there: set[str]) -> None:
    assert system(spec(RUNS, **FIELDS), stage).components.keys() & {"LT2", "SC1"} == there


def test_a_run_is_the_same_in_every_stage_in_which_it_is_built() -> None:
    text = spec(RUNS, **FIELDS)
    whole = {run.id: run for run in system(text).runs}
    for stage in ("1", "2", "3", "later"):
        for run in system(text, stage).runs:
            assert run == whole[run.id]


@pytest.mark.parametrize("stage", ["soon", "0", "-1", "", "1.5", "²", "100"])
def test_a_stage_that_can_not_be_is_a_wrong_command(stage: str) -> None:
    with pytest.raises(CommandError, match="a stage is 1, 2"):
        system(spec(RUNS, **FIELDS), stage)
