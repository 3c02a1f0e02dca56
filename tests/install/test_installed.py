"""The wheel works where nothing else is installed, and says in one line what is missing where more is asked."""

from __future__ import annotations

import csv
import io
import shutil
from collections import ChainMap
from collections.abc import Mapping
from pathlib import Path
from subprocess import CompletedProcess
from xml.etree import ElementTree

import pytest
from installing import ROOT, Environment, extras_of, metadata_of
from workbooks import xlsx_of

from rigline.outputs.converting import converted

SPEC = "trailer.yaml"
BOOK = "trailer.xlsx"
NAMES = ("x.svg", "x.html", "x.pdf", "x.png")
NO_CAIRO = """\
import ctypes.util
import cffi

real_find, real_open = ctypes.util.find_library, cffi.FFI.dlopen

def find_library(name):
    return None if "cairo" in name else real_find(name)

def dlopen(self, name, flags=0):
    if "cairo" in str(name):
        raise OSError(f"cannot load library {name!r}")
    return real_open(self, name, flags)

ctypes.util.find_library, cffi.FFI.dlopen = find_library, dlopen
"""
"""Run as a Python starts: the system's library is not found, as on a machine without it."""

ASKING: Mapping[str, tuple[str, ...]] = {
    "plot": ("energy", SPEC, "-o", "made.svg"),
    "notes": ("notes", SPEC, "-o", "made.pdf"),
    "tables": ("convert", BOOK, "-o", "made.yaml"),
}
"""Extra -> a command that needs it."""
SERVING: Mapping[str, tuple[str, ...]] = {"view": ("view", SPEC, "--no-open")}
"""Extra -> a command that needs it and goes on until it is told to end; `tests/view` runs it."""
EVERY = ChainMap(dict(ASKING), dict(SERVING))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder far from the source with a spec in it, as text and as a workbook."""
    shutil.copy(ROOT / "specs" / SPEC, tmp_path)
    table, _ = converted(ROOT / "specs" / SPEC, "csv")
    rows = list(csv.reader(io.StringIO(table.decode("utf-8-sig"))))
    (tmp_path / BOOK).write_bytes(xlsx_of(rows))
    return tmp_path


@pytest.fixture
def no_cairo(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """The variables under which a Python doesn't find the system's cairo library."""
    stub = tmp_path_factory.mktemp("stub")
    (stub / "sitecustomize.py").write_text(NO_CAIRO, encoding="utf-8")
    return {"PYTHONPATH": str(stub)}


def made(folder: Path) -> list[str]:
    """The files that a command left beside the spec."""
    return sorted(path.name for path in folder.iterdir() if path.name not in (SPEC, BOOK))


def complaints(ran: CompletedProcess[str]) -> list[str]:
    """What a command says beside its output, without the names of its files and the sum of its findings."""
    return [line for line in ran.stderr.splitlines() if not line.startswith(("wrote made.", "wrote x.", "no danger, "))]


def test_the_wheel_checks_and_draws_far_from_the_source(bare: Environment, folder: Path) -> None:
    check = bare.run("rigline", "check", SPEC, cwd=folder)
    draw = bare.run("rigline", "draw", SPEC, *[word for name in NAMES for word in ("-o", name)], cwd=folder)

    assert (check.returncode, check.stderr) == (0, "")
    assert (draw.returncode, complaints(draw)) == (0, [])
    assert made(folder) == sorted(NAMES)
    assert ElementTree.parse(folder / "x.svg").getroot().tag.endswith("svg")
    assert (folder / "x.pdf").read_bytes().startswith(b"%PDF-")


@pytest.mark.parametrize(
    "words",
    [
        ("check", SPEC, "--format", "sarif"),
        ("schedule", SPEC),
        ("size", SPEC),
        ("parts", SPEC),
        ("energy", SPEC),
        ("labels", SPEC, "-o", "made.csv"),
        ("notes", SPEC, "-o", "made.html"),
        ("draw", SPEC, "-o", "made.svg", "-o", "made.html"),
        ("changes", SPEC, SPEC),
        ("explain", "fuse"),
    ],
    ids=lambda words: str(words[0]),
)
def test_without_cairo_all_but_pdf_and_png_works(
    bare: Environment, no_cairo: dict[str, str], folder: Path, words: tuple[str, ...]
) -> None:
    ran = bare.run("rigline", *words, cwd=folder, **no_cairo)

    assert (ran.returncode, complaints(ran)) == (0, [])
    assert made(folder) == sorted(word for word in words if word.startswith("made."))


@pytest.mark.parametrize("words", [("draw", "x.pdf"), ("draw", "x.png"), ("labels", "x.pdf")], ids=" ".join)
def test_without_cairo_pdf_and_png_say_in_one_line_what_to_install(
    bare: Environment, no_cairo: dict[str, str], folder: Path, words: tuple[str, str]
) -> None:
    ran = bare.run("rigline", words[0], SPEC, "-o", words[1], cwd=folder, **no_cairo)

    assert (ran.returncode, ran.stdout, ran.stderr.count("\n")) == (2, "", 1)
    systems = ("Debian", "Ubuntu", "Fedora", "macOS", "Windows")
    assert [system for system in systems if system not in ran.stderr] == []
    assert made(folder) == []


def test_every_extra_is_asked_for_here(wheel: Path) -> None:
    assert {*ASKING, *SERVING} == extras_of(metadata_of(wheel))


@pytest.mark.parametrize("extra", EVERY)
def test_without_an_extra_one_line_says_how_to_install_it(bare: Environment, folder: Path, extra: str) -> None:
    """In double quotes: the square brackets mean something to the shell of macOS, single quotes nothing to Windows."""
    ran = bare.run("rigline", *EVERY[extra], cwd=folder)

    assert (ran.returncode, ran.stdout, ran.stderr.count("\n")) == (2, "", 1)
    assert f'pip install "rigline[{extra}]"' in ran.stderr
    assert made(folder) == []


@pytest.mark.parametrize("extra", ASKING)
def test_with_the_extra_it_works(full: Environment, folder: Path, extra: str) -> None:
    ran = full.run("rigline", *ASKING[extra], cwd=folder)

    assert (ran.returncode, complaints(ran)) == (0, [])
    assert made(folder) == [ASKING[extra][-1]]
