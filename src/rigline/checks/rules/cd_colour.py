"""Colours speak to the next pair of hands, which may be your own in the dark.

Who meets a green wire trusts it to be earth and touches it. Who meets a white one in a vehicle takes it for a neutral.
A colour that lies is worse than none.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.model.system import EARTH, Run
from rigline.study.study import Study

SLUG = "cd-colour"
MARKED = frozenset({"marked", "sleeved", "taped"})
"""Words for ends that were given another colour."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each run whose stated colour belongs to another role."""
    us = study.system.profile_name.startswith("us-")
    for run in study.system.runs:
        words = set(re.findall(r"[a-z]+", (run.spec.color or "").lower()))
        wrong = None if not words or words & MARKED else _wrong(run, words, us)
        if wrong is not None:
            severity, role, meant = wrong
            told = {"color": run.spec.color or "", "role": role, "meant": meant}
            yield Hit((run.id,), runs=(run.id,), severity=severity, words=told)


def _wrong(run: Run, words: set[str], us: bool) -> tuple[Severity, str, str] | None:
    """How bad a colour is, the role it has and the colour that role asks for; None if it fits."""
    poles = {c.pole for segment in run.segments for c in segment.conductors}
    if run.carries == "earth":
        fits = "green" in words or "bare" in words
        return None if fits else (Severity.ADVICE, "protective earth", "green, or green and yellow")
    if run.medium not in ("dc", "ac") or run.carries in ("bond", "neutral-bond"):
        return None
    if "green" in words and EARTH not in poles:
        return Severity.FAULT, "current", "any colour but green"
    if run.carries == "positive" and us and words & {"white", "grey", "gray"}:
        return Severity.FAULT, "the positive", "red"
    if run.carries == "positive" and words <= {"black", "yellow", "blue"}:
        return Severity.ADVICE, "the positive", "red"
    if run.carries == "negative" and "red" in words:
        return Severity.ADVICE, "the negative", "black or yellow"
    return None


CHECK = Check(
    slug=SLUG,
    title="wire of a misleading colour",
    family="conductor",
    severity=Severity.ADVICE,
    limit=(
        "DC positive red, negative black or yellow; earth green or green and yellow. Green that carries current, and a "
        "white positive in the US, are a fault."
    ),
    exceptions="Ends that were marked with another colour (write it: `color: white marked red`).",
    sources=(
        Source("ABYC E-11, colours of DC wires; NEC 210.5 and 690.31", "from memory"),
        Source("IEC 60446 and IEC 60445", "from memory"),
    ),
    message="{at} is {color} and carries {role}, for which {meant} is meant: the next pair of hands will be misled.",
    remedy="Run {at} in another colour ({meant}), or mark both ends and write so.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A pump with a yellow negative
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 10 A}
  M1: {kind: motor, name: Wash pump, current: 5 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, M1], lengths: [100 mm, 2 m], wire: 12 AWG, color: red and yellow}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="color: red and yellow",
        failing="color: red and green",
        finds=("W1",),
    ),
)
