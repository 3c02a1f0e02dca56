"""The install order, read as an electrician does: what becomes live when, and behind what."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

import rigline
from rigline.checks.run import run_checks
from rigline.notes.notes import Notes, notes_of

ROOT = Path(__file__).parent.parent.parent
CASES = ROOT / "tests" / "cases"
SPECS = ROOT / "specs"


@cache
def notes(spec: Path) -> Notes:
    """Notes of a spec."""
    study = rigline.study_of(rigline.read(spec))
    return notes_of(study, run_checks(study))


def demo(name: str) -> list[str]:
    """Everything to do for a demo, in its order."""
    return tasks(SPECS / f"{name}.yaml")


def tasks(spec: Path) -> list[str]:
    """Everything to do for a spec, in its order."""
    return [task.what for step in notes(spec).steps for task in step.tasks]


def position(all: list[str], part: str) -> int:
    """Place of the one task that says something."""
    (found,) = (number for number, what in enumerate(all) if part in what)
    return found


@pytest.mark.parametrize("name", ["camper", "trailer", "cabin"])
def test_bonds_come_before_negatives_positives_sun_dead_tests_and_the_battery(name: str) -> None:
    titles = [step.title for step in notes(SPECS / f"{name}.yaml").steps]
    order = ["Mount everything, no wire yet", "Bonds and earths", "The negative side",
             "The positive side, from the loads back", "The sun, not plugged in", "Dead tests",
             "The battery, last", "First voltage", "The main fuse"]  # fmt: skip

    assert [title for title in titles if title in order] == order


@pytest.mark.parametrize("name", ["camper", "trailer", "boat", "cabin", "lights"])
def test_the_negative_of_a_battery_whose_negative_is_grounded_lands_last(name: str) -> None:
    """A tool that touches metal while it turns on the positive then closes no circuit: common practice."""
    found = notes(SPECS / f"{name}.yaml")
    step = next(step for step in found.steps if step.title == "The battery, last")
    for battery in (id for id, part in found.study.system.components.items() if part.role == "storage"):
        ends = [task.what for task in step.tasks if f" on {battery} " in task.what]

        assert ends[-1].endswith(f"on {battery} −, last.")
        assert [what for what in ends[:-1] if what.endswith("last.")] == []


def test_the_capacitors_of_an_inverter_are_filled_before_its_fuse_goes_in() -> None:
    """The first current is the charged battery over the resistor: 4 cells of 3.65 V over 10 ohm (Ohm's law)."""
    all = demo("camper")
    filled = all[position(all, "wire-wound, held across F3 (empty)")]

    assert "(first 1.46 A)" in filled
    assert filled.index("held across F3") < filled.index("put in F3 (200 A class T)")


def test_an_inverter_that_fills_its_own_capacitors_needs_no_resistor() -> None:
    all = demo("cabin")

    assert "INV1 (Inverter-charger) fills its own capacitors slowly." in all[position(all, "put in F4")]
    assert [what for what in all if "wire-wound" in what] == []


def test_an_inverter_right_behind_the_main_fuse_is_filled_there() -> None:
    all = tasks(CASES / "cabin-inverter-and-generator-bond.yaml")

    assert "held across F1 (empty)" in all[position(all, "its capacitors are filled at F1")]
    assert [what for what in all if "fuse lead" in what] == []


def test_the_second_of_two_batteries_side_by_side_is_measured_across_its_open_fuse() -> None:
    """A reversed one shows the sum of both voltages there, before anything flows."""
    all = demo("cabin")

    assert position(all, "fuse lead across F1") < position(all, "Voltage across F2 (empty): within 0.1 V of zero")
    assert "B2 is reversed: stop" in all[position(all, "Voltage across F2")]


def test_batteries_in_series_are_not_taken_for_batteries_side_by_side() -> None:
    assert [what for what in tasks(CASES / "banks-in-series-and-in-parallel.yaml") if "Voltage across" in what] == []


def test_a_fuse_on_the_post_of_a_battery_goes_there_empty() -> None:
    assert position(demo("boat"), "Holder of F7 on B2 +, empty.") < position(demo("boat"), "Put in F7 (6 A cartridge)")


def test_a_controller_knows_its_battery_before_it_sees_the_sun() -> None:
    all = demo("camper")

    assert position(all, "SC1 (Solar controller): put in F2") < position(all, "then plug it in, then QPV ON")


def test_a_breaker_that_feeds_breakers_is_closed_before_them() -> None:
    closing = next(what for what in demo("cabin") if what.startswith("Switch on QI"))

    assert closing.startswith("Switch on QI (30 A), Q11 (20 A), Q12 (20 A) and Q13 (20 A), one by one")


@pytest.mark.parametrize("spec", sorted(CASES.glob("*.yaml")), ids=lambda spec: spec.stem)
def test_no_device_is_closed_twice(spec: Path) -> None:
    all = [what.lower() for what in tasks(spec)]
    ids = [line.device.id for line in notes(spec).fuses]
    closings = {
        id: sum(f"{verb} {id.lower()} " in what for what in all for verb in ("put in", "switch on")) for id in ids
    }

    assert {id: count for id, count in closings.items() if count > 1} == {}
