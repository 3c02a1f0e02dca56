"""What is said of two states of a small system: every kind of change by its name, findings, and what must be bought."""

from __future__ import annotations

import pytest
from helpers import report, study_of

from rigline.changes.change import Changes
from rigline.changes.compare import compare

SPEC = """\
rigline: 1
title: Box
revision: A
profile: us-rv
places:
  locker: {max: 40 °C}
  bench: {max: 30 °C}
components:
  B1:  {kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 50 Ah, short-circuit: 1.8 kA, stud: M8}
  F1:  {kind: fuse, style: terminal, rating: 40 A, place: locker, stud: M8}
  DC1: {kind: fuse-block, rating: 75 A, stud: M6}
  FA:  {kind: fuse, style: blade, rating: 5 A}
  LT1: {kind: dc-load, name: Lights, power: 24 W}
  GND: {kind: chassis, stud: M8}
runs:
  - {id: W1, path: [B1, F1, DC1], lengths: [0.1 m, 0.6 m], wire: 8 AWG}
  - {id: W2, path: [DC1, FA, LT1], length: 2 m, wire: 14 AWG}
  - {path: [DC1-, GND], length: 0.3 m, carries: bond, wire: 8 AWG}
"""


def changes(*swaps: tuple[str, str], old: str = SPEC) -> Changes:
    """What is different after some words of the spec were replaced."""
    new = old
    for before, after in swaps:
        assert before in new
        new = new.replace(before, after)
    return compare(study_of(old), study_of(new), report(old), report(new))


def told(found: Changes) -> list[str]:
    """Every change in a sentence."""
    return [change.text for change in found.changes]


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        ("rating: 40 A", "rating: 50 A", "F1 re-rated: rating 40 A → 50 A"),
        ("capacity: 50 Ah", "capacity: 100 Ah", "B1 re-rated: capacity 50 Ah → 100 Ah"),
        ("chemistry: lifepo4", "chemistry: agm", "B1 changed: chemistry lifepo4 → agm"),
        ("short-circuit: 1.8 kA", "short-circuit: unknown", "B1 re-rated: short-circuit 1.8 kA → unknown"),
        (", short-circuit: 1.8 kA", "", "B1 re-rated: short-circuit 1.8 kA → not given"),
        ("place: locker", "place: bench", "F1 moved: place locker → bench"),
        ("kind: fuse, style: terminal", "kind: breaker", "F1 changed: fuse, 40 A, terminal → breaker, 40 A"),
        ("power: 24 W}", "power: 24 W, price: 12 EUR}", "LT1 (Lights) noted: price not given → 12 EUR"),
        ("length: 2 m", "length: 3 m", "W2 re-routed: length 2 m → 3 m"),
        ("wire: 14 AWG", "wire: 12 AWG", "W2 re-sized: wire 14 AWG → 12 AWG"),
        (", wire: 14 AWG", "", "W2 re-sized: wire 14 AWG → 18 AWG (chosen)"),
        ("wire: 14 AWG", "wire: 14 AWG, conductors: 2", "W2 re-sized: wire 14 AWG → 2 × 14 AWG"),
        ("wire: 14 AWG", "wire: 14 AWG, color: blue", "W2 changed: color not given → blue"),
        ("bench: {max: 30 °C}", "bench: {max: 35 °C}", "The system changed: place bench max 30 °C → 35 °C"),
        ("profile: us-rv", "profile: us-rv\nconditions: {ambient: 40 °C}",
         "The system changed: conditions ambient not given → 40 °C"),
        ("title: Box", "title: Crate", "The system noted: title Box → Crate"),
    ],
)  # fmt: skip
def test_a_change_is_told_by_its_kind_and_in_the_author_s_words(before: str, after: str, words: str) -> None:
    assert told(changes((before, after))) == [words]


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("lengths: [0.1 m, 0.6 m]", "lengths: [100 mm, 60 cm]"),
        ("revision: A", "revision: B\ndate: 2026-11-25\nrevisions: [{revision: B, date: 2026-11-25, change: None}]"),
        ("  - {path: [DC1-, GND]", "  - {id: W3, path: [DC1-, GND]"),
        ("title: Box", "# a remark\ntitle: Box"),
    ],
)
def test_what_means_the_same_is_no_change(before: str, after: str) -> None:
    assert changes((before, after)).empty


