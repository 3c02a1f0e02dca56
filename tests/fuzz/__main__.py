"""Fuzzing by hand: `PYTHONPATH=src:tests python -m fuzz --count 50000 --seed 1 --keep FOLDER`.

Each number from the seed on is one spec: a made system or one of the project's own, sound or broken in some places.
Faults are shortened and kept; the summary counts what was drawn, refused and at fault.
"""

from __future__ import annotations

import argparse
import gc
import resource
import sys
import time
from collections import Counter
from pathlib import Path

from fuzz.corpus import specimen
from fuzz.shortening import shortened
from fuzz.trial import tried


def main() -> int:
    """Try one spec after another; 1 if any is at fault."""
    parser = argparse.ArgumentParser(prog="python -m fuzz", description="Try broken specs on everything Rigline does.")
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--keep", type=Path, help="folder for the shortened specs of faults")
    parser.add_argument("--seconds", type=float, default=float("inf"), help="stop after this time")
    options = parser.parse_args()
    gc.set_threshold(100_000)
    outcomes: Counter[str] = Counter()
    faults: Counter[str] = Counter()
    start = time.monotonic()
    for number in range(options.seed, options.seed + options.count):
        data, syntax = specimen(number)
        outcome = tried(data, syntax)
        outcomes[outcome.answer] += 1
        if outcome.answer == "fault":
            faults[_kind(outcome.about)] += 1
            if faults[_kind(outcome.about)] == 1:
                _report(number, outcome.about, options.keep)
        if sum(outcomes.values()) % 500 == 0:
            print(_summary(outcomes, start), flush=True)
        if time.monotonic() - start > options.seconds:
            break
    print(f"seed {options.seed}: {_summary(outcomes, start)}")
    for about, count in faults.most_common():
        print(f"{count:6} {about}")
    return 1 if faults else 0


def _kind(about: str) -> str:
    """What tells one fault from another: its type and place, without what the spec said."""
    return about[:40] + about[about.rfind("(") :]


def _report(number: int, about: str, keep: Path | None) -> None:
    data, syntax = specimen(number)
    print(f"fault at seed {number}: {about}", flush=True)
    if keep:
        keep.mkdir(parents=True, exist_ok=True)
        tries = 20 if about.startswith("hangs") else 400
        small = shortened(data, lambda one: _kind(tried(one, syntax).about) == _kind(about), tries)
        (keep / f"{number}.{syntax}").write_bytes(small)


def _summary(outcomes: Counter[str], start: float) -> str:
    seconds = time.monotonic() - start
    megabytes = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    total = sum(outcomes.values())
    counts = ", ".join(f"{count} {answer}" for answer, count in sorted(outcomes.items()))
    return f"{total} specs ({counts}) in {seconds:.0f} s, {total / seconds:.1f} a second, {megabytes:.0f} MB"


if __name__ == "__main__":
    sys.exit(main())
