"""A spec's text becomes a document with what the author said, and nothing but a spec error comes of a wrong one."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from model_helpers import document, problems, system

from rigline.errors import SpecError
from rigline.kinds import KINDS
from rigline.model.build import build_system
from rigline.model.system import System
from rigline.spec.document import RunSpec
from rigline.spec.fields import keys_of
from rigline.spec.load import load_document
from rigline.spec.reading import Syntax, read_bytes, read_tree
from rigline.spec.schema import component_adapter, record_adapter, record_validator

SPECS = sorted((Path(__file__).parent.parent.parent / "specs").glob("*.yaml"))
GOOD = """\
rigline: 1
title: Invented trailer
profile: us-rv
conditions: {ambient: 95 °F, coldest: -10 °C}
defaults: {insulation: 105 °C, slack: 10 %}
places: {locker: {max: 40 °C, wet: true}}
components:
  B1: {kind: battery, voltage: 12.8 V, capacity: 1.28 kWh, bms: {max-discharge: 100 A}, place: locker}
  F1: {kind: fuse, style: Class T, rating: 125 A, stud: M8}
  SEL1: {kind: selector}
  BUS1: {kind: busbar, rating: unknown}
  INV1: {kind: inverter, output: 120/240 V, efficiency: 90 %, neutral-bond: fixed}
  ACP1: {kind: ac-panel}
  RC1: {kind: receptacle, gfci: true, use: 90 min/day}
  GND: {kind: chassis}
runs:
  - {id: W1, path: [B1, F1, SEL1.1], lengths: [150 mm, 1 ft 6 in], wire: 2/0}
  - {id: W2, path: [SEL1.common, BUS1], length: unknown, wire: unknown}
  - {path: [BUS1, INV1.dc], length: 3 m, wire: 35 mm2, drop-limit: 3 %}
  - {path: [INV1.ac-out, ACP1], length: 1 m, stage: 2}
  - {path: [ACP1, RC1], length: 2 m, wire: 12 AWG, cores: [L1, N, PE]}
  - {path: [BUS1-, GND], length: 0.5 m, carries: bond}
waivers:
  - {rule: rt-ocpd-distance, at: F1, reason: sealed battery post}
"""


def test_amounts_arrive_in_base_units_whatever_unit_was_written() -> None:
    found = document(GOOD)
    battery, receptacle = component(GOOD, "B1"), component(GOOD, "RC1")
    assert (battery.capacity_wh, battery.capacity_ah, receptacle.use_h_per_day) == (1280.0, None, 1.5)
    assert (found.conditions.ambient_c, found.defaults.slack_frac) == (35.0, 0.1)
    assert found.runs[0].lengths_m == (0.15, 0.4572)


def test_a_choice_is_taken_with_any_capitals_and_spaces() -> None:
    assert component(GOOD, "F1").style == "class-t"


def test_limits_of_a_battery_s_management_are_a_record_of_their_own() -> None:
    assert component(GOOD, "B1").bms.max_discharge_a == 100.0


def test_a_text_alone_is_a_list_of_one() -> None:
    assert component(GOOD, "F1").stud == ("M8",)


def test_what_nobody_knows_is_told_from_what_was_left_out() -> None:
    bus, selector, runs = component(GOOD, "BUS1"), component(GOOD, "SEL1"), document(GOOD).runs
    assert (bus.rating_a, bus.unknown) == (None, frozenset({"rating"}))
    assert (selector.rating_a, selector.unknown) == (None, frozenset())
    assert (runs[1].wire, runs[1].length_m, runs[1].unknown) == (None, None, frozenset({"wire", "length"}))


def test_runs_without_an_id_get_one_that_is_free() -> None:
    assert [(run.id, run.named) for run in system(GOOD).runs] == [
        ("W1", True), ("W2", True), ("W3", False), ("W4", False), ("W5", False), ("W6", False)
    ]  # fmt: skip


def test_a_new_id_is_not_that_of_a_component() -> None:
    text = GOOD.replace("GND", "W3")
    assert [run.id for run in system(text).runs] == ["W1", "W2", "W4", "W5", "W6", "W7"]


def test_components_and_runs_are_found_at_their_own_lines() -> None:
    built = system(GOOD)
    assert (built.mark("F1"), built.mark("F1.rating"), built.mark("W2")) == ((9, 3), (9, 44), (18, 5))


def component(text: str, id: str, folder: Path | None = None) -> Any:
    """One component, of whatever kind."""
    return document(text, folder).components[id]


def joined(built: System) -> set[tuple[str, str, str]]:
    """Every conductor's ends and pole, whatever the runs are called."""
    return {(min(str(c.a), str(c.b)), max(str(c.a), str(c.b)), c.pole) for s in built.segments for c in s.conductors}


