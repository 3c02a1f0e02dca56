"""A small drawing of an invented trailer, placed by hand."""

from __future__ import annotations

import pytest

from rigline.drawing.furniture import FindingLine, Furniture
from rigline.layout.plan import (
    SHEET_SIZES,
    Dot,
    Flag,
    Frame,
    PlacedBar,
    PlacedSymbol,
    PlacedWire,
    Sheet,
    SheetPlan,
    Text,
)


@pytest.fixture
def sheet() -> Sheet:
    """A battery over a bus over a load, with a bond, a planned charger and two flags."""
    return Sheet(
        number=1,
        symbols=(
            PlacedSymbol(
                "B1", "battery", 60.0, 40.0, texts=(Text(70.0, 41.0, "B1 Bench bank"),), title="Bench bank, 25.6 V"
            ),
            PlacedSymbol("F1", "fuse", 60.0, 65.0),
            PlacedSymbol("LT1", "dc-load", 60.0, 130.0),
            PlacedSymbol("SC1", "charge-controller", 100.0, 65.0, later=True),
            PlacedSymbol("GND", "chassis", 120.0, 100.0),
        ),
        bars=(PlacedBar("BUS1", "busbar", 50.0, 130.0, 85.0, "dc", (Text(75.0, 82.5, "BUS1", bold=True),)),),
        wires=(
            PlacedWire(
                "W1a", "W1", "dc", ((60.0, 45.0), (60.0, 60.0)), slashes=(60.0, 50.0), title="W1a 1/0 AWG 0.15 m"
            ),
            PlacedWire("W1b", "W1", "dc", ((60.0, 70.0), (60.0, 85.0))),
            PlacedWire("W5", "W5", "ac", ((60.0, 85.0), (60.0, 127.5)), slashes=(60.0, 100.0), conductors=4),
            PlacedWire("W9", "W9", "bond", ((120.0, 85.0), (120.0, 97.5))),
            PlacedWire("W8", "W8", "sense", ((107.5, 65.0), (125.0, 65.0)), later=True),
        ),
        dots=(Dot(60.0, 85.0), Dot(120.0, 85.0)),
        flags=(Flag(1, "danger", 50.0, 65.0), Flag(2, "advice", 45.0, 130.0)),
        frames=(Frame(40.0, 25.0, 95.0, 75.0, Text(42.0, 29.5, "front locker")),),
        texts=(Text(150.0, 85.0, "to sheet 2 / B2", 1.8),),
    )


@pytest.fixture
def plan(sheet: Sheet) -> SheetPlan:
    return SheetPlan(SHEET_SIZES["a3"], (sheet,))


@pytest.fixture
def facts() -> Furniture:
    """The title block's facts and two findings."""
    return Furniture(
        title="Bicycle repair trailer",
        revision="B",
        date="2026-05-01",
        author="An owner",
        profile="us-rv",
        edition="2026",
        spec_name="trailer.yaml",
        spec_hash="1f3a9c20d4b7",
        voltages="24 V DC, 120 V AC",
        result="1 danger, 1 advice",
        findings=(
            FindingLine(1, "danger", "F1 250 A is above the 170 A that W1b may have."),
            FindingLine(2, "advice", "Mark the switch."),
        ),
        notes=("Invented example.",),
    )
