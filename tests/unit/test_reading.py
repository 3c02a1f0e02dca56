"""Three syntaxes give the same tree, with the place of everything, or problems that name the author's own line."""

import codecs
import hashlib
import io
import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigline.errors import CommandError, SpecError
from rigline.spec.reading import SYNTAX_OF_ENDING, TABLES, Mark, Syntax, Tree, read_bytes, read_file, read_tree
from rigline.spec.reading_nodes import Path as TreePath

SYNTAXES: tuple[Syntax, ...] = ("yaml", "json", "toml")

YAML = """\
# our own invented trailer
rigline: 1
components:
  B1: {kind: battery, name: "Bench bank", gfci: true}
runs:
- {id: W1, path: [B1, F1]}
"""
JSON = """\
{"rigline": "1",
 "components": {
   "B1": {"kind": "battery", "name": "Bench bank", "gfci": true}},
 "runs": [{"id": "W1", "path": ["B1", "F1"]}]}
"""
TOML = """\
rigline = "1"
[components.B1]
kind = "battery"
name = "Bench bank"
gfci = true
[[runs]]
id = "W1"
path = ["B1", "F1"]
"""
DATA = {
    "rigline": "1",
    "components": {"B1": {"kind": "battery", "name": "Bench bank", "gfci": True}},
    "runs": [{"id": "W1", "path": ["B1", "F1"]}],
}


def problems(text: str | bytes, syntax: Syntax = "yaml") -> list[str]:
    with pytest.raises(SpecError) as caught:
        if isinstance(text, bytes):
            read_bytes(text, "spec", syntax)
        else:
            read_tree(text, "spec", syntax)
    return [problem.text() for problem in caught.value.problems]


def every_path(value: object, path: TreePath = ()) -> set[TreePath]:
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return {path}.union(*(every_path(item, (*path, step)) for step, item in inner))


@pytest.mark.parametrize(("text", "syntax"), [(YAML, "yaml"), (JSON, "json"), (TOML, "toml")])
def test_one_system_is_the_same_in_every_syntax(text: str, syntax: Syntax) -> None:
    tree = read_tree(text, "spec", syntax)
    assert (tree.data, set(tree.marks)) == (DATA, every_path(DATA))


@pytest.mark.parametrize(
    ("text", "syntax", "value", "key"),
    [
        (YAML, "yaml", Mark(4, 29), Mark(4, 23)),
        (JSON, "json", Mark(3, 38), Mark(3, 30)),
        (TOML, "toml", Mark(4, 1), Mark(4, 1)),
    ],
)
def test_a_value_and_its_key_are_found_at_line_and_column(text: str, syntax: Syntax, value: Mark, key: Mark) -> None:
    tree = read_tree(text, "spec", syntax)
    path = ("components", "B1", "name")
    assert (tree.marks[path], tree.key_marks[path]) == (value, key)


@pytest.mark.parametrize(
    ("text", "syntax", "mark"),
    [(YAML, "yaml", Mark(6, 3)), (JSON, "json", Mark(4, 11)), (TOML, "toml", Mark(6, 3))],
)
def test_what_a_spec_lacks_is_reported_at_what_should_hold_it(text: str, syntax: Syntax, mark: Mark) -> None:
    assert read_tree(text, "spec", syntax).mark_of(("runs", 0, "length")) == mark


def test_a_second_table_of_a_toml_list_is_found_at_its_own_header() -> None:
    tree = read_tree('[[runs]]\nid = "W1"\n[[runs]]\nid = "W2"\n[runs.stud]\na = 1\n', "spec", "toml")
    assert [tree.mark_of(("runs", 1, *path)) for path in ((), ("id",), ("stud", "a"))] == [
        Mark(3, 3),
        Mark(4, 1),
        Mark(6, 1),
    ]


def test_a_toml_date_is_text() -> None:
    assert read_tree("date = 2026-03-01\n", "spec", "toml").data == {"date": "2026-03-01"}


def test_numbers_of_json_arrive_as_numbers() -> None:
    assert read_tree('{"a": 1, "b": 2.5}', "spec", "json").data == {"a": 1, "b": 2.5}


