"""What must hold of every system's notes: nothing that is in it is left out, and the tables are the schedule's."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from laws.strategies import Plan, plans, studied

import rigline
from rigline.checks.run import run_checks
from rigline.kinds.devices import Overcurrent
from rigline.notes.notes import Notes, notes_of
from rigline.notes.ways import Ways
from rigline.outputs.notes.blocks import Table, texts
from rigline.outputs.notes.content import document_of
from rigline.outputs.schedules import schedule_rows
from rigline.study.study import Study

SPECS = sorted((Path(__file__).parent.parent.parent / "specs").glob("*.yaml"))
SOUND = [spec for spec in SPECS if spec.stem != "faulty"]
few = settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True)
demos = pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.stem)
sound_demos = pytest.mark.parametrize("spec", SOUND, ids=lambda spec: spec.stem)


@cache
def made(spec: Path) -> Notes:
    """Notes of a demo."""
    return notes_of_study(rigline.study_of(rigline.read(spec)))


def notes_of_study(study: Study) -> Notes:
    """Notes of a study, judged by all rules."""
    return notes_of(study, run_checks(study))


def tasks(notes: Notes) -> list[str]:
    """Everything to do, in its order."""
    return [task.what for step in notes.steps for task in step.tasks]


def left_out(notes: Notes) -> list[str]:
    """Runs, components and pieces of wire that no chapter names, and devices that the fuse list doesn't."""
    words = set(" ".join(texts(document_of(notes, ["<svg/>"]))).replace(",", " ").replace(":", " ").split())
    parts = notes.study.system.components
    fused = {line.device.id for line in notes.fuses}
    found = [id for id in parts if not any(word.strip("().;“”").split(".")[0] == id for word in words)]
    found += [run.id for run in notes.study.system.runs if run.id not in words]
    found += [id for id, part in parts.items() if isinstance(part, Overcurrent) and id not in fused]
    return found + [p.id for p in notes.order.cuts if not named(notes, p.id)]


def named(notes: Notes, piece: str) -> bool:
    """Whether a piece of wire has a task of its own."""
    label = label_of(piece)
    return any(what.startswith((f"{label}:", f"{label} (")) for what in tasks(notes))


def label_of(piece: str) -> str:
    """How a piece of wire is named in the steps: with a minus sign, not a hyphen."""
    return f"{piece[:-1]}−" if piece.endswith("-") else piece


@demos
def test_nothing_of_a_demo_is_left_out(spec: Path) -> None:
    assert left_out(made(spec)) == []


@few
@given(plans())
def test_nothing_of_a_random_system_is_left_out(plan: Plan) -> None:
    assert left_out(notes_of_study(studied(plan.text()))) == []


@demos
def test_the_from_to_table_is_the_schedule(spec: Path) -> None:
    notes = made(spec)
    section = next(one for one in document_of(notes, ["<svg/>"]).sections if one.id == "from-to")
    table = next(block for block in section.blocks if isinstance(block, Table))

    assert list(table.rows) == schedule_rows(notes.study)


@demos
def test_the_connected_load_of_a_panel_is_the_sum_of_its_circuits(spec: Path) -> None:
    for panel in made(spec).panels:
        assert panel.load_w == pytest.approx(sum(way.load_w or 0.0 for way in panel.ways if not way.supply))


@demos
def test_no_piece_of_wire_lands_on_a_battery_before_the_dead_tests(spec: Path) -> None:
    """Common practice: a battery is connected last, when everything else has been measured."""
    notes = made(spec)
    ways = Ways(notes.study)
    open_ends = [p.id for p in notes.order.cuts if p.medium == "dc" and ways.source_of(p) is not None]
    said = {label_of(id): [what for what in tasks(notes) if what.startswith(f"{label_of(id)}:")] for id in open_ends}

    assert open_ends
    assert {label: len(found) for label, found in said.items()} == dict.fromkeys(said, 1)
    assert [label for label, (what,) in said.items() if " open" not in what] == []


@sound_demos
def test_every_device_of_a_sound_demo_is_closed_after_the_battery_is_connected(spec: Path) -> None:
    notes = made(spec)
    titles = [step.title for step in notes.steps]
    after = " ".join(task.what for step in notes.steps[titles.index("The battery, last") + 1 :] for task in step.tasks)
    devices = [id for id, part in notes.study.system.components.items() if isinstance(part, Overcurrent)]

    assert [id for id in devices if f" {id} " not in after] == []


@sound_demos
def test_every_source_has_its_step_and_batteries_come_before_sun_and_mains(spec: Path) -> None:
    notes = made(spec)
    all = tasks(notes)
    parts = notes.study.system.components
    live = all.index(next(what for what in all if what.startswith("Live tests, “Battery and polarity")))
    sources = [id for id, part in parts.items() if part.role == "source"]

    assert [id for id in sources if not any(what.startswith(f"{id} (") for what in all[live:])] == []


@demos
def test_the_steps_of_a_stage_name_nothing_of_later_stages(spec: Path) -> None:
    whole = rigline.read(spec)
    first = rigline.read(spec, stage="1")
    later = set(whole.components) - set(first.components)
    words = set(" ".join(tasks(notes_of_study(rigline.study_of(first)))).replace(",", " ").split())

    assert sorted(later & words) == []
