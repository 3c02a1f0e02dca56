"""The answers become components and runs, with the reason behind every value that was chosen rather than said."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

from msgspec import Struct, field

from rigline.spec.everyday import KIND_OF_WORD
from rigline.starting.answers import UNKNOWN, Answers, Load

CELLS_V: Final[Mapping[int, str]] = {12: "12.8 V", 24: "25.6 V", 48: "51.2 V"}
"""Nominal voltage of 4, 8 and 16 lithium iron phosphate cells of 3.2 V. Common practice."""

CHARGE_SHARE_PER_H: Final = 0.2
"""Charge current as a share of the capacity that any chemistry here takes. Common practice."""

CHARGE_SHARE_OF_SHORE: Final = 0.5
"""What charging may take of the inlet's current, so that something is left for the outlets. Our own choice."""

OUTPUTS_A: Final = (10, 15, 20, 30, 40, 50, 60, 70, 80, 100, 120, 150, 200, 250, 300, 400, 500)
"""Outputs in which controllers and chargers are sold. Common practice."""

HIGHEST_OF_BLADES_V: Final = 24
"""Blade fuses are for systems of up to 32 V while charging. Source: ISO 8820-3."""


class Part(Struct, frozen=True):
    """A component of the draft: its fields as they are written, and a remark."""

    id: str
    fields: Mapping[str, str]
    remark: str = ""


class Way(Struct, frozen=True):
    """A run of the draft; its lengths are for the owner to measure."""

    path: tuple[str, ...]
    fields: Mapping[str, str] = field(default_factory=dict)
    remark: str = ""


class Draft(Struct):
    """A system in the making: chapters of components, and the runs in order."""

    answers: Answers
    chapters: dict[str, list[Part]] = field(default_factory=dict)
    ways: list[Way] = field(default_factory=list)

    def add(self, chapter: str, id: str, remark: str = "", **fields: str) -> None:
        """A component; an underscore in a field's name is a hyphen in the spec."""
        written = {key.replace("_", "-"): value for key, value in fields.items() if value}
        self.chapters.setdefault(chapter, []).append(Part(id, written, remark))

    def run(self, *path: str, remark: str = "", **fields: str) -> None:
        """A run along a path."""
        self.ways.append(Way(path, {key.replace("_", "-"): value for key, value in fields.items()}, remark))

    @property
    def earth(self) -> str:
        """Where bonds and earths go."""
        return "EB1" if self.answers.what == "cabin" else "GND"

    @property
    def branch_style(self) -> str:
        """Fuses for branches of the bus: terminal fuses open little above 32 V, class T more."""
        highest_of_terminal_style_v = 24
        return "terminal" if self.answers.voltage_v <= highest_of_terminal_style_v else "class-t"

    @property
    def american(self) -> bool:
        """Whether AC is 120 V and wire comes in AWG."""
        return self.answers.region == "america"


def draft_of(answers: Answers) -> Draft:
    """The whole system that the answers describe."""
    draft = Draft(answers)
    _battery(draft)
    _earthing(draft)
    _sun(draft)
    _alternating(draft)
    _loads(draft)
    return draft


def _battery(draft: Draft) -> None:
    answers, chapter = draft.answers, "Battery, and what stands between it and everything else"
    lithium = answers.chemistry == "lifepo4"
    capacity = UNKNOWN if answers.capacity_ah is None else f"{answers.capacity_ah:g} Ah"
    draft.add(
        chapter, "B1", "short-circuit and limits: on its data sheet",
        kind="battery", name="House bank", chemistry=answers.chemistry,
        voltage=CELLS_V[answers.voltage_v] if lithium else f"{answers.voltage_v} V", capacity=capacity,
        short_circuit=UNKNOWN, max_discharge=UNKNOWN if lithium else "", max_charge=UNKNOWN,
        bms=UNKNOWN if lithium else "",
    )  # fmt: skip
    draft.add(chapter, "F1", "within a hand's breadth of the battery", kind="fuse", name="Main fuse", style="class-t")
    draft.add(chapter, "Q1", "where you reach it at once", kind="switch", name="Main switch", voltage=UNKNOWN)
    draft.add(chapter, "RS1", "in the negative: counts what goes in and out", kind="shunt", name="Monitor shunt")
    draft.add(chapter, "BUS1", "a bar for + and a bar for -", kind="busbar", name=f"{answers.voltage_v} V bus")
    draft.run("B1", "F1", "Q1", "RS1", "BUS1")


