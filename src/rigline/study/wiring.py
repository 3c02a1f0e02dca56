"""What each conductor is made of: its size (given or chosen), its resistance, and what is assumed if a fact is missing.

The resistance that voltage drop is computed with is each rule set's own, and stated here only. Where the profile has a
constant K (`drop_k_ohm_cmil_per_ft`: 10.75 in ABYC E-11, 12.9 in NEC practice), an American copper conductor has K over
its circular mils, for each foot; K stands for stranded copper, and another strand, material or temperature changes it
in proportion. Everything else, metric sizes above all, has its IEC 60228 resistance at the profile's copper temperature
(`drop_copper_c`). A fault current is computed with cold copper instead, without K.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

from msgspec import Struct

from rigline.model.system import Conductor, Run, System
from rigline.standards.gauge import MM2_PER_CMIL
from rigline.standards.profiles import Profile
from rigline.standards.wire import WireSize, conductor_resistance_ohm_per_m, parse_wire_size

PROVISIONAL_WIRE = parse_wire_size("6 AWG")
"""Size that currents are first shared with where a wire is still to be chosen; a tree of wires doesn't depend on it."""
PROVISIONAL_LENGTH_M = 1.0
"""Length that currents are shared with where none is known."""
SHORTEST_M = 0.001
"""A length of zero is a joint; it is given this much, so that the network keeps its wires apart."""
M_PER_FT = 0.3048
"""By definition."""


class Wiring(Struct, frozen=True, dict=True):
    """Sizes and resistances of all conductors of a system."""

    system: System
    profile: Profile
    chosen: Mapping[str, WireSize]
    """Run id -> size that was chosen for it."""

    @cached_property
    def _ohms(self) -> dict[str, float]:
        return {}

    def run_of(self, conductor: Conductor) -> Run:
        """The run that a conductor is part of."""
        return self.system.runs_by_id[conductor.run]

    def size(self, conductor: Conductor) -> WireSize | None:
        """The given size, else the chosen one; None if it is unknown or could not be chosen."""
        if conductor.wire is not None or "wire" in self.system.runs_by_id[conductor.run].spec.unknown:
            return conductor.wire
        return self.chosen.get(conductor.run)

    def resistance_ohm(self, conductor: Conductor, copper_c: float | None = None) -> float:
        """Resistance of one pole of a segment, all its parallel conductors together.

        Args:
            copper_c: Temperature of the metal; the rule set's way of computing voltage drop when not given.
        """
        if copper_c is not None:
            return self._computed_ohm(conductor, copper_c)
        found = self._ohms.get(conductor.id)
        if found is None:
            found = self._ohms[conductor.id] = self._computed_ohm(conductor, None)
        return found

    def _computed_ohm(self, conductor: Conductor, copper_c: float | None) -> float:
        spec = self.system.runs_by_id[conductor.run].spec
        length_m = PROVISIONAL_LENGTH_M if conductor.length_m is None else max(conductor.length_m, SHORTEST_M)
        size = self.size(conductor) or PROVISIONAL_WIRE
        return self._ohm_per_m(size, conductor, copper_c) * length_m / spec.conductors

    def _ohm_per_m(self, size: WireSize, conductor: Conductor, copper_c: float | None) -> float:
        spec, defaults = self.system.runs_by_id[conductor.run].spec, self.system.defaults
        at_c = self.profile.drop_copper_c.value if copper_c is None else copper_c
        material = spec.material or defaults.material or "copper"
        strand = spec.strand or defaults.strand or "stranded"
        per_m = conductor_resistance_ohm_per_m(size, conductor_c=at_c, material=material, strand=strand)
        constant = self.profile.drop_k_ohm_cmil_per_ft
        if copper_c is not None or constant is None or size.is_metric:
            return per_m
        stranded_copper = conductor_resistance_ohm_per_m(size, conductor_c=at_c)
        by_constant = constant.value / (size.area_mm2 / MM2_PER_CMIL) / M_PER_FT
        return by_constant * per_m / stranded_copper
