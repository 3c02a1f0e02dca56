"""All rules: every module in `rules/` declares one `CHECK`; nothing else has to be edited to add one."""

from __future__ import annotations

from functools import cache
from importlib import import_module
from pathlib import Path

from rigline.checks import rules
from rigline.checks.check import Check


@cache
def all_checks() -> tuple[Check, ...]:
    """Every rule, sorted by slug; a slug is the name of its file with dashes."""
    found = {}
    for file in Path(rules.__path__[0]).glob("[a-z]*.py"):
        check = import_module(f"{rules.__name__}.{file.stem}").CHECK
        if check.slug != file.stem.replace("_", "-"):
            raise ValueError(f"rules/{file.name} declares {check.slug}")
        found[check.slug] = check
    return tuple(found[slug] for slug in sorted(found))


def why_of(check: Check) -> str:
    """Why a rule matters: the docstring of its file."""
    module = import_module(f"{rules.__name__}.{check.slug.replace('-', '_')}")
    return str(module.__doc__).strip()


@cache
def _by_slug() -> dict[str, Check]:
    return {check.slug: check for check in all_checks()}


def check_of(slug: str) -> Check | None:
    """The rule of a slug; None if there is none."""
    return _by_slug().get(slug)


def title_of(slug: str) -> str:
    """The fault in a few words; the slug itself if there is no such rule."""
    check = check_of(slug)
    return check.title if check else slug
