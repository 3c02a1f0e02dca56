"""What a word means: a rule, a kind, a key of a spec, or a term. One word may be several of these; all are told."""

from __future__ import annotations

import difflib
import re
import textwrap
from collections.abc import Iterator
from functools import cache

from rigline.checks.check import Check
from rigline.checks.registry import all_checks, why_of
from rigline.kinds import KINDS, Component
from rigline.outputs.glossary import Term, terms
from rigline.outputs.reference_docs import SECTIONS, first_line, form_of, meaning_of
from rigline.spec.fields import FieldForm, keys_of
from rigline.standards.profiles import PROFILE_NAMES

WIDTH = 80
MOST_NEAR = 5
"""Words offered for one that is not known."""
EVERY_KIND: type = Component
RULE_PAGES = "gallery/rules"
"""Folder of the source tree with a page and two drawings for each rule."""


def explanation(word: str) -> str | None:
    """Everything that a word stands for; None if it stands for nothing."""
    wanted = plain_word(word)
    parts = [_rule(check) for check in all_checks() if plain_word(check.slug) == wanted]
    parts += [_term(term) for term in terms() if wanted in {plain_word(name) for name in (term.term, *term.also)}]
    parts += [_kind(kind) for kind in sorted(KINDS) if plain_word(kind) == wanted]
    parts += [_key(key) for key in sorted(_keys()) if plain_word(key) == wanted]
    parts += [_key_of(place, key) for place, key in _places_and_keys() if plain_word(f"{place}.{key}") == wanted]
    return "\n\n".join("\n".join(part) for part in parts) + "\n" if parts else None


def contents() -> str:
    """Everything that can be explained, sorted into rules, kinds, keys and terms."""
    rules: dict[str, list[str]] = {}
    for check in all_checks():
        rules.setdefault(check.family, []).append(check.slug)
    lines = ["Give one of these words, or KIND.KEY, as in rigline explain battery.usable", ""]
    lines += ["RULES", *(_labelled(family, ", ".join(sorted(slugs))) for family, slugs in sorted(rules.items())), ""]
    lines += ["KINDS OF COMPONENTS", _filled(", ".join(sorted(KINDS))), ""]
    lines += ["KEYS OF A SPEC", _filled(", ".join(sorted(_keys()))), ""]
    lines += ["TERMS", _filled(", ".join(sorted((term.term for term in terms()), key=str.casefold)))]
    return "\n".join(lines) + "\n"


def nearest_words(word: str) -> list[str]:
    """Words that can be explained and look like one that can't."""
    wanted, known = plain_word(word), _known()
    close = difflib.get_close_matches(wanted[:WIDTH], known, n=MOST_NEAR, cutoff=0.6)
    holding = [name for name in sorted(known) if wanted and wanted in name and name not in close]
    return [known[name] for name in [*close, *holding][:MOST_NEAR]]


def plain_word(word: str) -> str:
    """A word without regard to case, dashes and spaces: class-t is Class T."""
    return re.sub(r"[\s_-]+", " ", word).strip().casefold()


@cache
def _known() -> dict[str, str]:
    words = [check.slug for check in all_checks()] + sorted(KINDS) + sorted(_keys())
    words += [name for term in terms() for name in (term.term, *term.also)]
    words += [f"{place}.{key}" for place, key in _places_and_keys()]
    return {plain_word(word): word for word in words}


@cache
def _keys() -> dict[str, list[tuple[str, type, tuple[FieldForm, ...]]]]:
    """Every key of a spec, with where it stands, in which record, and what it takes."""
    found: dict[str, list[tuple[str, type, tuple[FieldForm, ...]]]] = {}
    common = set(keys_of(EVERY_KIND))
    for title, record in SECTIONS:
        for key, forms in keys_of(record).items():
            found.setdefault(key, []).append((title, record, forms))
    for kind in sorted(KINDS):
        own: type = KINDS[kind]
        for key, forms in keys_of(own).items():
            if key not in common:
                found.setdefault(key, []).append((kind, own, forms))
    return found


