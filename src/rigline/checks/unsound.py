"""What the rules on currents say where there are no currents: the wiring contradicts itself, or loads state none."""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Missing
from rigline.study.study import Study


def unstated(study: Study) -> Iterator[Missing]:
    """Everything whose current the spec does not give, which the sums leave out."""
    for id, fact in study.unstated.items():
        yield Missing((id,), fact)


def currents_missing(study: Study) -> Iterator[Missing]:
    """One entry that names the sources at fault, if the currents mean nothing; nothing otherwise."""
    if study.unsound:
        yield Missing(study.unsound, "currents, which mean nothing while these are shorted or set against each other")
