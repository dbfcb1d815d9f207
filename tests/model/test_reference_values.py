"""The weighted least squares path against certified and textbook regressions."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from bidlens.model.posterior import weighted_least_squares
from bidlens.reference import load_table

#: NIST certifies 15 digits; 9 agree here by QR in double precision, and 7 are asked of the ill-conditioned Longley set.
NORRIS_TOLERANCE, LONGLEY_TOLERANCE = 1e-9, 1e-7


def _fit(columns: list[np.ndarray], response: np.ndarray):
    design = np.column_stack([np.ones(len(response)), *columns])
    return weighted_least_squares(design, response, np.ones(len(response)))


def test_norris_agrees_with_the_certified_values():
    # NIST Statistical Reference Datasets, linear regression, Norris (lower difficulty).
    data = load_table("nist_norris").frame
    fitted = _fit([data["x"].to_numpy()], data["y"].to_numpy())
    assert fitted.params == pytest.approx([-0.262323073774029, 1.00211681802045], rel=NORRIS_TOLERANCE)
    assert fitted.bse == pytest.approx([0.232818234301152, 0.000429796848199937], rel=NORRIS_TOLERANCE)
    assert fitted.rsquared == pytest.approx(0.999993745883712, rel=NORRIS_TOLERANCE)
    assert np.sqrt(fitted.scale) == pytest.approx(0.884796396144, rel=NORRIS_TOLERANCE)


def test_longley_agrees_with_the_certified_values():
    # NIST Statistical Reference Datasets, linear regression, Longley (higher difficulty, nearly collinear).
    data = load_table("nist_longley").frame
    columns = [data[name].to_numpy() for name in ("GNPDEFL", "GNP", "UNEMP", "ARMED", "POP", "YEAR")]
    fitted = _fit(columns, data["TOTEMP"].to_numpy())
    certified = [
        -3482258.63459582, 15.0618722713733, -0.0358191792925910, -2.02022980381683, -1.03322686717359,
        -0.0511041056535807, 1829.15146461355,
    ]  # fmt: skip
    assert fitted.params == pytest.approx(certified, rel=LONGLEY_TOLERANCE)
    assert np.sqrt(fitted.scale) == pytest.approx(304.854073561965, rel=LONGLEY_TOLERANCE)
    assert fitted.rsquared == pytest.approx(0.995479004577296, rel=LONGLEY_TOLERANCE)
    assert fitted.fvalue == pytest.approx(330.285339234588, rel=LONGLEY_TOLERANCE)


@pytest.fixture(scope="module")
def bridges() -> pd.DataFrame:
    # Tryfos (1998), 45 bridges; used in Sheather, A Modern Approach to Regression with R (2009), chapters 6 and 7.
    return np.log(load_table("tryfos_bridges").frame.drop(columns="Case"))


def test_design_time_of_45_bridges(bridges):
    # Calculated from the published data with an independent regression, to the digits given.
    names = ["DArea", "CCost", "Dwgs", "Length", "Spans"]
    fitted = _fit([bridges[name].to_numpy() for name in names], bridges["Time"].to_numpy())
    expected = [2.28590, -0.04564, 0.19609, 0.85879, -0.03844, 0.23119]
    assert fitted.params == pytest.approx(expected, abs=6e-6)
    assert np.sqrt(fitted.scale) == pytest.approx(0.31393, abs=6e-6)
    assert (fitted.rsquared, fitted.rsquared_adj) == pytest.approx((0.77620, 0.74750), abs=6e-6)
    assert fitted.fvalue == pytest.approx(27.052, abs=6e-4)


def test_cost_of_45_bridges_by_deck_area_with_its_prediction_interval(bridges):
    # Calculated from the published data; the elasticity below one is why unit cost falls with deck area.
    fitted = _fit([bridges["DArea"].to_numpy()], bridges["CCost"].to_numpy())
    assert fitted.params == pytest.approx([3.70708, 0.86818], abs=6e-6)
    assert fitted.bse[1] == pytest.approx(0.06061, abs=6e-6)
    assert np.sqrt(fitted.scale) == pytest.approx(0.40185, abs=6e-6)
    at_ten = fitted.get_prediction(np.array([[1.0, np.log(10)]])).summary_frame(alpha=0.05)
    seen = at_ten[["mean", "obs_ci_lower", "obs_ci_upper"]].to_numpy()[0]
    assert seen == pytest.approx([5.706133, 4.884502, 6.527765], abs=6e-7)


def test_the_mean_of_a_log_price_is_retransformed_by_smearing_not_by_exp(bridges):
    # Duan, Smearing estimate, JASA 78:605-610 (1983): mean of exp(residual); beside normal theory exp(s2 / 2).
    fitted = _fit([bridges["DArea"].to_numpy()], bridges["CCost"].to_numpy())
    assert np.exp(fitted.resid).mean() == pytest.approx(1.086795, abs=6e-7)
    assert np.exp(fitted.scale / 2) == pytest.approx(1.084090, abs=6e-7)
