"""What each conductor is made of: its size (given or chosen), its resistance, and what is assumed where a fact is missing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from rigline.model.system import Conductor, Run, System
from rigline.standards.profiles import Profile
from rigline.standards.wire import WireSize, conductor_resistance_ohm_per_m, parse_wire_size

PROVISIONAL_WIRE = parse_wire_size("6 AWG")
"""Size that currents are first shared with where a wire is still to be chosen; a tree of wires does not depend on it."""
PROVISIONAL_LENGTH_M = 1.0
"""Length that currents are shared with where none is known."""
SHORTEST_M = 0.001
"""A length of zero is a joint; it is given this much, so that the network keeps its wires apart."""


@dataclass(frozen=True)
class Wiring:
    """Sizes and resistances of all conductors of a system."""

    system: System
    profile: Profile
    chosen: Mapping[str, WireSize]
    """Run id -> size that was chosen for it."""

    def run_of(self, conductor: Conductor) -> Run:
        """The run that a conductor is part of."""
        return self._runs[conductor.run]

    @property
    def _runs(self) -> Mapping[str, Run]:
        cache: dict[str, Run] | None = self.__dict__.get("_by_id")
        if cache is None:
            cache = {run.id: run for run in self.system.runs}
            self.__dict__["_by_id"] = cache
        return cache

    def size(self, conductor: Conductor) -> WireSize | None:
        """The given size, else the chosen one; None if it is unknown or could not be chosen."""
        if conductor.wire is not None or "wire" in self._runs[conductor.run].spec.unknown:
            return conductor.wire
        return self.chosen.get(conductor.run)

    def resistance_ohm(self, conductor: Conductor, copper_c: float | None = None) -> float:
        """Resistance of one pole of a segment, all its parallel conductors together."""
        spec = self._runs[conductor.run].spec
        per_m = conductor_resistance_ohm_per_m(
            self.size(conductor) or PROVISIONAL_WIRE,
            conductor_c=self.profile.drop_copper_c.value if copper_c is None else copper_c,
            material=spec.material or self.system.defaults.material or "copper",
            strand=spec.strand or self.system.defaults.strand or "stranded",
        )
        length_m = PROVISIONAL_LENGTH_M if conductor.length_m is None else max(conductor.length_m, SHORTEST_M)
        return per_m * length_m / spec.conductors
