"""YAML is read as its authors mean it; what could be read in two ways, or explode, is refused in plain words."""

import io

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ruamel.yaml import YAML
from ruamel.yaml.error import YAMLError

from rigline.errors import SpecError
from rigline.spec.reading import Mark, read_tree


def problems(text: str) -> list[str]:
    with pytest.raises(SpecError) as caught:
        read_tree(text, "spec", "yaml")
    return [problem.text() for problem in caught.value.problems]


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("010", "010"), ("0x1F", "0x1F"), ("1e3", "1e3"), ("2/0", "2/0"), ("12:30", "12:30"), ("1_000", "1_000"),
        ("yes", "yes"), ("no", "no"), ("on", "on"), ("off", "off"), ("2026-03-01", "2026-03-01"), (".inf", ".inf"),
        ("true", True), ("False", False), ("~", None), ("null", None), ("", None), ("'true'", "true"), ('"~"', "~"),
        ("1/0 AWG", "1/0 AWG"), ("35 mm²", "35 mm²"), ("http://example.org", "http://example.org"),
        ("|\n  two\n  lines", "two\nlines\n"), ("'it''s'", "it's"), ("Bench  bank # spare", "Bench  bank"),
    ],
)  # fmt: skip
def test_a_scalar_stays_as_it_was_written(written: str, read: object) -> None:
    assert read_tree(f"a: {written}\n", "spec", "yaml").data == {"a": read}


@pytest.mark.parametrize("key", ["on", "true", "null", "010", "~", "1", "INV1.dc", "B1-"])
def test_a_key_stays_text(key: str) -> None:
    assert read_tree(f"{key}: x\n", "spec", "yaml").data == {key: "x"}


def test_every_repeated_key_is_named_with_both_lines() -> None:
    assert problems("B1: 1\nF1: {a: 1, a: 2}\nB1: 2\n") == [
        "spec:2:12: F1: a is given twice, first on line 2; keep one of the two",
        "spec:3:1: B1 is given twice, first on line 1; keep one of the two",
    ]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("a:\n\tb: 1\n", "spec:2:1: a tab stands where spaces are needed; replace the tab by spaces"),
        ("a: b: c\n", "spec:1:5: a colon can't stand here; check the indentation, or put a text that holds a colon "
                      "in quotes"),
        ("a:\n  b: 1\n c: 2\n", "spec:3:2: this line doesn't line up with the lines above it; "
                                "give it their indentation"),
        ("a: 'x\nb: 1\n", "spec:1:4: a quote is opened here and not closed; close the quote"),
        ("a: {b: 1\nc: 2\n", "spec:1:4: a brace { is opened here and not closed, or a comma is missing behind it; "
                             "look for the missing comma or }"),
        ("a: [1, 2\nc: 2\n", "spec:1:4: a bracket [ is opened here and not closed, or a comma is missing behind it; "
                             "look for the missing comma or ]"),
        ("a: 1\nfoo\nb: 2\n", "spec:2:1: a key stands here without a colon; write `key: value`"),
        ("a: @x\n", "spec:1:4: a text can't begin with this character; put the text in quotes"),
        ("a: *x\n", "spec:1:4: there is no &x above; put a text that begins with * in quotes"),
        ("a: &x [*x]\n", "spec:1:8: *x stands within what it refers to; write the values out"),
        ("<<: {a: 1}\n", "spec:1:1: merging with << isn't used in a spec; write the fields out, or use a parts "
                         "library"),
        ("a: !thing 1\n", "spec:1:4: tags such as !name aren't used in a spec; put a text that begins with ! "
                          "in quotes"),
        ("a: !!python/object:os.system x\n", "spec:1:4: tags such as !name aren't used in a spec; put a text that "
                                             "begins with ! in quotes"),
        ("a: 1\n---\nb: 2\n", "spec:2:1: a second document begins here; keep one system in one file, without ---"),
        ("%YAML 1.1\n---\na: 1\n", "spec:1:1: a line can't begin with %; delete the line, or put a text that begins "
                                   "with % in quotes"),
        ("{a: 1}: 2\n", "spec:1:1: a key is a plain word; write `key: value`, without brackets around the key"),
        (": x\n", "spec:1:1: a key is missing before the colon; write `key: value`"),
        ("a: {rating: ?}\n", "spec:1:13: a text can't begin with this character; put the text in quotes"),
        ("a: - b\n", "spec:1:4: a list can't begin here; put the - on a line of its own"),
        ('a: "\\q"\n', "spec:1:6: a backslash starts a code in double quotes; use single quotes instead"),
        ('a: "\\UFFFFFFFF"\n', "spec:1:7: a code behind a backslash isn't a character; use single quotes instead"),
        ("a: " + "[" * 60 + "]" * 60, "spec:1:54: values are nested more than 50 levels deep"),
        ("# only a comment\n", "spec:1:1: the spec is empty; start from one that works: rigline new FILE"),
    ],
)  # fmt: skip
def test_a_famous_mistake_is_answered_in_plain_words_at_its_place(text: str, message: str) -> None:
    assert problems(text) == [message]


