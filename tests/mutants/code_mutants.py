"""Spoils the code of the study and of the rules in one place at a time and counts what the tests find. By hand:

    python -m pytest -q -n auto --cov --cov-branch --cov-context=test --cov-report=
    python tests/mutants/code_mutants.py --sample 400 --seed 1

The first line writes `.coverage`, which tells the tests that run a spoilt line; only they are asked. A mutant that no
test finds in the first round is shown to wider and wider sets of tests. Each runs in a process of its own.
"""

from __future__ import annotations

import argparse
import ast
import contextlib
import importlib.machinery
import importlib.util
import os
import random
import signal
import sqlite3
import sys
import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from types import CodeType

ROOT = Path(__file__).parent.parent.parent
SOURCE = ROOT / "src"
sys.path[:0] = [str(SOURCE), str(ROOT / "tests")]

from mutants.code_sites import sites, spoilt  # noqa: E402

PACKAGES = ("study", "checks")
FOLDERS = ("unit", "reference", "checks", "cases", "tables", "cli", "ordering", "energy", "oracles")
"""Folders of tests that are asked, quickest and plainest first; pictures that were approved by eye are not."""
EXAMPLES = "tests/checks/test_every_check.py"
VERDICTS = ("the_passing_example_is_clean_under_every_rule", "the_failing_example_breaks_this_rule_alone")
"""An example is studied once and then asked from memory; these two stand for all that ask it."""
PYTEST = (
    "-x", "-q", "--tb=no", "-pno:cacheprovider", "-pno:cov", "-pno:xdist", "-Wignore::pytest.PytestAssertRewriteWarning"
)  # fmt: skip
FIRST, MOST = 40, 160
"""Tests of the first round, and of all."""
PATIENCE_S = 240
"""A mutant that runs longer does not end, and that is seen."""


@dataclass(frozen=True)
class Mutant:
    """One spoilt place of the code."""

    path: Path
    index: int
    """Of its site in the file."""
    line: int
    what: str

    @property
    def module(self) -> str:
        """The dotted name of its module."""
        return ".".join(self.path.relative_to(SOURCE).with_suffix("").parts)

    def __str__(self) -> str:
        source = self.path.read_text(encoding="utf-8").splitlines()[self.line - 1].strip()
        return f"{self.path.relative_to(ROOT)}:{self.line}: {self.what:32} | {source}"


class Loader(importlib.machinery.SourceFileLoader):
    """Loads one module with one of its sites spoilt."""

    mutant: Mutant

    def get_code(self, fullname: str) -> CodeType:
        """The spoilt code; never read from or written to a cache."""
        return compile(spoilt(self.mutant.path, self.mutant.index), str(self.mutant.path), "exec")


class Finder:
    """Hands out the spoilt module and no other."""

    def __init__(self, mutant: Mutant) -> None:
        self.mutant = mutant

    def find_spec(self, name: str, path: object = None, target: object = None) -> importlib.machinery.ModuleSpec | None:
        """The spec of the spoilt module."""
        if name != self.mutant.module:
            return None
        loader = Loader(name, str(self.mutant.path))
        loader.mutant = self.mutant
        return importlib.util.spec_from_file_location(name, self.mutant.path, loader=loader)


class Coverage:
    """Which tests run a line, as measured once."""

    def __init__(self, data: Path) -> None:
        self.base = sqlite3.connect(data)
        files = self.base.execute("select id, path from file")
        self.files = {path.rpartition("/src/")[2]: id for id, path in files}
        self.contexts = dict(self.base.execute("select id, context from context"))

    def tests(self, mutant: Mutant, chance: random.Random) -> list[str]:
        """Tests that run the line of a mutant, plain ones first; in a folder they are shuffled."""
        names = {_asked(name) for name in self._contexts(mutant)} - {""}
        # A line that runs once, when its module is imported, concerns whoever runs anything of the module.
        names = names or {_asked(name) for name in self._contexts(mutant, anywhere=True)} - {""}
        order = {folder: at for at, folder in enumerate(FOLDERS)}
        kept = sorted(name for name in names if name.split("/")[1] in order)
        chance.shuffle(kept)
        return sorted(kept, key=lambda name: (_far(name, mutant), order[name.split("/")[1]]))

    def _contexts(self, mutant: Mutant, anywhere: bool = False) -> Iterator[str]:
        file = self.files.get(str(mutant.path.relative_to(SOURCE)))
        arcs = "select distinct context_id from arc where file_id = ? and (? or abs(fromno) = ? or abs(tono) = ?)"
        for (context,) in self.base.execute(arcs, (file, anywhere, mutant.line, mutant.line)):
            yield self.contexts[context]


