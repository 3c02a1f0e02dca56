"""Random small AC systems as the text of a spec: shore, generator or inverter, a panel, loads, perhaps a transformer.

All invented. One leg or two; sources alone, behind a transfer switch, or passed through an inverter-charger; a
transformer ahead of the panel or behind one of its breakers, with one leg or two on either side.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from hypothesis import strategies as st

PROFILES = ("us-boat", "us-rv", "us-cabin", "intl-boat", "iec-cabin")
WIRES = ("14 AWG", "12 AWG", "10 AWG", "8 AWG", "6 AWG")
_lengths = st.integers(50, 40_000)


@dataclass
class AcPlan:
    """A system while it is being written."""

    draw: st.DrawFn
    components: list[str] = field(default_factory=list)
    runs: list[str] = field(default_factory=list)

    def component(self, id: str, fields: str) -> str:
        """Write one component down."""
        self.components.append(f"  {id}: {{{fields}}}")
        return id

    def run(self, *path: str, cores: str = "") -> None:
        """Write one run down, with a length for each stretch and a wire."""
        lengths = ", ".join(f"{self.draw(_lengths)} mm" for _ in path[1:])
        wire = self.draw(st.sampled_from(WIRES))
        self.runs.append(f"  - {{path: [{', '.join(path)}], lengths: [{lengths}], wire: {wire}{cores}}}")

    def battery_cable(self) -> None:
        """A sound cable to the inverter: the DC side is another plan's matter."""
        self.runs.append("  - {path: [B1, INV1.dc], length: 1 m, wire: 4/0 AWG}")

    def text(self, profile: str) -> str:
        """The spec."""
        return "\n".join([f"rigline: 1\nprofile: {profile}\ncomponents:", *self.components, "runs:", *self.runs, ""])


@st.composite
def ac_plans(draw: st.DrawFn) -> str:
    """The text of one system."""
    plan = AcPlan(draw)
    split = draw(st.booleans())
    volts = "120/240 V" if split else draw(st.sampled_from(["120 V", "230 V"]))
    feed = draw(st.sampled_from([_shore, _generator, _inverter, _switched, _passed]))(plan, volts)
    if draw(st.booleans()):
        feed, split = _transformer(plan, "TR1", feed, split, volts)
    _panel(plan, "ACP1", feed, split)
    if draw(st.booleans()):
        plan.component("QT", "kind: breaker, rating: 30 A, poles: 2")
        plan.component("TR2", "kind: transformer, power: 3 kW, bond: secondary, output: 115 V")
        plan.run("ACP1", "QT", "TR2.primary")
        _panel(plan, "ACP2", "TR2.secondary", False, "B")
    return plan.text(draw(st.sampled_from(PROFILES)))


def _shore(plan: AcPlan, volts: str) -> str:
    return plan.component("SH1", f"kind: shore-inlet, rating: 50 A, voltage: {volts}")


def _generator(plan: AcPlan, volts: str) -> str:
    return plan.component("GEN1", f"kind: generator, power: 6 kW, neutral-bond: fixed, voltage: {volts}")


def _inverter(plan: AcPlan, volts: str) -> str:
    plan.component("B1", "kind: battery, voltage: 48 V, chemistry: agm, capacity: 400 Ah")
    plan.component("INV1", f"kind: inverter, power: 5 kW, efficiency: 90 %, neutral-bond: fixed, output: {volts}")
    plan.battery_cable()
    return "INV1.ac-out"


def _switched(plan: AcPlan, volts: str) -> str:
    plan.component("TS1", "kind: transfer-switch, rating: 50 A")
    plan.run(_shore(plan, volts), "TS1.a")
    plan.run(_generator(plan, volts), "TS1.b")
    return "TS1.out"


def _passed(plan: AcPlan, volts: str) -> str:
    plan.component("B1", "kind: battery, voltage: 48 V, chemistry: agm, capacity: 400 Ah")
    rated = "power: 5 kW, efficiency: 90 %, charge-current: 40 A"
    plan.component("INV1", f"kind: inverter-charger, {rated}, neutral-bond: relay, output: {volts}")
    plan.battery_cable()
    plan.run(_shore(plan, volts), "INV1.ac-in")
    return "INV1.ac-out"


def _transformer(plan: AcPlan, id: str, feed: str, split: bool, volts: str) -> tuple[str, bool]:
    """A transformer behind a feed: its secondary, and whether that has two legs."""
    output = plan.draw(st.sampled_from([volts, "120/240 V", "115 V", "230 V"]))
    plan.component(id, f"kind: transformer, power: 6 kW, bond: secondary, output: {output}")
    plan.run(feed, f"{id}.primary", cores="" if split else ", cores: [L, N, PE]")
    return f"{id}.secondary", output == "120/240 V"


def _panel(plan: AcPlan, id: str, feed: str, split: bool, letter: str = "A") -> None:
    plan.component(id, "kind: ac-panel")
    plan.run(feed, id)
    for index in range(1, plan.draw(st.integers(1, 5)) + 1):
        legs = plan.draw(st.sampled_from(["L1", "L2", "both"])) if split else "L1"
        power, amps = plan.draw(st.integers(20, 1500)), plan.draw(st.integers(1, 8))
        size = f"power: {power} W" if plan.draw(st.booleans()) else f"current: {amps} A"
        where = f", legs: {legs}" if split else ""
        plan.component(f"Q{letter}{index}", f"kind: breaker, rating: 20 A, poles: {2 if legs == 'both' else 1}")
        plan.component(f"LD{letter}{index}", f"kind: ac-load, {size}{where}")
        plan.run(id, f"Q{letter}{index}", f"LD{letter}{index}")
