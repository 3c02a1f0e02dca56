"""Every mistake an owner makes is answered with its place, what is required, what came and what to do, all at once."""

from pathlib import Path

import pytest

from rigline.errors import SpecError
from rigline.model.build import build_system
from rigline.spec.load import load_document
from rigline.spec.reading import SYNTAX_OF_ENDING, read_bytes

FOLDER = Path(__file__).parent
BROKEN = sorted(path for path in FOLDER.iterdir() if path.suffix in SYNTAX_OF_ENDING)


def problems(path: Path) -> list[str]:
    try:
        tree = read_bytes(path.read_bytes(), path.name, SYNTAX_OF_ENDING[path.suffix])
        build_system(load_document(tree, path.parent), tree)
    except SpecError as error:
        return [problem.text() for problem in error.problems]
    return []


@pytest.mark.parametrize("path", BROKEN, ids=lambda path: path.name)
def test_a_broken_spec_is_answered_with_exactly_these_messages(path: Path) -> None:
    expected = path.with_suffix(f"{path.suffix}.txt").read_text(encoding="utf-8").splitlines()
    assert problems(path) == expected


def test_there_are_many_broken_specs_and_each_has_a_message() -> None:
    expected = [path.with_suffix(f"{path.suffix}.txt") for path in BROKEN]
    assert [path.name for path in expected if not path.read_text(encoding="utf-8").strip()] == []
    assert len(BROKEN) >= 50


def test_no_expected_messages_are_left_behind_without_a_spec() -> None:
    assert {path.name for path in FOLDER.glob("*.txt")} == {f"{path.name}.txt" for path in BROKEN}
