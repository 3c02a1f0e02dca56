"""Everything that one report of the energy of a system holds."""

from __future__ import annotations

from msgspec import Struct

from rigline.energy.balance import Balance
from rigline.energy.sizing import Proposals
from rigline.energy.steps import Advice


class EnergyReport(Struct, frozen=True):
    """The balance, what would help, and sizes if they were asked for."""

    balance: Balance
    advice: Advice | None
    """None if the year could not be run."""
    proposals: Proposals | None
    """None if they were not asked for, or there is no load."""
