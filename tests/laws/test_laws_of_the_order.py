"""What must hold of every order list, on random small systems."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from laws.strategies import Plan, Run, plans, studied

from rigline.ordering.order import Order, order_of
from rigline.ordering.wire import product_of, to_cut

few = settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True)


def order(plan: Plan) -> Order:
    """The lists of a plan."""
    return order_of(studied(plan.text()))


def needed_m(found: Order) -> Counter[str]:
    """Metres that the cut list and its spare ends need, by size and colour."""
    return Counter({f"{one.product.size} {one.product.colour} {one.product.cores}": one.need_m for one in found.wire})


@few
@given(plans())
def test_what_is_bought_is_never_less_than_what_is_cut(plan: Plan) -> None:
    """And each roll is long enough for the longest piece cut from it."""
    found = order(plan)

    for one in found.wire:
        cuts = [
            piece.cut_m or 0.0 for piece in to_cut(found.cuts)
            if product_of(piece) == one.product and piece.state == one.state
            for _ in range(piece.count)
        ]  # fmt: skip
        assert abs(sum(cuts) - one.cut_m) < 1e-9
        assert one.cut_m < one.need_m <= one.bought_m * (1 + 1e-9)
        assert max(cuts) <= one.bought_m / len(one.rolls) * (1 + 1e-9)


@few
@given(plans(), st.integers(50, 20_000))
def test_one_run_more_never_needs_less_of_any_wire(plan: Plan, length_mm: int) -> None:
    """Sizes are given here: a further load may make a shared wire thicker."""
    sized = studied(plan.text())
    wires = {id: str(size) for id, size in sized.sizes.wires.items()}
    ratings = {id: rating for id, rating in sized.sizes.ratings.items() if rating is not None}
    fixed = plan.with_wires(wires, ratings)
    more = replace(
        fixed,
        components={**fixed.components, "LX": "kind: dc-load, power: 10 W"},
        runs={**fixed.runs, "WX": Run(("BUS1", "LX"), (length_mm,), "12 AWG")},
    )
    before, after = needed_m(order(fixed)), needed_m(order(more))

    assert all(after[what] >= metres - 1e-9 for what, metres in before.items())
    assert sum(after.values()) > sum(before.values())


@few
@given(plans())
def test_every_conductor_is_cut_once_and_has_two_ends(plan: Plan) -> None:
    """The pieces of a pole of a run are as long together as the run."""
    study = studied(plan.text())
    found = order_of(study)

    for run in study.system.runs:
        for pole in {c.pole for c in run.segments[0].conductors}:
            share = sum(p.share_m or 0.0 for p in found.cuts if p.run == run.id and pole in (p.pole, *p.cores))
            assert abs(share - (run.length_m or 0.0)) < 1e-9


@few
@given(plans())
def test_every_end_on_a_stud_gets_a_lug_or_is_asked_for(plan: Plan) -> None:
    found = order(plan)
    ends = sum(
        piece.count for piece in found.cuts if piece.size is not None for end in piece.ends if end.landing == "stud"
    )

    # The systems say nothing of studs, so every one of them is asked for.
    assert found.lugs == ()
    assert sum(item.count for item in found.open_lugs) == ends


@few
@given(plans(), st.integers(0, 1000))
def test_the_order_in_the_spec_does_not_change_what_is_bought(plan: Plan, seed: int) -> None:
    one, other = order(plan), order_of(studied(plan.text(order=seed)))

    assert {(w.product, w.rolls) for w in one.wire} == {(w.product, w.rolls) for w in other.wire}
    assert {(g.item.what, g.item.count) for g in one.components} == {
        (g.item.what, g.item.count) for g in other.components
    }
    assert Counter((i.what, i.count) for i in one.open_lugs) == Counter((i.what, i.count) for i in other.open_lugs)
