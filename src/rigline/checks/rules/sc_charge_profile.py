"""A charger's voltages are a recipe for one chemistry, and poison for another.

Lithium cells that are held above their top voltage are damaged for good and may vent; an equalising stage, made to stir
up lead, does just that. Lead that is charged too low never gets full and hardens, and charged too high it boils dry.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds import Component
from rigline.kinds.sources import Turning
from rigline.study.causes import exceeds
from rigline.study.storage import Storage, chargers_of, storages
from rigline.study.study import Study

SLUG = "sc-charge-profile"
BLOCK_V = 12.5
"""Nominal voltage of one 12 V block, lead or lithium, between 12 V and 12.8 V."""


class _Recipe(Struct, frozen=True):
    """Voltages of one 12 V block; makers' own figures may differ a little. Common practice."""

    least_absorb_v: float
    most_absorb_v: float
    most_float_v: float
    most_equalise_v: float | None
    """None if the chemistry must not be equalised."""


RECIPES = {
    "lifepo4": _Recipe(14.0, 14.6, 13.8, None),
    "agm": _Recipe(14.2, 14.8, 13.9, None),
    "gel": _Recipe(13.8, 14.4, 13.9, None),
    "flooded": _Recipe(14.2, 14.9, 13.9, 16.2),
}
"""Charging voltages at 25 °C by chemistry, of a 12 V block: 3.65 V a cell is the top of lithium iron phosphate. Common
practice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each charger whose voltages do not suit the batteries that it charges."""
    for storage in storages(study):
        for charger in chargers_of(study, storage):
            yield from _judge(storage, charger)


def _judge(storage: Storage, charger: Component) -> Iterator[Hit | Missing]:
    battery, volts = storage.strings[0].top, storage.strings[0].volts_v
    if battery.chemistry is None or not volts:
        yield Missing((battery.id,), f"chemistry and voltage of {battery.id}")
        return
    name = "setpoint_v" if isinstance(charger, Turning) else "absorb_v"
    absorb, recipe, blocks = getattr(charger, name), RECIPES[battery.chemistry], max(1, round(volts / BLOCK_V))
    # A machine without a figure is made for lead.
    if absorb is None and not (isinstance(charger, Turning) and battery.chemistry != "lifepo4"):
        yield Missing((charger.id,), f"charging voltage of {charger.id} ({name.removesuffix('_v')})")
    for stage, given, most in _stages(charger, absorb, recipe):
        if exceeds(given, most * blocks):
            severity = Severity.DANGER if battery.chemistry == "lifepo4" else Severity.FAULT
            yield _hit(charger, storage, stage, given, most * blocks, "at most", severity)
    if absorb is not None and exceeds(recipe.least_absorb_v * blocks, absorb):
        yield _hit(charger, storage, "charging", absorb, recipe.least_absorb_v * blocks, "at least", Severity.ADVICE)


def _stages(charger: Component, absorb_v: float | None, recipe: _Recipe) -> Iterator[tuple[str, float, float]]:
    """Each stage that the charger states, with the most that the chemistry stands there."""
    if absorb_v is not None:
        yield "charging", absorb_v, recipe.most_absorb_v
    if (rest := getattr(charger, "float_v", None)) is not None:
        yield "float", rest, recipe.most_float_v
    if (equalise := getattr(charger, "equalise_v", None)) is not None:
        yield "equalising", equalise, recipe.most_equalise_v or recipe.most_absorb_v


def _hit(
    charger: Component, storage: Storage, stage: str, given_v: float, limit_v: float, word: str, severity: Severity
) -> Hit:
    words = {
        "stage": stage,
        "word": word,
        "batteries": " and ".join(storage.ids),
        "chemistry": storage.strings[0].top.chemistry or "",
    }
    return Hit((charger.id, *storage.ids), given_v, limit_v, "V", severity=severity, words=words)


CHECK = Check(
    slug=SLUG,
    title="charger set for another chemistry",
    family="sources & charging",
    severity=Severity.FAULT,
    limit=(
        "For each 12 V: lithium iron phosphate charges at 14.0 to 14.6 V, floats at most at 13.8 V and is not "
        "equalised; AGM 14.2 to 14.8 V, gel 13.8 to 14.4 V, flooded 14.2 to 14.9 V."
    ),
    exceptions="The battery maker's own figures come first: waive the finding with them.",
    sources=(
        Source("ABYC E-13 and ISO/TS 23625, charger matched to the battery", "from memory"),
        Source("charging voltages by chemistry", "common practice"),
    ),
    message=(
        "The {stage} voltage of {at} is {found} V, but {batteries} ({chemistry}) should get {word} {limit} V: they "
        "are harmed, or never get full."
    ),
    remedy="Set the {stage} voltage of {at} to {word} {limit} V, or to what the battery's maker says.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A solar controller on a lithium battery
profile: us-boat
body: plastic
conditions: {coldest: 5 °C}
components:
  B1: {kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 100 Ah, short-circuit: 2 kA, bms: true}
  F1: {kind: fuse, style: class-t, rating: 40 A}
  SC1: {kind: charge-controller, output: 20 A, max-input: 50 V, absorb: 14.4 V, float: 13.5 V}
  QPV: {kind: breaker, rating: 15 A, poles: 2, voltage: 80 V, interrupting: 3 kA}
  PV1: {kind: pv-array, pmax: 200 W, vmp: 30 V, imp: 6.6 A, voc: 36 V, isc: 7 A, max-series-fuse: 15 A, frame: none}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, SC1.battery], lengths: [100 mm, 1 m], wire: 8 AWG}
  - {id: W2, path: [PV1, QPV, SC1.pv], lengths: [2 m, 0.5 m], wire: 10 AWG}
  - {id: W3, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="absorb: 14.4 V",
        failing="absorb: 15.2 V",
        finds=("SC1", "B1"),
    ),
)
