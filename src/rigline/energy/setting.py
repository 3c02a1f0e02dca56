"""Where and when a system is used, and what is wished of it: the spec's conditions, or what the command says."""

from __future__ import annotations

from msgspec import Struct

from rigline.energy.assumption import Notes
from rigline.kinds.loads import Season
from rigline.model.system import System
from rigline.standards.energy import figure

HOURS_OF_DAY = 24.0


class Setting(Struct, frozen=True):
    """Place, season and wish."""

    latitude_deg: float | None
    autonomy_h: float
    """How long the battery alone should carry the loads."""
    season: Season | None = None
    sun_h_per_day: tuple[float | None, ...] | None = None
    """Peak sun hours of each month on the flat."""


def setting_of(
    system: System, notes: Notes, latitude_deg: float | None = None, autonomy_h: float | None = None
) -> Setting:
    """The setting of a system; what is given here goes before its conditions."""
    conditions = system.conditions
    wish = conditions.autonomy_h if autonomy_h is None else autonomy_h
    if wish is None:
        wish = figure("autonomy").value * HOURS_OF_DAY
        assumed = f"a battery for {figure('autonomy').value:g} days without sun is wished"
        notes.assume("", assumed, "give conditions: autonomy, as in 3 days")
    latitude = conditions.latitude_deg if latitude_deg is None else latitude_deg
    return Setting(latitude, wish, conditions.season, conditions.sun_h_per_day)
