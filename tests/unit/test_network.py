"""Solving a network of resistors, against Gaussian elimination in exact fractions."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from rigline.study.network import Network

EDGES = st.lists(st.tuples(st.integers(0, 7), st.integers(0, 7), st.integers(1, 1000)), min_size=1, max_size=20)
DRAWS = st.lists(st.tuples(st.integers(0, 7), st.integers(0, 7), st.integers(-50, 50)), max_size=5)


def _gauss(rows: list[list[Fraction]]) -> list[Fraction]:
    """The solution of a regular system, each row with its right side at the end."""
    size = len(rows)
    for column in range(size):
        pivot = next(row for row in range(column, size) if rows[row][column])
        rows[column], rows[pivot] = rows[pivot], rows[column]
        for row in range(size):
            if row != column:
                factor = rows[row][column] / rows[column][column]
                rows[row] = [a - factor * b for a, b in zip(rows[row], rows[column], strict=True)]
    return [rows[index][-1] / rows[index][index] for index in range(size)]


def _exact(edges: list[tuple[int, int, int]], draws: list[tuple[int, int, int]]) -> list[Fraction]:
    """Potentials of nodes 1 to 7 against node 0, with a chain of 1 kΩ that keeps all nodes together."""
    matrix = [[Fraction(0)] * 9 for _ in range(8)]
    for a, b, ohm in [*edges, *((n, n + 1, 1000) for n in range(7))]:
        if a != b:
            for first, second in ((a, b), (b, a)):
                matrix[first][first] += Fraction(1, ohm)
                matrix[first][second] -= Fraction(1, ohm)
    for source, sink, amps in draws:
        matrix[source][8] -= amps
        matrix[sink][8] += amps
    return _gauss([row[1:] for row in matrix[1:]])


@settings(deadline=None, derandomize=True)
@given(EDGES, DRAWS)
def test_a_network_is_solved_as_by_exact_elimination(
    edges: list[tuple[int, int, int]], draws: list[tuple[int, int, int]]
) -> None:
    network: Network[int] = Network()
    for a, b, ohm in [*edges, *((n, n + 1, 1000) for n in range(7))]:
        network.resistor(a, b, float(ohm))
    for source, sink, amps in draws:
        network.current(source, sink, float(amps))

    found, exact = network.solve([0]), _exact(edges, draws)

    assert found[0] == 0
    assert all(abs(found[n] - float(exact[n - 1])) <= 1e-9 * max(1.0, abs(float(exact[n - 1]))) for n in range(1, 8))


def test_a_source_with_resistance_drops_as_ohm_says() -> None:
    """12 V behind 0.1 Ω on 1.1 Ω gives 10 A, so 11 V."""
    network: Network[str] = Network()
    network.voltage("+", "-", 12.0, 0.1)
    network.resistor("+", "-", 1.1)

    assert abs(network.solve(["-"])["+"] - 11.0) < 1e-12


def test_islands_are_solved_apart() -> None:
    network: Network[str] = Network()
    network.resistor("a", "b", 1.0)
    network.resistor("c", "d", 1.0)
    network.current("a", "b", 2.0)

    assert network.islands() == [["a", "b"], ["c", "d"]]
    assert network.solve(["a", "c"]) == {"a": 0.0, "b": 2.0, "c": 0.0, "d": 0.0}


def test_a_node_joined_to_itself_carries_nothing() -> None:
    network: Network[str] = Network()
    network.resistor("a", "a", 1.0)
    network.voltage("a", "a", 12.0, 0.1)

    assert network.solve() == {"a": 0.0}
