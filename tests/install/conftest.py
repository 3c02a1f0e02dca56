"""The sdist of this tree and the wheel made from it, built once a session; environments to run the wheel in."""

from __future__ import annotations

import subprocess
import sys
import tarfile
from pathlib import Path

import pytest
from installing import ROOT, Environment, extras_of, metadata_of


def build(form: str, tree: Path, out: Path) -> Path:
    """What the project's build backend makes of a tree, in the form `sdist` or `wheel`."""
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", form, "-d", str(out)],
        cwd=tree, check=True, capture_output=True,
    )  # fmt: skip
    (made,) = out.iterdir()
    return made


@pytest.fixture(scope="session")
def sdist(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sdist of this tree."""
    return build("sdist", ROOT, tmp_path_factory.mktemp("sdist"))


@pytest.fixture(scope="session")
def wheel(sdist: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built from the unpacked sdist as a package index would have it."""
    folder = tmp_path_factory.mktemp("unpacked")
    with tarfile.open(sdist) as archive:
        archive.extractall(folder, filter="data")
    (tree,) = folder.iterdir()
    return build("wheel", tree, tmp_path_factory.mktemp("wheel"))


@pytest.fixture(scope="session")
def bare(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Environment:
    """The wheel installed without extras."""
    return Environment(tmp_path_factory.mktemp("bare"), wheel)


@pytest.fixture(scope="session")
def full(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Environment:
    """The wheel installed with every extra."""
    return Environment(tmp_path_factory.mktemp("full"), wheel, extras_of(metadata_of(wheel)))
