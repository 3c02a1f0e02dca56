"""The records of a spec beside its components: runs, conditions, places and so on, and the document as a whole."""

from __future__ import annotations

from typing import Literal, get_args

from msgspec import Struct, field

from rigline.kinds import Component
from rigline.kinds.loads import Season
from rigline.standards.wire import WireSize

Profile = Literal["us-rv", "us-boat", "us-cabin", "intl-boat", "uk-inland-boat", "eu-caravan", "iec-cabin"]
PROFILES: tuple[str, ...] = get_args(Profile)
CORES = ("L", "L1", "L2", "N", "PE")
Carries = Literal["pair", "positive", "negative", "bond", "earth", "neutral-bond", "sense", "data"]
Material = Literal["copper", "aluminium", "copper-clad"]
Strand = Literal["fine", "stranded", "solid"]


class RunSpec(Struct, frozen=True, kw_only=True):
    """One circuit from component to component, as the author wrote it."""

    id: str | None = None
    path: tuple[str, ...] = ()
    """Component ids in order, each with a terminal behind a dot where needed."""
    length_m: float | None = None
    """One way along the route, for the whole path."""
    lengths_m: tuple[float | None, ...] | None = None
    """One way, stretch by stretch."""
    carries: Carries | None = None
    """What it carries, if not both poles (DC) or its cores (AC)."""
    cores: tuple[str, ...] | None = None
    """Conductors of an AC run."""
    wire: WireSize | None = None
    """Size of each conductor."""
    earth_wire: WireSize | None = None
    """Size of the protective earth core, if it differs."""
    neutral_wire: WireSize | None = None
    """Size of the neutral core, if it differs."""
    conductors: int = 1
    """Conductors in parallel per pole."""
    material: Material | None = None
    """Material of the conductors."""
    strand: Strand | None = None
    """How the conductor is built."""
    insulation_c: float | None = None
    """Temperature rating of the insulation."""
    insulation_voltage_v: float | None = None
    """Voltage rating of the insulation."""
    ambient_c: float | None = None
    """Warmest air round it."""
    bundle: int | None = None
    """Current-carrying conductors together."""
    engine_space: bool | None = None
    """Whether it passes an engine space."""
    sheathed: bool | None = None
    """Whether it is sheathed or enclosed along its whole length."""
    place: str | None = None
    """Where it runs."""
    drop_limit_frac: float | None = None
    """Largest voltage drop accepted on this circuit."""
    color: str | None = None
    """Colour of its insulation."""
    stud: tuple[str, ...] | None = None
    """Stud at each end, as in [M8, M10]."""
    stage: str | None = None
    """When it is built."""
    return_wire: WireSize | None = None
    """Size of the return, if it differs."""
    return_length_m: float | None = None
    """Length of the return, if it differs."""
    return_to: str | None = None
    """Where the return goes instead of the path's first component."""
    terminals_c: float | None = None
    """Temperature rating of the terminals at its ends."""
    fused: bool | None = None
    """Whether a sense lead has a fuse or resistor at its hot end."""
    factory: bool | None = None
    """Whether it is a lead that the maker fitted."""
    sunlight_resistant: bool | None = None
    """Whether its insulation stands sun and rain."""
    have: bool | None = None
    """Whether its wire and terminals are on the shelf already."""
    ordered: bool | None = None
    """Whether its wire and terminals have been ordered."""
    loom: str | None = None
    """Name of the loom, conduit or cable that it shares with other runs."""
    confirmed: bool | None = None
    """Whether an unlikely length or size of it was measured twice."""
    note: str | None = None
    """A remark for the tables."""
    unknown: frozenset[str] = frozenset()
    mark: tuple[str | int, ...] = ()
    """Path of the run in the text, for messages."""


class Conditions(Struct, frozen=True, kw_only=True):
    """Air, sun and seasons that the whole system lives in."""

    ambient_c: float | None = None
    """Warmest air round wires, where a run does not say otherwise."""
    coldest_c: float | None = None
    """Coldest air on record where it is used."""
    hottest_c: float | None = None
    """Warmest air on record."""
    latitude_deg: float | None = None
    """Latitude, for the sun; south is negative."""
    sun_h_per_day: tuple[float | None, ...] | None = None
    """Peak sun hours on the flat of a mean day of each month from January, as a solar atlas gives them (1 h/day is
    1 kWh/m² a day)."""
    autonomy_h: float | None = None
    """How long the battery alone should carry the loads, as in 2 days."""
    season: Season | None = None
    """Part of the year in which the system is used, if not all of it."""
    unknown: frozenset[str] = frozenset()