def _earthing(draft: Draft) -> None:
    answers, chapter = draft.answers, "Earth"
    if answers.what == "cabin":
        draft.add(chapter, "EB1", kind="earth-bus", name="Main earth bus")
        draft.add(chapter, "EE1", kind="earth-electrode", name="Earth rod", type="rod")
        draft.run("EB1", "EE1", carries="earth", **_cabin_wire(draft, "6 AWG", "35 mm²"))
    elif answers.what == "boat":
        metal = answers.body == "metal"
        name = "Hull" if metal else "Engine block or common ground point"
        draft.add(chapter, "GND", kind="chassis", name=name, type="hull" if metal else "engine")
    else:
        draft.add(chapter, "GND", kind="chassis", name="Chassis", type="chassis")
    remark = "the one place where - meets the earth"
    if answers.what == "cabin":
        remark += "; the wire is always large enough, rigline explain gb-dc-bond-size"
    draft.run("BUS1-", draft.earth, carries="bond", remark=remark, **_cabin_wire(draft, "3/0 AWG", "35 mm²"))


def _cabin_wire(draft: Draft, american: str, other: str) -> dict[str, str]:
    """Earth leads of a cabin, large enough for any system that one class T fuse protects.

    NEC 250.166 (3/0 AWG is always enough, 6 AWG to a rod), 250.122 (2 AWG for 400 A), IEC 60364-5-54 Table 54.2 (half
    of a line conductor of up to 70 mm²).
    """
    return {"wire": american if draft.american else other} if draft.answers.what == "cabin" else {}


def _sun(draft: Draft) -> None:
    answers, chapter = draft.answers, "Sun"
    if answers.sun_w is None:
        return
    output = _at_least(answers.sun_w / answers.voltage_v)
    draft.add(
        chapter, "PV1", "from the label on the back; set series, parallel and pmax (of one module) as you have them",
        kind="pv-array", name="Solar array", series="1", parallel="1", pmax=f"{answers.sun_w:g} W", vmp=UNKNOWN,
        imp=UNKNOWN, voc=UNKNOWN, isc=UNKNOWN, max_series_fuse=UNKNOWN,
    )  # fmt: skip
    draft.add(chapter, "QPV", kind="breaker", name="Array disconnect", poles="2", voltage=UNKNOWN)
    why = f"output chosen: {answers.sun_w:g} W / {answers.voltage_v} V = {answers.sun_w / answers.voltage_v:.3g} A, so"
    draft.add(
        chapter, "SC1", f"{why} {output}" if output != UNKNOWN else "no single controller is so large: split the array",
        kind="charge-controller", name="Solar controller", max_input=UNKNOWN, output=output,
    )  # fmt: skip
    draft.add(chapter, "F2", "at the bus", kind="fuse", style=draft.branch_style)
    draft.run("PV1", "QPV", "SC1.pv", sunlight_resistant=UNKNOWN)
    draft.run("SC1.battery", "F2", "BUS1")
    draft.run("PV1.case", draft.earth, carries="earth", remark="the frames")


def _at_least(current_a: float) -> str:
    """The smallest usual output that is at least a current."""
    return next((f"{output} A" for output in OUTPUTS_A if output >= current_a), UNKNOWN)


def _charge(answers: Answers) -> tuple[str, str]:
    """The charge current that a bank takes in its stride, and why."""
    if answers.capacity_ah is None:
        return UNKNOWN, "its charge current depends on the battery"
    battery_a = answers.capacity_ah * CHARGE_SHARE_PER_H
    shore_a = (answers.shore_a or 0.0) * (120 if answers.region == "america" else 230) / answers.voltage_v
    most_a = min(battery_a, shore_a * CHARGE_SHARE_OF_SHORE)
    fitting = [output for output in OUTPUTS_A if output <= most_a]
    chosen = f"{fitting[-1] if fitting else math.floor(most_a) or 1} A"
    why = f"a fifth of {answers.capacity_ah:g} Ah" if battery_a <= most_a else "half of what the inlet gives"
    return chosen, f"charge current chosen: at most {why}"


def _alternating(draft: Draft) -> None:
    answers = draft.answers
    if answers.shore_a is None and answers.inverter_w is None:
        return
    chapter = "AC: work for licensed people"
    shore, inverter = answers.shore_a is not None, answers.inverter_w is not None
    if shore:
        _inlet(draft, chapter)
    if inverter:
        _inverter(draft, chapter, shore)
    draft.add(
        chapter, "ACP1", kind="ac-panel", name="AC panel", rating=UNKNOWN,
        label="fed by an inverter" if inverter else "", polarity_indicator=UNKNOWN if shore else "",
    )  # fmt: skip
    entry = ("INV1.ac-out",) if inverter else _entry(draft)
    draft.run(*entry, *_residual(draft, chapter), "ACP1")
    _outlets(draft, chapter)
    if shore and not inverter:
        _charger(draft, chapter)
    draft.run("ACP1", draft.earth, carries="earth")


