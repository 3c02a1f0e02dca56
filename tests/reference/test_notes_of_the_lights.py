"""Numbers in the notes of the smallest demo, computed again by hand from conductor tables and the loads' labels.

Resistances: NEC Chapter 9 Table 8, uncoated copper, stranded, 75 °C, in ohm per 1000 ft. The battery: LiFePO4 with four
cells, 2.75 V a cell where its management switches off (common practice, from memory), its resistance from its stated
short-circuit current (IEC 61660-1: open voltage over resistance).
"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest

import rigline
from rigline.results.notes import BuildNotes

SPEC = Path(__file__).parent.parent.parent / "specs" / "lights.yaml"
KFT_M = 304.8
OHM_PER_M = {"8 AWG": 0.778 / KFT_M, "16 AWG": 4.99 / KFT_M, "18 AWG": 7.95 / KFT_M}
NOMINAL_V = 12.8
SHORT_A = 1800.0
LT1_W, US1_W, PU1_A = 24.0, 30.0, 5.0
TO_MAIN_M, TO_BLOCK_M, LT1_M = 0.1, 0.7, 2.0
ROUNDING_V = 0.011


@cache
def notes() -> BuildNotes:
    """The notes of the demo."""
    return rigline.notes(rigline.read(SPEC))


def expected(what: str) -> str:
    """What the notes expect of one test."""
    facts = notes().facts
    return next(test.expected for group in (*facts.dead, *facts.live) for test in group.tests if test.what == what)


def table(id: str) -> list[tuple[str, ...]]:
    """Rows of the first table of a chapter."""
    section = next(one for one in notes().document.sections if one.id == id)
    return next(list(block.rows) for block in section.blocks if hasattr(block, "rows"))


def settled(open_v: float) -> tuple[float, float, float]:
    """Voltages at the posts, the block and LT1 with all loads on, by going round until nothing changes."""
    posts_v = block_v = lamp_v = open_v
    for _ in range(50):
        lamp_a, usb_a = LT1_W / lamp_v, US1_W / block_v
        total_a = lamp_a + usb_a + PU1_A
        posts_v = open_v - total_a * NOMINAL_V / SHORT_A
        block_v = posts_v - total_a * 2 * TO_BLOCK_M * OHM_PER_M["8 AWG"]
        lamp_v = block_v - lamp_a * 2 * LT1_M * OHM_PER_M["18 AWG"]
    return posts_v, block_v, lamp_v


def volts(text: str) -> list[float]:
    """Every voltage in a text."""
    return [float(found) for found in re.findall(r"([\d.]+) V", text)]


def test_the_connected_load_is_the_sum_of_the_labels() -> None:
    """The pump states amperes: 5 A at 12.8 V are 64 W."""
    panel = notes().facts.panels[0]

    assert panel.load_w == pytest.approx(LT1_W + PU1_A * NOMINAL_V + US1_W)
    assert dict(panel.load_a)["+"] == pytest.approx(LT1_W / NOMINAL_V + PU1_A + US1_W / NOMINAL_V)
    assert panel.spare == 6 - 3


def test_the_expected_drop_of_the_lights_is_that_of_their_wires() -> None:
    """At the end of discharge, when loads of constant power take most."""
    posts_v, _, lamp_v = settled(4 * 2.75)

    assert volts(expected("LT1 (Lights)"))[1] == pytest.approx(posts_v - lamp_v, abs=ROUNDING_V)


def test_the_expected_voltages_with_a_full_battery_follow_from_what_it_reads_at_rest() -> None:
    open_v = volts(expected("B1 + to B1 −, at its posts"))[0]
    _, block_v, lamp_v = settled(open_v)

    assert volts(expected("DC1 + to DC1 −")) == []
    loads = next(group for group in notes().facts.live if group.title.startswith("Each load"))
    at_block = next(test.expected for test in loads.tests if test.what == "DC1 + to DC1 −")
    assert volts(at_block)[0] == pytest.approx(block_v, abs=ROUNDING_V)
    assert volts(expected("LT1 (Lights)"))[0] == pytest.approx(lamp_v, abs=ROUNDING_V)


def test_a_bond_reads_its_wire_and_what_joints_may_add() -> None:
    """0.3 m of 8 AWG; joints and nulled leads up to 0.05 ohm: common practice."""
    wire_ohm = 0.3 * OHM_PER_M["8 AWG"]

    assert expected("W5: between DC1 and GND").startswith(
        f"at most {wire_ohm + 0.05:.2f} Ω, of which {1000 * wire_ohm:.2g}"
    )


def test_the_main_fuse_must_interrupt_what_the_battery_drives_through_its_short_wire() -> None:
    """12.8 V over the battery's own resistance and 0.1 m out and back, cold: copper at 75 °C has 1.216 times that."""
    wire_ohm = 2 * TO_MAIN_M * OHM_PER_M["8 AWG"] / 1.216
    prospective_a = NOMINAL_V / (NOMINAL_V / SHORT_A + wire_ohm)
    row = next(row for row in table("fuses") if row[0].startswith("F1"))

    assert row[5] == f"{prospective_a / 1000:.3g} kA"


def test_the_first_current_through_the_fuse_lead_is_within_the_main_fuse() -> None:
    """The small fuse that finds a short is smaller than what it stands in for: 5 of 40 A."""
    tasks = [task.what for step in notes().facts.steps for task in step.tasks]
    lead = next(what for what in tasks if "fuse lead across F1" in what)

    assert lead.startswith("5 A fuse lead across F1 (empty)")
    assert tasks.index(lead) < next(n for n, what in enumerate(tasks) if "Put in F1 (40 A terminal)" in what)