class Defaults(Struct, frozen=True, kw_only=True):
    """What holds for every run that does not say otherwise."""

    insulation_c: float | None = None
    """Temperature rating of insulation."""
    terminals_c: float | None = None
    """Temperature rating of terminals."""
    slack_frac: float | None = None
    """Extra wire ordered."""
    material: Material | None = None
    """Material of conductors."""
    strand: Strand | None = None
    """How conductors are built."""
    sheathed: bool | None = None
    """Whether runs are sheathed or enclosed."""
    wire_system: Literal["awg", "mm2"] | None = None
    """Sizes that are chosen from."""
    drop_limit_frac: float | None = None
    """Largest voltage drop accepted."""
    unknown: frozenset[str] = frozenset()


class Place(Struct, frozen=True, kw_only=True):
    """A compartment or zone."""

    name: str | None = None
    """What the owner calls it."""
    min_c: float | None = None
    """Coldest air in it."""
    max_c: float | None = None
    """Warmest air in it."""
    wet: bool | None = None
    """Whether it gets wet."""
    engine: bool | None = None
    """Whether an engine is in it."""
    sleeping: bool | None = None
    """Whether people sleep in it."""
    petrol: bool | None = None
    """Whether petrol vapour can collect in it."""
    lpg: bool | None = None
    """Whether gas bottles stand in it."""
    bilge: bool | None = None
    """Whether bilge water can reach it."""
    outside: bool | None = None
    """Whether it is outdoors."""
    ventilated: bool | None = None
    """Whether air can leave it to the outdoors."""
    vent_mm2: float | None = None
    """Free area of its openings to the outdoors: of the upper ones, and of the lower ones again."""
    free_m: float | None = None
    """Free space for turning a cable."""
    at: tuple[str, ...] | None = None
    """Coordinates, each a length."""
    unknown: frozenset[str] = frozenset()


class Supply(Struct, frozen=True, kw_only=True):
    """How the shore or grid supply is earthed."""

    earthing: Literal["TN-S", "TT", "TN-C-S", "IT"] | None = None
    """System earthing."""
    bonded: bool | None = None
    """Whether its neutral is joined to earth upstream."""
    unknown: frozenset[str] = frozenset()


class Waiver(Struct, frozen=True, kw_only=True):
    """A finding the author accepts, with the reason."""

    rule: str | None = None
    """Slug of the rule."""
    at: str | None = None
    """Component or run."""
    reason: str | None = None
    """Why it is accepted."""
    unknown: frozenset[str] = frozenset()


class Revision(Struct, frozen=True, kw_only=True):
    """What a revision of the spec changed, for the table of revisions on the drawing."""

    revision: str | None = None
    """Its index, as in A or 3."""
    date: str | None = None
    """When it was issued, as written."""
    by: str | None = None
    """Who made it."""
    change: str | None = None
    """What changed."""
    unknown: frozenset[str] = frozenset()


class Head(Struct, frozen=True, kw_only=True):
    """Scalar facts at the top of a spec."""

    rigline: int | None = None
    """Version of the format: 1."""
    title: str | None = None
    """Name of the system."""
    revision: str | None = None
    """Revision index."""
    date: str | None = None
    """Date of this revision, as written."""
    author: str | None = None
    """Who drew it up."""
    owner: str | None = None
    """Legal owner."""
    number: str | None = None
    """Identification number of the drawing."""
    note: str | None = None
    """A remark for the title block."""
    profile: Profile | None = None
    """Set of rules that applies."""
    dc_grounding: Literal["negative", "positive", "isolated"] = "negative"
    """Pole of the DC system that is bonded."""
    ac_grounding: Literal["bonded", "floating"] | None = None
    """Whether the AC system is floating by design."""
    body: Literal["metal", "plastic", "wood"] | None = None
    """What the vehicle, boat or cabin is made of."""
    mobile: bool | None = None
    """Whether it stands on wheels or floats."""
    unknown: frozenset[str] = frozenset()


class Document(Struct, frozen=True, kw_only=True):
    """A whole spec: every value checked for form, nothing yet about its meaning."""

    head: Head = field(default_factory=Head)
    conditions: Conditions = field(default_factory=Conditions)
    defaults: Defaults = field(default_factory=Defaults)
    supply: Supply | None = None
    places: dict[str, Place] = field(default_factory=dict)
    components: dict[str, Component] = field(default_factory=dict)
    runs: tuple[RunSpec, ...] = ()
    waivers: tuple[Waiver, ...] = ()
    revisions: tuple[Revision, ...] = ()
    parts_digests: tuple[str, ...] = ()
    """Of the parts files that records were taken from."""
