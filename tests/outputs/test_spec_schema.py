"""The schema takes every spec that the reader takes, and sees most slips before the reader is asked."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from rigline.checks.registry import all_checks
from rigline.cli import main
from rigline.errors import SpecError
from rigline.kinds import KINDS
from rigline.outputs.schema_forms import quantity_schemas
from rigline.outputs.spec_schema import spec_schema, spec_schema_text
from rigline.spec.document import Conditions, Defaults, Head, Place, Revision, RunSpec, Supply, Waiver
from rigline.spec.fields import keys_of
from rigline.spec.reading import SYNTAX_OF_ENDING, read_bytes, read_tree
from rigline.starting.examples import NAMES, example_text
from rigline.units import QUANTITIES, UnitProblem, parse_amount

ROOT = Path(__file__).parent.parent.parent
GOOD = sorted([*(ROOT / "specs").glob("*.yaml"), *sorted((ROOT / "tests" / "cases").glob("*.yaml"))[::4]])
BROKEN = sorted(path for path in (ROOT / "tests" / "broken").iterdir() if path.suffix in SYNTAX_OF_ENDING)
SCHEMA = spec_schema()
EVERY = 8
"""One check in so many is taken: validating takes longer than reading. All of them are valid, which was tried."""
VALIDATOR: Any = Draft202012Validator(SCHEMA)

UNSEEN = {
    "what a path's entries name, and what several runs say together": {
        "ac-and-dc-at-one-junction", "charger-written-backwards", "dc-joined-with-ac", "inverter-at-the-end",
        "inverter-without-terminal", "misspelt-terminal", "path-passes-twice", "path-to-itself",
        "pole-of-the-other-medium", "pole-within-the-path", "positive-of-ac", "one-ac-pole-named", "cores-of-dc",
        "return-to-of-many-terminals", "return-wire-of-a-bond", "run-id-of-a-component", "run-id-of-a-segment",
        "run-ids-twice", "selector-within-a-path", "selector-without-terminal", "several-between-runs",
        "terminal-in-capitals", "terminal-missing-behind-dot", "too-few-lengths", "unknown-component-in-a-path",
        "unlisted-component-in-a-path",
    },
    "what lies in other files": {
        "part-misspelt", "part-wrong-in-its-file", "parts-file-missing", "parts-file-of-a-list",
        "parts-outside-the-folder",
    },
    "the size and sense of an amount": {
        "efficiency-of-ninety", "length-with-thousands-comma", "rating-huge", "rating-zero", "voltage-12-24",
        "voltage-120-230", "wire-gauge-beyond-the-series", "capacity-without-unit",
    },
    "form that is read more strictly than shown": {
        "cores-twice", "wrong-core-names", "length-and-lengths", "lengths-not-a-list", "name-too-long",
        "run-id-unknown", "rating-negative",
    },
}  # fmt: skip
"""Why -> broken specs that a schema passes; the reader refuses them."""


def problems(data: object) -> list[str]:
    """What the schema says of a spec's data."""
    return [f"{error.json_path}: {error.message}" for error in VALIDATOR.iter_errors(data)]


def data_of(path: Path) -> object:
    """A spec's plain data; None if its text can't be read at all."""
    try:
        return read_bytes(path.read_bytes(), path.name, SYNTAX_OF_ENDING[path.suffix]).data
    except SpecError:
        return None


def test_the_schema_is_one_by_its_own_meta_schema() -> None:
    Draft202012Validator.check_schema(SCHEMA)

    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def test_every_reference_within_the_schema_leads_somewhere() -> None:
    def targets(node: object) -> set[str]:
        if isinstance(node, dict):
            own = {node["$ref"]} if isinstance(node.get("$ref"), str) else set()
            return own.union(*(targets(value) for value in node.values()))
        return set().union(*(targets(item) for item in node)) if isinstance(node, list) else set()

    def there(reference: str) -> bool:
        node: Any = SCHEMA
        for step in reference.removeprefix("#/").split("/"):
            node = node.get(step) if isinstance(node, dict) else None
        return node is not None

    assert [reference for reference in sorted(targets(SCHEMA)) if not there(reference)] == []


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.stem)
def test_every_spec_that_is_read_is_valid(path: Path) -> None:
    assert problems(data_of(path)) == []


@pytest.mark.parametrize("name", NAMES)
def test_every_example_is_valid(name: str) -> None:
    assert problems(read_tree(example_text(name, "x.yaml"), "x.yaml", "yaml").data) == []


def test_the_examples_of_checks_are_valid() -> None:
    texts = [check.example.failing_spec for check in all_checks()[::EVERY]]

    assert [text for text in texts if problems(read_tree(text, "x.yaml", "yaml").data)] == []


def test_broken_specs_are_invalid_but_for_those_that_no_schema_can_see() -> None:
    passed = {path.stem for path in BROKEN if (data := data_of(path)) is not None and not problems(data)}

    assert passed == set().union(*UNSEEN.values())


def test_every_key_has_a_description() -> None:
    bare = [
        f"{kind}.{key}"
        for kind in sorted(KINDS)
        for key, value in SCHEMA["$defs"][f"kind-{kind}"]["properties"].items()
        if key != "kind" and "$ref" not in value and "description" not in value
    ]

    assert bare == []


def test_every_key_that_the_reader_takes_is_in_the_schema() -> None:
    definitions = SCHEMA["$defs"]
    for kind, record in KINDS.items():
        assert set(definitions[f"kind-{kind}"]["properties"]) == {*keys_of(record), "kind"}
    for name, other in (("run", RunSpec), ("waiver", Waiver), ("revision", Revision), ("place", Place)):
        assert set(definitions[name]["properties"]) == set(keys_of(other))
    for name, section in (("conditions", Conditions), ("defaults", Defaults), ("supply", Supply)):
        assert set(SCHEMA["properties"][name]["properties"]) == set(keys_of(section))
    assert set(keys_of(Head)) <= set(SCHEMA["properties"])


@given(
    suffix=st.sampled_from(sorted(QUANTITIES)),
    number=st.one_of(st.integers(0, 5000).map(str), st.floats(0, 100).map(lambda x: f"{x:.2f}")),
    comma=st.booleans(),
    space=st.sampled_from(["", " ", "\u00a0"]),
    data=st.data(),
)
@settings(max_examples=100, deadline=None)
def test_an_amount_that_is_read_is_valid(
    suffix: str, number: str, comma: bool, space: str, data: st.DataObject
) -> None:
    quantity = QUANTITIES[suffix]
    unit = data.draw(st.sampled_from(["", *quantity.units, *quantity.aliases]))
    text = f"{number.replace('.', ',') if comma else number}{space}{data.draw(st.sampled_from([unit, unit.upper()]))}"
    try:
        parse_amount(text, suffix)
    except UnitProblem:
        return
    validator: Any = Draft202012Validator(quantity_schemas()[f"amount-{suffix}"])
    assert [error.message for error in validator.iter_errors(text)] == []


def test_schema_prints_the_schema_and_writes_over_nothing_unasked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("other.json").write_text("mine", encoding="utf-8")

    assert main(["schema"]) == 0
    assert json.loads(capsys.readouterr().out) == SCHEMA
    assert main(["schema", "-o", "other.json"]) == 2
    assert Path("other.json").read_text(encoding="utf-8") == "mine"
    assert main(["schema", "-o", "other.json", "--force"]) == 0
    assert Path("other.json").read_text(encoding="utf-8") == spec_schema_text()