@given(order=st.permutations(range(6)), keys=st.permutations(range(8)))
@settings(max_examples=40, deadline=None)
def test_the_order_of_components_and_of_runs_does_not_matter(order: list[int], keys: list[int]) -> None:
    lines = GOOD.splitlines(keepends=True)
    components = [lines[7 + index] for index in keys]
    runs = [lines[16 + index] for index in order]
    text = "".join([*lines[:7], *components, lines[15], *runs, *lines[22:]])
    assert joined(system(text)) == joined(system(GOOD))


def test_a_spec_in_json_and_toml_is_the_same_system() -> None:
    data = read_tree(GOOD, "spec.yaml", "yaml").data
    as_json = read_tree(json.dumps(data), "spec.json", "json")
    assert joined(build_system(load_document(as_json), as_json)) == joined(system(GOOD))


@pytest.mark.parametrize("path", SPECS, ids=lambda path: path.name)
def test_every_demo_spec_is_read(path: Path) -> None:
    tree = read_bytes(path.read_bytes(), path.name, "yaml")
    runs = tree.data["runs"]
    assert isinstance(runs, list)
    assert len(build_system(load_document(tree, path.parent), tree).runs) == len(runs)


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_every_key_of_every_kind_can_be_left_open(kind: str) -> None:
    record: Any = KINDS[kind]
    keys = [key for key in keys_of(record) if key not in ("part", "stage")]
    fields = ", ".join([f"kind: {kind}", *(f"{key}: unknown" for key in keys)])
    found = component(f"rigline: 1\nprofile: us-rv\ncomponents:\n  X1: {{{fields}}}\n", "X1")
    assert (found.kind, found.unknown) == (kind, frozenset(keys))


def test_pydantic_s_adapters_read_as_the_quick_validators_do() -> None:
    fields = {"rating": "30 A", "stud": ["M8"], "dc-rated": True}
    fuse: Any = KINDS["fuse"]
    quick = record_validator(fuse).validate_python(fields)
    assert record_adapter(fuse).validate_python(fields) == quick
    assert component_adapter(frozenset({"fuse", "breaker"})).validate_python({"kind": "fuse", **fields}) == {
        "kind": "fuse", **quick
    }  # fmt: skip


PARTS = "parts:\n  LAMP: {kind: dc-load, power: 12 W, name: Lamp, count: 2}\n"
WITH_PARTS = GOOD.replace("components:", "parts: [mine.yaml]\ncomponents:\n  LT1: {part: LAMP, count: 3}")


def test_a_part_gives_its_fields_and_the_component_s_own_count_first(tmp_path: Path) -> None:
    (tmp_path / "mine.yaml").write_text(PARTS, encoding="utf-8")
    lamp = component(WITH_PARTS, "LT1", tmp_path)
    assert (lamp.kind, lamp.power_w, lamp.name, lamp.count, lamp.part) == ("dc-load", 12.0, "Lamp", 3, "LAMP")


def test_a_parts_file_may_lie_deeper_in_the_folder(tmp_path: Path) -> None:
    (tmp_path / "lib").mkdir()
    (tmp_path / "lib" / "mine.yaml").write_text(PARTS, encoding="utf-8")
    text = WITH_PARTS.replace("[mine.yaml]", "[lib/../lib/mine.yaml]")
    assert component(text, "LT1", tmp_path).kind == "dc-load"


OUTSIDE = "a parts file must lie in the spec's own folder or below it"


def refused(name: str, folder: Path | None) -> list[str]:
    found = problems(WITH_PARTS.replace("[mine.yaml]", f"[{json.dumps(name)}]"), folder)
    return [text.split(": ")[2].split(";")[0] for text in found if ": parts: " in text]


def test_no_file_outside_the_folder_is_read_by_dots_links_or_whole_paths(tmp_path: Path) -> None:
    inside = tmp_path / "inside"
    inside.mkdir()
    (tmp_path / "mine.yaml").write_text(PARTS, encoding="utf-8")
    (inside / "link.yaml").symlink_to(tmp_path / "mine.yaml")
    (inside / "up").symlink_to(tmp_path)
    (inside / "loop.yaml").symlink_to(inside / "loop.yaml")
    names = ["../mine.yaml", "link.yaml", "up/mine.yaml", str(tmp_path / "mine.yaml"), "loop.yaml", ".", "~/mine.yaml"]
    assert [refused(name, inside) for name in names[:6]] == [[OUTSIDE]] * 6
    assert refused(names[6], inside) == ["there is no such file, or it can't be read"]


def test_a_spec_without_a_folder_has_no_parts_files() -> None:
    assert refused("mine.yaml", None) == [OUTSIDE]


