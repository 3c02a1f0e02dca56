"""Layout alone against two outside yardsticks on the same graphs, as whole processes. By hand:
`PYTHONPATH=src:tests python -m benchmarks.layout_alone [SIZE ...]`.

The yardsticks are `dot` with orthogonal edges (Debian's package graphviz), and a layered layout in JavaScript with
orthogonal edges: `elkjs` from npm, where `--elk FOLDER` names the folder in which `npm install elkjs` was run. One that
is not there is left out; one that takes longer than a minute is told so. Nodes have about the size of our symbols.
Seconds are of processor time, the least of three turns.
"""

from __future__ import annotations

import argparse
import json
import pickle
import resource
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

from benchmarks.growth import made_system

from rigline.checks.run import run_checks
from rigline.layout.oneline import OneLine
from rigline.outputs.draw import View, default_sheet, shown_line
from rigline.study.study import study

SIZES = (15, 40, 120, 500, 2000)
RUNS = 3
LIMIT_S = 60
BOX_MM = (14.0, 14.0)
"""About the size of a symbol with its label. Our own choice."""
OURS = """
import pickle, sys
from rigline.drawing.symbols import symbols_of
from rigline.layout.place import place
from rigline.layout.plan import SHEET_SIZES
line, sheet = pickle.load(open(sys.argv[1], "rb"))
place(line, symbols_of("ieee"), SHEET_SIZES[sheet])
"""
ELK = """
const ELK = require('elkjs');
const graph = JSON.parse(require('fs').readFileSync(process.argv[1], 'utf8'));
new ELK().layout(graph).then(() => process.exit(0), error => { console.error(error); process.exit(1); });
"""


def main() -> None:
    """Print a line for each size."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("sizes", nargs="*", type=int, default=SIZES)
    parser.add_argument("--elk", help="folder in which `npm install elkjs` was run")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        for size in options.sizes or SIZES:
            _print_line(size, Path(folder), options.elk)


def _print_line(size: int, folder: Path, elk: str | None) -> None:
    system = made_system(size)
    done = study(system)
    line = shown_line(done, run_checks(done), View())
    (folder / "line.pickle").write_bytes(pickle.dumps((line, default_sheet(done))))
    (folder / "graph.dot").write_text("\n".join(_dot(line)), encoding="utf-8")
    (folder / "graph.json").write_text(json.dumps(_layered(line)), encoding="utf-8")
    commands = {"ours": [sys.executable, "-c", OURS, str(folder / "line.pickle")]}
    if shutil.which("dot"):
        commands["dot, ortho"] = ["dot", "-Gsplines=ortho", "-Tplain", str(folder / "graph.dot")]
    if elk:
        commands["layered, npm"] = ["node", "-e", ELK, str(folder / "graph.json")]
    taken = {name: _least_s(command, elk if name == "layered, npm" else None) for name, command in commands.items()}
    ours = taken["ours"] or float("nan")
    words = [f"{name} {_shown(amount, ours)}" for name, amount in taken.items()]
    print(f"{len(system.components):5} components, {len(line.stations):5} stations:  " + "   ".join(words), flush=True)


def _shown(amount_s: float | None, ours_s: float) -> str:
    return f"over {LIMIT_S} s" if amount_s is None else f"{amount_s:6.2f} s ({amount_s / ours_s:5.2f}x)"


def _least_s(command: list[str], cwd: str | None) -> float | None:
    """Processor time of a command; None if it takes too long."""
    found = []
    for _ in range(RUNS):
        before = _used_s()
        try:
            subprocess.run(command, cwd=cwd, capture_output=True, check=True, timeout=LIMIT_S)
        except subprocess.TimeoutExpired:
            return None
        found.append(_used_s() - before)
    return min(found)


def _used_s() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def _edges(line: OneLine) -> Iterator[tuple[str, str]]:
    """Stations, and the devices of each feeder between them, as a plain graph."""
    for number, feeder in enumerate(line.feeders):
        inner = [f"d{number}x{index}" for index in range(len(feeder.devices))]
        ends = [feeder.start, *inner, feeder.end]
        yield from pairwise(ends)


def _names(line: OneLine) -> list[str]:
    ends = {end for edge in _edges(line) for end in edge}
    return sorted(ends | {station.id for station in line.stations})


def _dot(line: OneLine) -> Iterator[str]:
    numbers = {name: index for index, name in enumerate(_names(line))}
    width, height = (side / 25.4 for side in BOX_MM)
    yield f'graph g {{ node [shape=box fixedsize=true label="" width={width:.3f} height={height:.3f}];'
    yield from (f"n{index};" for index in numbers.values())
    yield from (f"n{numbers[a]} -- n{numbers[b]};" for a, b in _edges(line))
    yield "}"


def _layered(line: OneLine) -> dict[str, object]:
    names = _names(line)
    width, height = BOX_MM
    return {
        "id": "root",
        "layoutOptions": {"elk.algorithm": "layered", "elk.edgeRouting": "ORTHOGONAL", "elk.direction": "DOWN"},
        "children": [{"id": name, "width": width, "height": height} for name in names],
        "edges": [{"id": f"e{number}", "sources": [a], "targets": [b]} for number, (a, b) in enumerate(_edges(line))],
    }


if __name__ == "__main__":
    main()