def _inlet(draft: Draft, chapter: str) -> None:
    answers = draft.answers
    voltage = "120 V" if draft.american else "230 V"
    name = "Inlet for generator or grid" if answers.what == "cabin" else "Shore inlet"
    rating = f"{answers.shore_a:g} A"
    draft.add(chapter, "SH1", kind="shore-inlet", name=name, rating=rating, voltage=voltage, short_circuit=UNKNOWN)
    guards = draft.american and answers.what == "boat"
    draft.add(
        chapter, "QS", "both live conductors; trips on a leak too" if guards else "both live conductors",
        kind="breaker", name="Main breaker", rating=rating, poles="2", residual="30 mA" if guards else "",
    )  # fmt: skip
    if answers.what == "boat":
        draft.add(
            chapter, "GI1", "in the shore earth", kind="galvanic-isolator", name="Galvanic isolator", rating=rating
        )


def _entry(draft: Draft) -> tuple[str, ...]:
    return ("SH1", "QS", "GI1") if draft.answers.what == "boat" else ("SH1", "QS")


def _inverter(draft: Draft, chapter: str, shore: bool) -> None:
    answers = draft.answers
    current, why = _charge(answers)
    draft.add(
        chapter, "INV1",
        f"{why + '; ' if shore else ''}neutral-bond: its manual says whether it joins neutral and earth",
        kind="inverter-charger" if shore else "inverter", name="Inverter-charger" if shore else "Inverter",
        power=f"{answers.inverter_w:g} W", surge=UNKNOWN, output="120 V" if draft.american else "230 V",
        charge_current=current if shore else "", transfer_rating=UNKNOWN if shore else "", neutral_bond=UNKNOWN,
    )  # fmt: skip
    draft.add(chapter, "F3", "at the bus", kind="fuse", name="Inverter fuse", style="class-t")
    draft.run("BUS1", "F3", "INV1.dc")
    if shore:
        draft.run(*_entry(draft), "INV1.ac-in")
    draft.run("INV1.case", draft.earth, carries="earth", **_cabin_wire(draft, "2 AWG", "35 mm²"))


def _residual(draft: Draft, chapter: str) -> tuple[str, ...]:
    """The device against shock; in America each outlet has its own."""
    if draft.american:
        return ()
    draft.add(chapter, "RCD1", "against shock", kind="rcd", name="RCD", residual="30 mA", poles="2")
    return ("RCD1",)


def _outlets(draft: Draft, chapter: str) -> None:
    rating = "15 A" if draft.american else "16 A"
    draft.add(chapter, "QA", kind="breaker", poles="" if draft.american else "2")
    draft.add(
        chapter, "RC1", "power: the most that is plugged in at once", kind="receptacle", name="Outlets",
        rating=rating, gfci="true" if draft.american else "", power=UNKNOWN,
    )  # fmt: skip
    draft.run("ACP1", "QA", "RC1")


def _charger(draft: Draft, chapter: str) -> None:
    answers = draft.answers
    current, why = _charge(answers)
    draft.add(chapter, "QC", kind="breaker", poles="" if draft.american else "2")
    draft.add(
        chapter, "CH1", why, kind="ac-charger", name="Shore charger", output=current,
        voltage=f"{answers.voltage_v} V", ac_current=UNKNOWN,
    )  # fmt: skip
    draft.add(chapter, "F4", "at the bus", kind="fuse", style=draft.branch_style)
    draft.run("ACP1", "QC", "CH1.ac")
    draft.run("CH1.dc", "F4", "BUS1")
    draft.run("CH1.case", draft.earth, carries="earth")


def _loads(draft: Draft) -> None:
    answers, chapter = draft.answers, f"What runs on {draft.answers.voltage_v} V"
    if not answers.loads:
        return
    draft.add(chapter, "F5", "at the bus", kind="fuse", style=draft.branch_style)
    blades = answers.voltage_v <= HIGHEST_OF_BLADES_V
    kind, name = ("fuse-block", "Fuse block") if blades else ("dc-panel", "DC panel")
    draft.add(chapter, "DC1", kind=kind, name=name, ways=str(len(answers.loads)))
    draft.run("BUS1", "F5", "DC1")
    for number, load in enumerate(answers.loads, 1):
        if blades:
            draft.add(chapter, f"F{10 + number}", kind="fuse", style="blade")
        else:
            draft.add(chapter, f"F{10 + number}", kind="breaker", style="magnetic")
        draft.add(chapter, f"L{number}", **_load_fields(load))
        draft.run("DC1", f"F{10 + number}", f"L{number}")


def _load_fields(load: Load) -> dict[str, str]:
    words = load.name.casefold().replace("-", " ").split()
    kinds = [KIND_OF_WORD.get(word) or KIND_OF_WORD.get(word.removesuffix("s")) for word in words]
    kind = next((kind for kind in kinds if kind in ("motor", "receptacle")), "dc-load")
    if kind == "receptacle" or "usb" in words:
        kind = "receptacle"
    key = "current" if load.amount.casefold().rstrip().endswith(("a", "amp", "amps", "ampere", "amperes")) else "power"
    key = "power" if load.amount.casefold().endswith("va") else key
    start = {"start": UNKNOWN} if kind == "motor" else {}
    return {"kind": kind, "name": load.name, key: load.amount, **start}
