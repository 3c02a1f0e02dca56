"""`rigline explain`: rules, kinds, keys and terms, in words that lead on."""

from __future__ import annotations

import pytest

from rigline.checks.check import Check
from rigline.checks.registry import all_checks
from rigline.cli import main
from rigline.kinds import KINDS
from rigline.outputs.explaining import explanation, plain_word
from rigline.outputs.glossary import terms
from rigline.spec.fields import keys_of

FEWEST_TERMS = 40


def words(text: str | None) -> str:
    """A text without its line breaks."""
    return " ".join((text or "").split())


@pytest.mark.parametrize("check", all_checks(), ids=lambda check: check.slug)
def test_a_rule_is_explained_with_limit_sources_and_examples(check: Check) -> None:
    text = words(explanation(check.slug))
    parts = [check.limit, check.exceptions, *(f"{source.text} ({source.sure})" for source in check.sources)]
    parts += [f"gallery/rules/{check.slug}.md", "Passes:", "Fails:"]
    assert [part for part in parts if words(part) not in text] == []


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_a_kind_is_explained_with_its_keys(kind: str) -> None:
    record: type = KINDS[kind]
    text = words(explanation(kind))
    assert f"{kind}: a kind of component" in text
    assert [key for key in keys_of(record) if key not in text] == []


def test_a_key_is_explained_for_each_kind_that_has_it() -> None:
    text = words(explanation("max-charge"))
    assert "max-charge: a key of a spec" in text
    assert "battery" in text


def test_a_word_with_several_meanings_gets_all_of_them() -> None:
    text = words(explanation("shunt"))
    assert ("shunt: a term" in text, "shunt: a kind of component" in text) == (True, True)


@pytest.mark.parametrize("word", ["class T", "class-t", "CLASS T", "class_t"])
def test_case_and_dashes_do_not_matter(word: str) -> None:
    assert words(explanation(word)).startswith("class T: a term")


def test_the_glossary_is_whole() -> None:
    """Forty terms or more, none twice, and whatever one leads on to can be explained."""
    names = [plain_word(name) for term in terms() for name in (term.term, *term.also)]
    assert len(terms()) >= FEWEST_TERMS
    assert sorted(names) == sorted(set(names))
    assert [term.term for term in terms() if len(term.meaning) < 40] == []


def test_every_way_on_leads_somewhere() -> None:
    ways = {word for term in terms() for word in term.see}
    assert [word for word in sorted(ways) if explanation(word) is None] == []


@pytest.mark.parametrize(("word", "near"), [("shnt", "shunt"), ("oc-batery-distance", "oc-battery-distance")])
def test_an_unknown_word_is_answered_with_the_nearest(word: str, near: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", word]) == 2
    assert near in capsys.readouterr().err


def test_a_word_like_no_other_is_refused_plainly(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", "zzzz"]) == 2
    assert "it is no rule, kind, key or term" in capsys.readouterr().err
