"""A wrong spec is answered in plain words, all problems at once and in the order of the text."""

import pytest

from rigline.errors import LONGEST_GOT_CHARACTERS, Problem, SpecError, nearest


def test_a_problem_reads_as_place_requirement_and_what_came() -> None:
    problem = Problem("trailer.yaml", 14, 9, "W3 length", "give a unit, as in 3 m or 10 ft", got="3")
    assert problem.text() == "trailer.yaml:14:9: W3 length: give a unit, as in 3 m or 10 ft; got 3"


def test_a_problem_names_what_was_expected_and_the_remedy() -> None:
    problem = Problem("a.yaml", 2, 3, "B1", "unknown kind", "one of fuse, breaker", "fues", "did you mean fuse?")
    assert problem.text() == "a.yaml:2:3: B1: unknown kind; expected one of fuse, breaker; got fues; did you mean fuse?"


def test_a_problem_without_place_in_the_text_names_the_file_alone() -> None:
    assert Problem("a.yaml", 0, 0, "", "the spec is empty").text() == "a.yaml: the spec is empty"


def test_a_value_can_not_forge_a_second_line_of_the_message() -> None:
    text = Problem("a.yaml", 1, 1, "x", "wrong", got="1\nb.yaml:1:1: \x1b[31mfine").text()
    assert text == "a.yaml:1:1: x: wrong; got 1\\nb.yaml:1:1: \\x1b[31mfine"


def test_a_message_shows_only_the_beginning_of_a_long_value() -> None:
    shown = Problem("a.yaml", 1, 1, "x", "wrong", got="z" * 10_000).text().removeprefix("a.yaml:1:1: x: wrong; got ")
    assert shown == "z" * (LONGEST_GOT_CHARACTERS - 1) + "…"


def test_a_spec_error_holds_every_problem_once_in_the_order_of_the_text() -> None:
    early, late = Problem("a.yaml", 2, 1, "", "first"), Problem("a.yaml", 10, 1, "", "second")
    error = SpecError([late, early, late])
    assert (error.problems, str(error)) == ((early, late), "a.yaml:2:1: first\na.yaml:10:1: second")


@pytest.mark.parametrize(
    ("word", "words", "meant"),
    [
        ("lenght", ["length", "wire"], "length"),
        ("Length", ["length", "wire"], "length"),
        ("max_discharge", ["max-discharge", "max-charge"], "max-discharge"),
        ("zzz", ["length", "wire"], None),
        ("length", [], None),
        ("x" * 100_000, ["length"], None),
    ],
)
def test_a_misspelt_word_is_answered_with_the_nearest_known_one(word: str, words: list[str], meant: str | None) -> None:
    assert nearest(word, words) == meant
