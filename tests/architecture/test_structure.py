"""The shape of the code: layers, one door for each library, sizes, and documented public names."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

SOURCE = Path(__file__).parent.parent.parent / "src" / "rigline"
FILES = sorted(SOURCE.rglob("*.py"))

LAYERS = (
    ("version",), ("unit_system",), ("units",), ("errors",), ("findings",), ("standards",), ("kinds",), ("spec",),
    ("model",), ("graph",), ("study",), ("checks", "energy", "layout", "ordering"), ("notes",),
    ("changes", "drawing", "starting"), ("outputs",), ("results",), ("api",), ("__init__",), ("view",),
    ("cli",), ("__main__",),
)  # fmt: skip
"""From the lowest up; a layer may import what stands before it. Siblings may not see each other."""

DOORS = {
    "pydantic": "spec/schema.py spec/records.py",
    "pydantic_core": "spec/schema.py spec/records.py",
    "networkx": "graph/build.py",
    "schemdraw": "drawing/render.py",
    "cairosvg": "drawing/pdf.py",
    "ruamel": "spec/reading_yaml.py",
    "rich": "outputs/terminal.py",
    "python_calamine": "spec/reading_sheet.py",
    "pygal": "outputs/energy_plot.py",
    "typst": "outputs/notes/pdf.py",
    "starlette": "view/app.py",
    "uvicorn": "view/serving.py",
    "watchfiles": "view/following.py",
}
"""Library -> the files that may import it."""

LONGEST_FILE = 500
LONGEST_BODY = 60


def layer_of(path: Path) -> str:
    """The layer that a file is in."""
    return path.relative_to(SOURCE).parts[0].removesuffix(".py")


def imports(path: Path) -> set[str]:
    """Every module that a file imports, wherever it does."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module)
    return found


def test_every_layer_is_placed() -> None:
    assert {layer_of(path) for path in FILES} == {name for names in LAYERS for name in names}


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(SOURCE)))
def test_a_file_imports_only_lower_layers(path: Path) -> None:
    order = {name: index for index, names in enumerate(LAYERS) for name in names}
    own = layer_of(path)
    used = {[*name.split("."), "__init__"][1] for name in imports(path) if name.split(".")[0] == "rigline"}

    assert sorted(name for name in used if name != own and order[name] >= order[own]) == []


@pytest.mark.parametrize("library", DOORS)
def test_a_library_has_one_door(library: str) -> None:
    users = {
        str(path.relative_to(SOURCE)) for path in FILES if library in {name.split(".")[0] for name in imports(path)}
    }

    assert users <= set(DOORS[library].split())
    assert users


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(SOURCE)))
def test_files_and_functions_stay_short(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    bodies = {
        node.name: (node.end_lineno or 0) - node.body[0].lineno + 1
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.FunctionDef)
    }

    assert len(text.splitlines()) <= LONGEST_FILE
    assert {name: lines for name, lines in bodies.items() if lines > LONGEST_BODY} == {}


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(SOURCE)))
def test_modules_and_public_names_are_documented(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    public = [
        node for node in tree.body if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_")
    ]

    assert ast.get_docstring(tree) is not None
    assert [node.name for node in public if ast.get_docstring(node) is None] == []


def test_the_public_names_are_sorted_and_there() -> None:
    import rigline

    assert list(rigline.__all__) == sorted(rigline.__all__)
    assert [name for name in rigline.__all__ if not hasattr(rigline, name)] == []


def test_a_public_function_keeps_its_name_when_the_package_of_that_name_is_at_work() -> None:
    import rigline
    import rigline.changes.compare
    import rigline.energy.balance

    system = rigline.read(SOURCE.parent.parent / "specs" / "lights.yaml")
    assert [rigline.changes(system, system).empty for _ in range(2)] == [True, True]
    assert callable(rigline.energy)
