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

FEWEST_TERMS = 60


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
    """Sixty terms or more, none twice, and whatever one leads on to can be explained."""
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


TRADE_WORDS = """
    alternator; ampacity; arc; array; AWG; backfed; bank; bond; branch; breaker; bus; busbar; cell; chassis; class T;
    combiner; conduit; continuous; controller; cranking; disconnect; earth; electrode; feeder; flooded; fuse; galvanic;
    generator; GFCI; ignition-protected; inlet; insulation; interlock; interrupting rating; inverter;
    isolation transformer; lithium iron phosphate; loom; lug; main; MPPT; neutral; open-circuit; parallel; PE; polarity;
    precharge; regulator; residual-current; return; rod; RV; sense; series; sheath; shore; short; shunt; soft-start;
    string; stud; surge; terminal; TN-C-S; transfer; two-pole; waiver
"""
"""Words of the trade in the messages, remedies and limits of the rules that a beginner may not know."""
PLAIN = {
    "array": "solar module", "backfed": "backfeed", "breaker": "circuit breaker", "controller": "charge controller",
    "electrode": "earth electrode", "fuse": "overcurrent device", "galvanic": "galvanic corrosion", "RV": "profile",
    "generator": "generator", "inlet": "shore power", "insulation": "insulation rating", "regulator": "alternator",
    "rod": "earth electrode", "sense": "sense lead", "transfer": "transfer switch", "residual-current": "RCD",
    "open-circuit": "open-circuit voltage",
}  # fmt: skip
"""A word inside a longer term, or one that another term tells -> that term."""


def said_by_rules() -> str:
    """Everything that rules say to a user, without the places of values."""
    texts = [f"{c.title} {c.message} {c.remedy} {c.limit} {c.exceptions}" for c in all_checks()]
    return words(" ".join(texts)).casefold()


@pytest.mark.parametrize("word", [word.strip() for word in words(TRADE_WORDS).split(";")])
def test_a_word_of_the_trade_that_a_finding_uses_is_explained(word: str) -> None:
    assert word.casefold() in said_by_rules()
    assert explanation(PLAIN.get(word, word)) is not None


@pytest.mark.parametrize(
    "word", ["battery.usable", "BATTERY.Usable", "run.lengths", "place.max", "spec.profile", "defaults.slack"]
)
def test_a_key_is_explained_for_the_kind_or_part_that_was_named(word: str) -> None:
    assert f"{word.casefold()}: a key of " in words(explanation(word))


def test_every_key_of_every_kind_can_be_asked_for() -> None:
    asked = [f"{kind}.{key}" for kind in KINDS for key in keys_of(KINDS[kind])]
    assert [word for word in asked if explanation(word) is None] == []


def test_a_key_that_a_kind_has_not_is_answered_with_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", "batery.usable"]) == 2
    assert "did you mean battery.usable" in capsys.readouterr().err


def test_explain_alone_lists_everything_that_can_be_explained(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain"]) == 0
    listed = words(capsys.readouterr().out)
    named = [check.slug for check in all_checks()] + list(KINDS) + [term.term for term in terms()]
    assert [name for name in named if name not in listed] == []
    assert max(len(line) for line in listed.splitlines()) > 0


def test_a_derivation_needs_to_know_of_what(in_project: object, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", "--in", "specs/lights.yaml"]) == 2
    assert "give a segment, run or component" in capsys.readouterr().err
