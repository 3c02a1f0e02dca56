"""What the tests of the installed package share: a virtual environment without anything but what a wheel asks for."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import venv
from collections.abc import Iterable, Iterator
from importlib.metadata import Distribution, PathDistribution, distribution
from pathlib import Path
from zipfile import Path as ZipPath

from packaging.requirements import Requirement

ROOT = Path(__file__).parent.parent
DEVELOPMENT = "dev"
"""The extra that only this project's own developers install."""


class Environment:
    """A virtual environment with a wheel, the libraries that the wheel asks for, and nothing else."""

    def __init__(self, folder: Path, wheel: Path, extras: Iterable[str] = ()) -> None:
        maker = venv.EnvBuilder(symlinks=os.name != "nt")
        context = maker.ensure_directories(folder)
        maker.create(folder)
        self.commands = Path(context.bin_path)
        self.python = Path(context.env_exe)
        pip = [sys.executable, "-m", "pip", "--python", str(self.python)]
        options = ["--quiet", "--no-deps", "--no-index", "--no-compile", "--disable-pip-version-check"]
        subprocess.run([*pip, "install", *options, str(wheel)], check=True)
        packages = self._packages()
        for library in needed(metadata_of(wheel), extras).values():
            _link(library, packages)

    def _packages(self) -> Path:
        code = "import sysconfig; print(sysconfig.get_path('purelib'))"
        return Path(
            subprocess.run([self.python, "-c", code], capture_output=True, text=True, check=True).stdout.strip()
        )

    def run(self, *words: str, cwd: Path, **variables: str) -> subprocess.CompletedProcess[str]:
        """A command of the environment in a folder; no setting of the tests' own Python reaches it."""
        kept = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
        return subprocess.run(
            [self.commands / words[0], *words[1:]],
            cwd=cwd, env={**kept, **variables}, capture_output=True, text=True, encoding="utf-8", check=False,
        )  # fmt: skip


def _link(library: Distribution, packages: Path) -> None:
    """Puts an installed library into an environment by links, which takes neither a download nor a copy."""
    tops = {file.parts[0] for file in library.files or ()} - {"..", "__pycache__"}
    for place in (packages / top for top in tops):
        if not place.exists():
            place.symlink_to(Path(str(library.locate_file(place.name))).resolve())


def metadata_of(wheel: Path) -> Distribution:
    """A wheel's own metadata."""
    name, version = wheel.name.split("-")[:2]
    return PathDistribution(ZipPath(wheel, f"{name}-{version}.dist-info/"))


def canonical(name: str) -> str:
    """A distribution's name as a package index writes it (PEP 503)."""
    return re.sub(r"[-_.]+", "-", name).lower()


def extras_of(package: Distribution) -> set[str]:
    """The extras for users."""
    return set(package.metadata.get_all("Provides-Extra") or ()) - {DEVELOPMENT}


def needed(package: Distribution, extras: Iterable[str] = ()) -> dict[str, Distribution]:
    """The installed libraries that a package asks for here, directly and through others, by canonical name."""
    found: dict[str, Distribution] = {}
    left = list(_asked(package, {"", *extras}))
    while left:
        wanted = left.pop()
        name = canonical(wanted.name)
        if name not in found:
            found[name] = distribution(wanted.name)
            left += _asked(found[name], {"", *wanted.extras})
    return found


def _asked(package: Distribution, extras: set[str]) -> Iterator[Requirement]:
    for wanted in map(Requirement, package.requires or ()):
        if wanted.marker is None or any(wanted.marker.evaluate({"extra": extra}) for extra in extras):
            yield wanted