def test_a_size_that_was_chosen_and_is_written_now_is_only_noted() -> None:
    open_size = SPEC.replace(", wire: 14 AWG", "").replace("style: blade, rating: 5 A", "style: blade")
    found = changes(("length: 2 m", "length: 2 m, wire: 18 AWG"), ("style: blade", "style: blade, rating: 3 A"),
                    old=open_size)  # fmt: skip

    assert told(found) == ["FA noted: rating 3 A (chosen) → 3 A", "W2 noted: wire 18 AWG (chosen) → 18 AWG"]
    assert [change.marked for change in found.changes] == [False, False]
    assert (found.needs.components, found.needs.cuts) == ((), ())


def test_a_component_under_a_new_id_is_renamed_and_its_runs_are_as_they_were() -> None:
    found = changes(("F1", "FMAIN"))

    assert told(found) == ["FMAIN renamed: was F1"]
    assert (found.needs.components, found.needs.cuts, found.needs.left_over) == ((), (), ())


def test_an_equal_component_elsewhere_is_a_new_one() -> None:
    moved = SPEC.replace("[DC1, FA, LT1]", "[DC1, LT1]").replace("FA: ", "FZ: ").replace("[B1, F1,", "[B1, F1, FZ,")
    text = moved.replace("[0.1 m, 0.6 m]", "[0.1 m, 0.3 m, 0.3 m]")
    found = compare(study_of(SPEC), study_of(text), report(SPEC), report(text))

    assert found.of("renamed") == ()
    assert (found.of("added"), found.of("removed")) == (("FZ",), ("FA",))


def test_a_run_without_an_id_is_the_one_with_its_path() -> None:
    """A run put before it takes its number; what labels say is told."""
    shifted = changes(("runs:\n", "runs:\n  - {path: [GND, B1-], length: 1 m, carries: bond, wire: 8 AWG}\n"))

    assert told(shifted) == ["W3 added: [GND, B1-] 1 m, 8 AWG", "W4 renamed: was W3"]


def test_a_run_keeps_its_id_on_another_route() -> None:
    found = changes(("  FA:", "  Q1:  {kind: switch, rating: 100 A}\n  FA:"), ("[B1, F1, DC1]", "[B1, F1, Q1, DC1]"),
                    ("[0.1 m, 0.6 m]", "[0.1 m, 0.3 m, 0.3 m]"))  # fmt: skip

    assert told(found) == [
        "Q1 added: switch, 100 A",
        "W1 re-routed: [B1, F1, DC1] → [B1, F1, Q1, DC1], lengths [0.1 m, 0.6 m] → [0.1 m, 0.3 m, 0.3 m]",
    ]


def test_a_component_and_its_run_may_get_other_names_at_once() -> None:
    """The run loses its id with the renaming of its battery, and neither is taken for another thing."""
    found = changes(("B1", "BANK"), ("id: W1, ", ""))

    assert told(found) == ["BANK renamed: was B1"]
    assert (found.needs.cuts, found.needs.left_over) == ((), ())


def test_an_id_that_is_used_again_for_another_kind_is_told_with_both_nameplates() -> None:
    found = changes(("LT1: {kind: dc-load, name: Lights, power: 24 W}", "LT1: {kind: motor, name: Fan, current: 2 A}"))

    assert told(found) == ["LT1 (Fan) changed: DC load, 24 W → motor, 2 A, name Lights → Fan"]


def test_what_stands_on_another_voltage_now_is_named() -> None:
    """A 12 V lamp on a bank that became a 24 V one burns, though not a word of its own entry changed."""
    found = changes(("voltage: 12.8 V", "voltage: 25.6 V"))

    assert "The system changed: voltage 12.8 V → 25.6 V at LT1 (each must be made for it)" in told(found)
    assert changes(("voltage: 12.8 V", "voltage: 13.2 V")).of("changed") == ()


def test_what_was_removed_is_listed_and_marked_nowhere() -> None:
    found = changes(("  - {path: [DC1-, GND], length: 0.3 m, carries: bond, wire: 8 AWG}\n", ""))

    assert told(found) == ["W3 removed: [DC1-, GND] 0.3 m, 8 AWG"]
    assert [change.marked for change in found.changes] == [False]
    assert "gb-dc-bond-missing" in {finding.rule for finding in found.judgements.new}


def test_a_finding_is_new_and_gone_again_with_its_cause() -> None:
    wrong = SPEC.replace("rating: 5 A", "rating: 40 A")
    worse, mended = changes(("rating: 5 A", "rating: 40 A")), changes(("rating: 40 A}", "rating: 5 A}"), old=wrong)

    assert [(f.rule, f.at) for f in worse.judgements.new] == [("rt-ocpd-over-conductor", ("FA",))]
    assert [(f.rule, f.at) for f in mended.judgements.gone] == [("rt-ocpd-over-conductor", ("FA",))]
    assert (worse.judgements.gone, mended.judgements.new) == ((), ())