@pytest.mark.parametrize(
    "data",
    [
        codecs.BOM_UTF8 + "a: é\n".encode(),
        codecs.BOM_UTF16_LE + "a: é\n".encode("utf-16-le"),
        codecs.BOM_UTF16_BE + "a: é\n".encode("utf-16-be"),
        "a: é\n".encode(),
        "a: é\r".encode(),
    ],
)
def test_a_file_of_any_editor_is_read_and_known_by_its_bytes(data: bytes) -> None:
    tree = read_bytes(data, "spec", "yaml")
    assert (tree.data, tree.digest) == ({"a": "é"}, hashlib.sha256(data).hexdigest())


def test_a_checkout_that_ends_lines_in_two_characters_is_the_same_spec() -> None:
    unix, windows = (read_bytes(f"a: é{end}".encode(), "spec", "yaml") for end in ("\n", "\r\n"))
    assert (windows.data, windows.digest) == (unix.data, unix.digest)


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"a: 1\nb: caf\xe9\n", "spec:2:7: byte 0xE9 isn't UTF-8 text; save the file as UTF-8"),
        (b"\xff\xfea", "spec:1:1: byte 0x61 isn't UTF-16 text; save the file as UTF-8"),
    ],
)
def test_bytes_that_are_not_text_are_named_with_their_place(data: bytes, message: str) -> None:
    assert problems(data) == [message]


def test_every_control_character_is_named_with_its_line() -> None:
    assert problems("a: \x07\n\nb: \x00\n") == [
        "spec:1:4: the control character U+0007 stands in the text; save it as plain UTF-8 text",
        "spec:3:4: the control character U+0000 stands in the text; save it as plain UTF-8 text",
    ]


@pytest.mark.parametrize(
    ("text", "syntax"),
    [('a: "\\x07"', "yaml"), ('{"a":"\\u0007"}', "json"), ('a="\\u0007"', "toml"), ('{"a":"\\ud800"}', "json")],
)
def test_a_control_character_can_not_come_in_by_an_escape(text: str, syntax: Syntax) -> None:
    assert [message.endswith("can't stand in a text; delete it") for message in problems(text, syntax)] == [True]


@pytest.mark.parametrize("syntax", SYNTAXES)
def test_an_empty_spec_is_answered_with_a_way_to_start(syntax: Syntax) -> None:
    expected = ["spec:1:1: the spec is empty; start from one that works: rigline new FILE"]
    assert problems(" \n", syntax) == expected


@pytest.mark.parametrize(
    ("text", "syntax"), [("- a\n", "yaml"), ("hello\n", "yaml"), ("[1]", "json"), ('"a"', "json"), ("7", "json")]
)
def test_a_spec_that_is_not_a_list_of_names_is_refused(text: str, syntax: Syntax) -> None:
    assert problems(text, syntax) == [
        "spec:1:1: a spec is a list of names with values, as in `components:` and `runs:`; "
        "see a complete one: rigline new FILE"
    ]


def test_a_huge_file_is_refused_before_it_is_read() -> None:
    expected = ["spec:1:1: a spec has at most 2 MB; check that this is the right file"]
    assert problems(b"#" * 2_000_001) == expected


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('{"a": 1,\n "a": 2}', "spec:2:2: a is given twice, first on line 1; keep one of the two"),
        ('{"a": 1,\n}', "spec:2:1: this isn't JSON: expecting property name enclosed in double quotes; "
                        "look for a missing quote or comma"),
        ('{"a":\n NaN}', "spec:2:2: this isn't a number that can be read; write it in plain digits"),
        ('{"a": 1e400}', "spec:1:7: a: this isn't a number that can be read; write it in plain digits"),
        ('{"a": ' + "1" * 5000 + "}", "spec:1:7: this isn't a number that can be read; write it in plain digits"),
        ("[" * 100_000, "spec:1:52: values are nested more than 50 levels deep"),
    ],
)  # fmt: skip
def test_a_json_mistake_is_named_with_its_place(text: str, message: str) -> None:
    assert problems(text, "json") == [message]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("a = 1\nb = ", "spec:2:1: this isn't TOML: invalid value; look for a missing quote or ="),
        ("a = 1\na = 2\n", "spec:2:6: this isn't TOML: cannot overwrite a value; look for a missing quote or ="),
        ("a = " + "[" * 3000, "spec:1:1: this isn't TOML that can be read; write it less deeply nested"),
        ("a = nan\n", "spec:1:1: a: this isn't a number that can be read; write it in plain digits"),
    ],
)
def test_a_toml_mistake_is_named_with_its_place(text: str, message: str) -> None:
    assert problems(text, "toml") == [message]


