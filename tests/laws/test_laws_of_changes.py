"""What must hold of every comparison, on random small systems."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from laws.strategies import Plan, Run, plans, studied

from rigline.changes.change import Changes
from rigline.changes.compare import compare
from rigline.checks.run import run_checks

few = settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True)


def compared(old: str, new: str) -> Changes:
    """What is different between two specs."""
    before, after = studied(old), studied(new)
    return compare(before, after, run_checks(before), run_checks(after))


def things(changes: Changes) -> set[tuple[str, str]]:
    """Every way in which a thing is different."""
    return {(change.id, kind) for change in changes.changes for kind in change.kinds}


@few
@given(plans(), st.integers(0, 1000))
def test_a_system_has_not_changed_against_itself_in_any_order(plan: Plan, seed: int) -> None:
    found = compared(plan.text(), plan.text(order=seed))

    assert found.empty
    assert (found.needs.components, found.needs.wire, found.needs.cuts, found.needs.routing) == ((), (), (), ())


@few
@given(plans(), st.integers(0, 1000))
def test_the_order_in_the_spec_does_not_matter_to_what_is_different(plan: Plan, seed: int) -> None:
    other = plan.without(plan.devices[-1])
    one, two = compared(plan.text(), other.text()), compared(plan.text(order=seed), other.text(order=seed + 1))

    assert things(one) == things(two)
    assert {f.rule for f in one.judgements.new} == {f.rule for f in two.judgements.new}


@few
@given(plans())
def test_what_is_added_one_way_is_removed_the_other_way(plan: Plan) -> None:
    more = replace(
        plan,
        components={**plan.components, "LX": "kind: dc-load, power: 10 W"},
        runs={**plan.runs, "WX": Run(("BUS1", "LX"), (700,), "12 AWG")},
    )
    there, back = compared(plan.text(), more.text()), compared(more.text(), plan.text())

    assert there.of("added") == ("LX", "WX")
    assert sorted(back.of("removed")) == ["LX", "WX"]
    assert (there.of("removed"), back.of("added")) == ((), ())
    assert [(f.rule, f.at) for f in there.judgements.gone] == [(f.rule, f.at) for f in back.judgements.new]


@few
@given(plans())
def test_other_names_are_told_and_nothing_is_bought_for_them(plan: Plan) -> None:
    """Every component bears a new id; runs keep theirs."""
    names = {id: f"{id}x" for id in plan.components}
    found = compared(plan.text(), plan.text(names=names))

    assert things(found) == {(name, "renamed") for name in names.values()}
    assert found.judgements.empty
    assert (found.needs.components, found.needs.left_over, found.needs.cuts) == ((), (), ())


@few
@given(plans(), st.integers(1, 3000))
def test_a_longer_run_needs_its_own_wire_again_and_no_other(plan: Plan, more_mm: int) -> None:
    sized = studied(plan.text())
    wires = {id: str(size) for id, size in sized.sizes.wires.items()}
    fixed = plan.with_wires(wires, {id: rating for id, rating in sized.sizes.ratings.items() if rating is not None})
    run = fixed.runs["WL1"]
    longer = replace(run, lengths_mm=(run.lengths_mm[0], run.lengths_mm[1] + more_mm))
    found = compared(fixed.text(), replace(fixed, runs={**fixed.runs, "WL1": longer}).text())

    assert things(found) == {("WL1", "re-routed")}
    assert {piece.run for piece in found.needs.cuts} == {"WL1"}
    assert {id for one in found.needs.wire for id in one.runs} == {"WL1"}