@pytest.mark.parametrize("name", ["x" * 5000 + ".yaml", "mine.txt", "folder.yaml", "missing.yaml"])
def test_a_parts_file_that_can_not_be_read_is_one_problem(name: str, tmp_path: Path) -> None:
    (tmp_path / "folder.yaml").mkdir()
    assert len(refused(name, tmp_path)) == 1


VALUES = st.sampled_from(
    ["", "unknown", "null", "true", "yes", "[]", "{}", "[[]]", "{a: b}", "-1", "0", "0 V", "1e400", "nan", "3", "3 m",
     "120/240 V", "4 mm", "[B1, F1]", "[B1]", "B1", "later", "9", "'{x}'", "L1", "<b>", "-5 A", "100 %", "\"\\u2028\"",
     "[unknown]", "[null]", "[1, 2, 3]", "010", "²", "B1-", "INV1.case", "INV1.ac-in", "1 " * 50]
)  # fmt: skip
LINES = GOOD.splitlines()


def outcome(text: str, syntax: Syntax = "yaml") -> bool:
    """Whether a text is a system; anything but a system or a SpecError with problems is a failure of ours."""
    try:
        tree = read_tree(text, "spec.yaml", syntax)
        built = build_system(load_document(tree), tree)
    except SpecError as error:
        assert error.problems
        assert str(error).replace("\n", "").isprintable()
        return False
    runs = tree.data.get("runs") or []
    assert isinstance(runs, list)
    assert len(built.runs) == len(runs)
    return True


PLACES = st.integers(0, len(LINES) - 1)


@given(line=PLACES, other=PLACES, what=st.sampled_from(["drop", "copy", "swap"]))
@settings(max_examples=150, deadline=None)
def test_a_line_dropped_copied_or_moved_is_a_system_or_a_spec_error(line: int, other: int, what: str) -> None:
    lines = list(LINES)
    if what == "drop":
        del lines[line]
    elif what == "copy":
        lines.insert(other, lines[line])
    else:
        lines[line], lines[other] = lines[other], lines[line]
    outcome("\n".join(lines))


@given(position=st.integers(0, len(GOOD)), value=VALUES)
@settings(max_examples=150, deadline=None)
def test_a_value_put_anywhere_is_a_system_or_a_spec_error(position: int, value: str) -> None:
    outcome(GOOD[:position] + value + GOOD[position:])


RECORDS: list[Any] = [*KINDS.values(), RunSpec]
KEYS = st.sampled_from(sorted({key for record in RECORDS for key in keys_of(record)}))
IDS = st.sampled_from(["F1", "B1", "BUS1", "RC1"])


@given(key=KEYS, value=VALUES, kind=st.sampled_from(sorted(KINDS)), id=IDS)
@settings(max_examples=300, deadline=None)
def test_any_key_and_value_on_any_kind_is_a_system_or_a_spec_error(key: str, value: str, kind: str, id: str) -> None:
    old = next(line for line in LINES if line.startswith(f"  {id}:"))
    outcome(GOOD.replace(old, f"  {id}: {{kind: {kind}, {key}: {value}}}"))


RUN_KEYS = st.sampled_from(sorted(keys_of(RunSpec)))
ENTRIES = st.sampled_from(
    ["B1", "B1-", "F1", "BUS1", "BUS1+", "INV1", "INV1.dc", "INV1.ac-out", "ACP1", "ACP1.N", "RC1", "GND", "SEL1",
     "SEL1.2", "SEL1.common", "INV1.case", "nowhere", "B1.", ".", "+", "RC1.PE"]
)  # fmt: skip


@given(path=st.lists(ENTRIES, max_size=4), key=RUN_KEYS, value=VALUES)
@settings(max_examples=300, deadline=None)
def test_any_run_is_a_system_or_a_spec_error(path: list[str], key: str, value: str) -> None:
    run = f"  - {{path: [{', '.join(path)}], {key}: {value}}}\n"
    outcome(GOOD.replace("waivers:", run + "waivers:"))


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(max_size=6),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(["kind", "path", "id", "a"]), inner, max_size=3)
    ),
    max_leaves=6,
)


SECTIONS = st.sampled_from(
    ["rigline", "title", "profile", "conditions", "defaults", "supply", "places", "components", "runs", "waivers",
     "parts", "zzz"]
)  # fmt: skip


@given(section=SECTIONS, value=JSON)
@settings(max_examples=200, deadline=None)
def test_anything_in_any_section_is_a_system_or_a_spec_error(section: str, value: object) -> None:
    outcome(json.dumps({**read_tree(GOOD, "spec", "yaml").data, section: value}), "json")


def test_the_good_spec_is_a_system() -> None:
    assert outcome(GOOD)
