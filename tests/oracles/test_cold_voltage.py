"""Cold open-circuit voltages by coefficient against the single-diode model on a thousand listed modules.

Source: the CEC module database in the library pvlib, with its model `calcparams_cec` (Dobos 2012), at 1000 W/m² and a
cold cell. The two are not one truth: a datasheet's coefficient is a straight line through warm measurements, and the
model is fitted to several figures at once. Measured here at -25 °C: the line lies 1.2 % below the model for the middle
module, within 3.7 % for 98 of 100, and 8.3 % apart at worst. So the study adds a reserve of 0.09 % a kelvin, with which
it lies on the safe side for 98 of 100 at any temperature, and a rule advises to keep it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from pvlib import pvsystem

from rigline.kinds.sources import PvArray
from rigline.study.solar import COLD_RESERVE_PER_K, STANDARD_C, cold_v

MODULES = 1000
MIDDLE_FRAC, MOST_FRAC, WORST_FRAC = 0.015, 0.04, 0.09
"""How far the middle module, 98 of 100, and the worst are apart at -25 °C."""


@pytest.fixture(scope="module")
def modules() -> Any:
    """Every twenty-first module of the database, all technologies."""
    listed = pvsystem.retrieve_sam("CECMod").T
    return listed.iloc[:: len(listed) // MODULES].head(MODULES)


def _by_model(modules: Any, cell_c: float) -> Any:
    names = ("alpha_sc", "a_ref", "I_L_ref", "I_o_ref", "R_sh_ref", "R_s", "Adjust")
    found = pvsystem.calcparams_cec(1000.0, cell_c, *(modules[name].astype(float).to_numpy() for name in names))
    return np.asarray(pvsystem.singlediode(*found)["v_oc"])


def _by_coefficient(modules: Any, cell_c: float) -> Iterator[float]:
    for voc_v, slope_v_per_k in zip(modules["V_oc_ref"].astype(float), modules["beta_oc"].astype(float), strict=True):
        array = PvArray(id="PV1", voc_v=voc_v, voc_temperature_per_k=slope_v_per_k / voc_v)
        found = cold_v(array, cell_c)
        assert found is not None
        yield found


def _apart(modules: Any, cell_c: float) -> Any:
    model = _by_model(modules, cell_c)
    return (np.array(list(_by_coefficient(modules, cell_c))) - model) / model


def test_at_25_degrees_both_give_the_rated_voltage(modules: Any) -> None:
    assert len(modules) == MODULES
    assert np.abs(_apart(modules, 25.0)).max() < 1e-5


def test_in_the_cold_the_coefficient_and_the_model_agree_as_closely_as_is_claimed(modules: Any) -> None:
    apart = _apart(modules, -25.0)

    assert abs(float(np.median(apart))) < MIDDLE_FRAC
    assert float(np.percentile(np.abs(apart), 98)) < MOST_FRAC
    assert float(np.abs(apart).max()) < WORST_FRAC


@pytest.mark.parametrize("cell_c", [15.0, 5.0, 0.0, -10.0, -20.0, -25.0, -30.0, -40.0])
def test_with_its_reserve_the_coefficient_is_on_the_safe_side_for_98_of_100_modules(
    modules: Any, cell_c: float
) -> None:
    rated = modules["V_oc_ref"].astype(float).to_numpy()
    with_reserve = np.array(list(_by_coefficient(modules, cell_c))) + COLD_RESERVE_PER_K * (STANDARD_C - cell_c) * rated

    assert float(np.mean(with_reserve < _by_model(modules, cell_c))) <= 0.02


@pytest.mark.parametrize("cell_c", [15.0, 0.0, -25.0, -40.0])
def test_without_its_reserve_the_coefficient_is_too_low_for_most_modules(modules: Any, cell_c: float) -> None:
    """Why the reserve is there."""
    assert float(np.mean(_apart(modules, cell_c) < 0)) > 0.85


@pytest.mark.parametrize("cell_c", [5.0, -10.0, -25.0, -40.0])
def test_the_table_for_modules_without_a_coefficient_is_safe_for_most_and_with_the_reserve_for_98_of_100(
    modules: Any, cell_c: float
) -> None:
    """NEC Table 690.7(A) on the same modules."""
    rated, model = modules["V_oc_ref"].astype(float).to_numpy(), _by_model(modules, cell_c)
    by_table = np.array([cold_v(PvArray(id="PV1", voc_v=volts), cell_c) for volts in rated], dtype=float)
    reserve = COLD_RESERVE_PER_K * (STANDARD_C - cell_c) * rated

    assert float(np.mean(by_table < model)) < 0.3
    assert float(np.mean(by_table + reserve < model)) <= 0.02
