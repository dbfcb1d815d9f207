"""The shared terms found by other methods, printed beside the model's own: a reader's check, never the answer."""

from __future__ import annotations

import warnings

import numpy as np
import pandas as pd

from bidlens import wording
from bidlens.findings import Finding
from bidlens.model import priors
from bidlens.model.design import Layout
from bidlens.model.fit import GridFit
from bidlens.model.rows import Rows

COLUMNS = ("method", "term", "estimate", "model_mean", "model_sd", "differs")
_SHARED = slice(priors.SPAN, len(priors.FIXED_TERMS))


def cross_checks(rows: Rows, layout: Layout, fit: GridFit | None) -> pd.DataFrame:
    """Shared terms by ordinary regression (from 25 rows), by mixed and robust regression (from 60).

    One row per method and term; `differs` where the estimate is more than one posterior standard deviation away.
    Methods that fail on this history have no rows. Empty below 25 rows.
    """
    if fit is None or len(rows.frame) < priors.ROWS_FOR_OLS_CHECK:
        return pd.DataFrame({name: pd.Series(dtype="object") for name in COLUMNS})
    shared = fit.problem.design[:, _SHARED]
    varies = np.ptp(shared, axis=0) > 1e-12
    types = np.eye(len(rows.types))[rows.type_code]
    found: dict[str, np.ndarray | None] = {"ordinary": _ordinary(rows.log_cost, shared[:, varies], types)}
    if len(rows.frame) >= priors.ROWS_FOR_MIXED_CHECK:
        found["mixed"] = _mixed(rows.log_cost, shared[:, varies], rows.type_code)
        found["robust"] = _robust(rows.log_cost, shared[:, varies], types)
    names = [name for name, used in zip(layout.names[_SHARED], varies, strict=True) if used]
    means, sds = fit.mean[_SHARED][varies], fit.sd[_SHARED][varies]
    lines = [
        (method, name, float(estimate), float(mean), float(sd), bool(abs(estimate - mean) > sd))
        for method, estimates in found.items()
        if estimates is not None
        for name, estimate, mean, sd in zip(names, estimates, means, sds, strict=True)
    ]
    return pd.DataFrame(lines, columns=list(COLUMNS))


def disagreements(table: pd.DataFrame) -> list[Finding]:
    """One finding where other methods differ from the model by more than one posterior standard deviation.

    table : as `cross_checks` gives it. The model's own answer stands: its terms are drawn toward what was assumed.
    """
    apart = table[table["differs"].astype(bool)] if len(table) else table
    if apart.empty:
        return []
    methods = {"ordinary": "ordinary regression", "mixed": "mixed regression", "robust": "robust regression"}
    said = [
        f"{row['term']} by {methods[row['method']]} {_signed(row['estimate'])}, here {_signed(row['model_mean'])} "
        f"give or take {wording.number(row['model_sd'], 3)}"
        for row in apart.to_dict("records")
    ]
    text = (
        f"{len(apart)} of {len(table)} effects found by other methods lie more than one standard deviation from the "
        f"model's: {'; '.join(said[:3])}{' and more' if len(said) > 3 else ''}."
    )
    do = "Lean on the range more than on the single effect; the effects are on the natural-log scale."
    return [Finding("methods_differ", "check", text, do)]


def _signed(value: float) -> str:
    return wording.signed(value, 3)


def _ordinary(response: np.ndarray, shared: np.ndarray, types: np.ndarray) -> np.ndarray:
    from statsmodels.regression.linear_model import OLS

    return np.asarray(OLS(response, np.hstack([shared, types])).fit().params[: shared.shape[1]])


def _robust(response: np.ndarray, shared: np.ndarray, types: np.ndarray) -> np.ndarray | None:
    from statsmodels.robust.norms import HuberT
    from statsmodels.robust.robust_linear_model import RLM

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            fitted = RLM(response, np.hstack([shared, types]), M=HuberT()).fit()
    except (np.linalg.LinAlgError, ValueError, ZeroDivisionError):
        return None
    return np.asarray(fitted.params[: shared.shape[1]])


def _mixed(response: np.ndarray, shared: np.ndarray, type_code: np.ndarray) -> np.ndarray | None:
    """Random type effects; Powell's method, since gradient ones meet singular matrices on small histories."""
    from statsmodels.regression.mixed_linear_model import MixedLM

    design = np.hstack([np.ones((len(response), 1)), shared])
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            fitted = MixedLM(response, design, groups=type_code).fit(method="powell")
    except (np.linalg.LinAlgError, ValueError):
        return None
    return np.asarray(fitted.fe_params[1:])
