"""Whole commands against the bare imports of the libraries they need, as ratios of one run. By hand: `python THIS`.

Whole processes, the median of an odd number of runs that take turns, so that a busy moment hits all alike.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
SPEC = "specs/camper.yaml"
RUNS = 9
COMMANDS = {
    "bare imports": ["-c", "import pydantic, networkx, schemdraw, ruamel.yaml"],
    "check": ["-m", "rigline", "check", SPEC],
    "draw": ["-m", "rigline", "draw", SPEC, "-o", "/dev/null.svg"],
}


def seconds(arguments: list[str]) -> float:
    """How long one process takes."""
    start = time.perf_counter()
    subprocess.run([sys.executable, *arguments], cwd=ROOT, capture_output=True, check=False)
    return time.perf_counter() - start


def main() -> None:
    """Print the median of each command and its ratio to the bare imports."""
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        COMMANDS["draw"][-1] = str(Path(folder) / "drawing.svg")
        taken: dict[str, list[float]] = {name: [] for name in COMMANDS}
        for _ in range(RUNS):
            for name, arguments in COMMANDS.items():
                taken[name].append(seconds(arguments))
    floor = statistics.median(taken["bare imports"])
    for name, times in taken.items():
        print(
            f"{name:14} {statistics.median(times):.3f} s  {statistics.median(times) / floor:.2f} times the bare imports"
        )


if __name__ == "__main__":
    main()