def test_a_waived_finding_is_not_gone() -> None:
    loose = SPEC.replace("  - {path: [DC1-, GND], length: 0.3 m, carries: bond, wire: 8 AWG}\n", "")
    waiver = "waivers:\n  - {rule: gb-dc-bond-missing, at: B1, reason: Bonded by the vehicle}\nruns:"
    found = changes(("runs:", waiver), old=loose).judgements

    assert (found.gone, [finding.rule for finding in found.new]) == ((), [])
    assert [(old.waived, new.waived) for old, new in found.changed] == [(None, "Bonded by the vehicle")]


def test_a_finding_that_lost_its_facts_is_not_gone() -> None:
    """FA is too large for 14 AWG; with the size taken out of the spec nobody can tell, and nothing is mended."""
    wrong = SPEC.replace("rating: 5 A", "rating: 40 A")
    found = changes(("wire: 14 AWG", "wire: unknown"), old=wrong).judgements

    assert (found.gone, [finding.rule for finding in found.lost]) == ((), ["rt-ocpd-over-conductor"])
    assert ("cd-undersized", ("W2",)) in {(entry.rule, entry.at) for entry in found.not_assessed}


def test_findings_of_a_renamed_component_stay_the_same_ones() -> None:
    loose = SPEC.replace("  - {path: [DC1-, GND], length: 0.3 m, carries: bond, wire: 8 AWG}\n", "")
    found = changes(("B1", "BANK"), old=loose)

    assert told(found) == ["BANK renamed: was B1"]
    assert found.judgements.empty


def bought(found: Changes) -> dict[str, float]:
    """What components to buy, and how many of each."""
    return {item.what: item.count for item in found.needs.components}


def test_a_bigger_battery_is_bought_and_the_old_one_left_over() -> None:
    found = changes(("capacity: 50 Ah", "capacity: 100 Ah"))

    assert bought(found) == {"battery, LiFePO4, 12.8 V, 100 Ah": 1}
    assert [item.what for item in found.needs.left_over] == ["battery, LiFePO4, 12.8 V, 50 Ah"]
    assert (found.needs.wire, found.needs.lugs) == ((), ())


def test_a_second_block_is_bought_once_and_not_the_whole_bank_again() -> None:
    found = changes(("capacity: 50 Ah", "capacity: 50 Ah, parallel: 2"))

    assert bought(found) == {"battery, LiFePO4, 12.8 V, 50 Ah": 1}


def test_two_fuses_that_change_places_are_not_bought() -> None:
    two = SPEC.replace("  LT1:", "  FB:  {kind: fuse, style: blade, rating: 3 A}\n  LT1:").replace(
        "runs:\n", "runs:\n  - {id: W9, path: [DC1, FB, LT1], length: 1 m, wire: 14 AWG}\n"
    )
    found = changes(("rating: 5 A", "rating: 9 A"), ("rating: 3 A", "rating: 5 A"), ("rating: 9 A", "rating: 3 A"),
                    old=two)  # fmt: skip

    assert found.of("re-rated") == ("FA", "FB")
    assert (bought(found), found.needs.left_over) == ({}, ())


def test_wire_is_bought_for_the_changed_run_only() -> None:
    """2 m there and back with 10 % slack is 2.2 m of each colour; the other runs need nothing."""
    found = changes(("wire: 14 AWG", "wire: 12 AWG")).needs

    assert [(one.product.size.text, one.product.colour, round(one.cut_m, 9)) for one in found.wire] == [
        ("12 AWG", "black", 2.2), ("12 AWG", "red", 2.2),
    ]  # fmt: skip
    assert {piece.id for piece in found.cuts} == {"W2+", "W2-"}


def test_another_stud_needs_another_lug_and_no_wire() -> None:
    """One end of W1 lands on the chassis' stud: one ring and its spare, no more."""
    found = changes(("GND: {kind: chassis, stud: M8}", "GND: {kind: chassis, stud: M10}")).needs

    assert (found.wire, found.cuts) == ((), ())
    assert [(item.what, item.count) for item in found.lugs] == [("tinned copper lug 8 AWG for M10", 2)]


def test_numbers_count_the_marked_changes_first() -> None:
    found = changes(("rating: 5 A", "rating: 3 A"), ("power: 24 W}", "power: 24 W, price: 9 EUR}"),
                    ("title: Box", "title: Crate"), ("length: 2 m", "length: 2.5 m"))  # fmt: skip

    assert [(change.number, change.id, change.marked) for change in found.changes] == [
        (1, "FA", True), (2, "W2", True), (3, "LT1", False), (4, "", False),
    ]  # fmt: skip
