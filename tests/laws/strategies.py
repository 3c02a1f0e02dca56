"""Random small systems that are wired soundly, as the text of a spec: battery, main fuse, bus, feeders, converters.

All invented. Every device and wire may be left open, so that sizing has work to do; `Plan.text` writes one system in
several ways (in another order, under other names, with one device left out).
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from hypothesis import strategies as st

from rigline.model.build import build_system
from rigline.spec.load import load_document
from rigline.spec.reading import read_tree
from rigline.study.study import Study, study

PROFILES = ("us-boat", "us-rv", "us-cabin", "intl-boat")


@dataclass(frozen=True)
class Run:
    """One run of a plan; lengths in millimetres, one for each stretch."""

    path: tuple[str, ...]
    lengths_mm: tuple[int, ...]
    wire: str | None = None


@dataclass(frozen=True)
class Plan:
    """A system before it is written down."""

    profile: str
    components: Mapping[str, str]
    runs: Mapping[str, Run]
    devices: tuple[str, ...] = ()
    """Overcurrent devices that the system's soundness rests on."""
    ratings: Mapping[str, float] = field(default_factory=dict)

    def text(self, *, order: int | None = None, names: Mapping[str, str] | None = None) -> str:
        """The spec; with a seed in another order, with other names for components."""
        called = names or {}
        components = [
            f"  {called.get(id, id)}: {{{fields}{self._rating(id)}}}" for id, fields in self.components.items()
        ]
        runs = [self._run(id, run, called) for id, run in self.runs.items()]
        if order is not None:
            random.Random(order).shuffle(components)
            random.Random(order + 1).shuffle(runs)
        return "\n".join([f"rigline: 1\nprofile: {self.profile}\ncomponents:", *components, "runs:", *runs, ""])

    def _rating(self, id: str) -> str:
        return f", rating: {self.ratings[id]} A" if id in self.ratings else ""

    @staticmethod
    def _run(id: str, run: Run, called: Mapping[str, str]) -> str:
        stops = ", ".join(
            called.get(stop.split(".")[0], stop.split(".")[0]) + stop[len(stop.split(".")[0]) :] for stop in run.path
        )
        lengths = ", ".join(f"{length} mm" for length in run.lengths_mm)
        wire = f", wire: {run.wire}" if run.wire else ""
        return f"  - {{id: {id}, path: [{stops}], lengths: [{lengths}]{wire}}}"

    def without(self, device: str) -> Plan:
        """The same with one in-line device left out: its two stretches are one."""
        runs = {}
        for id, run in self.runs.items():
            if device in run.path:
                at = run.path.index(device)
                lengths = (
                    *run.lengths_mm[: at - 1],
                    run.lengths_mm[at - 1] + run.lengths_mm[at],
                    *run.lengths_mm[at + 1 :],
                )
                runs[id] = Run((*run.path[:at], *run.path[at + 1 :]), lengths, run.wire)
            else:
                runs[id] = run
        components = {id: fields for id, fields in self.components.items() if id != device}
        return replace(
            self, components=components, runs=runs, ratings={k: v for k, v in self.ratings.items() if k != device}
        )

    def with_wires(self, wires: Mapping[str, str], ratings: Mapping[str, float]) -> Plan:
        """The same with sizes and ratings written down."""
        runs = {id: replace(run, wire=run.wire or wires.get(id)) for id, run in self.runs.items()}
        return replace(self, runs=runs, ratings={**self.ratings, **ratings})


def studied(text: str) -> Study:
    """The study of a spec."""
    tree = read_tree(text, "law.yaml", "yaml")
    return study(build_system(load_document(tree), tree))


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    """A battery, a main fuse, a bus, one to six feeders; perhaps solar, a converter, an inverter with a panel."""
    volts = draw(st.sampled_from([12, 24, 48]))
    components = {
        "B1": f"kind: battery, voltage: {volts} V, chemistry: agm, capacity: 200 Ah",
        "F1": "kind: breaker",
        "BUS1": "kind: busbar",
    }
    runs = {"W1": Run(("B1", "F1", "BUS1"), (draw(_lengths), draw(_lengths)))}
    devices = ["F1"]
    for index in range(1, draw(st.integers(1, 6)) + 1):
        power, lasting = draw(st.integers(5, 400)), draw(st.booleans())
        components[f"FL{index}"] = "kind: breaker"
        components[f"LD{index}"] = f"kind: dc-load, power: {power} W, continuous: {str(lasting).lower()}"
        runs[f"WL{index}"] = Run(("BUS1", f"FL{index}", f"LD{index}"), (100, draw(_lengths)))
        devices.append(f"FL{index}")
    for add in (_solar, _converter, _inverter):
        if draw(st.booleans()):
            add(draw, components, runs, devices)
    return Plan(draw(st.sampled_from(PROFILES)), components, runs, tuple(devices))


_lengths = st.integers(50, 8000)


def _solar(draw: st.DrawFn, components: dict[str, str], runs: dict[str, Run], devices: list[str]) -> None:
    components["PV1"] = f"kind: pv-array, isc: {draw(st.integers(3, 12))} A, voc: 40 V, vmp: 33 V"
    components["SC1"] = f"kind: charge-controller, output: {draw(st.integers(5, 60))} A"
    components["FS"] = "kind: breaker"
    runs["WP"] = Run(("PV1", "SC1.pv"), (draw(_lengths),))
    runs["WS"] = Run(("SC1.battery", "FS", "BUS1"), (draw(_lengths), 100))
    devices.append("FS")


def _converter(draw: st.DrawFn, components: dict[str, str], runs: dict[str, Run], devices: list[str]) -> None:
    components["DC1"] = f"kind: dc-converter, output: {draw(st.integers(5, 30))} A, output-voltage: 12 V"
    components["FC"] = "kind: breaker"
    components["FD"] = "kind: breaker"
    components["LDC"] = f"kind: dc-load, power: {draw(st.integers(5, 60))} W"
    runs["WC"] = Run(("BUS1", "FC", "DC1.in"), (100, draw(_lengths)))
    runs["WD"] = Run(("DC1.out", "FD", "LDC"), (100, draw(_lengths)))
    devices.append("FC")


def _inverter(draw: st.DrawFn, components: dict[str, str], runs: dict[str, Run], devices: list[str]) -> None:
    components["INV1"] = f"kind: inverter, power: {draw(st.integers(200, 2000))} W, efficiency: 90 %"
    components["FI"] = "kind: breaker"
    components["ACP1"] = "kind: ac-panel"
    components["QA"] = "kind: breaker"
    components["RC1"] = f"kind: receptacle, power: {draw(st.integers(20, 1500))} W, rating: 15 A"
    runs["WI"] = Run(("BUS1", "FI", "INV1.dc"), (100, draw(st.integers(50, 2000))))
    runs["WA"] = Run(("INV1.ac-out", "ACP1"), (draw(_lengths),))
    runs["WR"] = Run(("ACP1", "QA", "RC1"), (50, draw(_lengths)))
    devices.append("FI")
