"""What Rigline sizes, its own rules accept: a wire that it proposes is never one that it then condemns."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from helpers import report, study_of

from rigline.findings import Severity

SPECS = Path(__file__).parents[2] / "specs"
SOUND = ("boat", "cabin", "camper", "lights", "trailer")
WIRE = re.compile(r", wire: [^,}]+(?=[,}])")


def _serious(spec: str) -> list[tuple[str, tuple[str, ...]]]:
    findings = report(spec).findings
    return [(one.rule, one.at) for one in findings if one.severity in (Severity.DANGER, Severity.FAULT)]


def _opened() -> list[tuple[str, str]]:
    """Each sound demo with one wire left open, and which."""
    cases = []
    for name in SOUND:
        text = (SPECS / f"{name}.yaml").read_text(encoding="utf-8")
        for match in WIRE.finditer(text):
            run = re.findall(r"id: (W\w+)", text[: match.start()])[-1]
            cases.append((f"{name} {run}", text[: match.start()] + text[match.end() :]))
    return cases


@pytest.mark.parametrize("name", SOUND)
def test_a_sound_system_with_every_wire_left_open_is_sized_soundly(name: str) -> None:
    spec = WIRE.sub("", (SPECS / f"{name}.yaml").read_text(encoding="utf-8"))

    assert _serious(spec) == []


@pytest.mark.parametrize(("which", "spec"), _opened(), ids=lambda value: value if len(str(value)) < 40 else "")
def test_a_sound_system_with_one_wire_left_open_is_sized_soundly(which: str, spec: str) -> None:
    assert _serious(spec) == []


TAP = """\
rigline: 1
title: A second bus behind a fuse
profile: us-rv
body: metal
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah, short-circuit: 2 kA, vented: true}
  F1: {kind: fuse, style: class-t, rating: 80 A}
  Q1: {kind: switch, rating: 150 A, voltage: 32 V}
  BUS1: {kind: busbar, rating: 150 A}
  DC1: {kind: fuse-block, rating: 100 A}
  F2: {kind: fuse, style: blade, rating: 10 A}
  L1: {kind: dc-load, power: 40 W}
  GND: {kind: chassis}
runs:
  - {id: W1, path: [B1, F1, Q1, BUS1], lengths: [100 mm, 0.3 m, 0.3 m], wire: 2 AWG}
  - {id: W2, path: [BUS1, DC1], length: LENGTH}
  - {id: W3, path: [DC1, F2, L1], lengths: [50 mm, 2 m]}
  - {id: W4, path: [B1-, GND], length: 0.5 m, carries: bond}
"""


@pytest.mark.parametrize(("length", "size"), [("400 mm", "14 AWG"), ("2 m", "4 AWG")])
def test_a_tap_is_sized_by_its_own_device_only_as_far_as_a_tap_may_reach(length: str, size: str) -> None:
    """NEC 552.10(E)(4): within 18 in (457 mm) of the bus its own fuse protects it; beyond, the 80 A of F1 do."""
    done = study_of(TAP.replace("LENGTH", length))

    assert str(done.sizes.wires["W2"]) == size
    assert _serious(TAP.replace("LENGTH", length)) == []
