"""What a conductor could still carry, and have ahead of it, if the spec's other facts about its way held for it.

A run may leave out that it ends in an engine bay, lies in a loom or lands on terminals that stand less heat than its
insulation. The places, looms and components say so, and these figures are what follows from them.
"""

from __future__ import annotations

from math import isinf

from msgspec import Struct
from msgspec.structs import replace

from rigline.standards.ampacity import Ampacity, ampacity
from rigline.study.causes import exceeds
from rigline.study.limits import Circumstances
from rigline.study.study import ConductorStudy, Study


class Shortfall(Struct, frozen=True):
    """A conductor that was enough as its run describes it, and is not where it really lies."""

    conductor: ConductorStudy
    amps_a: float
    """What it has to carry, or what the device ahead of it lets through."""
    limit_a: float
    """What it may carry there, or may have ahead of it."""
    by_device: bool
    """Whether a device ahead of it is too large, and not its own current."""


def circumstances(study: Study, one: ConductorStudy) -> Circumstances:
    """What the run of a conductor says of itself, with the defaults of its system and profile filled in."""
    found = study.limits.circumstances(study.run_of(one.conductor))
    ambient = study.profile.ambient_c.value if found.ambient_c is None else found.ambient_c
    return replace(found, ambient_c=ambient)


def shortfall(study: Study, one: ConductorStudy, around: Circumstances) -> Shortfall | None:
    """How a conductor falls short under other circumstances; None if it doesn't, or falls short as it is."""
    run, conductor = study.run_of(one.conductor), one.conductor
    if one.size is None or one.limits is None or not isinstance(one.ampacity, Ampacity):
        return None
    there = ampacity(
        study.profile,
        one.size,
        volts_v=study.limits.volts_v(conductor),
        medium=study.limits.medium(conductor),
        insulation_c=around.insulation_c,
        ambient_c=around.ambient_c,
        bundle=around.bundle,
        engine_space=around.engine_space,
        material=around.material,  # type: ignore[arg-type]
        terminals_c=around.terminals_c,
        parallel=around.conductors,
    )
    carried = there.value_a if isinstance(there, Ampacity) else 0.0
    if exceeds(one.current_a, carried) and not exceeds(one.current_a, one.ampacity.value_a):
        return Shortfall(one, one.current_a, carried, by_device=False)
    flow = max(end.flow_a for end in one.exposure.ends)
    if isinf(flow) or not isinstance(there, Ampacity) or exceeds(flow, one.limits.allowed_a):
        return None
    allowed = study.limits.limits_of(run, one.exposure, one.size, there, study.sizes.ratings).allowed_a
    return Shortfall(one, flow, allowed, by_device=True) if exceeds(flow, allowed) else None