def test_aliases_that_stand_for_millions_of_values_are_refused() -> None:
    lines = ["a: &a [x,x,x,x,x,x,x,x,x]"]
    for before, name in zip("abcdefg", "bcdefgh", strict=True):
        lines.append(f"{name}: &{name} [{','.join([f'*{before}'] * 9)}]")
    assert [text.split(": ", 1)[1] for text in problems("\n".join(lines))] == [
        "a spec has at most 20000 values (an alias counts as often as it is used)"
    ]


def test_a_text_of_endless_brackets_is_refused() -> None:
    assert [text.endswith("more than 50 levels deep") for text in problems("[" * 100_000)] == [True]


def test_a_text_of_endless_values_is_refused() -> None:
    assert [text.endswith("at most 20000 values") for text in problems("a: [" + "x," * 90_000 + "]")] == [True]


def test_an_alias_is_a_copy_with_the_marks_of_what_it_refers_to() -> None:
    tree = read_tree("a: &x {b: 1}\nc: *x\n", "spec", "yaml")
    assert (tree.data, tree.marks[("c", "b")]) == ({"a": {"b": "1"}, "c": {"b": "1"}}, Mark(1, 11))


def test_comments_and_blank_lines_leave_the_marks_right() -> None:
    tree = read_tree("# é\n\na:   # x\n  - b\n\n  - {c: d}\n", "spec", "yaml")
    assert (tree.marks[("a", 0)], tree.marks[("a", 1, "c")]) == (Mark(4, 5), Mark(6, 9))


WORD = st.text(alphabet="abcXYZ0189 ./%-+:#²°Ωé'\"{}[],!&*|>?@\n\\~", max_size=8).filter(
    # The general library leaves ? and : at the start of a text in brackets unquoted and then can't read it itself.
    lambda text: not text.startswith(("?", ":"))
)
KEY = WORD.filter(bool)
VALUES = st.recursive(
    WORD, lambda inner: st.lists(inner, max_size=4) | st.dictionaries(KEY, inner, max_size=4), max_leaves=5
)


@given(data=st.dictionaries(KEY, VALUES, min_size=1, max_size=4), flow=st.booleans())
def test_yaml_written_by_a_general_library_is_read_as_that_library_reads_it(
    data: dict[str, object], flow: bool
) -> None:
    writer = YAML(typ="safe", pure=True)
    writer.default_flow_style = flow
    stream = io.StringIO()
    writer.dump(data, stream)
    assert read_tree(stream.getvalue(), "spec", "yaml").data == data


PLAIN_SOURCE = st.text(alphabet="ab1 ./%-:#{}[],?\n", max_size=30)


@given(source=PLAIN_SOURCE)
def test_the_quick_scanner_reads_plain_text_as_the_general_one_does(source: str) -> None:
    text = "k: {a: 1, b b: " + source + "}\n"
    try:
        data = read_tree(text, "spec", "yaml").data
        general = YAML(typ="base", pure=True).load(text)
    except (SpecError, YAMLError):
        # The general one refuses a lone colon as a value, depending on how far it has read ahead.
        return
    assert _with_empty_text(data) == general


def _with_empty_text(value: object) -> object:
    """The general library keeps an empty value as empty text when it makes nothing of scalars."""
    if isinstance(value, dict):
        return {key: _with_empty_text(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_with_empty_text(item) for item in value]
    return "" if value is None else value
