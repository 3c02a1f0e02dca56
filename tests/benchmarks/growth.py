"""How the time of each stage grows with the size of the system, in one process. By hand: `python THIS [SIZE ...]`.

The systems are made by rule: two banks, a main bus, and panels of eight circuits on it, level below level, with solar,
inverters and their outlets among them. Seconds are of processor time, so that other work on the machine does not count;
the ratio is to the smallest system of this run, and the exponent is the slope of the logarithms from one size to the
last. Rules ask for numbers that nobody asked for before, so checks pay for those parts of the study.
"""

from __future__ import annotations

import math
import resource
import statistics
import sys
import time
from collections.abc import Callable
from functools import partial
from typing import TypeVar

from rigline.checks.run import run_checks
from rigline.model.build import build_system
from rigline.model.system import System
from rigline.outputs.draw import draw_svg
from rigline.spec.load import load_document
from rigline.spec.reading import read_tree
from rigline.study.study import study

SIZES = (15, 40, 120, 500, 2000)
FROM = 120
"""Exponents are told from the first size that is at least this large: below, fixed costs hide the growth."""
RUNS = 3
STAGES = ("read", "study", "check", "draw")
CIRCUITS = 8
"""Circuits on each panel."""

R = TypeVar("R")


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


def timed(work: Callable[[], R], into: list[float]) -> R:
    """What some work gives; its seconds are added to a list."""
    start = time.process_time()
    result = work()
    into.append(time.process_time() - start)
    return result


def seconds(components: int, runs: int) -> tuple[int, dict[str, float]]:
    """Number of components of a system, and how long each stage takes for it; medians."""
    taken: dict[str, list[float]] = {stage: [] for stage in STAGES}
    for _ in range(runs):
        system = timed(partial(made_system, components), taken["read"])
        numbers = timed(partial(study, system), taken["study"])
        report = timed(partial(run_checks, numbers), taken["check"])
        timed(partial(draw_svg, numbers, report), taken["draw"])
    return len(system.components), {stage: statistics.median(times) for stage, times in taken.items()}


def main() -> None:
    """Print the seconds of each stage, their ratios to the smallest system, and the exponents of growth."""
    found: dict[int, dict[str, float]] = {}
    sizes = sorted(int(word) for word in sys.argv[1:]) or SIZES
    seconds(sizes[0], 1)  # Modules are imported and tables read.
    for size in sizes:
        count, taken = seconds(size, RUNS)
        found[count] = taken
        first = found[min(found)]
        cells = (f"{stage} {taken[stage]:7.3f} s {taken[stage] / first[stage]:6.1f}x" for stage in STAGES)
        megabytes = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(f"{count:5} components  {'  '.join(cells)}  {megabytes:4.0f} MB", flush=True)
    low, high = next((count for count in found if count >= FROM), min(found)), max(found)
    if low < high:
        slopes = {stage: math.log(found[high][stage] / found[low][stage]) / math.log(high / low) for stage in STAGES}
        print(f"from {low} to {high}: " + ", ".join(f"{stage} n^{slope:.2f}" for stage, slope in slopes.items()))


if __name__ == "__main__":
    main()
