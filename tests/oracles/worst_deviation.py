"""Print how far the study and the circuit simulator are apart on each demo system. By hand: `python THIS`."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from laws.strategies import studied
from oracles.test_circuit_simulator import SPECS, worst


def main() -> None:
    """One line for each system."""
    for path in SPECS:
        apart, where = worst(studied(path.read_text(encoding="utf-8")))
        print(f"{path.stem:10} {apart:.2e}  {where}")


if __name__ == "__main__":
    main()
