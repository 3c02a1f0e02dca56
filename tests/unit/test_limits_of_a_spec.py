"""Up to each limit a spec is read; one beyond it, the message names the limit at its line."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from rigline.errors import SpecError
from rigline.model.build import build_system
from rigline.spec import limits
from rigline.spec.load import load_document
from rigline.spec.reading import read_bytes
from rigline.units import LARGEST_MAGNITUDE, LONGEST_AMOUNT_CHARACTERS

HEAD = "rigline: 1\nprofile: us-rv\n"
GOOD = f"{HEAD}components: {{B1: {{kind: battery}}}}\n"


def _components(count: int) -> str:
    return f"{HEAD}components:\n" + "".join(f"  B{number}: {{kind: battery}}\n" for number in range(count))


def _runs(count: int) -> str:
    run = "- path: [B1, B2]\n"
    return f"{HEAD}components: {{B1: {{kind: battery}}, B2: {{kind: battery}}}}\nruns:\n{run * count}"


def _battery(fields: str) -> str:
    return f"{HEAD}components:\n  B1: {{kind: battery, {fields}}}\n"


def _nested(levels: int) -> str:
    return f"{GOOD}title: {'[' * levels}a{']' * levels}\n"


def _values(count: int) -> str:
    """The head and the battery take eight values, the list of `parts` one."""
    return f"{GOOD}parts: [{', '.join(['x'] * (count - 7))}]\n"


LIMITED: dict[str, tuple[Callable[[int], str], int, str, int]] = {
    "bytes": (lambda n: f"{GOOD}#{'x' * (n - len(GOOD) - 1)}", limits.LARGEST_FILE_BYTES, "at most 2 MB", 1),
    "components": (_components, limits.MOST_COMPONENTS, "at most 5000 components", 4),
    "id": (lambda n: f"{HEAD}components:\n  {'B' * n}: {{kind: battery}}\n", limits.LONGEST_ID_CHARACTERS, "(40 at", 4),
    "text": (lambda n: _battery(f"name: {'x' * n}"), limits.LONGEST_TEXT_CHARACTERS, "at most 300 characters", 4),
    "amount": (
        lambda n: _battery(f"voltage: 12{' ' * (n - 3)}V"), LONGEST_AMOUNT_CHARACTERS, "at most 80 characters", 4,
    ),
    "magnitude": (lambda n: _battery(f"capacity: {n} Ah"), LARGEST_MAGNITUDE, "capacity", 4),
    "count": (lambda n: _battery(f"series: {n}"), limits.MOST_OF_ONE, "from 1 to 10000", 4),
    "stage": (lambda n: _battery(f"stage: {n}"), limits.LARGEST_STAGE, "(99 at most)", 4),
}  # fmt: skip
"""What is limited: a spec of so much of it, the most, words of the message, and its line."""


def _problems(text: str) -> list[str]:
    try:
        tree = read_bytes(text.encode(), "spec", "yaml")
        build_system(load_document(tree), tree)
    except SpecError as error:
        return [problem.text() for problem in error.problems]
    return []


@pytest.mark.parametrize("what", LIMITED)
def test_as_much_as_the_limit_is_read(what: str) -> None:
    make, most, _, _ = LIMITED[what]
    assert _problems(make(most)) == []


@pytest.mark.parametrize("what", LIMITED)
def test_one_beyond_the_limit_is_a_problem_at_its_line(what: str) -> None:
    make, most, words, line = LIMITED[what]
    found = _problems(make(most + 1))
    assert [(words in text, text.startswith(f"spec:{line}:")) for text in found] == [(True, True)]


def test_nesting_beyond_the_limit_is_a_problem_at_its_line() -> None:
    assert [text.split(": ", 1)[1] for text in _problems(_nested(limits.DEEPEST_NESTING + 1))] == [
        "values are nested more than 50 levels deep"
    ]


def test_values_beyond_the_limit_are_a_problem_at_their_line() -> None:
    assert ["at most 20000 values" in text for text in _problems(_values(limits.MOST_VALUES + 1))] == [True]
