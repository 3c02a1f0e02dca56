"""Constant-power loads on a resistive line: V² - E V + P R = 0, by hand."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rigline.study.network import Network
from rigline.study.powered import Power, most_powers_w, settle, worst_placed


def _line(emf_v: float, ohm: float) -> Network[str]:
    network: Network[str] = Network()
    network.voltage("+", "-", emf_v, ohm)
    return network


def test_a_load_settles_at_the_upper_of_the_two_voltages() -> None:
    """12 V behind 0.1 Ω, 100 W: V = (12 + sqrt(144 - 40)) / 2 = 11.099 V."""
    found = settle(_line(12.0, 0.1), [Power("+", "-", 100.0)], ["-"])

    assert found is not None
    assert found.drop_v("+", "-") == pytest.approx((12 + math.sqrt(104)) / 2, rel=1e-12)


@settings(deadline=None, derandomize=True)
@given(st.floats(1, 400), st.floats(1e-4, 10), st.floats(1e-3, 0.999))
def test_every_load_below_the_greatest_power_is_fed(emf_v: float, ohm: float, share: float) -> None:
    watts = share * emf_v**2 / (4 * ohm)

    found = settle(_line(emf_v, ohm), [Power("+", "-", watts)], ["-"])

    assert found is not None
    exact = (emf_v + math.sqrt(emf_v**2 - 4 * watts * ohm)) / 2
    assert found.drop_v("+", "-") == pytest.approx(exact, rel=1e-9)


@pytest.mark.parametrize("share", [1.001, 1.5, 3.9, 4.1, 100])
def test_no_load_above_the_greatest_power_is_fed(share: float) -> None:
    """Maximum power transfer: E² / 4R = 360 W."""
    assert settle(_line(12.0, 0.1), [Power("+", "-", share * 360.0)], ["-"]) is None
    assert most_powers_w(_line(12.0, 0.1), [Power("+", "-", 1.0)], ["-"]) == [pytest.approx(360.0)]


def test_the_load_that_asks_for_most_of_what_it_could_have_is_to_blame() -> None:
    """The large load is on a thick wire, the small one beyond it on a thin one that can bring it all it needs."""
    network = _line(12.0, 0.1)
    network.resistor("+", "far", 0.5)

    assert worst_placed(network, [Power("far", "-", 10.0), Power("+", "-", 400.0)], ["-"]) == 1


def test_the_inverse_has_the_resistance_between_neighbours() -> None:
    """A ring of 1, 2 and 3 Ω: between the ends of the 1 Ω lie 1 Ω and 5 Ω in parallel."""
    network: Network[str] = Network()
    for a, b, ohm in (("a", "b", 1.0), ("b", "c", 2.0), ("c", "a", 3.0)):
        network.resistor(a, b, ohm)
    inverse = network.factor({"c"}).inverse()

    assert inverse["a"]["a"] + inverse["b"]["b"] - 2 * inverse["a"]["b"] == pytest.approx(5 / 6)


def test_without_any_load_nothing_is_lost() -> None:
    found = settle(_line(12.0, 0.1), [], ["-"])

    assert found is not None
    assert found.drop_v("+", "-") == pytest.approx(12.0, rel=1e-12)
