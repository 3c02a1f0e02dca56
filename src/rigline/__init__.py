"""Rigline reads the component list of a small electrical system, checks it, sizes it and draws its one-line diagram.

import rigline

system = rigline.read("trailer.yaml")
for finding in rigline.check(system).findings:
    print(finding.severity, finding.message)
svg = rigline.draw(system).svgs[0]
"""

from rigline.api import (
    BuildNotes,
    Drawing,
    Energy,
    changes,
    check,
    draw,
    draw_changes,
    energy,
    notes,
    order,
    read,
    study_of,
)
from rigline.errors import CommandError, Problem, SpecError
from rigline.findings import Finding, NotAssessed, Severity
from rigline.version import VERSION

__version__ = VERSION

__all__ = [
    "BuildNotes",
    "CommandError",
    "Drawing",
    "Energy",
    "Finding",
    "NotAssessed",
    "Problem",
    "Severity",
    "SpecError",
    "changes",
    "check",
    "draw",
    "draw_changes",
    "energy",
    "notes",
    "order",
    "read",
    "study_of",
]
