"""How well the model would have foretold a county's own past lettings, beside what a spreadsheet would have said."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.special import bdtr

from bidlens import wording
from bidlens.findings import Finding
from bidlens.model import plain_methods, priors
from bidlens.model.cost_model import fit_cost_model
from bidlens.model.levels import as_cost_index
from bidlens.model.rows import Rows, read_rows
from bidlens.reference import CostIndex

LETTING_COLUMNS = (
    "contract_id", "structure_id", "letting_date", "superstructure", "unit_cost", "p05", "p10", "p50", "p90", "p95",
    "type_mean", "last_three_years", "ordinary", "inside", "inside_80", "grade",
)  # fmt: skip
#: Fewer foretold lettings than this say little; judgement, no source.
TOO_FEW = 20


@dataclass(frozen=True, slots=True, eq=False)
class Backtest:
    """The past foretold year by year, each year from everything let before it.

    n : lettings foretold. median_abs_error : median of |expected / actual - 1|, and the same for the plain methods
        beside it, each over the lettings it could foretell. coverage_90, coverage_80 : share of actual prices inside
        their 9-in-10 and 8-in-10 range. All NaN when n is 0.
    lettings : one row per letting, oldest first, with `LETTING_COLUMNS`; $/sf in the dollars modelled.
    methods : one row per method of `METHODS`: method, n, median_abs_error, and model_on_same, the model's own median
        error over the same lettings. by_year : one row per letting year, the same errors as columns, and how many
        fell inside either range.
    """

    n: int
    median_abs_error: float
    coverage_90: float
    type_mean_median_abs_error: float
    lettings: pd.DataFrame
    findings: list[Finding]
    coverage_80: float
    methods: pd.DataFrame
    by_year: pd.DataFrame

    @property
    def last_three_years_median_abs_error(self) -> float:
        """Of the type's mean price as bid over the three years before."""
        return _of_method(self.methods, "last_three_years")

    @property
    def ols_median_abs_error(self) -> float:
        """Of ordinary regression; NaN where it never had rows enough."""
        return _of_method(self.methods, "ordinary")


def backtest(history: pd.DataFrame, index: CostIndex | pd.DataFrame | None = None) -> Backtest:
    """Foretell every past letting year from the years before it, as far as four priced structures were on record.

    Arguments as for `fit_cost_model`. The index is taken as published today, and the number of bidders as it turned
    out: what is tested is the price, not the forecast of the index or of competition. Beside it stand the plain
    methods of `plain_methods`.
    """
    rows, _, _ = read_rows(history, as_cost_index(index))
    years = np.unique(rows.year)
    pieces = [_foretold(history, index, rows, int(year)) for year in years]
    lettings = pd.concat([_no_lettings(), *(piece for piece in pieces if len(piece))], ignore_index=True)
    methods = _methods(lettings)
    error, plain = _of_method(methods, "p50"), _of_method(methods, "type_mean")
    count, inside = len(lettings), int(lettings["inside"].sum())
    return Backtest(
        n=count,
        median_abs_error=error,
        coverage_90=inside / count if count else float("nan"),
        type_mean_median_abs_error=plain,
        lettings=lettings,
        findings=_findings(count, inside, methods),
        coverage_80=float(lettings["inside_80"].mean()) if count else float("nan"),
        methods=methods,
        by_year=_by_year(lettings),
    )


def _foretold(history: pd.DataFrame, index: CostIndex | pd.DataFrame | None, rows: Rows, year: int) -> pd.DataFrame:
    """Lettings of one year as foretold from the years before; empty where those hold too little."""
    before, now = rows.year < year, rows.year == year
    if before.sum() < priors.ROWS_FOR_PREDICTION:
        return _no_lettings()
    model = fit_cost_model(history.iloc[rows.position[before]], index)
    actual = rows.frame[now]
    table = model.predict(actual).assign(
        type_mean=plain_methods.type_means(rows, before, now),
        last_three_years=plain_methods.last_three_years(rows, before, now),
        ordinary=plain_methods.ordinary_regression(rows, model.filler.terms(rows.geometry), before, now),
    )
    out = actual[["contract_id", "structure_id", "letting_date", "superstructure", "unit_cost"]].join(table)
    inside = (out["unit_cost"] >= out["p05"]) & (out["unit_cost"] <= out["p95"])
    inside_80 = (out["unit_cost"] >= out["p10"]) & (out["unit_cost"] <= out["p90"])
    return out.assign(inside=inside, inside_80=inside_80)[list(LETTING_COLUMNS)]


