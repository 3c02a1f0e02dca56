"""The air that lead batteries need to carry off the hydrogen they give while they are charged (IEC 62485-2)."""

from __future__ import annotations

from rigline.kinds.sources import Battery
from rigline.study.storage import charge_ah

GAS_A_PER_AH = {"flooded": 0.020, "agm": 0.008, "gel": 0.008}
"""Current that makes gas at boost charge, for each ampere-hour. Source: IEC 62485-2 Table 1, from memory."""
AIR_M3_PER_H_PER_A = 0.05
"""Air for each cell and ampere that makes gas, with a fivefold reserve. Source: IEC 62485-2 7.2."""
OPENING_CM2_PER_M3_PER_H = 28.0
"""Free area of the inlet, and of the outlet, for an air flow by draught. Source: IEC 62485-2 7.3."""
CELL_V = 2.0
"""Nominal voltage of a lead cell; by definition."""
MM2_PER_CM2 = 100.0
"""By definition."""


def opening_mm2(battery: Battery) -> float | None:
    """Free area that one lead battery needs above, and again below; None if its voltage or charge is not known.

    Example:
        >>> round(opening_mm2(Battery(id="B1", chemistry="flooded", voltage_v=12.0, capacity_ah=440.0)), -2)
        7400.0
    """
    charge = charge_ah(battery)
    if battery.chemistry not in GAS_A_PER_AH or charge is None or not battery.voltage_v:
        return None
    cells = round(battery.voltage_v * battery.series / CELL_V)
    air_m3_per_h = AIR_M3_PER_H_PER_A * cells * GAS_A_PER_AH[battery.chemistry] * charge
    return OPENING_CM2_PER_M3_PER_H * air_m3_per_h * MM2_PER_CM2