def _asked(context: str) -> str:
    """The test to ask for a context as in `tests/unit/test_flow.py::test_x|run`."""
    name = context.partition("|")[0]
    if name.startswith(EXAMPLES) and "[" in name:
        slug = name[name.index("[") + 1 : -1]
        slug = slug.split("-", 1)[1] if slug[0].isdigit() else slug
        return f"{EXAMPLES}::test_{VERDICTS[1]}[{slug}]"
    return name


def _far(name: str, mutant: Mutant) -> bool:
    """Whether a test is not named after the mutant's own file."""
    return mutant.path.stem not in name.replace("-", "_")


def all_mutants() -> list[Mutant]:
    """Every mutant of both packages, in a fixed order."""
    files = sorted(path for package in PACKAGES for path in (SOURCE / "rigline" / package).rglob("*.py"))
    found = []
    for path in files:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        found += [Mutant(path, index, site.line, site.what) for index, site in enumerate(sites(tree))]
    return found


def failed(tests: Iterable[str], mutant: Mutant | None) -> bool:
    """Whether one of the tests fails in a process with the spoilt module."""
    child = os.fork()
    if child == 0:
        _run(tests, mutant)
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            return status != 0
        time.sleep(0.02)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return True


def _run(tests: Iterable[str], mutant: Mutant | None) -> None:
    """Ends this process with pytest's answer."""
    import pytest
    from hypothesis import Phase, settings

    settings.register_profile(
        "mutants", phases=[Phase.explicit, Phase.generate], database=None, derandomize=True, deadline=None
    )
    settings.load_profile("mutants")
    silent = os.open(os.devnull, os.O_WRONLY)
    for stream in (1, 2):
        os.dup2(silent, stream)
    if mutant:
        sys.meta_path.insert(0, Finder(mutant))
    code = 1
    with contextlib.suppress(BaseException):
        code = int(pytest.main([*PYTEST, *tests]))
    os._exit(code)


def _ready() -> None:
    """Import what all runs share and no mutant touches."""
    import importlib

    for library in ("pytest", "hypothesis", "pydantic", "networkx", "msgspec", "ruamel.yaml", "yaml", "jsonschema"):
        with contextlib.suppress(ImportError):
            importlib.import_module(library)


def verdict(mutant: Mutant, tests: list[str]) -> str:
    """`killed`, `survived`, or `not run` by any test."""
    if not tests:
        return "not run"
    rounds = [tests[:FIRST], tests[FIRST:MOST]]
    both = [test.replace(VERDICTS[1], VERDICTS[0]) for test in tests[:MOST] if VERDICTS[1] in test]
    return "killed" if any(failed(some, mutant) for some in (*rounds, both) if some) else "survived"


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=str(__doc__).split("\n")[0])
    parser.add_argument("--coverage", type=Path, default=ROOT / ".coverage")
    parser.add_argument("--sample", type=int, default=400)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--of", help="only files whose path holds this text")
    parser.add_argument("--only", help="only one place, as FILE:LINE")
    parser.add_argument("--also", nargs="*", default=[], help="tests to ask first, whatever was measured")
    parser.add_argument("--trusted", action="store_true", help="the tests are known to pass on the code as it is")
    parser.add_argument("--part", default="1/1", help="part of the sample, as in 1/2 and 2/2 for two processes")
    return parser.parse_args()


def _drawn(arguments: argparse.Namespace) -> list[Mutant]:
    """The sample; or all mutants of one place."""
    every = [mutant for mutant in all_mutants() if (arguments.of or "") in str(mutant.path)]
    if arguments.only:
        return [one for one in every if f"{one.path}:{one.line}".endswith(arguments.only)]
    random.Random(arguments.seed).shuffle(every)
    drawn = every[: arguments.sample]
    part, parts = map(int, arguments.part.split("/"))
    return drawn[part - 1 :: parts]


def main() -> None:
    """Print each mutant's fate, and the rate."""
    arguments = _arguments()
    os.chdir(ROOT)
    _ready()
    coverage = Coverage(arguments.coverage)
    chance = random.Random(arguments.seed)
    asked = {mutant: arguments.also + coverage.tests(mutant, chance) for mutant in _drawn(arguments)}
    if not arguments.trusted and failed(sorted({test for tests in asked.values() for test in tests[:FIRST]}), None):
        raise SystemExit("The tests fail on the code as it is, or the coverage is of other tests: measure it anew.")
    count = {"killed": 0, "survived": 0, "not run": 0}
    for mutant, tests in asked.items():
        answer = verdict(mutant, tests)
        count[answer] += 1
        print(f"{answer} ({len(tests)} tests): {mutant}", flush=True)
    total = sum(count.values())
    print(f"seed {arguments.seed}, {total} mutants: {count}, {100 * count['killed'] / total:.1f} % killed", flush=True)


if __name__ == "__main__":
    main()
