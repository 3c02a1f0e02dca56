"""A profile: the rules that hold for one kind of place, each with its source and how sure it is.

Rules for boats, vehicles and cabins contradict each other (10 AWG copper is a 60 A wire on a boat and a 30 A wire in a
cabin), so no number may be used without the name of the rule set it belongs to. Profiles are data; the files under
`data/profiles` hold them, and this module only refuses a file that leaves a rule out.
"""

from __future__ import annotations

import inspect
import tomllib
from functools import cache
from typing import Any, Literal, cast

from msgspec import Struct

from rigline.standards.tables import DATA, SURENESS, Sure
from rigline.standards.wire import WireSize, parse_wire_size

PROFILE_NAMES = ("us-rv", "us-boat", "us-cabin", "intl-boat", "uk-inland-boat", "eu-caravan", "iec-cabin")

Medium = Literal["dc", "ac"]

LOW_VOLTAGE_V = 50.0
"""Below this a direct-current circuit follows the low-voltage rules. Source: 33 CFR 183.425; NEC 552.10 and 720.1."""


class ProfileProblem(ValueError):
    """A profile file leaves a rule out or adds an unknown one. This is a fault of ours."""


class Limit(Struct, frozen=True):
    """One number of a rule set. Its unit is the last part of the field's name."""

    value: float
    source: str
    sure: Sure


class SizeLimit(Struct, frozen=True):
    """One conductor size of a rule set."""

    size: WireSize
    source: str
    sure: Sure


class Choice(Struct, frozen=True):
    """One of several ways to do a thing, by the name that the code branches on."""

    value: str
    source: str
    sure: Sure


class Profile(Struct, frozen=True, eq=False):
    """Every limit and choice of one rule set. A limit of None means that the rule set has no such number.

    There is one object per rule set, so profiles compare by identity and are cheap to hash.
    """

    name: str
    title: str
    edition: str
    wire_system: Literal["awg", "mm2"]
    symbol_set: Literal["ieee", "iec"]

    insulation_c: Limit
    ambient_c: Limit
    terminals_c: Limit | None
    drop_copper_c: Limit
    drop_k_ohm_cmil_per_ft: Limit | None
    drop_critical_frac: Limit
    drop_general_frac: Limit
    drop_motor_frac: Limit
    drop_charging_frac: Limit
    drop_ac_branch_frac: Limit
    drop_ac_total_frac: Limit
    tap_battery_bare_m: Limit | None
    tap_battery_sheathed_m: Limit | None
    tap_battery_warn_m: Limit
    tap_source_bare_m: Limit | None
    tap_source_sheathed_m: Limit | None
    continuous_factor_frac: Limit
    round_up_most_a: Limit | None
    round_up_most_frac: Limit | None
    feeder_most_frac: Limit | None

    min_size_dc: SizeLimit
    min_size_dc_sheathed: SizeLimit
    min_size_ac: SizeLimit
    dc_bond_min: SizeLimit

    ampacity_dc: Choice
    ampacity_ac: Choice
    small_conductors_dc: Choice
    small_conductors_ac: Choice
    rounding_dc: Choice
    rounding_ac: Choice
    ratings: Choice
    interrupting: Choice
    dc_bond: Choice
    earthing_conductor: Choice

    def is_low_voltage_dc(self, medium: Medium, volts_v: float) -> bool:
        """True for a direct-current circuit below 50 V."""
        return medium == "dc" and volts_v < LOW_VOLTAGE_V

    def ampacity_rule(self, medium: Medium, volts_v: float) -> Choice:
        """The table and column rule for a circuit."""
        return self.ampacity_dc if self.is_low_voltage_dc(medium, volts_v) else self.ampacity_ac

    def rounding_rule(self, medium: Medium, volts_v: float) -> Choice:
        """How a device's rating may stand above the ampacity of its conductor."""
        return self.rounding_dc if self.is_low_voltage_dc(medium, volts_v) else self.rounding_ac

    def small_conductor_rule(self, medium: Medium, volts_v: float) -> Choice:
        """The cap on devices ahead of small conductors."""
        return self.small_conductors_dc if self.is_low_voltage_dc(medium, volts_v) else self.small_conductors_ac


@cache
def profile(name: str) -> Profile:
    """One rule set by its name, read on first use.

    Raises:
        KeyError: no such profile.
    """
    if name not in PROFILE_NAMES:
        raise KeyError(f"no profile {name}; known: {', '.join(PROFILE_NAMES)}")
    return read_profile(name, (DATA / "profiles" / f"{name}.toml").read_text(encoding="utf-8"))


def read_profile(name: str, text: str) -> Profile:
    """The profile in a file's text.

    Raises:
        ProfileProblem: a rule is missing, unknown, without a source or without a word on how sure it is.
    """
    document = tomllib.loads(text)
    given = {**document.get("about", {}), **document.get("rules", {}), "name": name}
    wanted = inspect.get_annotations(Profile)
    if set(given) != set(wanted):
        raise ProfileProblem(f"profile {name}: missing or unknown: {', '.join(sorted(set(given) ^ set(wanted)))}")
    # Each field is checked against its declared type by _rule, which the type checker can't follow.
    return Profile(**{field: cast(Any, _rule(name, field, kind, given[field])) for field, kind in wanted.items()})


def _rule(name: str, field: str, kind: str, given: Any) -> object:
    if kind.startswith(("str", "Literal")):
        return given
    if given == "none" and kind.endswith("| None"):
        return None
    if not isinstance(given, list) or len(given) != 3 or not given[1] or given[2] not in SURENESS:
        raise ProfileProblem(f"profile {name}: {field}: expected [value, source, sureness], got {given}")
    value, source, sure = given
    if kind.startswith("Limit"):
        return Limit(float(value), source, sure)
    if kind.startswith("SizeLimit"):
        return SizeLimit(parse_wire_size(value), source, sure)
    return Choice(str(value), source, sure)
