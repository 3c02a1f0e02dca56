"""Coverage-guided fuzzing of the reader, by hand: `PYTHONPATH=src:tests python tests/fuzz/by_coverage.py FOLDER`.

Needs the library atheris. FOLDER keeps what reaches new code; further options are those of libFuzzer (-runs=100000).
The first byte says which syntax the rest is read as.
"""

from __future__ import annotations

import sys
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["rigline"]):
    from rigline.errors import SpecError
    from rigline.model.build import build_system
    from rigline.spec.load import load_document
    from rigline.spec.reading import Syntax, read_bytes

SYNTAXES: tuple[Syntax, ...] = ("yaml", "json", "toml")


def read(data: bytes) -> None:
    """Read bytes as a spec; anything but a system or a SpecError ends the run."""
    if not data:
        return
    try:
        tree = read_bytes(data[1:], "spec", SYNTAXES[data[0] % len(SYNTAXES)])
        build_system(load_document(tree), tree)
    except SpecError as error:
        if not error.problems or any(problem.line < 1 for problem in error.problems):
            raise AssertionError(error) from error


def main() -> None:
    """Start from the demo specs."""
    from fuzz.corpus import seeds

    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    for number, seed in enumerate(seeds()):
        (folder / f"seed-{number}").write_bytes(b"\0" + seed)
    atheris.Setup(sys.argv, read)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