@cache
def _places_and_keys() -> tuple[tuple[str, str], ...]:
    """Every key with a place where it may stand: a kind, or a part of a spec (`run`, `place`, `defaults`)."""
    found = [(_part(title), key) for title, record in SECTIONS for key in keys_of(record)]
    return (*found, *((kind, key) for kind in sorted(KINDS) for key in keys_of(KINDS[kind])))


def _part(title: str) -> str:
    """A section's title as a word: `runs, each` are `run`, what stands at the top is `spec`."""
    name = title.partition(",")[0]
    return "spec" if name == "At the top" else name.removesuffix("s") if ", each" in title else name


def _key_of(place: str, key: str) -> Iterator[str]:
    records: dict[str, type] = {_part(title): record for title, record in SECTIONS} | KINDS
    forms = keys_of(records[place])[key]
    meaning = meaning_of(records[place], forms[0].field)
    yield f"{place}.{key}: a key of {f'kind {place}' if place in KINDS else place}"
    yield _filled(f"{meaning} ({form_of(forms)})" if meaning else form_of(forms))


def _rule(check: Check) -> Iterator[str]:
    yield f"{check.slug}: a rule on {check.family}, {check.severity}"
    yield _filled(f"{check.title[0].upper()}{check.title[1:]}.")
    yield ""
    for paragraph in why_of(check).split("\n\n"):
        yield _filled(" ".join(paragraph.split()))
    yield ""
    yield _labelled("Limit", check.limit)
    yield _labelled("Exceptions", check.exceptions)
    yield _labelled("Profiles", ", ".join(check.profiles) if check.profiles else f"all: {', '.join(PROFILE_NAMES)}")
    for source in check.sources:
        yield _labelled("Source", f"{source.text} ({source.sure})")
    yield ""
    passing, failing = example_lines(check)
    yield _labelled("Passes", passing)
    yield _labelled("Fails", failing)
    yield _labelled("Drawings", f"{RULE_PAGES}/{check.slug}.md in the source tree")


def example_lines(check: Check) -> tuple[str, str]:
    """The one line in which a rule's two examples differ: the passing one, and the failing one."""
    example = check.example
    pairs = zip(example.spec.splitlines(), example.failing_spec.splitlines(), strict=False)
    return next(((good.strip(), bad.strip()) for good, bad in pairs if good != bad), (example.passing, example.failing))


def _term(term: Term) -> Iterator[str]:
    yield f"{term.term}: a term" + (f", also {', '.join(term.also)}" if term.also else "")
    yield _filled(term.meaning)
    if term.see:
        yield _labelled("See", ", ".join(term.see))


def _kind(kind: str) -> Iterator[str]:
    record: type = KINDS[kind]
    yield f"{kind}: a kind of component"
    yield _filled(first_line(record))
    named = [terminal.name for terminal in KINDS[kind].terminals if terminal.name]
    yield _labelled("Terminals", ", ".join(named) if named else "+ and -, or the conductors of its AC circuit")
    common = keys_of(EVERY_KIND)
    for key, forms in keys_of(record).items():
        if key not in common:
            yield _labelled(key, f"{meaning_of(record, forms[0].field)} ({form_of(forms)})".strip())
    yield _labelled("Every kind", f"{', '.join(common)}")


def _key(key: str) -> Iterator[str]:
    places: dict[tuple[str, str], list[str]] = {}
    for place, record, forms in _keys()[key]:
        places.setdefault((meaning_of(record, forms[0].field), form_of(forms)), []).append(place)
    yield f"{key}: a key of a spec"
    for (meaning, form), names in places.items():
        yield _filled(f"{meaning} ({form})" if meaning else form)
        yield _labelled("of", ", ".join(names))


def _filled(text: str) -> str:
    return textwrap.fill(text, WIDTH, initial_indent="  ", subsequent_indent="  ", break_on_hyphens=False)


def _labelled(label: str, text: str) -> str:
    return textwrap.fill(
        text, WIDTH, initial_indent=f"  {label + ':':12} ", subsequent_indent=" " * 15, break_on_hyphens=False
    )