def _no_lettings() -> pd.DataFrame:
    kinds = {"letting_date": "datetime64[us]", "inside": "bool", "inside_80": "bool"}
    texts = ("contract_id", "structure_id", "superstructure", "grade")
    kinds |= {name: "str" if name in texts else "float64" for name in LETTING_COLUMNS if name not in kinds}
    return pd.DataFrame({name: pd.Series(dtype=kinds[name]) for name in LETTING_COLUMNS})


def _errors(lettings: pd.DataFrame) -> pd.DataFrame:
    """|expected / actual - 1| of every letting, one column a method."""
    return pd.DataFrame({name: (lettings[name] / lettings["unit_cost"] - 1).abs() for name in plain_methods.METHODS})


def _methods(lettings: pd.DataFrame) -> pd.DataFrame:
    errors = _errors(lettings)
    rows = [
        (name, int(own.notna().sum()), float(own.median()), float(errors["p50"][own.notna()].median()))
        for name, own in errors.items()
    ]
    return pd.DataFrame(rows, columns=["method", "n", "median_abs_error", "model_on_same"]).astype({"method": "str"})


def _of_method(methods: pd.DataFrame, name: str) -> float:
    return float(methods.loc[methods["method"] == name, "median_abs_error"].iloc[0])


def _by_year(lettings: pd.DataFrame) -> pd.DataFrame:
    """One row per letting year: year, n, the median error of each method, and how many fell inside either range."""
    year = lettings["letting_date"].dt.year.rename("year")
    errors = _errors(lettings).groupby(year).median()
    inside = lettings[["inside", "inside_80"]].groupby(year).sum().astype(int)
    return pd.concat([year.groupby(year).size().rename("n"), errors, inside], axis=1).reset_index()


def _findings(count: int, inside: int, methods: pd.DataFrame) -> list[Finding]:
    if not count:
        text = f"No letting year has {priors.ROWS_FOR_PREDICTION} priced structures before it; nothing can be foretold."
        return [Finding("backtest_not_possible", "check", text, "Import older bid tabs.")]
    found = []
    low, high = usual_count(count)
    if count < TOO_FEW:
        text = (
            f"Only {wording.count(count, 'past letting')} could be foretold: too few to mean much. "
            f"{inside} of {count} fell inside their 9-in-10 range; chance alone gives anything from {low} to {high}."
        )
        found.append(Finding("backtest_thin", "check", text))
    if not low <= inside <= high:
        way = "narrow" if inside < low else "wide"
        text = f"{inside} of {count} past prices fell inside their 9-in-10 range; the ranges were too {way} here."
        found.append(Finding("backtest_ranges", "check", text, "Read the ranges with that in mind."))
    for one in methods[methods["n"] > 0].to_dict("records"):
        if one["method"] != "p50" and one["model_on_same"] >= one["median_abs_error"]:
            text = (
                f"Over {wording.count(one['n'], 'letting')} the model missed by {_percent(one['model_on_same'])}, no "
                f"better than {_percent(one['median_abs_error'])} by the {plain_methods.METHODS[one['method']]}."
            )
            found.append(Finding("backtest_no_better", "note", text))
    return found


def _percent(ratio: float) -> str:
    return f"{wording.number(ratio * 100)}%"


def usual_count(count: int, chance: float = 0.90) -> tuple[int, int]:
    """Fewest and most of `count` that fall inside by chance, 19 times in 20, if each does with this chance."""
    up_to = bdtr(np.arange(count + 1, dtype=float), count, chance)
    return int(np.searchsorted(up_to, 0.025)), int(np.searchsorted(up_to, 0.975))
