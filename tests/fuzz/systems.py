"""Systems of every kind and shape that a spec can hold, made by rule from one source of chance. All invented.

A kind's fields follow from its declaration, so a new kind or key is fuzzed from the day it is declared. The systems are
well formed; whether they are sound, or make sense, is left to chance.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from random import Random
from typing import Any

from hypothesis import strategies as st

from rigline.kinds import KINDS, Component
from rigline.spec.document import PROFILES, Conditions, Defaults, Head, Place, RunSpec, Supply
from rigline.spec.fields import FieldForm, keys_of

Spec = dict[str, Any]

PLAUSIBLE: dict[str, tuple[str, ...]] = {
    "v": ("12 V", "12.8 V", "25.6 V", "48 V", "120 V", "230 V", "120/240 V"),
    "a": ("2 A", "10 A", "15 A", "30 A", "100 A", "250 A", "3 kA"),
    "w": ("5 W", "36 W", "400 W", "2 kW"),
    "wh": ("640 Wh", "2.5 kWh"),
    "ah": ("7.2 Ah", "100 Ah", "280 Ah"),
    "m": ("50 mm", "0.3 m", "2 m", "10 ft", "12 m"),
    "mm": ("90 mm", "3.5 in"),
    "mm2": ("35 mm²", "200 cm²"),
    "c": ("-10 °C", "0 °C", "25 °C", "60 °C", "95 °F"),
    "ohm": ("2 mΩ", "0.05 ohm", "25 Ω"),
    "kg": ("1 kg", "48 lb"),
    "frac": ("5 %", "35 %", "0.85", "100 %"),
    "h": ("45 min", "3 h", "2 days"),
    "s": ("30 s", "5 min"),
    "h_per_day": ("0.5 h/day", "5 h/day", "24 h/day"),
    "per_k": ("-0.28 %/K", "-0.0028 /K"),
    "hz": ("50 Hz", "60 Hz"),
    "deg": ("30°", "0", "-45 deg"),
    "price": ("120 EUR",),
}
"""Suffix of an amount -> ways to write it."""
WIRES = ("18 AWG", "14 AWG", "10 AWG", "6 AWG", "2/0 AWG", "1.5 mm²", "16 mm2", "95 mm²", "250 kcmil", "unknown")
LENGTHS = ("0 m", "50 mm", "200 mm", "0.6 m", "2 m", "10 ft", "15 m", "unknown")
WORDS = ("Bench bank", "Lights fore", "Zweite Pumpe", "Éclairage", "大灯", "مضخة", "🔋 bank", "A & B <c>", "$5 %s {0}")
PATH_KEYS = frozenset({"id", "path", "length", "lengths", "return-to", "carries", "cores", "wire", "stage"})
AC_KEYS = frozenset({"earth-wire", "neutral-wire"})
DC_KEYS = frozenset({"return-wire", "return-length"})
"""Keys of a run that only one medium takes."""
DC_HOSTS = ("busbar", "fuse-block", "dc-panel", "junction")


class Maker:
    """One system in the making. `shape` decides how its DC hosts are joined."""

    def __init__(self, chance: Random) -> None:
        self.chance = chance
        self.components: dict[str, Spec] = {}
        self.runs: list[Spec] = []
        self.dc: list[str] = []
        self.ac: list[str] = []

    def add(self, kind: str, **fixed: str) -> str:
        """A component of a kind with some of its fields; its id."""
        id = f"{kind[:2].upper()}{len(self.components) + 1}"
        record = KINDS[kind]
        self.components[id] = {"kind": kind, **self.fields(record, frozenset({"part", "stage"})), **fixed}
        return id

    def fields(self, record: type, without: frozenset[str], share: float = 0.2) -> Spec:
        """Some keys of a record with plausible values."""
        some = [key for key in keys_of(record) if key not in without and self.chance.random() < share]
        return {key: self.value(self.chance.choice(keys_of(record)[key])) for key in some}

    def value(self, form: FieldForm) -> object:
        """A value that a field takes."""
        choose = self.chance.choice
        if form.form == "record" and form.record is not None:
            return True if form.truth_too and self.chance.random() < 0.5 else self.fields(form.record, frozenset(), 0.5)
        if form.form == "amount":
            return choose(PLAUSIBLE[form.suffix])
        if form.form == "amounts":
            return [choose(PLAUSIBLE[form.suffix]) for _ in range(12)]
        simple: dict[str, Sequence[object]] = {
            "number": ("1", "2.5"), "count": ("1", "2", "4"), "text": WORDS, "stage": ("1", "2", "later"),
            "truth": (True, False), "choice": form.choices, "wire": WIRES, "texts": (["M8", "M10"], ["M6"]),
        }  # fmt: skip
        return choose(simple[form.form])

    def run(self, *path: str, **fixed: object) -> None:
        """A run along a path, mostly with its lengths."""
        run: Spec = {"id": f"W{len(self.runs) + 1}", "path": list(path)}
        how = self.chance.random()
        if how < 0.6:
            run["lengths"] = [self.chance.choice(LENGTHS) for _ in path[1:]]
        elif how < 0.9:
            run["length"] = self.chance.choice(LENGTHS)
        if self.chance.random() < 0.5:
            run["wire"] = self.chance.choice(WIRES)
        single = "carries" in fixed or any(stop[-1] in "+-" or self._record(stop).role == "earth" for stop in path)
        without = PATH_KEYS | (AC_KEYS | DC_KEYS if single else DC_KEYS if self._is_ac(run) else AC_KEYS)
        self.runs.append({**run, **self.fields(RunSpec, without, 0.03), **fixed})

    def devices(self, *kinds: str) -> list[str]:
        """Some of the in-line devices, in this order."""
        return [self.add(kind) for kind in kinds if self.chance.random() < 0.7]

    def attach(self, kind: str) -> None:
        """A component of any kind, each of its terminals led to a host of its medium, or one stood in a run."""
        record = KINDS[kind]
        if record.role == "inline" and len(record.terminals) == 2 and self.chance.random() < 0.7:
            self._in_line(kind)
            return
        id = self.add(kind)
        medium = "ac" if self.ac and self.chance.random() < 0.3 else "dc"
        for terminal in record.terminals:
            if self.chance.random() < 0.15:
                continue
            name = f"{id}.{terminal.name}" if terminal.name else id
            self._lead(name, medium if terminal.medium == "any" else terminal.medium)

    def _lead(self, name: str, medium: str) -> None:
        choose = self.chance.choice
        if medium == "control":
            self.run(f"{choose(self.dc)}+", name, carries=choose(("sense", "data")))
        elif medium == "ac" and self.ac:
            self.run(choose(self.ac), *self.devices("breaker"), name)
        elif medium == "dc":
            host = choose(self.dc)
            ends = (name, *self.devices("fuse"), host)
            if self.chance.random() < 0.1:
                self.run(f"{name}+", f"{host}+")
                self.run(f"{name}-", f"{host}-")
            else:
                self.run(*(ends if self.chance.random() < 0.5 else reversed(ends)))

    def _in_line(self, kind: str) -> None:
        """A device stood somewhere in the path of a run that there is."""
        record = KINDS[kind]
        media = {terminal.medium for terminal in record.terminals}
        fitting = [run for run in self.runs if "carries" not in run and (self._is_ac(run) or media != {"ac"})]
        if not fitting:
            return
        run = self.chance.choice(fitting)
        run["path"].insert(self.chance.randint(1, len(run["path"]) - 1), self.add(kind))
        run.pop("lengths", None)

    def _is_ac(self, run: Spec) -> bool:
        return any(stop in self.ac or ".ac" in stop or self._has_only_ac(stop) for stop in run["path"])

    def _has_only_ac(self, stop: str) -> bool:
        return {terminal.medium for terminal in self._record(stop).terminals} == {"ac"}

    def _record(self, stop: str) -> type[Component]:
        return KINDS[self.components[stop.partition(".")[0].rstrip("+-")]["kind"]]


def _storage(make: Maker) -> None:
    """Batteries: one bank, several in parallel on the bus, or a string wired from post to post."""
    bus = make.dc[0]
    count = make.chance.choice((1, 1, 2, 3))
    banks = [make.add("battery", voltage="12.8 V", capacity="100 Ah") for _ in range(count)]
    if count > 1 and make.chance.random() < 0.4:
        for one, other in pairwise(banks):
            make.run(f"{one}-", f"{other}+")
        make.run(f"{banks[0]}+", *make.devices("fuse", "switch"), f"{bus}+")
        make.run(f"{banks[-1]}-", *make.devices("shunt"), f"{bus}-")
    elif count > 1 and make.chance.random() < 0.3:
        choice = make.add("selector")
        for port, bank in zip("12", banks, strict=False):
            make.run(bank, f"{choice}.{port}")
        make.run(f"{choice}.common", bus)
    else:
        for bank in banks:
            make.run(bank, *make.devices("fuse", "switch", "shunt"), bus)


def _hosts(make: Maker) -> None:
    """DC hosts as a tree, a chain, a ring, or islands; AC panels behind an inverter, the shore or a transfer switch."""
    choose = make.chance.choice
    make.dc = [make.add(choose(DC_HOSTS)) for _ in range(make.chance.choice((1, 1, 2, 3)))]
    for index, host in enumerate(make.dc[1:], 1):
        if make.chance.random() < 0.9:
            make.run(make.dc[make.chance.randrange(index)], *make.devices("breaker"), host)
    if len(make.dc) > 2 and make.chance.random() < 0.3:
        make.run(make.dc[-1], *make.devices("switch"), make.dc[0])


def _ac_side(make: Maker) -> None:
    panel = make.add("ac-panel")
    make.ac.append(panel)
    sources = make.chance.sample(
        ("shore-inlet", "generator", "inverter", "inverter-charger"), make.chance.randint(1, 3)
    )
    ends: list[str] = []
    for kind in sources:
        source = make.add(kind)
        if "inverter" in kind:
            make.run(make.dc[0], *make.devices("fuse"), f"{source}.dc")
            if ends and make.chance.random() < 0.6:
                make.run(ends.pop(), *make.devices("breaker", "rcd"), f"{source}.ac-in")
        ends.append(f"{source}.ac-out" if "inverter" in kind else source)
    if len(ends) > 1 and make.chance.random() < 0.7:
        switch = make.add("transfer-switch")
        for port, end in zip("ab", ends, strict=False):
            make.run(end, *make.devices("breaker"), f"{switch}.{port}")
        make.run(f"{switch}.out", panel)
    else:
        for end in ends:
            make.run(end, *make.devices("breaker", "galvanic-isolator"), panel)
    if make.chance.random() < 0.3:
        make.ac.append(make.add("ac-panel"))
        make.run(panel, *make.devices("rcd"), make.ac[-1], cores=["L1", "L2", "N", "PE"])


def _earth(make: Maker) -> None:
    ground = make.add(make.chance.choice(("chassis", "earth-bus", "earth-electrode")))
    make.run(f"{make.dc[0]}-", ground, carries="bond")
    for id in make.chance.sample(list(make.components), min(2, len(make.components))):
        if id != ground:
            make.run(f"{id}.case", ground, carries="earth")


def made_system(chance: Random, most_kinds: int = 8) -> Spec:
    """A well-formed system as the plain data of a spec."""
    make = Maker(chance)
    _hosts(make)
    _storage(make)
    if chance.random() < 0.3:
        _ac_side(make)
    for kind in chance.choices(sorted(KINDS), k=chance.randint(1, most_kinds)):
        make.attach(kind)
    if chance.random() < 0.6:
        _earth(make)
    return _whole(make)


def _whole(make: Maker) -> Spec:
    """The system with its head and the sections beside components and runs."""
    chance = make.chance
    spec: Spec = {"rigline": "1", **make.fields(Head, frozenset({"rigline", "profile"}), 0.15)}
    spec["profile"] = chance.choice(PROFILES)
    sections = {"conditions": Conditions, "defaults": Defaults, "supply": Supply}
    spec |= {key: make.fields(record, frozenset(), 0.3) or None for key, record in sections.items()}
    spec["places"] = {name: make.fields(Place, frozenset({"at"}), 0.3) for name in ("locker", "galley", "engine bay")}
    for thing in (*make.components.values(), *make.runs):
        if chance.random() < 0.2:
            thing["place"] = chance.choice(("locker", "galley", "engine bay"))
        if chance.random() < 0.05:
            thing["stage"] = chance.choice(("1", "2", "later"))
    spec["components"], spec["runs"] = make.components, make.runs
    return {key: value for key, value in spec.items() if value is not None}


def systems() -> st.SearchStrategy[Spec]:
    """The same as a strategy. It draws a seed: drawing every choice by itself takes a hundred times as long."""
    return st.integers(0, 2**32).map(lambda seed: made_system(Random(seed), 4))
