"""Solves a network whose loads draw constant power: the lower their voltage, the more current they take.

Newton's method on the node equations. A load of P watts at V volts draws P/V; near V that is a current of 2P/V less a
conductance of P/V², so each step is a network of resistors again, symmetric and as sparse as before. From the voltages
without load the steps come down to the upper of the solutions, which is the one where a system settles. If a step is
not stable (the matrix not positive definite), more power is asked for than the wires can bring: there is no solution.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Generic, NamedTuple

from msgspec import Struct

from rigline.study.elimination import Factor, N
from rigline.study.network import Network

MOST_STEPS = 30
"""Newton's method doubles its digits with every step; five or six are usual."""
SETTLED_FRAC = 1e-6
"""After a step smaller than this share of the greatest voltage one more, for the last digits, is the last."""
MOST_FALL_FRAC = 0.5
"""A load's voltage falls by at most this share in one step."""
NO_VOLTS_V = 1e-6
"""A load at less than this gets no current."""


class Power(NamedTuple, Generic[N]):
    """One constant-power load between two nodes."""

    positive: N
    negative: N
    watts: float


class Settled(Struct, Generic[N], frozen=True):
    """A solved network. Potentials are held in two parts, so that the small drop of a short wire keeps its digits."""

    volts: Mapping[N, float]
    fine: Mapping[N, float]
    steps: int

    def drop_v(self, a: N, b: N) -> float:
        """Voltage of one node above another."""
        return (self.volts[a] - self.volts[b]) + (self.fine[a] - self.fine[b])


def settle(
    network: Network[N], powers: Sequence[Power[N]], preferred: Sequence[N] = (), known: list[Factor[N]] | None = None
) -> Settled[N] | None:
    """The voltages at which every load gets its power; None if the wires can't bring it.

    Args:
        network: Resistors, sources and constant currents.
        powers: The constant-power loads.
        preferred: Nodes at 0 V, one in each island.
        known: Filled with the elimination without loads, and taken from there by networks that differ in volts alone.
    """
    grounds = network.grounds(preferred)
    factor = known[0] if known else network.factor(grounds)
    if known is not None and not known:
        known.append(factor)
    volts = {**dict.fromkeys(grounds, 0.0), **factor.solve(network.injected_a)}
    order = factor
    for step in range(MOST_STEPS if powers else 0):
        factor = network.factor(grounds, [_slope(one, volts) for one in powers], order)
        if not factor.is_stable:
            return None
        change = factor.solve(_residual(network, powers, volts))
        share = _share(powers, volts, change)
        for node, by in change.items():
            volts[node] += share * by
        greatest = max(map(abs, volts.values()), default=0.0)
        if share == 1.0 and max(map(abs, change.values()), default=0.0) <= SETTLED_FRAC * greatest:
            return _refined(network, powers, volts, factor, grounds, step + 1)
    return None if powers else _refined(network, powers, volts, factor, grounds, 0)


def _refined(
    network: Network[N],
    powers: Sequence[Power[N]],
    volts: Mapping[N, float],
    factor: Factor[N],
    grounds: set[N],
    steps: int,
) -> Settled[N]:
    """The same with what rounding left over, so that the currents at each node cancel."""
    fine = {**dict.fromkeys(grounds, 0.0), **factor.solve(_residual(network, powers, volts))}
    return Settled(volts, fine, steps)


def _slope(one: Power[N], volts: Mapping[N, float]) -> tuple[N, N, float]:
    across = volts[one.positive] - volts[one.negative]
    return one.positive, one.negative, 0.0 if abs(across) < NO_VOLTS_V else -one.watts / across**2


def _residual(network: Network[N], powers: Sequence[Power[N]], volts: Mapping[N, float]) -> dict[N, float]:
    """Current that is left over at each node."""
    left = dict(network.injected_a)
    for node, row in network.conductance_s.items():
        here = volts[node]
        for other, siemens in row.items():
            left[node] -= siemens * (here - volts[other])
    for one in powers:
        across = volts[one.positive] - volts[one.negative]
        if abs(across) >= NO_VOLTS_V:
            left[one.positive] -= one.watts / across
            left[one.negative] += one.watts / across
    return left


def _share(powers: Sequence[Power[N]], volts: Mapping[N, float], change: Mapping[N, float]) -> float:
    """How much of a step to take, so that no load's voltage falls too far at once."""
    share = 1.0
    for one in powers:
        across = abs(volts[one.positive] - volts[one.negative])
        by = abs(change.get(one.positive, 0.0) - change.get(one.negative, 0.0))
        if by > MOST_FALL_FRAC * across > 0:
            share = min(share, MOST_FALL_FRAC * across / by)
    return share


def worst_placed(network: Network[N], powers: Sequence[Power[N]], preferred: Sequence[N] = ()) -> int:
    """Which of several loads, that can't all be fed, asks for most of what its wires could bring to it alone."""
    most = most_powers_w(network, powers, preferred)
    return max(range(len(powers)), key=lambda index: powers[index].watts / max(most[index], 1e-12))


def most_powers_w(network: Network[N], powers: Sequence[Power[N]], preferred: Sequence[N] = ()) -> list[float]:
    """Greatest power that can be had between each pair of nodes with no other load on: a quarter of V² over R."""
    grounds = network.grounds(preferred)
    factor = network.factor(grounds)
    volts = {**dict.fromkeys(grounds, 0.0), **factor.solve(network.injected_a)}
    found = []
    for one in powers:
        probe = dict.fromkeys(network.conductance_s, 0.0)
        probe[one.positive] += 1.0
        probe[one.negative] -= 1.0
        rise = {**dict.fromkeys(grounds, 0.0), **factor.solve(probe)}
        ohm = rise[one.positive] - rise[one.negative]
        found.append((volts[one.positive] - volts[one.negative]) ** 2 / (4 * ohm) if ohm > 0 else 0.0)
    return found
