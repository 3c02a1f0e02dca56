"""How the time of a study grows with the size of the system, in one process. By hand: `python THIS`.

The systems are made by rule: two banks, a main bus, and panels of eight circuits on it, level below level, with solar,
inverters and their outlets among them. Seconds are of processor time, so that other work on the
machine does not count. The exponent is the slope of the logarithms from the second size to the last.
"""

from __future__ import annotations

import math
import statistics
import sys
import time

from rigline.model.build import build_system
from rigline.model.system import System
from rigline.spec.load import load_document
from rigline.spec.reading import read_tree
from rigline.study.study import Study, study

SIZES = (40, 200, 500, 2000)
RUNS = 3
CIRCUITS = 8
"""Circuits on each panel."""


def made_system(components: int) -> System:
    """A system of about this many components."""
    tree = read_tree(made_spec(components), "growth.yaml", "yaml")
    return build_system(load_document(tree), tree)


def made_spec(components: int) -> str:
    """The spec of that system, with every wire below the first panels left open."""
    parts = [
        "  B1: {kind: battery, chemistry: lifepo4, voltage: 51.2 V, capacity: 400 Ah, short-circuit: 8 kA}",
        "  B2: {kind: battery, chemistry: lifepo4, voltage: 51.2 V, capacity: 400 Ah, short-circuit: 8 kA}",
        "  F1: {kind: fuse, style: class-t, rating: 300 A}",
        "  F2: {kind: fuse, style: class-t, rating: 300 A}",
        "  BUS0: {kind: busbar}",
    ]
    runs = [
        "  - {id: WB1, path: [B1, F1, BUS0], lengths: [100 mm, 300 mm], wire: 4/0 AWG}",
        "  - {id: WB2, path: [B2, F2, BUS0], lengths: [100 mm, 300 mm], wire: 4/0 AWG}",
    ]
    number = 0
    while len(parts) < components:
        number += 1
        parent = f"BUS{(number - 1) // CIRCUITS}"
        _panel(number, parent, components, parts, runs)
    return "\n".join(["rigline: 1", "profile: us-boat", "components:", *parts, "runs:", *runs, ""])


def _panel(number: int, parent: str, most: int, parts: list[str], runs: list[str]) -> None:
    parts += [f"  BUS{number}: {{kind: busbar}}", f"  FP{number}: {{kind: breaker}}"]
    runs.append(f"  - {{id: WP{number}, path: [{parent}, FP{number}, BUS{number}], lengths: [50 mm, 2 m]}}")
    for index in range(CIRCUITS):
        if len(parts) >= most:
            return
        id = f"{number}x{index}"
        if index == 0 and number % 4 == 1:
            _solar(id, number, parts, runs)
        elif index == 1 and number % 8 == 1:
            _inverter(id, number, parts, runs)
        else:
            start = ", start: 3 A" if index == 2 and number % 8 == 3 else ""
            parts.append(f"  FL{id}: {{kind: breaker}}")
            parts.append(f"  LD{id}: {{kind: dc-load, power: {2 + index} W, continuous: true{start}}}")
            lengths = f"[50 mm, {1 + index % 3} m]"
            runs.append(f"  - {{id: WL{id}, path: [BUS{number}, FL{id}, LD{id}], lengths: {lengths}}}")


def _solar(id: str, number: int, parts: list[str], runs: list[str]) -> None:
    parts.append(f"  PV{id}: {{kind: pv-array, isc: 8 A, voc: 44 V, series: 2}}")
    parts.append(f"  SC{id}: {{kind: charge-controller, output: 10 A}}")
    parts.append(f"  FS{id}: {{kind: breaker}}")
    runs.append(f"  - {{id: WV{id}, path: [PV{id}, SC{id}.pv], lengths: [5 m]}}")
    runs.append(f"  - {{id: WS{id}, path: [SC{id}.battery, FS{id}, BUS{number}], lengths: [1 m, 50 mm]}}")


def _inverter(id: str, number: int, parts: list[str], runs: list[str]) -> None:
    parts.append(f"  IN{id}: {{kind: inverter, power: 300 W, output: 120 V, efficiency: 90 %}}")
    parts += [f"  FI{id}: {{kind: breaker}}", f"  QA{id}: {{kind: breaker}}"]
    parts.append(f"  RC{id}: {{kind: receptacle, power: 200 W, rating: 15 A}}")
    runs.append(f"  - {{id: WI{id}, path: [BUS{number}, FI{id}, IN{id}.dc], lengths: [50 mm, 1 m]}}")
    runs.append(f"  - {{id: WA{id}, path: [IN{id}.ac-out, QA{id}, RC{id}], lengths: [1 m, 3 m]}}")


def everything(found: Study) -> None:
    """Ask for all that is computed only when it is asked for."""
    for name in ("segments", "nodes", "load_drops", "circuits", "returns", "neutrals", "grounding", "unstated"):
        getattr(found, name)


def seconds(system: System) -> tuple[float, float]:
    """How long the study takes, and how long everything that is computed on demand takes on top; medians."""
    first, second = [], []
    for _ in range(RUNS):
        start = time.process_time()
        found = study(system)
        middle = time.process_time()
        everything(found)
        first.append(middle - start)
        second.append(time.process_time() - middle)
    return statistics.median(first), statistics.median(second)


def main() -> None:
    """Print the times of each size and the exponents of growth."""
    taken = {}
    for size in [int(word) for word in sys.argv[1:]] or SIZES:
        system = made_system(size)
        count = len(system.components)
        taken[count] = seconds(system)
        print(f"{count:5} components  study {taken[count][0]:.3f} s  on demand {taken[count][1]:.3f} s", flush=True)
    sizes = sorted(taken)[1:] if len(taken) > 2 else sorted(taken)
    for index, name in enumerate(("study", "on demand")):
        low, high = taken[sizes[0]][index], taken[sizes[-1]][index]
        print(f"{name}: grows as n^{math.log(high / low) / math.log(sizes[-1] / sizes[0]):.2f}")


if __name__ == "__main__":
    main()
