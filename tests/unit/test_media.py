"""Whether a run is DC or AC follows from its ends, else from its neighbours; DC is never joined with AC."""

from __future__ import annotations

from itertools import permutations

import pytest
from model_helpers import problems, spec, system


def media(paths: list[str]) -> dict[str, str]:
    return {", ".join(run.spec.path): run.medium for run in system(spec([f"path: [{path}]" for path in paths])).runs}


@pytest.mark.parametrize(
    ("path", "medium"),
    [
        ("B1, F1, BUS1", "dc"), ("BUS1, F1, INV1", "dc"), ("INV1, ACP1", "ac"), ("INV1.ac-out, Q1, RC1", "ac"),
        ("BUS1, F1, M1", "dc"), ("ACP1, Q1, M1", "ac"), ("FB1, F1, RC1", "dc"), ("F1, RC1", "dc"), ("F1+, RC1", "dc"),
        ("BUS1-, GND", "earth"), ("INV1.case, GND", "earth"), ("EB1, GND", "earth"),
    ],
)  # fmt: skip
def test_the_medium_of_a_run_follows_from_its_ends(path: str, medium: str) -> None:
    assert media([path]) == {path: medium}


def test_a_run_between_things_that_take_either_is_what_its_neighbours_are_in_any_order() -> None:
    paths = ["INV1.ac-out, Q1", "Q1, CON1", "CON1, J1", "J1, RC1"]
    assert {tuple(sorted(media(list(order)).items())) for order in permutations(paths)} == {
        tuple(sorted((path, "ac") for path in paths))
    }


def test_an_earth_conductor_may_meet_dc_and_ac_at_one_chassis() -> None:
    paths = ["BUS1-, GND", "ACP1, GND", "BUS1, LT1", "ACP1, AL1"]
    assert media(paths) == dict(zip(paths, ["earth", "earth", "dc", "ac"], strict=True))


@pytest.mark.parametrize(
    ("runs", "message"),
    [
        (["path: [B1, ACP1]"], "it joins B1, which is DC, with ACP1, which is AC; check the path and its terminals"),
        (["path: [INV1.dc, Q1, ACP1]"],
         "it joins INV1.dc, which is DC, with ACP1, which is AC; check the path and its terminals"),
        (["path: [B1, RC1], cores: [L, N]"], "B1 is DC, and cores: is for AC; delete cores, or check the path"),
        (["path: [ACP1, RC1], carries: negative"],
         "ACP1 is AC, and carries: negative is for DC; say the AC run's conductors as cores:"),
        (["path: [B1, J1]", "path: [J1, RC1]", "path: [ACP1, J1]"],
         "it is AC, and another run brings DC to J1; keep the two apart"),
    ],
)  # fmt: skip
def test_dc_is_never_joined_with_ac(runs: list[str], message: str) -> None:
    assert [text.split(": ", 2)[2] for text in problems(spec(runs))] == [message]


def test_power_leaves_an_inverter_that_a_path_begins_with_as_ac() -> None:
    """An outlet takes either; a path that begins at an inverter can only be its AC output."""
    read = system(
        """\
rigline: 1
profile: us-rv
components:
  INV1: {kind: inverter, power: 1 kW}
  RC1: {kind: receptacle}
runs:
  - {id: W1, path: [INV1, RC1], length: 3 m}
"""
    )

    assert (read.runs[0].medium, read.runs[0].stops[0].entry) == ("ac", "ac-out")
