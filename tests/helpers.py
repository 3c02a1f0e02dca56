"""Short ways from a spec's text to its study and its report."""

from __future__ import annotations

from rigline.checks.run import Report, run_checks
from rigline.model.build import build_system
from rigline.spec.load import load_document
from rigline.spec.reading import read_tree
from rigline.study.study import Study, study


def study_of(text: str, name: str = "spec.yaml") -> Study:
    """Everything computed about the system that a spec's text describes."""
    tree = read_tree(text, name, "yaml")
    return study(build_system(load_document(tree), tree))


def report(text: str, name: str = "spec.yaml") -> Report:
    """What all rules of its profile say about a spec's text."""
    return run_checks(study_of(text, name))


def found(text: str) -> list[tuple[str, str, tuple[str, ...]]]:
    """Rule, severity and place of every finding, sorted."""
    return sorted((f.rule, f.severity.value, f.at) for f in report(text).findings)