def test_a_file_is_read_by_its_ending(tmp_path: Path) -> None:
    texts = {"a.yaml": YAML, "b.yml": YAML, "c.JSON": JSON, "d.toml": TOML}
    for name, text in texts.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    assert [read_file(tmp_path / name).data for name in texts] == [DATA] * len(texts)


@pytest.mark.parametrize("name", ["missing.yaml", "folder.yaml", "spec.txt", "nul\0.yaml"])
def test_a_file_that_can_not_be_read_is_a_wrong_command(tmp_path: Path, name: str) -> None:
    (tmp_path / "folder.yaml").mkdir()
    (tmp_path / "spec.txt").write_text(YAML, encoding="utf-8")
    with pytest.raises(CommandError, match=r"can't be read|ends in"):
        read_file(tmp_path / name)


def outcome(text: str | bytes, syntax: Syntax) -> Tree | SpecError:
    try:
        return read_bytes(text, "spec", syntax) if isinstance(text, bytes) else read_tree(text, "spec", syntax)
    except SpecError as error:
        return error


def assert_sound(result: Tree | SpecError) -> None:
    """A tree marks all it holds; an error has a problem, and all its text can be printed."""
    if isinstance(result, SpecError):
        assert "".join(problem.text() for problem in result.problems).isprintable()
        assert len(result.problems) > 0
    else:
        assert set(result.marks) == every_path(result.data)
        io.BytesIO(str(result.data).encode("utf-8"))


@given(text=st.text(max_size=80), syntax=st.sampled_from(SYNTAXES))
def test_any_text_is_a_tree_or_a_spec_error(text: str, syntax: Syntax) -> None:
    assert_sound(outcome(text, syntax))


@given(data=st.binary(max_size=80), syntax=st.sampled_from(SYNTAXES))
def test_any_bytes_are_a_tree_or_a_spec_error(data: bytes, syntax: Syntax) -> None:
    assert_sound(outcome(data, syntax))


@given(text=st.text(alphabet="ab01 :-\n\t{}[],&*!|>'\"%@#\\=.?~<_xuU", max_size=40), syntax=st.sampled_from(SYNTAXES))
def test_any_punctuation_is_a_tree_or_a_spec_error(text: str, syntax: Syntax) -> None:
    assert_sound(outcome(text, syntax))


@given(position=st.integers(0, 130), text=st.text(alphabet=" \n\t:-{}[],'\"*&!%a1", min_size=1, max_size=3),
       which=st.sampled_from([(YAML, "yaml"), (JSON, "json"), (TOML, "toml")]))  # fmt: skip
def test_a_slip_in_a_good_spec_is_a_tree_or_a_spec_error(position: int, text: str, which: tuple[str, Syntax]) -> None:
    good, syntax = which
    assert_sound(outcome(good[:position] + text + good[position:], syntax))


PLAIN = st.text(alphabet=st.characters(min_codepoint=32, max_codepoint=0x2FF, exclude_categories=["Cc"]), max_size=10)
VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**9), 10**9) | PLAIN,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(PLAIN, inner, max_size=4),
    max_leaves=12,
)


@given(data=st.dictionaries(PLAIN, VALUES, min_size=1, max_size=4), indent=st.none() | st.integers(0, 3))
def test_json_written_by_the_standard_library_is_read_back_with_a_mark_for_each_value(
    data: dict[str, object], indent: int | None
) -> None:
    tree = read_tree(json.dumps(data, indent=indent), "spec", "json")
    assert (tree.data, set(tree.marks)) == (data, every_path(data))


def test_every_syntax_has_an_ending() -> None:
    assert set(SYNTAX_OF_ENDING.values()) == {*SYNTAXES, *TABLES}
