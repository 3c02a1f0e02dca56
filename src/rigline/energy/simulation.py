"""A battery hour by hour: what comes in, what goes out, what is lost, and what the loads do without.

The model knows powers and one battery and nothing else. Each hour, in this order: the battery loses a little by
itself; the sources serve the loads; what is left charges the battery within its limits; what is missing comes out of
it, down to its floor; what is still missing is not served. A second source (shore, generator) may switch on below one
state of charge and off above another.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct

HOURS_OF_MONTH = 730.0
"""A twelfth of 8760 hours."""


class Cell(Struct, frozen=True):
    """A battery as the balance sees it."""

    capacity_wh: float
    floor_frac: float
    """State of charge below which nothing is taken."""
    charge_efficiency_frac: float
    discharge_efficiency_frac: float
    self_discharge_frac: float = 0.0
    """Share lost in a month."""
    max_charge_w: float = math.inf
    absorption_frac: float = 1.0
    """State of charge where the charge power begins to fall."""
    tail_w: float = 0.0
    """Charge power that a full battery still takes; between, the limit falls in a straight line."""


class Backup(Struct, frozen=True):
    """A source that runs only when the battery is low."""

    power_w: float
    on_frac: float
    off_frac: float


class Run(Struct, frozen=True):
    """What came of a number of hours. The sums close: see `imbalance_wh`."""

    start_wh: float
    stored_wh: tuple[float, ...]
    """At the end of each hour."""
    unserved_wh: tuple[float, ...]
    """What the loads went without, in each hour."""
    spilled_wh: tuple[float, ...]
    """What the sources could have given more, in each hour."""
    backup_wh: tuple[float, ...]
    load_sum_wh: float
    source_sum_wh: float
    charge_loss_wh: float
    discharge_loss_wh: float
    self_discharge_wh: float
    discharged_wh: float
    """What came out of the battery's terminals."""

    @property
    def end_wh(self) -> float:
        """Stored at the end."""
        return self.stored_wh[-1]

    @property
    def served_wh(self) -> float:
        """What the loads got."""
        return self.load_sum_wh - math.fsum(self.unserved_wh)

    @property
    def used_wh(self) -> float:
        """What the sources gave, without the backup."""
        return self.source_sum_wh - math.fsum(self.spilled_wh)

    @property
    def imbalance_wh(self) -> float:
        """In less out: given + backup - served - losses - what is stored more. Zero but for rounding."""
        losses = self.charge_loss_wh + self.discharge_loss_wh + self.self_discharge_wh
        stored = self.end_wh - self.start_wh
        return math.fsum((self.used_wh, math.fsum(self.backup_wh), -self.served_wh, -losses, -stored))


def run(
    cell: Cell, load_w: Sequence[float], source_w: Sequence[float], start_frac: float = 1.0,
    backup: Backup | None = None, step_h: float = 1.0,
) -> Run:  # fmt: skip
    """A battery through as many steps as there are loads.

    Args:
        cell: The battery.
        load_w: Mean power taken at its terminals, each step.
        source_w: Mean power that the sources can give there, each step.
        start_frac: State of charge at the start.
        backup: A source for when it is low.
        step_h: Length of a step.

    Example:
        Half a kilowatt-hour, 100 W for two hours, no losses:

        >>> run(Cell(500.0, 0.2, 1.0, 1.0), [100.0, 100.0], [0.0, 0.0]).stored_wh
        (400.0, 300.0)
    """
    # One loop without calls: it runs a dozen times over 8760 hours in one command.
    capacity, eta_in, eta_out = cell.capacity_wh, cell.charge_efficiency_frac, cell.discharge_efficiency_frac
    floor, knee, most_wh, slope, lost_frac = _limits(cell, step_h)
    on_wh, off_wh, backup_wh = _switching(backup, capacity, step_h)
    stored = start = start_frac * capacity
    running, self_lost, taken_out, put_in = False, 0.0, 0.0, 0.0
    stored_wh, unserved, spilled, backed = [], [], [], []
    for load, source in zip(load_w, source_w, strict=True):
        lost = stored * lost_frac
        self_lost += lost
        stored -= lost
        surplus = (source - load) * step_h
        extra = 0.0
        if backup_wh:
            running = stored < off_wh if running else stored <= on_wh
            extra = backup_wh if running else 0.0
            surplus += extra
        if surplus >= 0:
            limit = most_wh if stored <= knee else most_wh - slope * (stored - knee)
            room = (capacity - stored) / eta_in
            limit = room if room < limit else limit
            into = surplus if surplus < limit else limit
            stored += into * eta_in
            put_in += into
            surplus -= into
            unserved.append(0.0)
            # The sun comes first: what is left over is the backup's, as far as it goes.
            unused = surplus if surplus < extra else extra
            spilled.append(surplus - unused)
            backed.append(extra - unused)
        else:
            room = (stored - floor) * eta_out if stored > floor else 0.0
            out = -surplus if -surplus < room else room
            stored -= out / eta_out
            taken_out += out
            unserved.append(-surplus - out)
            spilled.append(0.0)
            backed.append(extra)
        stored_wh.append(stored)
    return Run(
        start, tuple(stored_wh), tuple(unserved), tuple(spilled), tuple(backed),
        math.fsum(load_w) * step_h, math.fsum(source_w) * step_h,
        put_in * (1 - eta_in), taken_out * (1 / eta_out - 1), self_lost, taken_out,
    )  # fmt: skip


def _limits(cell: Cell, step_h: float) -> tuple[float, float, float, float, float]:
    """Floor and knee, the most that goes in in a step, how much less for each watt-hour above the knee, and the share
    that is lost by itself.
    """
    knee = cell.absorption_frac * cell.capacity_wh
    above = cell.capacity_wh - knee
    tapers = above > 0 and cell.max_charge_w != math.inf
    slope = max(0.0, cell.max_charge_w - cell.tail_w) / above * step_h if tapers else 0.0
    lost_frac = 1 - (1 - cell.self_discharge_frac) ** (step_h / HOURS_OF_MONTH)
    return cell.floor_frac * cell.capacity_wh, knee, cell.max_charge_w * step_h, slope, lost_frac


def _switching(backup: Backup | None, capacity_wh: float, step_h: float) -> tuple[float, float, float]:
    """Energy at which the backup goes on and off, and what it gives in a step."""
    if backup is None:
        return -1.0, -1.0, 0.0
    return backup.on_frac * capacity_wh, backup.off_frac * capacity_wh, backup.power_w * step_h
