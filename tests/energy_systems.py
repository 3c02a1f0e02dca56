"""Short ways from a few components to their energy balance."""

from __future__ import annotations

from collections.abc import Sequence

from helpers import study_of

from rigline.energy.assumption import Notes
from rigline.energy.balance import Balance, balance
from rigline.energy.report_facts import EnergyReport
from rigline.energy.setting import setting_of
from rigline.energy.sizing import proposals
from rigline.energy.steps import advice
from rigline.study.study import Study


def dc_spec(
    loads: Sequence[str], battery: str = "chemistry: lifepo4, voltage: 12 V, capacity: 100 Ah", more: str = ""
) -> str:
    """A battery with DC loads, each given by its fields."""
    ids = [f"L{number}" for number in range(1, len(loads) + 1)]
    lines = [f"  {id}: {{kind: dc-load, {fields}}}" for id, fields in zip(ids, loads, strict=True)]
    runs = [f"  - {{id: W{id}, path: [B1, {id}], length: 1 m, wire: 6 mm²}}" for id in ids]
    head = ["rigline: 1", "title: Example", "profile: intl-boat", *([more] if more else [])]
    return "\n".join([*head, "components:", f"  B1: {{kind: battery, {battery}}}", *lines, "runs:", *runs]) + "\n"


AC = """\
rigline: 1
title: Example
profile: eu-caravan
components:
  B1: {{kind: battery, {battery}}}
  INV1: {{kind: inverter, power: 2 kW, output: 230 V, {inverter}}}
{loads}
runs:
  - {{id: W1, path: [B1, INV1.dc], length: 1 m, wire: 50 mm²}}
{runs}
"""


def ac_spec(
    loads: Sequence[str], inverter: str = "efficiency: 100 %, idle: 0 W",
    battery: str = "chemistry: agm, voltage: 12 V, capacity: 100 Ah",
) -> str:  # fmt: skip
    """A battery with an inverter and AC loads on it, each given by its fields."""
    ids = [f"L{number}" for number in range(1, len(loads) + 1)]
    lines = [f"  {id}: {{kind: ac-load, {fields}}}" for id, fields in zip(ids, loads, strict=True)]
    runs = [f"  - {{id: W{id}, path: [INV1.ac-out, {id}], length: 1 m, wire: 2.5 mm²}}" for id in ids]
    return AC.format(battery=battery, inverter=inverter, loads="\n".join(lines), runs="\n".join(runs))


def balance_of(text: str) -> Balance:
    """The balance of a spec's text."""
    return _balance(study_of(text))


def report_of(text: str) -> EnergyReport:
    """Everything that the command says of a spec's text, sizes included."""
    numbers = study_of(text)
    found = _balance(numbers)
    return EnergyReport(found, advice(numbers, found), proposals(found))


def _balance(numbers: Study) -> Balance:
    notes = Notes()
    return balance(numbers, setting_of(numbers.system, notes), notes)


def total_wh(found: Balance) -> float:
    """What all loads together take in a day at their own terminals."""
    return sum(row.day_wh or 0.0 for row in found.loads.rows)
