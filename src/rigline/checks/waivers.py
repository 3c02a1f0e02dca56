"""Which finding a waiver accepts: shared by the report, which marks it, and the rule on waivers that accept nothing."""

from __future__ import annotations

from rigline.findings import Finding
from rigline.spec.document import Waiver


def matches(waiver: Waiver, finding: Finding) -> bool:
    """Whether a waiver accepts a finding: its rule, at one of the places that it names."""
    return waiver.rule == finding.rule and waiver.at in (*finding.at, *finding.runs, finding.segment)
